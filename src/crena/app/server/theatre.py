"""Theatre: what it begins with, new plans for the hole as it really is, and their pull."""

import hashlib
from dataclasses import replace
from datetime import date
from functools import partial

from fastapi import APIRouter

import crena
from crena.app.case_files import case_text, plan_text
from crena.app.jobs.runner import JobOrder
from crena.app.jobs.work import figures_added, replanned
from crena.app.planning_job import theatre_hash_of
from crena.app.server.cases import CHANGED, MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.plans import (
    chosen_among,
    enter_plans,
    plan_set_of,
    printed_set_of,
    theatre_set_of,
)
from crena.planning.aftercare import healing_plan
from crena.planning.theatre import NOT_MEASURED, plan_that_was_cut
from crena.planning.theatre_start import TheatreStart, free_name, theatre_start
from crena.planning.wounds import corners_found, wound_of
from crena.records import (
    Case,
    Choice,
    ConflictError,
    Dossier,
    InputError,
    Job,
    JobKind,
    Plan,
    PlanSet,
    StoredPlans,
)
from crena.store.revisions import read_case
from crena.store.tables import suture_tables

routes = APIRouter(prefix="/api/cases/{case_id}/theatre", tags=["theatre"])


@routes.get("", responses=MISSING)
def get_start(case_id: str, desk: AtDesk) -> TheatreStart:
    """Return what theatre begins with: the hole as planned, layers and steps as suggestions."""
    dossier = read_case(desk.store, case_id, desk.author("theatre")).dossier
    planned = _begun_with(desk, case_id, dossier)
    case = _as_cut(dossier, planned)
    cut, tables = plan_that_was_cut(case, planned), suture_tables()
    before = replace(case, operation=None)
    as_cut = chosen_among(planned, Choice(plan=cut.id, code=planned.code))
    healing = healing_plan(before, as_cut, tables, date.today())
    layers = case.aftercare.layers or tables.layers
    start = theatre_start(planned, cut, healing, layers)
    branches = case.operation.branches if case.operation else ()
    free = free_name(planned.tract_map, [branch.tract for branch in branches])
    old = _are_old(dossier, case, planned)
    return replace(_with_hole(start, case, cut), branch=free, old=old)


@routes.post("/plans", status_code=202, responses=MISSING)
def ask_for_plans(case_id: str, desk: AtDesk) -> Job:
    """Begin to plan for the hole and the branches that the case was saved with."""
    dossier = read_case(desk.store, case_id, desk.author("to plan in theatre")).dossier
    planned = _begun_with(desk, case_id, dossier)
    case = _as_cut(dossier, planned)
    _refuse_unmeasured(case, planned)
    cut = Choice(plan=plan_that_was_cut(case, planned).id, code=planned.code)
    order = JobOrder(
        kind=JobKind.THEATRE,
        case_id=case_id,
        work=replanned,
        parts=(case_text(case), plan_text(planned), date.today()),
        finish=lambda content: enter_plans(desk, case_id, content, partial(_with_new_plans, cut)),
    )
    return desk.jobs.start(order)


@routes.get("/plans", responses=MISSING)
def get_plans(case_id: str, desk: AtDesk) -> PlanSet:
    """Return the plans that were made in theatre last."""
    return theatre_set_of(desk, read_case(desk.store, case_id, desk.author("theatre")).dossier)


@routes.post("/figures", status_code=202, responses=CHANGED)
def ask_for_figures(case_id: str, desk: AtDesk) -> Job:
    """Begin to compute pull and empty room of the plans that were made in theatre.

    It may be asked for again however it ended; one that is under way is not begun twice.
    """
    dossier = read_case(desk.store, case_id, desk.author("to compute the pull")).dossier
    made = theatre_set_of(desk, dossier)
    order = JobOrder(
        kind=JobKind.THEATRE,
        case_id=case_id,
        work=figures_added,
        parts=(case_text(dossier.case), plan_text(made)),
        finish=lambda content: enter_plans(desk, case_id, content, _with_figures),
        job_id=figures_job_of(dossier),
    )
    return desk.jobs.start(order)


@routes.get("/figures", responses=MISSING)
def get_figures(case_id: str, desk: AtDesk) -> Job | None:
    """Return the job that computes the pull of the plans made in theatre, or how it ended.

    Nothing if it was not asked for yet, or is there already.
    """
    dossier = read_case(desk.store, case_id, desk.author("pull in theatre")).dossier
    return desk.jobs.job(figures_job_of(dossier)) if dossier.theatre else None


def figures_job_of(dossier: Dossier) -> str:
    """Return the name of the job that computes the pull of exactly these plans."""
    made = dossier.theatre.sha256 if dossier.theatre else ""
    return hashlib.sha256(f"{made} pull {crena.__version__}".encode()).hexdigest()[:16]


def _refuse_unmeasured(case: Case, planned: PlanSet) -> None:
    """Refuse at once, beside the entry, what could not be planned."""
    cut = plan_that_was_cut(case, planned).closure
    corners = corners_found(case.operation, cut) if case.operation else ()
    if not corners:
        raise InputError(NOT_MEASURED)
    wound_of(corners, cut)


def _with_hole(start: TheatreStart, case: Case, cut: Plan) -> TheatreStart:
    """Return the start with the corners of the hole as found, or why there can be none."""
    if case.operation is None:
        return start
    try:
        return replace(start, hole=corners_found(case.operation, cut.closure))
    except InputError as refused:
        return replace(start, hole_refused=str(refused))


def _begun_with(desk: Desk, case_id: str, dossier: Dossier) -> PlanSet:
    """Return the plans that the operation began with: those of the case, or others it once had.

    Raises
    ------
    MissingError
        If the case was not planned yet, or the plan that was followed is not kept.
    """
    done = dossier.case.operation
    known = {"", *(each.code for each in (dossier.plans, dossier.theatre) if each)}
    if done is None or done.plan_code in known:
        return plan_set_of(desk, dossier)
    return printed_set_of(desk, case_id, dossier)


def _as_cut(dossier: Dossier, planned: PlanSet) -> Case:
    """Return the case with the plan that was cut on its record, also once another was taken."""
    case, made = dossier.case, dossier.theatre
    done = case.operation
    if done is None or made is None or done.plan_code != made.code or not made.cut:
        return case
    return replace(case, operation=replace(done, plan=made.cut, plan_code=planned.code))


def _are_old(dossier: Dossier, case: Case, planned: PlanSet) -> bool:
    made = dossier.theatre
    now = theatre_hash_of(case, planned)
    return made is not None and made.inputs_hash != now


def _with_new_plans(cut: Choice, last: Dossier, made: StoredPlans) -> Dossier:
    """Enter new plans; where one of earlier ones was taken, the plan that was cut counts again."""
    made = replace(made, cut=cut.plan)
    done, before = last.case.operation, last.theatre
    if done is None or before is None or before.code == made.code:
        return replace(last, theatre=made)
    if done.plan_code != before.code:
        return replace(last, theatre=made)
    untaken = replace(done, plan=cut.plan, plan_code=cut.code)
    return replace(last, theatre=made, case=replace(last.case, operation=untaken))


def _with_figures(last: Dossier, made: StoredPlans) -> Dossier:
    """Put the figures to the plans they are of."""
    _refuse_other_plans(last.theatre, made)
    cut = last.theatre.cut if last.theatre else ""
    return replace(last, theatre=replace(made, cut=cut))


def _refuse_other_plans(now: StoredPlans | None, made: StoredPlans) -> None:
    if now is None or now.code != made.code:
        raise ConflictError("Other plans were made meanwhile. Their pull is computed anew.")
