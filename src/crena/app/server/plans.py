"""Plans of a case: asked for, made in a process of their own, read, printed."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Response

from crena.app.case_files import case_text, plans_from_text
from crena.app.jobs.runner import JobOrder
from crena.app.jobs.work import planned
from crena.app.keeping import kept_plans
from crena.app.server.cases import CHANGED, MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.entering import enter
from crena.app.server.sheets import KINDS, OF_WHAT_WAS_DONE, SheetOrder, Sheets, sheets_of
from crena.app.server.standing import (
    are_old,
    refuse_old,
    refuse_operated,
    standing_sign_off,
)
from crena.draw import Paper
from crena.draw.disease import disease_shape
from crena.planning.words import label_of
from crena.records import (
    Case,
    Choice,
    ConflictError,
    Dossier,
    Job,
    JobKind,
    MissingError,
    PlanSet,
    Revision,
    StoredPlans,
)
from crena.records.tracts import DiseaseShape
from crena.store.files import paths_of, stored_file
from crena.store.revisions import plans_once_made, read_case

routes = APIRouter(prefix="/api/cases/{case_id}", tags=["plans"])

Margin = Annotated[float, Query(ge=0, le=50, allow_inf_nan=False)]


@routes.post("/plans", status_code=202, responses=CHANGED)
def ask_for_plans(case_id: str, desk: AtDesk) -> Job:
    """Begin to plan a case as it was saved last; not after its operation."""
    dossier = read_case(desk.store, case_id, desk.author("to plan")).dossier
    refuse_operated(dossier)
    scan = dossier.scan.files if dossier.scan else ()
    order = JobOrder(
        kind=JobKind.PLAN,
        case_id=case_id,
        work=planned,
        parts=(
            case_text(replace(dossier.case, choice=None)),
            paths_of(desk.store, scan),
            date.today(),
        ),
        finish=lambda content: enter_plans(desk, case_id, content, with_plans),
    )
    return desk.jobs.start(order)


@routes.get("/plans", responses=MISSING)
def get_plans(case_id: str, desk: AtDesk) -> PlanSet:
    """Return the plans that were made last."""
    return plan_set_of(desk, read_case(desk.store, case_id, desk.author("plans")).dossier)


@routes.get("/plans/shape", responses=CHANGED)
def get_shape(
    case_id: str, desk: AtDesk, margin_mm: Margin | None = None, code: str | None = None
) -> DiseaseShape:
    """Return the disease that was planned for as outlines; with a code, of those plans alone."""
    dossier = read_case(desk.store, case_id, desk.author("drawing")).dossier
    plans = plan_set_of(desk, dossier)
    if code not in (None, plans.code):
        raise ConflictError("The case was planned anew meanwhile. Load it again.")
    return disease_shape(plans.tract_map, margin_mm)


@routes.get("/sheets", responses=MISSING)
def list_sheets(case_id: str, desk: AtDesk) -> Sheets:
    """Say what can be printed of a case, and why not if its plans are old."""
    dossier = read_case(desk.store, case_id, desk.author("sheets")).dossier
    return Sheets(names=tuple(KINDS), old=are_old(dossier))


@routes.get("/sheets/{name}", responses=CHANGED, response_class=Response)
def get_sheet(case_id: str, name: str, desk: AtDesk, paper: Paper = Paper.A4) -> Response:
    """Return one sheet; nothing that is still to be cut is printed from plans that are old."""
    found = read_case(desk.store, case_id, desk.author(f"sheet {name}"[:60]))
    dossier = found.dossier
    if name not in KINDS:
        raise MissingError("There is no sheet of that name.")
    if dossier.case.operation is None or name not in OF_WHAT_WAS_DONE:
        plan_set_of(desk, dossier)
        refuse_old(dossier, "print")
    order = SheetOrder(
        name=name, paper=paper, today=date.today(), signed=standing_sign_off(dossier)
    )
    content = sheets_of(dossier.case, followed_set_of(desk, found), order)
    return Response(content, media_type=KINDS[name])


def plan_set_of(desk: Desk, dossier: Dossier) -> PlanSet:
    """Return the stored plans with the surgeon's choice among them.

    Raises
    ------
    MissingError
        If the case was not planned yet.
    """
    if dossier.plans is None:
        raise MissingError("This case has no plans yet. Plan it first.")
    return chosen_among(_made(desk, dossier.case, dossier.plans), dossier.case.choice)


def theatre_set_of(desk: Desk, dossier: Dossier) -> PlanSet:
    """Return the plans that were made in theatre, with the one that was taken among them.

    Raises
    ------
    MissingError
        If none were made.
    """
    if dossier.theatre is None:
        raise MissingError("No plans were made in theatre. Measure the hole and plan again.")
    return chosen_among(_made(desk, dossier.case, dossier.theatre), _followed(dossier.case))


def followed_set_of(desk: Desk, found: Revision) -> PlanSet | None:
    """Return the plans that the operation followed, also where the case has others by now.

    Those of theatre once one was taken; nothing if the record names plans that the case never
    had, or if there are none at all.
    """
    dossier, followed = found.dossier, _followed(found.dossier.case)
    if followed is None:
        return plan_set_of(desk, dossier) if dossier.plans else None
    for stored in (dossier.theatre, dossier.plans):
        if stored is not None and stored.code == followed.code:
            return chosen_among(_made(desk, dossier.case, stored), followed)
    before = plans_once_made(desk.store, found.case_id, followed.code)
    return chosen_among(_made(desk, dossier.case, before), followed) if before else None


def _followed(case: Case) -> Choice | None:
    """Return the plan that the operation followed by its record, or nothing."""
    done = case.operation
    return Choice(plan=done.plan, code=done.plan_code) if done and done.plan_code else None


def _made(desk: Desk, case: Case, stored: StoredPlans) -> PlanSet:
    """Return stored plans under the label that their case has now; it may have been corrected.

    Their hash is checked each time, their text is read once.
    """
    content = stored_file(desk.store, stored.sha256)
    made = desk.grounds.plan_set(
        stored.sha256, lambda: plans_from_text(content.decode(), "The plans")
    )
    return replace(made, case_label=label_of(case.patient))


def chosen_among(made: PlanSet, choice: Choice | None) -> PlanSet:
    """Return plans with the chosen one as the one that is drawn."""
    if choice is None or (choice.code and choice.code != made.code):
        return made
    for plan in made.plans:
        if plan.id == choice.plan:
            return replace(made, chosen=plan.id, chosen_by_surgeon=True, excision=plan.excision)
    return made


def enter_plans(
    desk: Desk, case_id: str, content: bytes, put: Callable[[Dossier, StoredPlans], Dossier]
) -> str:
    """Keep a plan set and enter it into a case as it is now, whoever saved meanwhile.

    Parameters
    ----------
    desk : Desk
        Of the server.
    case_id : str
        Whose plans they are.
    content : bytes
        The plan set as JSON.
    put : callable
        Takes the last dossier and the stored plans, gives the dossier with them.

    Returns
    -------
    str
        SHA-256 of the file.

    Raises
    ------
    ConflictError
        If others saved this case all the time, or `put` refuses the case as it is now.
    """
    plans = kept_plans(desk.store, content)
    enter(desk, case_id, lambda last: put(last, plans), "planned")
    return plans.sha256


def with_plans(last: Dossier, made: StoredPlans) -> Dossier:
    """Return a dossier with new plans, and without a choice among others.

    Raises
    ------
    ConflictError
        If the operation was recorded meanwhile.
    """
    refuse_operated(last)
    return replace(last, plans=made, case=_unchosen(last.case, made.code))


def _unchosen(case: Case, code: str) -> Case:
    """Return the case without a choice among other plans than these."""
    keeps = case.choice is not None and case.choice.code == code
    return case if keeps else replace(case, choice=None)
