"""The patient's sheet: both languages, own days, own drawing, easy to read."""

import re
from dataclasses import replace
from datetime import date
from functools import cache

import pytest
import textstat
from printed_pages import overlaps, pages_of, words_of
from reading_ease import WORD, english_syllables, german_syllables, reading_ease
from sample_healing import OPERATED_ON, sample_healing, sample_operation
from sample_plans import mirrored, sample_plan_set

from crena.draw import Paper, patient_pdf
from crena.draw.allergy_words import allergies_in
from crena.draw.patient_sheets import advice_of, dates_of, side_in_head
from crena.draw.patient_words import (
    CALL_AT_ONCE,
    FROM_SIDE,
    OPERATION,
    SIDE_IN_PICTURE,
    TASKS,
    WORDS,
    Both,
    said,
)
from crena.healing.date_rules import COMMON_RULES, DRAIN_READING
from crena.healing.schedule import schedule
from crena.records import (
    DateRule,
    DrainPlaced,
    Language,
    OperationRecord,
    OwnDay,
    ScheduleSettings,
    Side,
    weekday_date,
)
from crena.records.units import POINTS_PER_MM

ENGLISH, GERMAN = Language.ENGLISH, Language.GERMAN
HEAD_MM, FOOT_MM = 27.0, 33.0
LEAST_EASE = {ENGLISH: 70.0, GERMAN: 65.0}


@cache
def printed(language, paper=Paper.A4):
    return pages_of(patient_pdf(sample_healing(), language=language, paper=paper))


def sheet(language, **changes):
    pages = pages_of(patient_pdf(sample_healing(**changes), language=language, paper=Paper.A4))
    return " ".join(words_of(page) for page in pages)


def body(page):
    """Return what stands between head and foot."""
    low, high = HEAD_MM * POINTS_PER_MM, page.height - FOOT_MM * POINTS_PER_MM
    return words_of(page.crop((0, low, page.width, high)))


def test_every_common_rule_has_words_in_both_languages():
    common = {rule.code: rule.task for rule in COMMON_RULES}
    assert {code: task.stands_for for code, task in TASKS.items()} == common
    tables = (OPERATION, FROM_SIDE, SIDE_IN_PICTURE, WORDS)
    pairs = [task.words for task in TASKS.values()]
    pairs += [words for table in tables for words in table.values()]
    assert all(p.english and p.german and isinstance(p, Both) for p in pairs)
    assert all(p.english != p.german for p in pairs[: len(TASKS)])


@pytest.mark.parametrize("language", list(Language))
def test_the_printed_sheet_is_easy_to_read(language):
    text = " ".join(body(page) for page in printed(language))
    ease = reading_ease(text, language)
    print(f"{language}: reading ease {ease:.0f}, {len(WORD.findall(text))} words")  # noqa: T201
    assert ease >= LEAST_EASE[language]


def test_both_counts_of_german_syllables_agree():
    text = " ".join(body(page) for page in printed(GERMAN))
    textstat.set_lang("de")
    words = WORD.findall(text)
    other = sum(textstat.syllable_count(word) for word in words)
    assert sum(map(german_syllables, words)) == pytest.approx(other, rel=0.03)


@pytest.mark.parametrize(
    ("word", "count"),
    [
        ("wound", 1), ("operation", 4), ("stitches", 2), ("healed", 1), ("area", 3), ("people", 2),
        ("different", 3), ("rinse", 1), ("emergency", 4), ("spreads", 1), ("table", 2), ("role", 1),
        ("closes", 2), ("shave", 1), ("department", 3), ("lifted", 2), ("anaesthetist", 4),
    ],
)  # fmt: skip
def test_english_syllables_are_those_of_the_dictionary(word, count):
    assert english_syllables(word) == count


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("language", list(Language))
def test_two_pages_each_with_caution_allergies_side_and_code(language, paper):
    pages = printed(language, paper)
    assert len(pages) == 2
    german = language is GERMAN
    for page in pages:
        text = words_of(page)
        caution = WORDS["caution"].german if german else WORDS["caution"].english
        side = "von der rechten Seite des Patienten" if german else "from the patient's right"
        latex = "Allergien: Latex; nicht gefragt: Farbstoff" if german else "Allergies: latex; not"
        assert all(words in text for words in (caution, side, latex, "C12-4F2C", "Case 12"))


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("language", list(Language))
def test_print_is_large_and_nothing_overlaps_or_leaves_the_page(language, paper):
    for page in printed(language, paper):
        assert min(c["size"] for c in page.chars) >= 10.99
        assert all(0 < c["x0"] and c["x1"] < page.width for c in page.chars)
        assert all(0 < c["top"] and c["bottom"] < page.height for c in page.chars)
        assert overlaps(page) == []


def test_every_day_of_the_schedule_is_printed_with_its_weekday():
    entries = sample_healing().schedule.entries
    days = {entry.on for entry in entries if entry.code[:6] != "drain-" or entry.day == 1}
    text = words_of(printed(ENGLISH)[1])
    assert len(days) == 15
    for day in days:
        assert f"{day.strftime('%A')} {day.day} {day.strftime('%B %Y')}" in text


def test_german_days_name_weekday_and_month_in_german():
    text = words_of(printed(GERMAN)[1])
    assert "Donnerstag, 10. Dezember 2026 Tag 14" in text
    assert "Dienstag, 8. Dezember 2026 Tag 12 Jeder zweite Faden" in text
    assert "Samstag, 26. Dezember 2026 Tag 30" in text
    assert "wenn zu: Montag, 28. Dezember 2026" in text


@pytest.mark.parametrize("language", list(Language))
def test_a_surgeons_own_rule_keeps_its_own_words(language):
    rules = (
        DateRule(code="swim", task="Swim in the sea", who="patient", days=(50,)),
        DateRule(code="sport", task="Sport, but no cycling", who="patient", days=(60,)),
    )
    made = schedule(OPERATED_ON, ScheduleSettings(rules=rules))
    text = sheet(language, schedule=made)
    assert "Swim in the sea" in text and "Sport, but no cycling" in text
    sport = TASKS["sport"].words
    assert (sport.german if language is GERMAN else sport.english) not in text
    assert ("ab wann Sport geht" if language is GERMAN else "when you may do sport") in text


def test_a_day_set_by_hand_stands_in_the_list_and_in_the_advice():
    own = ScheduleSettings(own_days=(OwnDay(code="sitting", on=date(2026, 12, 16)),))
    healing = sample_healing(schedule=schedule(OPERATED_ON, own))
    words = {one["heading"]: one["words"] for one in advice_of(healing, ENGLISH)}
    assert "before *Wednesday 16 December 2026*" in words["Sitting"].replace("\u00a0", " ")
    row = next(r for r in dates_of(healing, ENGLISH) if "sit up straight" in "".join(r["tasks"]))
    assert row["on"] == weekday_date(date(2026, 12, 16))


def test_without_a_day_the_patient_is_told_to_ask():
    never = ScheduleSettings(
        rules=(DateRule(code="sitting", task=TASKS["sitting"].stands_for, who=""),)
    )
    healing = sample_healing(schedule=schedule(OPERATED_ON, never))
    for one in (*advice_of(healing, ENGLISH), *advice_of(sample_healing(schedule=None), GERMAN)):
        assert "{" not in one["words"]
    assert advice_of(healing, ENGLISH)[1]["words"].startswith("Ask us when you may sit")


@pytest.mark.parametrize(
    ("drains", "shown"),
    [((), False), (None, True), ((DrainPlaced(name="1", size_charriere=12),), True)],
)
def test_a_drain_is_spoken_of_unless_it_is_recorded_that_none_was_laid(drains, shown):
    operation = OperationRecord(operated_on=OPERATED_ON, drains=drains)
    text = sheet(ENGLISH, operation=operation)
    assert ("drain" in text.lower()) is shown


def test_what_is_missing_is_said_in_words():
    text = sheet(ENGLISH, plan=None, schedule=None, call_at="", code="")
    for key in ("no_picture", "no_dates", "no_side", "no_code"):
        assert WORDS[key].english in text
    assert "Ask for the number before you go home." in text
    assert not re.search(r"\b(None|nan)\b|\{", text)


def test_what_was_done_otherwise_is_not_hidden_behind_the_drawing():
    assert sample_healing().operation.deviations
    assert "Not all was done as drawn here." in sheet(ENGLISH)
    for deviations in ((), None):
        operation = sample_operation(deviations=deviations)
        assert "Not all was done as drawn here." not in sheet(ENGLISH, operation=operation)


@pytest.mark.parametrize("language", list(Language))
def test_sides_stand_in_full_words_on_their_own_side_of_the_drawing(language):
    words = printed(language)[0].extract_words(keep_blank_chars=True)
    places = {}
    for side in Side:
        text = SIDE_IN_PICTURE[side].german if language is GERMAN else SIDE_IN_PICTURE[side].english
        places[side] = next(w["x0"] for w in words if w["text"].startswith(text))
    assert places[Side.LEFT] < places[Side.RIGHT]


def test_flap_of_the_mirrored_plan_comes_from_the_other_side():
    other = mirrored(sample_plan_set()).plans[0]
    healing = sample_healing(plan=other)
    assert side_in_head(healing, ENGLISH) == "Flap from the patient's left"
    text = sheet(GERMAN, plan=other)
    assert "Er kommt von Ihrer linken Seite." in text
    assert "rechten Seite" not in text


@pytest.mark.parametrize("number", range(4))
@pytest.mark.parametrize("language", list(Language))
def test_every_kind_of_closure_can_be_shown(number, language):
    healing = sample_healing(plan=sample_plan_set().plans[number])
    pages = pages_of(patient_pdf(healing, language=language, paper=Paper.LETTER))
    assert len(pages) == 2 and overlaps(pages[0]) == []


def test_no_dose_no_drug_no_short_side_and_no_decimal_is_printed():
    for language in Language:
        text = " ".join(words_of(page) for page in printed(language))
        assert not re.search(r"\b(mg|mL|ml|tablets?|Tabletten?)\b|\b[LR]\b|\d[.,]\d", text)


def test_a_note_on_allergies_is_never_translated_nor_lost():
    said = allergies_in("Allergies: dye, see dye card; asked 2 March 2026", GERMAN)
    assert said == "Allergien: Farbstoff, see dye card; gefragt am 2. März 2026"
    assert allergies_in("Ask about dye", GERMAN) == "Ask about dye"


def test_the_same_plan_gives_the_same_bytes():
    first, second = (
        patient_pdf(sample_healing(), language=GERMAN, paper=Paper.A4) for _ in range(2)
    )
    assert first == second


def test_a_dark_flap_is_a_sign_in_both_languages():
    assert any("dark" in both.english and "dunkel" in both.german for both in CALL_AT_ONCE)


def test_both_printed_sheets_hold_the_same_number_of_alarm_signs():
    shown = {
        language: sum(
            getattr(both, name) in " ".join(map(body, printed(language))) for both in CALL_AT_ONCE
        )
        for language, name in ((Language.ENGLISH, "english"), (GERMAN, "german"))
    }
    assert set(shown.values()) == {len(CALL_AT_ONCE)}


@pytest.mark.parametrize("language", list(Language))
def test_a_drain_read_for_three_weeks_takes_one_line_and_two_pages_hold_all(language):
    daily = replace(DRAIN_READING, days=tuple(range(1, 22)))
    dates = schedule(OPERATED_ON, ScheduleSettings(rules=(daily,)))
    healing = sample_healing(schedule=dates)
    said_of_it = said(TASKS["drain"].words, language)
    rows = [row for row in dates_of(healing, language) if said_of_it in row["tasks"]]
    assert len(rows) == 1
    assert len(pages_of(patient_pdf(healing, language=language, paper=Paper.LETTER))) == 2
