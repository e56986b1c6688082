"""The printed template: true size, sides, nothing that a turned sheet could hide."""

import re
from functools import cache
from io import BytesIO
from math import dist

import numpy as np
import pdfplumber
import pytest
from sample_plans import mirrored, rhombic_plan, sample_plan_set, sample_sign_off

from crena.draw import Paper, template_pdf
from crena.draw.words import VOID
from crena.records import ClosureKind, InputError, PlanSet
from crena.records.statements import CAUTION
from crena.records.units import POINTS_PER_MM

PAPERS = tuple(Paper)
PEN_RGB = (0x57 / 255, 0x2A / 255, 0x8A / 255)


@cache
def tiled_set() -> PlanSet:
    return sample_plan_set(plans=(rhombic_plan("A", ClosureKind.LIMBERG, side_mm=115.0),))


@cache
def printed(what: str, paper: Paper) -> pdfplumber.PDF:
    plan_sets = {
        "plain": sample_plan_set,
        "tiled": tiled_set,
        "mirrored": lambda: mirrored(sample_plan_set()),
        "from the left": lambda: sample_plan_set(chosen="C", chosen_by_surgeon=False),
        "curved": lambda: sample_plan_set(chosen="D"),
    }
    return pdfplumber.open(BytesIO(template_pdf(plan_sets[what](), paper=paper)))


def text_of(page: pdfplumber.page.Page) -> str:
    return re.sub(r"\s+", " ", page.extract_text().replace("\u00a0", " "))


def bars_mm(page: pdfplumber.page.Page) -> tuple[list[float], list[float]]:
    """Return the lengths of lines of about 100 mm, across and along."""
    across = [line["width"] / POINTS_PER_MM for line in page.lines if line["height"] < 0.01]
    along = [line["height"] / POINTS_PER_MM for line in page.lines if line["width"] < 0.01]
    return [v for v in across if 95 < v < 105], [v for v in along if 95 < v < 105]


def cut_outline_mm(page: pdfplumber.page.Page) -> np.ndarray:
    """Return the corners of the solid pen outline, mm from the upper left of the page."""
    shapes = [*page.curves, *page.rects, *page.lines]
    for shape in shapes:
        colour = shape["stroking_color"]
        closed = len(shape["pts"]) >= 4 and not shape["dash"]
        if closed and colour is not None and np.allclose(colour, PEN_RGB, atol=0.01):
            return np.asarray(shape["pts"][:4]) / POINTS_PER_MM
    raise AssertionError("no solid pen outline")


def orientation_words(page: pdfplumber.page.Page) -> dict[str, float]:
    """Return where the words on the line of HEAD stand, x of their middle in mm."""
    words = page.extract_words(keep_blank_chars=True, x_tolerance=2)
    level = next(w["top"] for w in words if w["text"] == "HEAD")
    row = [w for w in words if abs(w["top"] - level) < 2]
    return {w["text"]: (w["x0"] + w["x1"]) / 2 / POINTS_PER_MM for w in row}


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("what", ["plain", "tiled", "curved"])
def test_both_bars_are_100_mm_on_every_sheet_with_a_drawing(what: str, paper: Paper) -> None:
    pages = printed(what, paper).pages[:-1]
    assert len(pages) == (4 if what == "tiled" else 1)
    for page in pages:
        for lengths in bars_mm(page):
            assert lengths == [pytest.approx(100.0, abs=0.003)]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_page_has_the_size_of_the_paper(paper: Paper) -> None:
    for page in printed("plain", paper).pages:
        assert page.width / POINTS_PER_MM == pytest.approx(paper.width_mm, abs=0.02)
        assert page.height / POINTS_PER_MM == pytest.approx(paper.height_mm, abs=0.02)


@pytest.mark.parametrize("paper", PAPERS)
def test_the_outline_is_printed_at_true_size(paper: Paper) -> None:
    a, b, c, d = cut_outline_mm(printed("plain", paper).pages[0])
    assert [dist(*ends) for ends in ((a, b), (b, c), (c, d), (d, a))] == pytest.approx(
        [50.0] * 4, abs=0.02
    )
    assert dist(a, c) == pytest.approx(50.0 * np.sqrt(3), abs=0.02)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("what", ["plain", "mirrored"])
def test_side_words_stand_on_their_side_of_every_sheet(what: str, paper: Paper) -> None:
    page = printed(what, paper).pages[0]
    at_mm = orientation_words(page)
    assert at_mm["PATIENT'S LEFT"] < at_mm["HEAD"] < at_mm["PATIENT'S RIGHT"]
    assert at_mm["PATIENT'S LEFT"] < paper.width_mm / 2 < at_mm["PATIENT'S RIGHT"]


def test_the_flap_lies_towards_the_side_that_the_heading_names() -> None:
    for what, capitals, sign in (
        ("plain", "PATIENT'S RIGHT", 1),
        ("mirrored", "PATIENT'S LEFT", -1),
        ("from the left", "PATIENT'S LEFT", -1),
    ):
        page = printed(what, Paper.A4).pages[0]
        assert f"Flap from the {capitals}" in text_of(page)
        letters = {w["text"]: w for w in page.extract_words() if w["text"] in ("A", "E", "HEAD")}
        assert sign * (letters["E"]["x0"] - letters["HEAD"]["x0"]) > 100


def test_a_mirrored_plan_prints_the_mirror_image() -> None:
    plain, other = (printed(what, Paper.A4).pages[0] for what in ("plain", "mirrored"))
    middle = [orientation_words(page)["HEAD"] for page in (plain, other)]
    left = cut_outline_mm(plain) - [middle[0], 0.0]
    right = cut_outline_mm(other) - [middle[1], 0.0]
    assert np.allclose(left * [-1, 1], right, atol=0.02)


def test_corner_letters_stand_beside_their_corners() -> None:
    page = printed("plain", Paper.A4).pages[0]
    corners = cut_outline_mm(page)
    chars = [c for c in page.chars if c["size"] > 10.9 and c["text"] in "ABCD"]
    letters = {
        c["text"]: c for c in chars if np.allclose(c["non_stroking_color"], PEN_RGB, atol=0.01)
    }
    for name, corner in zip("ABCD", corners, strict=True):
        c = letters[name]
        middle = (
            (c["x0"] + c["x1"]) / 2 / POINTS_PER_MM,
            (c["top"] + c["bottom"]) / 2 / POINTS_PER_MM,
        )
        assert 1.5 < dist(middle, corner) < 7.0


def test_none_of_the_seven_turned_or_mirrored_sheets_looks_right() -> None:
    page = printed("plain", Paper.A4).pages[0]
    ink = np.asarray(page.to_image(resolution=50.8).original.convert("L")) < 128
    side = max(ink.shape)
    square = np.zeros((side, side), dtype=bool)
    square[: ink.shape[0], : ink.shape[1]] = ink
    turned = [np.rot90(ink, k)[:, ::step] for k in range(4) for step in (1, -1)]
    corner = [picture[:40, -44:] for picture in turned]
    assert corner[0].sum() > 60
    for other in corner[1:]:
        assert (corner[0] ^ other).sum() > 0.5 * corner[0].sum()


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("what", ["plain", "tiled", "curved"])
def test_no_print_is_smaller_than_8_pt(what: str, paper: Paper) -> None:
    chars = [c for page in printed(what, paper).pages for c in page.chars]
    sizes = [c["size"] if abs(c["matrix"][1]) < 1e-6 else c["width"] for c in chars]
    assert min(sizes) >= 7.99
    assert max(sizes) >= 10.99


@pytest.mark.parametrize("what", ["plain", "tiled", "from the left", "curved"])
def test_every_page_names_case_plan_hash_and_caution(what: str) -> None:
    pages = printed(what, Paper.LETTER).pages
    for number, page in enumerate(pages, 1):
        text = text_of(page)
        for words in (
            CAUTION,
            VOID,
            "Allergies: latex",
            "Case 12 (demonstration)",
            "C12-4F2C",
            "4f2c 91ab",
        ):
            assert words in text
        assert f"page {number} of {len(pages)}" in text


def test_the_sheet_says_how_to_check_it_and_how_s_is_measured() -> None:
    text = text_of(printed("plain", Paper.A4).pages[0])
    said = "Do not use this print if either bar differs from 100 mm by more than half a millimetre."
    assert said in text
    assert "Across is measured along the skin" in text
    assert "THIS CORNER: HEAD, PATIENT'S RIGHT" in text
    assert re.search(r"flap,.*do not cut C–F", text)


def test_a_plan_that_nobody_chose_says_so_on_every_page() -> None:
    for page in printed("from the left", Paper.A4).pages:
        assert "not yet chosen by a surgeon" in text_of(page)
    assert "not yet chosen" not in text_of(printed("plain", Paper.A4).pages[0])


@pytest.mark.parametrize("what", ["plain", "tiled", "from the left", "curved"])
def test_no_side_is_shortened_and_no_figure_is_broken(what: str) -> None:
    for page in printed(what, Paper.A4).pages:
        text = text_of(page)
        assert not re.search(r"\b[LR]\b", text)
        assert not re.search(r"\b(None|nan|NaN|inf)\b", text)
        assert set(re.findall(r"\d+\.\d+", text)) <= {"0.5"}


def test_the_ruler_table_gives_places_and_distances_of_all_corners() -> None:
    text = text_of(printed("plain", Paper.A4).pages[-1])
    for row in (
        "A on the midline 63 mm above",
        "B 34 mm to the patient's left 27 mm above",
        "C 20 mm to the patient's left 21 mm below",
        "E 63 mm to the patient's right 4 mm above",
        "D 50 mm 50 mm 50 mm",
    ):
        assert row in text
    assert "Measure A–B on the skin: 50 mm." in text
    assert "along the skin" in text


def test_a_curved_edge_is_given_by_points_that_lie_on_it() -> None:
    text = text_of(printed("curved", Paper.A4).pages[-1])
    assert "Points along A–B, the edge towards the patient's left" in text
    assert "3 30 mm to the patient's left 24 mm above" in text


def test_neighbouring_sheets_share_lettered_crosses() -> None:
    pages = printed("tiled", Paper.LETTER).pages[:-1]
    letters = [
        {c["text"] for c in p.chars if c["text"] in "PQSTUVW" and 8.9 < c["size"] < 9.1}
        for p in pages
    ]
    crosses = [found & set("PQSTUVW") for found in letters]
    assert crosses[0] & crosses[1] and crosses[0] & crosses[2] and crosses[1] & crosses[3]


def test_the_same_plan_gives_the_same_bytes() -> None:
    first, second = (template_pdf(sample_plan_set(), paper=Paper.A4) for _ in range(2))
    assert first == second


def test_the_viewer_is_asked_not_to_scale() -> None:
    preferences = printed("plain", Paper.A4).doc.catalog["ViewerPreferences"]
    assert preferences["PrintScaling"].name == "None"
    assert preferences["DisplayDocTitle"] is True


def test_an_unknown_letter_is_refused_with_those_that_exist() -> None:
    with pytest.raises(InputError, match="Choose one of these: A, B, C, D"):
        template_pdf(sample_plan_set(chosen="Z"), paper=Paper.A4)


def test_a_sheet_says_when_it_was_signed_off_or_that_it_was_not() -> None:
    plain = printed("plain", Paper.A4)
    assert all("not signed off" in text_of(page) for page in plain.pages)
    signed = pdfplumber.open(
        BytesIO(template_pdf(sample_plan_set(), paper=Paper.A4, signed=sample_sign_off()))
    )
    for page in signed.pages:
        assert "signed off 2026-11-27 13:05" in text_of(page)
        assert "not signed off" not in text_of(page)
