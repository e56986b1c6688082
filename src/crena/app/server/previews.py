"""Plans moved by hand: what comes of it, at once."""

from dataclasses import dataclass, replace
from functools import partial
from time import perf_counter

from fastapi import APIRouter, Response

from crena.app.case_files import case_text, moved_text, plan_text
from crena.app.jobs.runner import JobOrder
from crena.app.jobs.work import planned_own
from crena.app.server.cases import CHANGED
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.grounds import Moveable
from crena.app.server.plans import enter_plans, plan_set_of, with_plans
from crena.app.server.standing import OPERATED, are_old, lie_as_planned
from crena.planning.own import next_letter, refuse_through_disease
from crena.planning.preview import ground_of, preview
from crena.records import (
    ConflictError,
    Dossier,
    Job,
    JobKind,
    Limits,
    MissingError,
    Move,
    Moved,
    Plan,
    Preview,
    Record,
    StoredPlans,
)
from crena.store.revisions import last_number, read_case

routes = APIRouter(prefix="/api/cases/{case_id}", tags=["plans"])


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedAsked(Record):
    """A plan and all that was done to it, from the first move to the last."""

    plan: str  #: its letter
    code: str  #: of the plans it is one of
    moves: tuple[Move, ...] = ()
    limits: Limits | None = None  #: none: those of the case as saved last


@dataclass(frozen=True, slots=True, kw_only=True)
class PreviewAsked(MovedAsked):
    """A plan and all that was done to it, from the first move to the last."""

    full: bool = False  #: the hand rests: take the chance over all errors


@routes.post("/preview", responses=CHANGED)
def get_preview(case_id: str, asked: PreviewAsked, desk: AtDesk, response: Response) -> Preview:
    """Move a plan by its handles and measure it by geometry alone: nothing is stored."""
    began_s = perf_counter()
    known = moveable(desk, case_id)
    plan = plan_asked(known, asked.plan, asked.code)
    limits = asked.limits or known.case.limits
    made = preview(plan, asked.moves, limits, known.ground, full=asked.full)
    response.headers["Server-Timing"] = f"preview;dur={1000 * (perf_counter() - began_s):.1f}"
    return replace(made, code=known.plan_set.code)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnAsked(Record):
    """A moved plan that is to be kept."""

    code: str  #: of the plans it is one of
    moved: Moved


@routes.post("/plans/own", status_code=202, responses=CHANGED)
def keep_own_plan(case_id: str, asked: OwnAsked, desk: AtDesk) -> Job:
    """Begin to close a plan that was moved by hand; it is entered under the next free letter.

    The limits are those of the case as saved; a cut through the disease is refused.
    """
    known = moveable(desk, case_id)
    plan = plan_asked(known, asked.moved.of, asked.code)
    if known.case.operation is not None:
        raise ConflictError(OPERATED)
    if known.old:
        raise ConflictError(
            "What is asked of the plans was changed after they were made. Plan the case again, "
            "then move a plan and keep it."
        )
    next_letter(known.plan_set)
    seen = preview(plan, asked.moved.moves, known.case.limits, known.ground, full=False)
    refuse_through_disease(seen)
    order = JobOrder(
        kind=JobKind.OWN,
        case_id=case_id,
        work=planned_own,
        parts=(case_text(known.case), plan_text(known.plan_set), moved_text(asked.moved)),
        finish=lambda content: enter_plans(desk, case_id, content, partial(_beside, asked.code)),
    )
    return desk.jobs.start(order)


def _beside(code: str, last: Dossier, made: StoredPlans) -> Dossier:
    """Put a plan set with one plan more in the place of the one that it was made of."""
    if last.plans is None or last.plans.code != code:
        raise ConflictError("The case was planned anew meanwhile. Move one of its plans again.")
    return with_plans(last, replace(made, placed_by=last.plans.placed_by))


def moveable(desk: Desk, case_id: str) -> Moveable:
    """Return a case with its plans, ready to be moved; the first reading of it is noted."""
    number = last_number(desk.store, case_id)
    return desk.grounds.case((case_id, number), lambda: _made_ready(desk, case_id, number))


def plan_asked(known: Moveable, letter: str, code: str) -> Plan:
    """Return the plan that is to be moved.

    Raises
    ------
    ConflictError
        If the case was planned anew meanwhile.
    MissingError
        If there is no plan of that letter.
    """
    if code != known.plan_set.code:
        raise ConflictError(
            f"This case was planned anew: its plans are {known.plan_set.code} now. Look at them."
        )
    plan = known.plan(letter)
    if plan is None:
        raise MissingError("There is no plan of that letter.")
    return plan


def _made_ready(desk: Desk, case_id: str, number: int) -> Moveable:
    dossier = read_case(desk.store, case_id, desk.author("to move a plan"), number).dossier
    plan_set, case = plan_set_of(desk, dossier), dossier.case
    assert dossier.plans is not None
    made_for = (dossier.plans.sha256, case.precision, case.seed)
    ground = desk.grounds.ground(
        made_for, lambda: ground_of(plan_set.tract_map, case.precision, case.seed)
    )
    return Moveable(
        case=case,
        plan_set=plan_set,
        scan=dossier.scan,
        ground=ground,
        old=are_old(dossier),
        placed=lie_as_planned(dossier),
    )
