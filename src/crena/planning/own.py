"""A plan that the surgeon moved by hand, closed like the others and set beside them."""

import hashlib
from dataclasses import replace

from crena.planning.filling import with_filling
from crena.planning.order import change_of, order_of
from crena.planning.preview import ground_of, preview
from crena.planning.pull import Simulation, with_pull
from crena.planning.sutured import sutured_plans
from crena.records import Case, InputError, LimitCheck, Moved, Plan, PlanSet, Preview
from crena.records.progress import Progress, part_of

LETTERS = "ABCDEFGH"
"""Letters of plans, the surgeon's own among them; more could not be told apart."""


def with_own_plan(
    plan_set: PlanSet, moved: Moved, case: Case, simulation: Simulation, progress: Progress
) -> PlanSet:
    """Return plans with one more, moved by hand, under the next free letter.

    Parameters
    ----------
    plan_set : PlanSet
        As planned from this case.
    moved : Moved
        Which plan was moved, and how.
    case : Case
        Limits, precision, seed, skin.
    simulation : Simulation
        Guessed skins, the same for all plans: their pull is compared skin by skin anew.
    progress : callable
        Told what is being done and the share that is done; may raise to cancel.

    Returns
    -------
    PlanSet
        With another code: paper of the plans before it is void.

    Raises
    ------
    InputError
        If the cut goes through the disease, or what was moved cannot be drawn.
    """
    progress("Measuring the moved plan", 0.0)
    own = _drawn(plan_set, moved, case)
    (filled,) = with_filling((own,), plan_set.tract_map)
    pulled, totals_n = with_pull((*plan_set.plans, filled), simulation, part_of(progress, 0.1, 0.9))
    progress("Closing the moved plan", 0.9)
    plans = sutured_plans(pulled, case, plan_set.tract_map, simulation)
    letters = tuple(plan.id for plan in plans)
    planned = [n for n, plan in enumerate(plans) if plan.moved is None]
    order = order_of(tuple(letters[n] for n in planned), totals_n[planned])
    return replace(
        plan_set,
        code=_code(plan_set, moved),
        plans=plans,
        order=f"{order} Plan {own.id} is your own.",
        would_change=change_of(letters, totals_n, simulation.skins.ensemble),
        cautions=(*plan_set.cautions, *_cautions(own)),
    )


def refuse_through_disease(seen: Preview) -> None:
    """Refuse to keep a cut that leaves disease behind: no figure makes up for that."""
    if seen.cut_through:
        raise InputError(
            f"The cut goes through {', '.join(seen.cut_through)}. Move its walls off the disease, "
            "or fit it to the drawn margin, then keep it."
        )


def next_letter(plan_set: PlanSet) -> str:
    """Return the first letter that no plan has.

    Raises
    ------
    InputError
        If all of them are taken.
    """
    taken = {plan.id for plan in plan_set.plans}
    free = [letter for letter in LETTERS if letter not in taken]
    if not free:
        raise InputError(
            f"There are {len(taken)} plans already. Plan the case again to begin with its own."
        )
    return free[0]


def _drawn(plan_set: PlanSet, moved: Moved, case: Case) -> Plan:
    before = next(plan for plan in plan_set.plans if plan.id == moved.of)
    ground = ground_of(plan_set.tract_map, case.precision, case.seed)
    seen = preview(before, moved.moves, case.limits, ground, full=True)
    refuse_through_disease(seen)
    return Plan(
        id=next_letter(plan_set),
        best_at=f"Your own, moved from plan {moved.of}.",
        price=_price(seen.limits),
        excision=seen.excision,
        closure=seen.closure,
        scar=seen.scar,
        shape=seen.shape,
        limits=seen.limits,
        moved=moved,
    )


def _price(limits: tuple[LimitCheck, ...]) -> str:
    names = [check.limit for check in limits if check.hard and not check.kept]
    return f"Its price: breaks {len(names)} of your limits: {'; '.join(names)}." if names else ""


def _cautions(own: Plan) -> list[str]:
    """Say of every limit that the surgeon's own plan breaks, by how much."""
    return [
        f"Plan {own.id}, moved by hand, breaks a limit: {c.limit} is {_said(c, c.reached)}, "
        f"{_said(c, c.asked)} were asked."
        for c in own.limits
        if not c.kept
    ]


def _said(check: LimitCheck, value: float) -> str:
    return f"{value:.1f} {check.unit}" if check.unit else f"{value:.2f}"


def _code(plan_set: PlanSet, moved: Moved) -> str:
    """Return a code that the plans had never before."""
    named = f"{plan_set.inputs_hash} {plan_set.code} {moved}"
    return f"C{hashlib.sha256(named.encode()).hexdigest()[:6].upper()}"
