"""Every sentence that reaches the page has its German, and says the same."""

import csv
import json
import re
from datetime import date
from pathlib import Path

import page_german
import pytest
import source_sentences as source
from hypothesis import given, settings
from hypothesis import strategies as st

from crena.draw import german
from crena.draw.german import CATALOGUE, HOLE, catalogue, in_german, own_letters
from crena.records import long_date, weekday_date

SAMPLES = Path(__file__).parent.parent / "frontend" / "src" / "testing" / "told.json"
"""What the tests of the page hold its own translator to."""

EVERY = catalogue()
PAPER = CATALOGUE / "paper"
ON_PAPER = {
    english for file in PAPER.glob("*.json") for english in json.loads(file.read_text("utf-8"))
}
FORMS = {source.joined(HOLE.sub("{}", english)) for english in EVERY.keys() - ON_PAPER}
"""Of what the page says; it does not read the folder of what paper alone says."""

FOR_PROGRAMS = {
    "app/case_files.py": ("no file {}", "5 MB", "is a folder", "text file in UTF-8"),
    "app/server/application.py": ("<!doctype html>",),
    "app/server/guards.py": ("default-src",),
    "app/server/jobs.py": ("data: {}",),
    "app/server/rights.py": ("GET /", "POST /", "PUT /", "DELETE /"),
    "app/server/scans.py": ("Not changed",),
    "imaging/read.py": ("no folder {}", "no DICOM file", "no file", "{} holds", "The folder holds"),
    "mechanics/solver.py": ("before the descent",),
    "records/jobs.py": ("scan", "disease", "case", "closure", "theatre", "plan"),
    "store/accounts.py": ("no account {}",),
}
"""Begins of what is said to programs or at the command line in files that else speak to people.

The page has its own words for kinds of work.
"""

FOR_THE_AUDIT = {
    "app/server/callers.py": ("user of this computer",),
    "app/server/cases.py": ("new case", "to save", "looked back"),
    "app/server/demonstrations.py": ("user of this computer",),
    "app/server/due.py": ("due today",),
    "app/server/entering.py": ("to enter: {}",),
    "app/server/entries.py": ("to place a tip",),
    "app/server/films.py": ("film anew",),
    "app/server/marking.py": ("printed {}", "template seen"),
    "app/server/plans.py": ("to plan", "sheet {}"),
    "app/server/previews.py": ("to move a plan",),
    "app/server/scans.py": ("took the scan out", "added a scan", "to take the scan out", "to map"),
    "app/server/signing.py": ("signed off", "sign-off taken back", "bars measured"),
    "app/server/theatre.py": (
        "to plan in theatre",
        "to compute the pull",
        "pull in theatre",
        "{} pull {}",
    ),
    "store/accounts.py": ("account", "logged", "last try before lock"),
}
"""Why something was done, as the audit notes it."""

TYPED = {
    "app/server/side_words.py": ("",),  # every way to type a side
    "records/previews.py": ("turn and size",),  # names of handles, which the page has words for
    "records/excisions.py": ("asymmetric lens",),
    "records/sutures.py": ("low-authority page", "synthetic", "non-absorbable"),
    "records/drains.py": ("mL in 24 h",),
    "planning/words.py": ("Allergies: {", "; not asked: {}", "born {}", "see what is not asked"),
}
"""Names that the page never shows, and two sentences that stand on paper alone."""

PARTS = {
    "healing/drain_words.py": ("below {}", " on {} days in a row"),
    "healing/operation_note.py": (
        ", {} stitches", ", leaves the skin on", "{} to the {}", " of {}", "Layer {}", "Drain {}",
        ", flap from the {}", " at {}", "{} the tip of the coccyx",
    ),
    "imaging/_stack.py": ("{} slice{} missing", "s are"),
    "imaging/read.py": (" of {} patients", ", but none is {}", "{} ({}, {} images)", "and {} more"),
    "mechanics/cuts.py": ("({}) and ({})",),
    "planning/compose.py": ("No closure{}", " with a flap from", "; and ", "; or "),
    "planning/hole_search.py": ("Limberg, {}", "Dufourmentel, {}", "rhombic, "),
    "planning/order.py": ("Plan {} pulls less than plan {} on all but",),
    "planning/refusals.py": ("; and ",),
    "planning/words.py": ("{} and {}",),
    "records/sutures.py": ("{} (metric", "{} to"),
    "sinus/mapping.py": (", probed",),
}  # fmt: skip
"""Parts that the source puts together; whole, they are in the catalogue."""

EXCEPTIONS = [
    (place, beginning)
    for each in (FOR_PROGRAMS, FOR_THE_AUDIT, TYPED, PARTS)
    for place, beginnings in each.items()
    for beginning in beginnings
]

THE_PAGE_S_OWN = {"The server cannot be reached.", "The server gave no reason."}
TABLES = Path(__file__).parent.parent / "src" / "crena" / "store" / "tables"
ON_PAPER_ALONE = {"recurrence_rates.csv"}
PUBLISHED = re.compile(r"[A-Z]\w+ \d{4}|USP <\d+>")
"""A source that is the same in both languages."""


def from_tables():
    """Return what the tables say to people: names, sites and sources."""
    for file in TABLES.glob("*.csv"):
        if file.name not in ON_PAPER_ALONE:
            for row in csv.DictReader(file.read_text(encoding="utf-8").splitlines()):
                said = (row.get(column) for column in ("name", "site", "source", "here_source"))
                yield from (text for text in said if text)


def is_excepted(place, form):
    return any(place == file and beginning in form for file, beginning in EXCEPTIONS)


def has_german(form):
    if any(way in FORMS for way in source.ways(form)):
        return True
    sentences = source.sentences(form)
    return len(sentences) > 1 and all(map(has_german, sentences)) or form.strip() in ("{}", "{}.")


def test_every_sentence_of_the_source_has_german():
    missing = [
        f"{place}:{line}: {form}"
        for place, line, form in source.forms()
        if source.is_prose(place, form) and not has_german(form) and not is_excepted(place, form)
    ]
    assert missing == []


def test_every_exception_is_still_needed():
    said = [(place, form) for place, _, form in source.forms() if source.is_prose(place, form)]
    needed = [(place, form) for place, form in said if not has_german(form)]
    unused = [
        (file, beginning)
        for file, beginning in EXCEPTIONS
        if not any(place == file and beginning in form for place, form in needed)
    ]
    assert unused == []


def test_no_sentence_is_kept_that_the_source_does_not_say():
    said = {way for _, _, form in source.forms() for way in _all_ways(form)}
    tables = {re.sub(r"0\.[0-9]+", "{}", text) for text in from_tables()}
    assembled = [part for _, part in PARTS_OF_SENTENCES]
    unused = [
        form
        for form in sorted(FORMS - said - THE_PAGE_S_OWN - tables)
        if not any(part in form for part in assembled)
    ]
    assert unused == []


def test_no_word_of_paper_is_kept_that_no_sheet_says():
    """Sheets put their sentences together from parts, so words are looked for, not sentences."""
    files = [*source.SOURCE.rglob("*.py"), *source.SOURCE.rglob("*.typ"), *TABLES.glob("*.csv")]
    said = {word for file in files for word in _words(file.read_text("utf-8"))}
    weekdays = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"}  # cut from the names of days
    kept = {word for english in ON_PAPER for word in _words(HOLE.sub(" ", english))}
    assert kept - said - weekdays == set()


def _words(text):
    return {word.lower() for word in re.findall(r"[^\W\d_]+", text)}


PARTS_OF_SENTENCES = [
    ("healing/drain_words.py", "below {} mL in 24 h"),
    ("healing/operation_note.py", "Drain {}, {}"),
    ("healing/operation_note.py", "Dye: {} at {}."),
    ("healing/operation_note.py", "Layer {}: {}, {}"),
    ("healing/operation_note.py", "Plan that was followed: {}"),
    ("healing/operation_note.py", "from cranial to the {}"),
    ("healing/operation_note.py", "the tip of the coccyx"),
    ("healing/operation_note.py", "{} mm "),
    ("imaging/_stack.py", "missing, the first gap after {}"),
    ("imaging/read.py", "The folder holds {} series"),
    ("records/sutures.py", "(metric {}, "),
    ("planning/compose.py", "No closure"),
    ("planning/hole_search.py", ", on the hole as it is"),
    ("planning/order.py", "on all but {} of {} guessed skins"),
]
"""What the source puts together from parts, by what it holds."""


def _all_ways(form):
    for sentence in (form, *source.sentences(form)):
        yield from source.ways(sentence)
        yield sentence.strip().upper()


def test_everything_that_the_tables_say_has_german():
    said = {text for text in from_tables() if not PUBLISHED.fullmatch(text)}
    assert [text for text in sorted(said) if in_german(text) is None] == []


def test_no_sentence_stands_in_two_files():
    files = [json.loads(file.read_text(encoding="utf-8")) for file in CATALOGUE.rglob("*.json")]
    assert sum(map(len, files)) == len(EVERY)


def test_german_fills_in_what_english_does():
    unlike = [
        english
        for english in EVERY
        if sorted(name for name, _ in HOLE.findall(english))
        != sorted({name for name, _ in HOLE.findall(EVERY[english])})
    ]
    assert unlike == []


def test_german_keeps_every_figure_of_the_english():
    unlike = [
        english
        for english, words in EVERY.items()
        if figures(HOLE.sub("", english)) != figures(HOLE.sub("", words))
    ]
    assert unlike == []


def test_a_sentence_that_begins_with_a_name_has_enough_words_of_its_own():
    free = re.compile(r"\{\w+:(text|name|entry)\}")
    weak = [each for each in EVERY if free.match(each) and own_letters(each) < 10]
    assert weak == ["{source:name} ({mark:words})", "{what:entry} Why: {why:entry}"]


def test_german_neither_exclaims_nor_is_empty():
    assert [each for each in EVERY.values() if "!" in each or not each.strip()] == []


DAYS = st.dates(date(2020, 1, 1), date(2040, 1, 1))
FIGURES = st.one_of(
    st.integers(-999, 9999).map(str),
    st.decimals(0, 999, places=1).map(lambda d: f"{d:.1f}"),
    st.sampled_from(["1e+06", "inf", "nan", "0.5–2"]),
)
PLAIN = [english for english in EVERY if not HOLE.search(english) and ". " not in english]
TERMS = st.sampled_from(sorted(set(json.loads((CATALOGUE / "terms.json").read_text()))))
VALUES = {
    "": FIGURES,
    "amount": st.tuples(FIGURES, st.sampled_from(["", " mm", " degrees"])).map("".join),
    "date": st.one_of(DAYS.map(long_date), DAYS.map(weekday_date)),
    "words": st.one_of(TERMS, st.tuples(TERMS, TERMS).map(", ".join)),
    "text": st.sampled_from(["T1", "A", "Q7"]),
    "entry": st.sampled_from(["Larger than thought. So was the hole.", "Bled."]),
    "name": st.sampled_from(["Q7", "IM0001.dcm", "skin"]),
    "code": st.sampled_from(["A", "CTEST12"]),
    "field": st.sampled_from(["case.pits[0].name", "seen_on"]),
    "size": st.sampled_from(["2-0", "3"]),
    "value": st.one_of(FIGURES, st.just("T1")),
    "clock": st.just("08:30"),
    "sentences": st.just("No acute sign was found."),
}


@st.composite
def filled(draw):
    """Draw a sentence of the catalogue with everything filled in, and what its German has to be."""
    english = draw(st.sampled_from(sorted(EVERY)))
    values = {name: draw(VALUES[kind or ""]) for name, kind in HOLE.findall(english)}
    kinds = {name: kind or "" for name, kind in HOLE.findall(english)}
    said = {name: german.READ[kinds[name]](value) for name, value in values.items()}
    return (
        HOLE.sub(lambda hole: values[hole[1]], english),
        HOLE.sub(lambda hole: said[hole[1]], EVERY[english]),
    )


@settings(max_examples=1500, deadline=None)
@given(filled())
def test_each_sentence_is_found_as_itself_and_no_figure_changes(pair):
    english, expected = pair
    found = in_german(english)
    assert found == expected
    assert figures(found) == figures(english)


def figures(text):
    """Return the digits of every number; which sign parts decimals or thousands does not count."""
    return sorted(re.sub(r"[.,]", "", each) for each in re.findall(r"[0-9]+(?:[.,][0-9]+)*", text))


def test_what_is_not_known_stays_and_says_that_it_is_english():
    pieces = german.pieces_of("No acute sign was found. Look at the moon. No drain.")
    assert [(piece.words, piece.language) for piece in pieces] == [
        ("Kein akutes Zeichen gefunden. ", "German"),
        ("Look at the moon. ", "English"),
        ("Keine Drainage.", "German"),
    ]
    assert in_german("Look at the moon.") is None


@pytest.mark.parametrize("said", [in_german, page_german.in_german], ids=["paper", "page"])
def test_the_page_says_each_of_these_as_paper_does(said):
    samples = json.loads(SAMPLES.read_text(encoding="utf-8"))
    assert {english: said(english) for english in samples} == samples


def test_the_tables_have_their_german_on_the_page_too():
    said = {text for text in from_tables() if not PUBLISHED.fullmatch(text)}
    assert [text for text in sorted(said) if page_german.in_german(text) is None] == []
