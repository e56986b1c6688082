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
from crena.app.languages import LanguageCode
from crena.app.server.cases import CHANGED, MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.entering import enter
from crena.app.server.sheets import (
    KINDS,
    OF_WHAT_WAS_DONE,
    SheetOrder,
    Sheets,
    refuse_lost,
    sheets_of,
)
from crena.app.server.standing import (
    are_old,
    followed_choice,
    of_this_plan,
    placed,
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
    SignOff,
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
def get_sheet(
    case_id: str,
    name: str,
    desk: AtDesk,
    paper: Paper = Paper.A4,
    language: LanguageCode = LanguageCode.EN,
) -> Response:
    """Return one sheet; nothing that is still to be cut is printed from plans that are old."""
    dossier = read_case(desk.store, case_id, desk.author(f"sheet {name}"[:60])).dossier
    if name not in KINDS:
        raise MissingError("There is no sheet of that name.")
    if dossier.case.operation is None or name not in OF_WHAT_WAS_DONE:
        plan_set_of(desk, dossier)
        refuse_old(dossier, "print")
    drawn = followed_set_of(desk, case_id, dossier)
    signed = sign_off_of(dossier, drawn) if drawn else None
    order = SheetOrder(
        name=name, paper=paper, today=date.today(), signed=signed, language=language.language
    )
    content = sheets_of(dossier.case, drawn, order)
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
    made, followed = _made(desk, dossier.case, dossier.theatre), followed_choice(dossier.case)
    return chosen_among(made, followed if followed and followed.code else None)


def printed_set_of(desk: Desk, case_id: str, dossier: Dossier) -> PlanSet:
    """Return the plans that sheets are printed from: those that the operation followed, if any.

    Raises
    ------
    MissingError
        If the case was not planned yet, or the plan that was followed is not kept.
    """
    plan_set_of(desk, dossier)
    return refuse_lost(followed_set_of(desk, case_id, dossier))


def sign_off_of(dossier: Dossier, drawn: PlanSet) -> SignOff | None:
    """Return the sign-off if it stands and is of the very plan that is drawn, else nothing."""
    return of_this_plan(standing_sign_off(dossier), (drawn.code, drawn.chosen))


def followed_set_of(desk: Desk, case_id: str, dossier: Dossier) -> PlanSet | None:
    """Return the plans that the operation followed, also where the case has others by now.

    Those of theatre once one was taken; nothing if the record names plans that the case never
    had, or if there are none at all.
    """
    followed = followed_choice(dossier.case) or dossier.case.choice
    stored = _followed_plans(desk, case_id, dossier)
    return chosen_among(_made(desk, dossier.case, stored), followed) if stored else None


def _followed_plans(desk: Desk, case_id: str, dossier: Dossier) -> StoredPlans | None:
    """Return the plans among which the one is that was followed, those of the case if unsaid."""
    followed = followed_choice(dossier.case)
    if followed is None or not followed.code:
        return dossier.plans
    for stored in (dossier.theatre, dossier.plans):
        if stored is not None and stored.code == followed.code:
            return stored
    return plans_once_made(desk.store, case_id, followed.code)


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
    return placed(replace(last, plans=made, case=_unchosen(last.case, made.code)))


def _unchosen(case: Case, code: str) -> Case:
    """Return the case without a choice among other plans than these."""
    keeps = case.choice is not None and case.choice.code == code
    return case if keeps else replace(case, choice=None)
