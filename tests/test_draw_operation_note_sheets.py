"""The operation note on paper: all that was recorded, nothing more."""

from dataclasses import replace
from functools import cache

import pytest
from card_texts import assert_named, assert_readable, bare_figures
from printed_pages import pages_of, words_of
from sample_healing import sample_healing, sample_operation

from crena.draw import Paper, operation_note_pdf
from crena.healing.operation_note import operation_note
from crena.records import OperationRecord


@cache
def printed(paper=Paper.A4):
    return pages_of(operation_note_pdf(sample_healing(), paper=paper))


def texts_with(**changes):
    return [
        words_of(page)
        for page in pages_of(operation_note_pdf(sample_healing(**changes), paper=Paper.A4))
    ]


@pytest.mark.parametrize("paper", list(Paper))
def test_one_page_named_and_readable(paper):
    (page,) = printed(paper)
    assert_named(page)
    assert_readable(page)


def test_every_figure_has_its_unit_and_no_decimal():
    assert bare_figures(words_of(printed()[0])) == []


def test_every_paragraph_and_every_gap_stands_on_the_page():
    text = words_of(printed()[0])
    note = sample_healing().note
    for section in note.sections:
        assert section.heading in text
        assert all(paragraph in text for paragraph in section.paragraphs)
    assert all(one[1:] in text for one in note.not_recorded)


def test_planned_stands_beside_done():
    text = words_of(printed()[0])
    assert "Depth 28 mm 30 mm" in text
    assert "Clearance, wall A–B 7 mm 6 mm" in text
    assert "Clearance, wall D–A 7 mm Not recorded" in text


def test_a_long_note_goes_on_to_a_page_with_the_same_head():
    operation = sample_operation(note="The flap was pale and pink again. " * 120)
    healing = sample_healing(note=operation_note(operation, sample_healing().plan))
    pages = pages_of(operation_note_pdf(healing, paper=Paper.LETTER))
    assert len(pages) == 2
    for page in pages:
        assert_named(page)
        assert_readable(page)


def test_a_record_without_answers_says_what_nobody_wrote_down():
    bare = OperationRecord(operated_on=sample_operation().operated_on)
    (text,) = texts_with(operation=bare, note=operation_note(bare), plan=None)
    assert "Nothing is set against the plan, because no plan is at hand." in text
    assert "Blood loss" in text and "0 mL" not in text


def test_a_whole_record_is_said_to_be_whole():
    note = replace(sample_healing().note, not_recorded=())
    assert "Every question of the record is answered." in texts_with(note=note)[0]


def test_without_an_operation_lines_are_left_and_said_to_be_empty():
    (text,) = texts_with(note=None, operation=None)
    assert "No operation is recorded yet." in text


def test_the_same_record_gives_the_same_bytes():
    one, other = (operation_note_pdf(sample_healing(), paper=Paper.LETTER) for _ in range(2))
    assert one == other
