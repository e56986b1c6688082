"""The road of a case: how far it is at each stop."""

from fastapi import APIRouter

from crena.app.server.cases import MISSING
from crena.app.server.desk import AtDesk
from crena.app.server.plans import plan_set_of
from crena.app.server.standing import (
    are_old,
    drawn_letter,
    has_template,
    standing_bars,
    standing_sign_off,
)
from crena.healing.agenda import drain_lies
from crena.records import Answer, Case, Dossier, PlanSet
from crena.records.numbers import at_least
from crena.records.roads import Road, RoadStop, StopState
from crena.store.revisions import read_case

routes = APIRouter(prefix="/api", tags=["road"])

STOPS = ("disease", "excision", "closure", "marking", "theatre", "healing", "outcomes")


@routes.get("/cases/{case_id}/road", responses=MISSING)
def get_road(case_id: str, desk: AtDesk) -> Road:
    """Say for each stop what is done, what is missing and what is old."""
    dossier = read_case(desk.store, case_id, desk.author("road")).dossier
    return road_of(dossier, plan_set_of(desk, dossier) if dossier.plans else None)


def road_of(dossier: Dossier, plan_set: PlanSet | None) -> Road:
    """Return the road of a case.

    Parameters
    ----------
    dossier : Dossier
        As saved last.
    plan_set : PlanSet or None
        Its plans, if it has any.
    """
    case = dossier.case
    old = are_old(dossier) and case.operation is None
    said: dict[str, tuple[bool, str, dict[str, str]]] = {
        "disease": _disease(case),
        "excision": _excision(plan_set),
        "closure": _closure(dossier),
        "marking": _marking(dossier),
        "theatre": _theatre(case),
        "healing": _healing(case),
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
    if dossier.case.operation is not None:
        return (True, "chosen", plan) if plan["plan"] else (True, "operated_already", {})
    if dossier.signed is not None:
        return False, "sign_off_void", {"plan": dossier.signed.plan}
    if not plan["plan"]:
        return False, "choose_plan", {}
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
    if case.operation.steps and case.operation.counts_agree is Answer.NOT_ASKED:
        return False, "under_way", {"count": str(len(case.operation.steps))}
    return True, "operated", {"day": case.operation.operated_on.isoformat()}


def _healing(case: Case) -> tuple[bool, str, dict[str, str]]:
    """Healing is done once drain and stitches are out; visits go on at the next stop."""
    if case.operation is None:
        return False, "not_started", {}
    if drain_lies(case):
        return False, "drain_lies", {}
    out_on = case.aftercare.stitches_out_on
    if out_on is None:
        return False, "stitches_in", {}
    return True, "stitches_out", {"day": out_on.isoformat()}
