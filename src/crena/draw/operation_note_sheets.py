"""The operation note on paper: what was done, planned against done, what nobody wrote down."""

from typing import Any

from crena.draw.card_heads import card_head
from crena.draw.paper import Paper
from crena.draw.press import pdf_of
from crena.draw.tongues import printed_in
from crena.draw.words import capital, unsplit
from crena.records import HealingPlan, Language, NoteSection, OperationNote

LETTERS_PT = 10.0
"""Size of the text."""


def operation_note_pdf(
    healing: HealingPlan, *, paper: Paper, language: Language = Language.ENGLISH
) -> bytes:
    """Print the operation note.

    Parameters
    ----------
    healing : HealingPlan
        With the note; without one the sheet says so and leaves lines to write on.
    paper : Paper
        The sheets that lie in the printer.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        A PDF; a long note goes on to further pages, each with its head and caution.
    """
    with printed_in(language):
        return pdf_of("operation_note", _content(healing, paper))


def _content(healing: HealingPlan, paper: Paper) -> dict[str, Any]:
    note = healing.note
    return {
        **card_head(healing, paper, LETTERS_PT),
        "title": f"Operation note, {healing.case_label}",
        "day": unsplit(note.title) if note else "",
        "sections": [_section(one) for one in note.sections] if note else [],
        "rows": _rows(note) if note else [],
        "not_recorded": [unsplit(capital(one)) for one in note.not_recorded] if note else [],
        "recorded": note is not None,
        "planned": healing.plan is not None,
    }


def _section(section: NoteSection) -> dict[str, Any]:
    return {
        "heading": section.heading,
        "paragraphs": [unsplit(paragraph) for paragraph in section.paragraphs],
    }


def _rows(note: OperationNote) -> list[list[str]]:
    return [
        [unsplit(row.what), unsplit(capital(row.planned)), unsplit(capital(row.done))]
        for row in note.rows
    ]
