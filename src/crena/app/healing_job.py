"""The second job: from a case that was operated on to its sheets, dates and records."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from crena.app.case_files import healing_text, read_case, read_plans, write_all
from crena.app.languages import LanguageCode
from crena.draw import (
    Paper,
    consent_pdf,
    operation_note_pdf,
    patient_pdf,
    specimen_card_pdf,
    theatre_card_pdf,
    ward_card_pdf,
)
from crena.draw.tongues import printed_in, said
from crena.draw.words import NARROW
from crena.exchange.calendar_file import calendar_file
from crena.exchange.fhir_bundle import fhir_bundle
from crena.healing.operation_note import note_text
from crena.planning.aftercare import healing_plan
from crena.records import HealingPlan, Language, OperationNote, Record, SignOff
from crena.store.tables import recurrence_rates, suture_tables


@dataclass(frozen=True, slots=True, kw_only=True)
class HealingOrder(Record):
    """Whose sheets are wanted, onto which paper, and in which language.

    The patient's sheet is printed in every language.
    """

    case_file: Path
    plan_file: Path | None
    out_folder: Path
    paper: Paper
    study_uid: str | None = None  #: Study Instance UID of the scan, for the health record
    signed: SignOff | None = None  #: of exactly this plan
    language: Language = Language.ENGLISH


def heal(order: HealingOrder, today: date) -> tuple[HealingPlan, tuple[str, ...]]:
    """Write all healing sheets of a case.

    Parameters
    ----------
    order : HealingOrder
        Files and paper.
    today : date
        To be printed.

    Returns
    -------
    healing : HealingPlan
        As written.
    names : tuple of str
        The files in the folder.

    Raises
    ------
    InputError
        With nothing written.
    """
    case = read_case(order.case_file)
    plan_set = read_plans(order.plan_file) if order.plan_file else None
    healing = healing_plan(case, plan_set, suture_tables(), today)
    contents = healing_files(healing, order, today)
    write_all(order.out_folder, contents)
    return healing, tuple(contents)


def healing_files(healing: HealingPlan, order: HealingOrder, today: date) -> dict[str, bytes]:
    """Return the files that this case gives by name: before an operation fewer than after."""
    made_at = datetime(today.year, today.month, today.day, tzinfo=UTC)
    sheets = _sheets(healing, order)
    contents = {"healing.json": healing_text(healing).encode(), **sheets}
    if healing.note is not None:
        contents["operation-note.txt"] = _note(healing.note, order.language).encode()
    if healing.schedule is not None:
        contents["dates.ics"] = calendar_file(
            healing.schedule, plan_code=healing.code, made_at=made_at, case=healing.case_label
        )
    contents["record.fhir.json"] = fhir_bundle(
        healing, made_at=made_at, study_uid=order.study_uid, documents=sheets
    )
    return contents


def _note(note: OperationNote, language: Language) -> str:
    """Return the note as plain text in a language; what somebody entered stays."""
    with printed_in(language):
        lines = [said(line).replace(NARROW, " ") for line in note_text(note).split("\n")]
    return "\n".join(lines)


def _sheets(healing: HealingPlan, order: HealingOrder) -> dict[str, bytes]:
    paper, tongue = order.paper, order.language
    sheets = {
        f"patient-{code}.pdf": patient_pdf(healing, language=code.language, paper=paper)
        for code in LanguageCode
    }
    sheets["ward-card.pdf"] = ward_card_pdf(healing, paper=paper, language=tongue)
    if healing.plan is not None:
        sheets["theatre-card.pdf"] = theatre_card_pdf(
            healing, paper=paper, signed=order.signed, language=tongue
        )
        sheets["specimen-card.pdf"] = specimen_card_pdf(healing, paper=paper, language=tongue)
        sheets["consent.pdf"] = consent_pdf(
            healing, recurrence_rates(), paper=paper, language=tongue
        )
    if healing.note is not None:
        sheets["operation-note.pdf"] = operation_note_pdf(healing, paper=paper, language=tongue)
    return sheets
