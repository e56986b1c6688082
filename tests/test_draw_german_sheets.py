"""Sheets in German: nothing half English, true sides, the caution, no page too many."""

import itertools
import re
from dataclasses import replace
from functools import cache
from io import StringIO

import ezdxf
import pytest
from factory import PROVENANCE, TODAY, case
from german_sheets import in_both, left_in_english, listening
from printed_pages import overlaps, pages_of, words_of
from sample_healing import sample_healing
from sample_plans import mirrored, rhombic_plan, sample_plan_set, sample_sign_off

from crena.draw import (
    Paper,
    consent_pdf,
    operation_note_pdf,
    plan_pdf,
    specimen_card_pdf,
    template_dxf,
    template_pages,
    template_pdf,
    template_svg,
    theatre_card_pdf,
    ward_card_pdf,
)
from crena.draw.german import catalogue, in_german
from crena.draw.landmarks import head_place_mm, orientation_marks
from crena.draw.marks import Words, words_width_mm
from crena.draw.tongues import Entered, printed_in, said
from crena.planning.compose import plan_case
from crena.records import Answer, ClosureKind, Language, Limits, Side
from crena.records.statements import CAUTION
from crena.sinus.mapping import map_from_probing
from crena.store.tables import recurrence_rates

GERMAN = Language.GERMAN


@cache
def planned(flap_from=None):
    """Return plans as Crena makes them: the sample's hold words that it never says."""
    plain = case(limits=Limits(flap_from=flap_from))
    return plan_case(plain, map_from_probing(plain), PROVENANCE, today=TODAY)


def with_plans(count):
    """Return a plan sheet's content with so many plans, the same ones again and again."""
    plans = planned().plans
    many = (replace(plans[i % len(plans)], id="ABCDE"[i]) for i in range(count))
    return replace(planned(), plans=tuple(many), chosen="A", chosen_by_surgeon=True)


def unasked():
    return tuple(
        replace(one, answer=Answer.NOT_ASKED, to_do="Ask.") for one in sample_healing().matters
    )


def without_plan():
    return sample_healing(
        plan=None, layers=None, matters=(), support=None, support_reason="there is no plan"
    )


def nothing_known():
    return replace(
        without_plan(), operation=None, note=None, schedule=None, drain=None, call_at="", code=""
    )


def proposed():
    """Return what is proposed without the sample's own sentences on it."""
    plain = sample_healing().plan
    return sample_healing(plan=replace(plain, best_at="Least pull.", price=""), support=None)


SHEETS = {
    "plan sheet": lambda **how: plan_pdf(planned(), **how),
    "plan sheet, from the left": lambda **how: plan_pdf(planned(Side.LEFT), **how),
    "template": lambda **how: template_pdf(sample_plan_set(), **how),
    "template, curved": lambda **how: template_pdf(
        sample_plan_set(chosen="D", chosen_by_surgeon=False), **how
    ),
    "template, signed": lambda **how: template_pdf(
        sample_plan_set(), signed=sample_sign_off(), **how
    ),
    "theatre card": lambda **how: theatre_card_pdf(sample_healing(), **how),
    "theatre card, all unasked": lambda **how: theatre_card_pdf(
        sample_healing(matters=unasked()), **how
    ),
    "theatre card, no plan": lambda **how: theatre_card_pdf(without_plan(), **how),
    "theatre card, signed": lambda **how: theatre_card_pdf(
        sample_healing(), signed=sample_sign_off(), **how
    ),
    "ward card": lambda **how: ward_card_pdf(sample_healing(), **how),
    "ward card, nothing known": lambda **how: ward_card_pdf(nothing_known(), **how),
    "specimen card": lambda **how: specimen_card_pdf(sample_healing(), **how),
    "specimen card, not done": lambda **how: specimen_card_pdf(
        sample_healing(operation=None, note=None), **how
    ),
    "specimen card, no plan": lambda **how: specimen_card_pdf(without_plan(), **how),
    "consent": lambda **how: consent_pdf(proposed(), recurrence_rates(), **how),
    "consent, no plan": lambda **how: consent_pdf(without_plan(), recurrence_rates(), **how),
    "consent, no rates": lambda **how: consent_pdf(nothing_known(), (), **how),
    "operation note": lambda **how: operation_note_pdf(sample_healing(), **how),
    "operation note, nothing known": lambda **how: operation_note_pdf(nothing_known(), **how),
}


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("name", SHEETS)
def test_nothing_is_left_in_english_and_every_page_is_whole(name, paper, monkeypatch):
    with listening(monkeypatch) as heard:
        german = SHEETS[name](paper=paper, language=GERMAN)
    english = SHEETS[name](paper=paper)
    assert left_in_english(heard) == []
    assert in_both(english, german) == []
    for page in pages_of(german):
        assert_printed_whole(page)
        assert in_german(CAUTION) in words_of(page)
    assert len(pages_of(german)) == len(pages_of(english))


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("count", [1, 2, 3, 4, 5])
def test_the_plans_stand_beside_each_other_on_one_page(count, paper):
    first, second, *_ = pages_of(plan_pdf(with_plans(count), paper=paper, language=GERMAN))
    assert "Gestrichelte Marken: Kaplan 2017" in words_of(first)
    assert words_of(first).count("Unteres Narbenende:") == count
    assert "Nicht in wahrer Größe" in words_of(second)
    assert_printed_whole(first)


def assert_printed_whole(page):
    """Nothing is smaller than 8 pt, leaves the page, lies on other words or in the margin."""
    sizes = [c["size"] for c in page.chars if abs(c["matrix"][1]) < 1e-6]
    assert min(sizes) >= 7.99
    assert all(0 < c["x0"] and c["x1"] < page.width - 15 for c in page.chars)
    assert all(0 < c["top"] and c["bottom"] < page.height - 14 for c in page.chars)
    assert overlaps(page) == []


def test_a_sheet_in_english_is_not_changed_by_one_in_german():
    before = template_pdf(sample_plan_set(), paper=Paper.A4)
    template_pdf(sample_plan_set(), paper=Paper.A4, language=GERMAN)
    assert template_pdf(sample_plan_set(), paper=Paper.A4) == before


def test_what_somebody_entered_stays():
    label = "Skin. HEAD, page 3"
    pdf = template_pdf(sample_plan_set(case_label=label), paper=Paper.A4, language=GERMAN)
    assert all(label in words_of(page) for page in pages_of(pdf))
    with printed_in(GERMAN):
        assert said(Entered("Coccyx tip")) == "Coccyx tip"
    assert said("Coccyx tip") == "Coccyx tip"


def orientation_words(page):
    """Return where across the page each half of a side and KOPF begin."""
    words = page.extract_words()
    at = {}
    for one in words:
        if one["text"] in ("LINKE", "RECHTE", "KOPF") and one["top"] > 100:
            at.setdefault(one["text"], one["x0"])
    return at


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("plan_set", [sample_plan_set(), mirrored(sample_plan_set())])
def test_german_sides_stand_on_their_side_of_the_sheet(plan_set, paper):
    page = pages_of(template_pdf(plan_set, paper=paper, language=GERMAN))[0]
    at = orientation_words(page)
    assert at["LINKE"] < at["KOPF"] < at["RECHTE"]


@pytest.mark.parametrize(
    ("plan_set", "capitals", "sign"),
    [
        (sample_plan_set(), "RECHTEN SEITE", 1),
        (mirrored(sample_plan_set()), "LINKEN SEITE", -1),
        (sample_plan_set(chosen="C"), "LINKEN SEITE", -1),
    ],
)
def test_the_flap_lies_towards_the_side_that_the_german_heading_names(plan_set, capitals, sign):
    page = pages_of(template_pdf(plan_set, paper=Paper.A4, language=GERMAN))[0]
    assert f"Lappen von der {capitals} DES PATIENTEN" in words_of(page)
    letters = {w["text"]: w["x0"] for w in page.extract_words() if w["text"] in ("E", "KOPF")}
    assert sign * (letters["E"] - letters["KOPF"]) > 100


@pytest.mark.parametrize(
    ("plan_set", "german"),
    [(sample_plan_set(), "RECHTEN"), (mirrored(sample_plan_set()), "LINKEN")],
)
def test_the_german_theatre_card_names_the_side_of_the_plan(plan_set, german):
    other = {"RECHTEN": "LINKEN", "LINKEN": "RECHTEN"}[german]
    healing = sample_healing(plan=plan_set.plans[0])
    (page,) = pages_of(theatre_card_pdf(healing, paper=Paper.A4, language=GERMAN))
    assert words_of(page).count(f"von der {german} SEITE DES PATIENTEN") == 2
    assert other not in words_of(page)


@pytest.mark.parametrize("side", list(Side))
def test_the_german_plan_sheet_says_and_draws_the_side_of_each_plan(side):
    plans = replace(planned(side), chosen_by_surgeon=True)
    first, large, *_ = pages_of(plan_pdf(plans, paper=Paper.A4, language=GERMAN))
    named = {Side.LEFT: "linken", Side.RIGHT: "rechten"}[side]
    chosen = f"Plan {plans.chosen}, Lappen von der {named} Seite des Patienten."
    assert f"Vom Operateur gewählt: {chosen}" in words_of(first)
    other = {Side.LEFT: "rechten", Side.RIGHT: "linken"}[side]
    assert f"von der {other} Seite" not in words_of(first)
    words = [w for w in large.extract_words() if w["x1"] < 0.52 * large.width]
    at = {w["text"]: (w["x0"], w["x1"]) for w in words if w["top"] > 0.7 * large.height}
    (head,) = (w["x0"] for w in words if w["text"] == "KOPF")
    (flap_tip,) = (w["x0"] for w in words if w["text"] == "E")
    assert at["linke"][0] < head < at["Patienten"][1]
    assert at["linke"][0] < at["rechte"][0]
    assert (flap_tip > head) == (side is Side.RIGHT)


@pytest.mark.parametrize("english", [Side.LEFT.value, Side.RIGHT.value])
def test_no_sentence_of_the_catalogue_exchanges_the_sides(english):
    """Every entry that names one side of the patient names the same one in German."""
    own, other = ("link", "recht") if english == Side.LEFT else ("recht", "link")
    for sentence, german in catalogue().items():
        if english in sentence.lower() and _other(english) not in sentence.lower():
            assert own in german.lower(), sentence
            assert other not in german.lower(), sentence


def _other(side):
    return next(each.value for each in Side if each != side)


def test_the_ruler_table_gives_each_corner_its_side():
    plan_set = sample_plan_set()
    page = pages_of(template_pdf(plan_set, paper=Paper.A4, language=GERMAN))[-1]
    text = words_of(page)
    for corner in plan_set.plans[0].closure.corners:
        across = round(abs(corner.at_mm[0]))
        side = "rechten" if corner.at_mm[0] > 0 else "linken"
        if across:
            assert f"{corner.name} {across} mm zur {side} Seite des Patienten" in text


@pytest.mark.parametrize("paper", list(Paper))
def test_the_words_of_a_parted_template_stay_clear_of_the_index_and_the_bar(paper):
    wide = sample_plan_set(plans=(rhombic_plan("A", ClosureKind.LIMBERG, side_mm=115.0),))
    *sheets, _ = pages_of(template_pdf(wide, paper=paper, language=GERMAN))
    assert len(sheets) == 4
    for page in sheets:
        assert_printed_whole(page)
        words = page.extract_words()
        first = next(w for w in words if w["text"] == "Blatt")
        caution = next(w for w in words if w["text"] == "Software")
        bar = next(w for w in words if w["text"] == "quer")
        assert bar["bottom"] < first["top"]
        between = [w for w in words if first["top"] - 5 < w["top"] < caution["top"] - 2]
        index = [w for w in between if w["text"] in "1234" and w["x0"] > 0.8 * page.width]
        assert len(index) == 4
        left = min(w["x0"] for w in index)
        assert all(w["x1"] < left for w in between if w not in index)


@pytest.mark.parametrize("language", list(Language))
@pytest.mark.parametrize("wanted_mm", [-60.0, -20.0, 0.0, 30.0, 90.0])
@pytest.mark.parametrize("width_mm", [80.0, 120.0, 142.0, 190.0])
def test_head_and_sides_never_lie_on_each_other(width_mm, wanted_mm, language):
    with printed_in(language):
        ends = (-width_mm / 2, width_mm / 2)
        head_mm = head_place_mm(ends, wanted_mm)
        marks = orientation_marks((ends[0], 0.0, ends[1], 50.0), head_mm)
        spans = {}
        for mark in marks:
            if isinstance(mark, Words):
                wide = words_width_mm(mark.text, mark.size_pt, bold=mark.bold)
                left = mark.at[0] - wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[mark.anchor]
                spans.setdefault(mark.at[1], []).append((left, left + wide))
    for row in spans.values():
        for (_, end), (start, _) in itertools.pairwise(sorted(row)):
            assert end + 1.0 < start


@pytest.mark.parametrize("signed", [None, sample_sign_off()])
def test_the_drawings_for_other_programs_are_german_too(signed, monkeypatch):
    with listening(monkeypatch) as heard:
        svg = template_svg(sample_plan_set(), signed=signed, language=GERMAN).decode()
        dxf = template_dxf(sample_plan_set(), signed=signed, language=GERMAN).decode()
    assert left_in_english(heard) == []
    in_svg = re.findall(r"<text [^>]*>([^<]*)</text>", svg)
    in_dxf = [each.dxf.text for each in ezdxf.read(StringIO(dxf)).modelspace().query("TEXT")]
    assert [each.replace("\u00a0", " ") for each in in_svg] == in_dxf
    text = " ".join(in_dxf)
    for words in ("KOPF", "LINKE SEITE DES PATIENTEN", "RECHTE SEITE DES PATIENTEN"):
        assert words in in_dxf
    assert in_german(CAUTION) in text
    assert ("nicht unterschrieben" in text) == (signed is None)


def test_the_pages_that_are_shown_are_those_that_are_printed():
    """Letters are drawn in the pictures, so their number is compared."""
    shown = template_pages(sample_plan_set(), paper=Paper.A4, language=GERMAN)
    pdf = template_pdf(sample_plan_set(), paper=Paper.A4, language=GERMAN)
    english = template_pages(sample_plan_set(), paper=Paper.A4)
    assert len(shown) == len(pages_of(pdf)) == len(english)
    assert all(one != other for one, other in zip(shown, english, strict=True))


def test_bold_words_stay_bold():
    pdf = template_pdf(sample_plan_set(), paper=Paper.A4, language=GERMAN)
    page = pages_of(pdf)[0]
    bold = "".join(c["text"] for c in page.chars if "Bold" in c["fontname"])
    assert "nicht unterschrieben" in bold.replace("\u00a0", " ")
    assert "vom Operateur gewählt" not in bold
