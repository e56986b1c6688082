"""The road of a case, and what is due today over all cases."""

from datetime import date

from fastapi import APIRouter

from crena.app.server.cases import MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.plans import plan_set_of
from crena.app.server.standing import (
    are_old,
    drawn_letter,
    has_template,
    standing_bars,
    standing_sign_off,
)
from crena.healing.schedule import schedule
from crena.records import Case, Dossier, InputError, PlanSet
from crena.records.numbers import at_least
from crena.records.roads import DueLine, Road, RoadStop, StopState
from crena.store.revisions import case_lines, read_case

routes = APIRouter(prefix="/api", tags=["road"])

STOPS = ("disease", "excision", "closure", "marking", "theatre", "healing", "outcomes")


@routes.get("/cases/{case_id}/road", responses=MISSING)
def get_road(case_id: str, desk: AtDesk) -> Road:
    """Say for each stop what is done, what is missing and what is old."""
    dossier = read_case(desk.store, case_id, desk.author("road")).dossier
    return road_of(dossier, plan_set_of(desk, dossier) if dossier.plans else None)


@routes.get("/due")
def get_due(desk: AtDesk) -> tuple[DueLine, ...]:
    """List what the schedules of all cases have for today."""
    operated = [line for line in case_lines(desk.store) if line.operated_on]
    return tuple(due for line in operated for due in _due(desk, line.case_id))


def road_of(dossier: Dossier, plan_set: PlanSet | None) -> Road:
    """Return the road of a case.

    Parameters
    ----------
    dossier : Dossier
        As saved last.
    plan_set : PlanSet or None
        Its plans, if it has any.
    """
    case, old = dossier.case, are_old(dossier)
    said: dict[str, tuple[bool, str, dict[str, str]]] = {
        "disease": _disease(case),
        "excision": _excision(plan_set),
        "closure": _closure(dossier),
        "marking": _marking(dossier),
        "theatre": _theatre(case),
        "healing": (False, "not_started", {}),
        "outcomes": (False, "not_started", {}),
    }
    first = next(name for name in STOPS if not said[name][0])
    return Road(stops=tuple(_stop(name, said[name], first, old=old) for name in STOPS))


def _stop(name: str, said: tuple[bool, str, dict[str, str]], first: str, *, old: bool) -> RoadStop:
    done, code, figures = said
    state = StopState.DONE if done else StopState.HERE if name == first else StopState.LATER
    if old and name in ("excision", "closure", "marking"):
        state = StopState.OLD
    return RoadStop(name=name, state=state, code=code, figures=figures)


def _disease(case: Case) -> tuple[bool, str, dict[str, str]]:
    tracts = len(case.clicks.tracts) if case.clicks else len(case.probings)
    if not tracts and not case.pits:
        return False, "nothing_entered", {}
    return True, "tracts", {"count": str(tracts)}


def _excision(plan_set: PlanSet | None) -> tuple[bool, str, dict[str, str]]:
    if plan_set is None:
        return False, "not_planned", {}
    return True, "clear_by", {"mm": str(at_least(plan_set.excision.least_clearance_mm))}


def _closure(dossier: Dossier) -> tuple[bool, str, dict[str, str]]:
    """Say how far the surgeon's word is: chosen, signed off, void."""
    if dossier.plans is None:
        return False, "not_planned", {}
    plan = {"plan": drawn_letter(dossier)}
    if standing_sign_off(dossier):
        return True, "signed", plan
    if dossier.signed is not None:
        return False, "sign_off_void", {"plan": dossier.signed.plan}
    if not plan["plan"]:
        return False, "choose_plan", {}
    if dossier.case.operation is not None:
        return True, "chosen", plan
    return False, "sign_off", plan


def _marking(dossier: Dossier) -> tuple[bool, str, dict[str, str]]:
    """Say ready only for a plan that is signed off and a print that was measured."""
    if dossier.case.operation is not None:
        return True, "operated_already", {}
    if standing_bars(dossier):
        return True, "ready", {}
    if standing_sign_off(dossier) is None:
        return False, "not_signed", {}
    return False, "measure" if has_template(dossier) else "not_printed", {}


def _theatre(case: Case) -> tuple[bool, str, dict[str, str]]:
    if case.operation is None:
        return False, "not_started", {}
    return True, "operated", {"day": case.operation.operated_on.isoformat()}


def _due(desk: Desk, case_id: str) -> list[DueLine]:
    case = read_case(desk.store, case_id, desk.author("due today")).dossier.case
    return [DueLine(case_id=case_id, label=case.patient.label, what=what) for what in _tasks(case)]


def _tasks(case: Case) -> list[str]:
    """Return what is due today; a schedule that cannot be made is itself due to be mended."""
    if case.operation is None:
        return []
    laid = case.operation.drains != () and case.aftercare.drain_out_on is None
    try:
        dates = schedule(case.operation.operated_on, case.aftercare.schedule, drain_laid=laid)
    except InputError as refusal:
        return [str(refusal)]
    return [entry.task for entry in dates.entries if entry.on == date.today()]
