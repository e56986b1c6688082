"""The plan sheet: one page to decide, honest words, details behind it."""

import re
from dataclasses import replace
from functools import cache
from io import BytesIO

import pdfplumber
import pytest
from sample_healing import with_pull
from sample_plans import cleft_surface, sample_plan_set, sample_tract_map

from crena.draw import Paper, Stage, plan_pdf, plan_picture_svg, png_of
from crena.draw.closures import sewn_marks
from crena.draw.details import details
from crena.planning.filling import with_filling
from crena.records import Mechanics, ScarAfter, ScarFromLine, SittingPull
from crena.records.statements import CAUTION
from crena.records.units import POINTS_PER_MM


@cache
def printed(count: int, paper: Paper) -> pdfplumber.PDF:
    plans = sample_plan_set().plans
    shown = (*plans, replace(plans[1], id="E"))[:count]
    plan_set = sample_plan_set(plans=shown, order=f"{count} plans, no clear best")
    return pdfplumber.open(BytesIO(plan_pdf(plan_set, paper=paper)))


def text_of(page: pdfplumber.page.Page) -> str:
    return re.sub(r"\s+", " ", page.extract_text().replace("\u00a0", " "))


def whole_text(pdf: pdfplumber.PDF) -> str:
    return " ".join(text_of(page) for page in pdf.pages)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("count", [1, 3, 4, 5])
def test_all_plans_stand_on_the_first_page(count: int, paper: Paper) -> None:
    pdf = printed(count, paper)
    first, second = text_of(pdf.pages[0]), text_of(pdf.pages[1])
    assert first.count("risk up to 11") == first.count("wanted from 20") == count
    assert f"{count} plans, no clear best." in first
    assert "Not at true size" in second


@pytest.mark.parametrize("paper", list(Paper))
def test_the_paper_lies_on_its_side(paper: Paper) -> None:
    for page in printed(4, paper).pages:
        assert page.width / POINTS_PER_MM == pytest.approx(paper.height_mm, abs=0.02)
        assert page.height / POINTS_PER_MM == pytest.approx(paper.width_mm, abs=0.02)


def test_every_page_bears_caution_case_code_and_number() -> None:
    pages = printed(5, Paper.LETTER).pages
    for number, page in enumerate(pages, 1):
        text = text_of(page)
        for words in (CAUTION, "Allergies: latex", "Case 12 (demonstration)", "C12-4F2C"):
            assert words in text
        assert f"page {number} of {len(pages)}" in text


@pytest.mark.parametrize("count", [3, 4, 5])
def test_no_print_is_smaller_than_8_pt_and_none_leaves_the_page(count: int) -> None:
    for page in printed(count, Paper.A4).pages:
        assert min(c["size"] for c in page.chars) >= 7.99
        assert all(0 < c["x0"] and c["x1"] < page.width for c in page.chars)
        assert all(0 < c["top"] and c["bottom"] < page.height for c in page.chars)


def test_no_words_of_the_first_page_lie_on_each_other() -> None:
    for count in (3, 4, 5):
        page = printed(count, Paper.LETTER).pages[0]
        words = page.extract_words()
        for i, a in enumerate(words):
            for b in words[i + 1 :]:
                wide = min(a["x1"], b["x1"]) - max(a["x0"], b["x0"])
                high = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
                assert wide < 0.5 or high < 2.5, (a["text"], b["text"])


def test_what_was_not_computed_is_said_once() -> None:
    text = whole_text(printed(4, Paper.A4))
    assert text.count("Pull: not computed.") == 1
    assert text.count("Dead space: not computed.") == 1


def test_the_details_name_what_was_found_refused_and_assumed() -> None:
    text = whole_text(printed(4, Paper.A4))
    for words in (
        "joined to nothing",
        "Branches thinner than 2 mm may be missed",
        "obsolete by the German guideline of 2020",
        "One edge is 19 mm too long",
        "Allergy to dye was not asked.",
        "The marking error is taken as 1 mm.",
        "Kaplan 2017",
        sample_plan_set().inputs_hash,
        "4 mm longer on the scan",
    ):
        assert words in text


def test_no_side_is_shortened_and_no_decimal_goes_beyond_the_resolution() -> None:
    text = whole_text(printed(5, Paper.A4)).replace("0.1.0", "").replace("2.4.0", "")
    assert not re.search(r"\b[LR]\b", text)
    assert not re.search(r"\b(None|nan|NaN|inf)\b", text)
    assert set(re.findall(r"\d+\.\d+", text)) <= {"0.7", "3.11"}


def test_a_plan_that_nobody_chose_is_not_called_chosen() -> None:
    pdf = pdfplumber.open(
        BytesIO(plan_pdf(sample_plan_set(chosen_by_surgeon=False), paper=Paper.A4))
    )
    text = text_of(pdf.pages[0])
    assert "No plan is chosen yet." in text
    assert "Chosen by the surgeon" not in text


def test_the_same_plans_give_the_same_bytes() -> None:
    first, second = (plan_pdf(sample_plan_set(), paper=Paper.A4) for _ in range(2))
    assert first == second


def test_a_deep_cleft_and_a_case_without_scan_can_be_printed() -> None:
    tract_map = replace(
        sample_tract_map(), skin=cleft_surface(), cavities=(), spots=(), disagreements=(),
        smallest_branch_mm=None,
    )  # fmt: skip
    pdf = pdfplumber.open(BytesIO(plan_pdf(sample_plan_set(tract_map=tract_map), paper=Paper.A4)))
    text = whole_text(pdf)
    assert "No smallest branch is stated" in text
    assert "Probe and scan side by side" not in text


@pytest.mark.parametrize("stage", list(Stage))
def test_every_picture_carries_head_and_both_sides(stage: Stage) -> None:
    plan_set = sample_plan_set()
    svg = plan_picture_svg(plan_set.plans[0], plan_set.tract_map, stage=stage).decode()
    assert svg.count(">Head<") == (2 if stage is Stage.BOTH else 1)
    places = [
        float(re.search(rf'x="([\d.]+)"[^>]*>patient\'s {s}<', svg)[1]) for s in ("left", "right")
    ]
    assert places[0] < places[1]


def test_a_picture_can_be_had_as_png() -> None:
    plan_set = sample_plan_set()
    svg = plan_picture_svg(plan_set.plans[0], plan_set.tract_map)
    assert png_of(svg, width_mm=120.0, pixels_per_inch=60.0).startswith(b"\x89PNG")


def test_a_clearance_that_may_fail_once_in_20_is_said_to_cut_into_the_disease() -> None:
    plan = sample_plan_set().plans[0]
    chance = replace(plan.excision.chance_clear, quantile05_mm=-0.4)
    risky = replace(plan, excision=replace(plan.excision, chance_clear=chance))
    for one, words in ((plan, "is 4 mm or more."), (risky, "cuts into the disease.")):
        sentences = details(sample_plan_set(), one)["excision"]
        assert sentences[-1].replace("\u00a0", " ").endswith(words)


def test_one_flap_fills_the_wound_when_it_is_sewn() -> None:
    closure = sample_plan_set().plans[1].closure
    tone, *seams = sewn_marks(closure)
    assert tone.points == closure.removed_mm
    assert [line.points for line in seams] == list(closure.scar_mm)


def test_pull_is_a_band_and_called_relative_and_not_validated() -> None:
    pull = Mechanics(
        status="converged", reason="", skins=32, failed=0, mesh_error_ratio=0.01,
        total_force_n=20.0, total_low_n=14.0,
        total_high_n=39.0, relative_low_ratio=1.04, relative_high_ratio=1.32,
        compared=32, least_of_these_fraction=0.31, donor_share=0.3, donor_share_low=0.2,
        donor_share_high=0.4,
        seam_forces=(),
    )  # fmt: skip
    four = sample_plan_set().plans
    plans = tuple(replace(p, mechanics=pull) for p in (*four, replace(four[1], id="E")))
    pdf = plan_pdf(sample_plan_set(plans=plans), paper=Paper.A4)
    text = text_of(pdfplumber.open(BytesIO(pdf)).pages[0])
    assert text.count("1.0–1.3") == len(plans)
    assert "Pull: relative, not validated." in text


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("count", [1, 3, 4, 5])
def test_with_all_that_is_computed_the_first_page_still_holds_it(count: int, paper: Paper) -> None:
    plans = sample_plan_set().plans
    drafts = tuple(with_pull(p) for p in (*plans, replace(plans[1], id="E"))[:count])
    seated = SittingPull(reason="", over_lying_ratio=2.4, hardest_seam="A–B", gape_mm=21.0)
    place = ScarFromLine(least_mm=0.0, lower_end_mm=21.0, within_10mm_ratio=0.1, crossings=1)
    after = ScarAfter(sagittal=place, material=place, floor=place)
    (filled,) = with_filling(drafts[:1], sample_tract_map())
    full = tuple(
        replace(
            p,
            filling=filled.filling,
            dead_space_ml=filled.dead_space_ml,
            mechanics=replace(p.mechanics, scar_after=after, sitting=seated),
        )
        for p in drafts
    )
    change = "Plan B tends to pull less than plan A where its fibres are stiffer than guessed."
    plan_set = sample_plan_set(plans=full, would_change=change)
    pdf = pdfplumber.open(BytesIO(plan_pdf(plan_set, paper=paper)))
    assert "Dashed marks" in text_of(pdf.pages[0])
    assert whole_text(pdf).count("Sitting pulls 2.4 times as hard") == count
