"""Every sheet of a case by its name."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from crena.app.healing_job import HealingOrder, healing_files
from crena.app.planning_job import middle_skin
from crena.draw import Paper, plan_pdf, template_dxf, template_pdf, template_svg
from crena.planning.aftercare import healing_plan
from crena.planning.films import films_of
from crena.records import Case, MissingError, PlanSet, Record
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheets(Record):
    """What can be printed of a case."""

    names: tuple[str, ...]
    old: bool  #: the case was changed after its plans were made


def sheets_of(case: Case, plan_set: PlanSet, paper: Paper, today: date, name: str) -> bytes:
    """Return one sheet.

    Raises
    ------
    MissingError
        If it is one that only follows an operation, and none is recorded.
    """
    if name in PLAN_KINDS:
        return _plan_sheet(case, plan_set, paper, name)
    healing = healing_plan(case, plan_set, suture_tables(), today)
    order = HealingOrder(case_file=Path(), plan_file=None, out_folder=Path(), paper=paper)
    made = healing_files(healing, order, today)
    if name not in made:
        raise MissingError("This sheet follows the operation. Record the operation first.")
    return made[name]


def _plan_sheet(case: Case, plan_set: PlanSet, paper: Paper, name: str) -> bytes:
    if name == "plan.pdf":
        return plan_pdf(plan_set, paper=paper, films=films_of(plan_set, middle_skin(case)))
    if name == "template.pdf":
        return template_pdf(plan_set, paper=paper)
    return template_svg(plan_set) if name == "template.svg" else template_dxf(plan_set)
