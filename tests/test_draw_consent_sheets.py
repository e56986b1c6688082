"""The consent sheet: published rates only, alternatives, what is not known, who signs."""

import re
from dataclasses import replace
from functools import cache

import pytest
from printed_pages import overlaps, pages_of, words_of
from sample_healing import sample_healing
from sample_plans import mirrored, sample_plan_set

from crena.draw import Paper, consent_pdf
from crena.draw.consent_sheets import complication_sentences, not_computed, recurrence_rows
from crena.draw.consent_words import ALTERNATIVES, OWN_UNIT, QUESTIONS
from crena.records import Basis, ClosureKind, Mark
from crena.records.statements import CAUTION
from crena.store.tables import recurrence_rates


@cache
def printed(paper=Paper.A4):
    return sheet_pages(paper, sample_healing(schedule=None))


def sheet_pages(paper, healing):
    return pages_of(consent_pdf(healing, recurrence_rates(), paper=paper))


def whole_text(pages):
    return " ".join(words_of(page) for page in pages)


@pytest.mark.parametrize("paper", list(Paper))
def test_two_pages_each_with_caution_allergies_side_and_code(paper):
    pages = printed(paper)
    assert len(pages) == 2
    for page in pages:
        text = words_of(page)
        for words in (CAUTION, "Allergies: latex", "Flap from the patient's right", "C12-4F2C"):
            assert words in text


@pytest.mark.parametrize("paper", list(Paper))
def test_print_is_readable_and_nothing_overlaps_or_leaves_the_page(paper):
    for page in printed(paper):
        assert min(c["size"] for c in page.chars) >= 8.99
        assert all(0 < c["x0"] and c["x1"] < page.width for c in page.chars)
        assert all(0 < c["top"] and c["bottom"] < page.height for c in page.chars)
        assert overlaps(page) == []


def test_rates_stand_with_interval_time_and_source_of_1000_people():
    text = words_of(printed()[1])
    for words in (
        "1 year 6 (3–9) trials Stauffer 2018",
        "2 years 18 (11–24) trials Stauffer 2018",
        "20 years 679 (533–824) all studies Stauffer 2018",
        "1 year 63 (32–93) worldwide Doll 2019",
        "20 years 220 (no interval) 205 people",
        "Sci Rep 8:3058",
    ):
        assert words in text
    assert " ".join(OWN_UNIT.split()[:2]) in text


def test_no_rate_from_memory_is_printed():
    remembered = [r for r in recurrence_rates() if r.basis.mark is not Mark.PUBLISHED]
    assert len(remembered) > 5
    text = whole_text(printed())
    for rate in remembered:
        if rate.months is not None:
            assert not re.search(
                rf"{rate.months // 12} years {1000 * rate.rate_fraction:.0f}\b", text
            )
    assert "full tables" not in text and "up to" not in text


def test_one_remembered_rate_among_the_published_changes_nothing():
    rates = recurrence_rates()
    odd = replace(rates[0], months=36, basis=Basis(source="Memory 2000", mark=Mark.MEMORY))
    healing = sample_healing(schedule=None)
    first = consent_pdf(healing, rates, paper=Paper.A4)
    assert consent_pdf(healing, (odd, *rates), paper=Paper.A4) == first
    said = replace(odd, basis=Basis(source="Print 2000", mark=Mark.PUBLISHED))
    assert consent_pdf(healing, (said, *rates), paper=Paper.A4) != first


def test_rows_are_bold_for_the_proposed_kind_of_closure_alone():
    plan = sample_plan_set().plans[3]
    rows = recurrence_rows(recurrence_rates(), plan)
    assert plan.closure.kind is ClosureKind.ADVANCEMENT
    assert {row["operation"] for row in rows if row["ours"]} == {
        "Karydakis operation or cleft lift"
    }
    none = sheet_pages(Paper.A4, sample_healing(plan=sample_plan_set().plans[2]))
    assert "No row speaks of exactly the operation that is proposed." in words_of(none[1])


def test_what_nobody_had_is_told_as_none_of_so_many():
    bali, kokosis = complication_sentences(
        r for r in recurrence_rates() if r.months is None and r.people
    )
    assert "the whole flap dies none of 71" in bali.replace("\u00a0", " ")
    assert "fluid under the flap 10 of 100" in bali.replace("\u00a0", " ")
    assert "wound edges part 47 of 100" in kokosis.replace("\u00a0", " ")


def test_alternatives_begin_with_no_operation_and_each_has_a_source():
    assert ALTERNATIVES[0].name == "No operation"
    text = words_of(printed()[0])
    for one in ALTERNATIVES:
        assert one.source and one.name.split()[0] in text
    assert "Disease without complaints is not treated." in text
    assert "As little as possible." in text


def test_questions_and_places_to_sign_are_there():
    text = whole_text(printed())
    assert all(question.split()[0] in text for question in QUESTIONS)
    assert len(re.findall(r"\bsignature\b", text)) == len(re.findall(r"\bdate\b", text)) == 2
    assert "Patient: name" in text and "Surgeon: name" in text


def test_what_was_not_computed_is_said_with_its_reason():
    assert "Pull on the stitches: relative, not validated." in not_computed(sample_healing())
    plan = sample_plan_set().plans[0]
    reason = "no pull was computed for this plan"
    said = not_computed(sample_healing(plan=plan, support=None, support_reason=reason))
    assert said[-1] == (
        "How long the stitches must stay: not computed, because no pull was computed for this plan."
    )
    assert "Pull on the stitches: not computed." in said
    assert "Your own chance that the disease comes back" in " ".join(said)
    assert not_computed(sample_healing(plan=None))[-1].endswith("not planned here.")


def test_without_a_plan_there_is_room_to_write_and_no_figure():
    pages = sheet_pages(Paper.A4, sample_healing(plan=None, code=""))
    text = words_of(pages[0])
    assert len(pages) == 2
    assert "No plan is stored with this sheet." in text and "Side not known here" in text
    assert not re.search(r"\d (mm|mL)\b|\bNone\b", text)


def test_without_rates_the_sheet_says_so():
    pdf = consent_pdf(sample_healing(), (), paper=Paper.LETTER)
    assert "No published rate is at hand." in whole_text(pages_of(pdf))


def test_sides_stand_on_their_side_of_both_drawings():
    for healing in (sample_healing(), sample_healing(plan=mirrored(sample_plan_set()).plans[0])):
        words = sheet_pages(Paper.A4, healing)[0].extract_words(keep_blank_chars=True)
        found = [w["text"] for w in words if w["text"] in ("patient's left", "patient's right")]
        assert found == ["patient's left", "patient's right"] * 2


@pytest.mark.parametrize("number", range(4))
def test_every_plan_fits_on_two_pages(number):
    pages = sheet_pages(Paper.LETTER, sample_healing(plan=sample_plan_set().plans[number]))
    assert len(pages) == 2 and overlaps(pages[0]) == overlaps(pages[1]) == []


def test_figures_have_no_decimals_and_sides_are_never_shortened():
    text = whole_text(printed())
    assert not re.search(r"\d\.\d|\b[LR]\b|\b(nan|None)\b", text)


def test_the_same_plan_gives_the_same_bytes():
    first, second = (
        consent_pdf(sample_healing(), recurrence_rates(), paper=Paper.A4) for _ in range(2)
    )
    assert first == second
