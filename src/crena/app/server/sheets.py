"""Every sheet of a case by its name."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from crena.app.healing_job import HealingOrder, healing_files
from crena.app.planning_job import middle_skin
from crena.draw import Paper, plan_pdf, template_dxf, template_pdf, template_svg
from crena.planning.aftercare import healing_plan
from crena.planning.films import films_of
from crena.records import Case, Language, MissingError, PlanSet, Record, SignOff
from crena.store.tables import suture_tables

PDF = "application/pdf"

PLAN_KINDS = {
    "plan.pdf": PDF,
    "template.pdf": PDF,
    "template.svg": "image/svg+xml",
    "template.dxf": "image/vnd.dxf",
}

KINDS = PLAN_KINDS | {
    "theatre-card.pdf": PDF,
    "specimen-card.pdf": PDF,
    "consent.pdf": PDF,
    "operation-note.pdf": PDF,
    "operation-note.txt": "text/plain",
    "ward-card.pdf": PDF,
    "patient-en.pdf": PDF,
    "patient-de.pdf": PDF,
    "dates.ics": "text/calendar",
    "record.fhir.json": "application/fhir+json",
}
"""Names of the sheets, and what they are."""


OF_WHAT_WAS_DONE = (
    "specimen-card.pdf",
    "operation-note.pdf",
    "operation-note.txt",
    "ward-card.pdf",
    "patient-en.pdf",
    "patient-de.pdf",
    "dates.ics",
    "record.fhir.json",
)
"""Sheets of an operation that was recorded: a case that is corrected later leaves them as true."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets(Record):
    """What can be printed of a case."""

    names: tuple[str, ...]
    old: bool  #: the case was changed after its plans were made


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetOrder(Record):
    """Which sheet is wanted, onto which paper, and what is printed on it beside the plan.

    The patient's sheets have their language in their names.
    """

    name: str
    paper: Paper
    today: date
    signed: SignOff | None  #: of exactly this plan
    language: Language = Language.ENGLISH


def sheets_of(case: Case, plan_set: PlanSet | None, order: SheetOrder) -> bytes:
    """Return one sheet.

    Raises
    ------
    MissingError
        If it is one that only follows an operation, and none is recorded; or one that shows the
        plan, and the plan is not kept here.
    """
    if order.name in PLAN_KINDS:
        return _plan_sheet(case, refuse_lost(plan_set), order)
    healing = healing_plan(case, plan_set, suture_tables(), order.today)
    if order.name == "specimen-card.pdf":
        refuse_lost(plan_set)
    made = healing_files(healing, _healing_order(order), order.today)
    if order.name not in made:
        raise MissingError("This sheet follows the operation. Record the operation first.")
    return made[order.name]


def refuse_lost(plan_set: PlanSet | None) -> PlanSet:
    """Return the plans that were followed, if they are kept.

    Raises
    ------
    MissingError
        If they are not.
    """
    if plan_set is None:
        raise MissingError("The plan that was followed is not kept with this case.")
    return plan_set


def _healing_order(order: SheetOrder) -> HealingOrder:
    return HealingOrder(
        case_file=Path(),
        plan_file=None,
        out_folder=Path(),
        paper=order.paper,
        signed=order.signed,
        language=order.language,
    )


def _plan_sheet(case: Case, plan_set: PlanSet, order: SheetOrder) -> bytes:
    if order.name == "plan.pdf":
        films = films_of(plan_set, middle_skin(case))
        return plan_pdf(plan_set, paper=order.paper, films=films, language=order.language)
    if order.name == "template.pdf":
        return template_pdf(
            plan_set, paper=order.paper, signed=order.signed, language=order.language
        )
    draw = template_svg if order.name == "template.svg" else template_dxf
    return draw(plan_set, signed=order.signed, language=order.language)
