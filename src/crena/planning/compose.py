"""From a tract map to plans: the one recipe of this room."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from crena.flaps import midline
from crena.flaps.scars import measure_scar
from crena.geometry.lenses import smallest_fusiform
from crena.geometry.unrolling import unroll_mm
from crena.healing.timing import timing
from crena.planning import advancement_search, hole_search, rhombic_search
from crena.planning.candidates import Candidates
from crena.planning.choice import as_good_as_any, behind_all, best_at
from crena.planning.filling import with_filling
from crena.planning.front import PULL_NAMES, by_pull, rounded
from crena.planning.measuring import drawing_of, final_measures, measured_plan
from crena.planning.order import change_of, order_of
from crena.planning.pull import Simulation, coarse_pulls_n, with_pull
from crena.planning.readiness import refuse_narrow_margin
from crena.planning.refusals import all_kept, gives, merged, nearest, refusal
from crena.planning.shortlist import Member, Pulls, shortlist
from crena.planning.sutured import sutured_plans
from crena.planning.words import (
    ASSUMPTIONS,
    CAUTIONS,
    allergies_of,
    cautions_of,
    label_of,
    sentence_of,
)
from crena.planning.wounds import Wound
from crena.records import (
    PLAN_SCHEMA,
    Case,
    Choice,
    Comparator,
    InputError,
    Limits,
    NoPlanError,
    NotNowError,
    Plan,
    PlanSet,
    Point2,
    Record,
    Refusal,
    TractMap,
)
from crena.records.progress import Progress, part_of, silent
from crena.sinus.classify import classify
from crena.sinus.excise import Field, excise, field_of
from crena.sinus.footprint import footprint

Floats = NDArray[np.float64]

LETTERS = "ABCDE"

FUSIFORM_ASPECT = 3.0
"""Length over width of the fusiform shown for comparison."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Provenance(Record):
    """Where a plan comes from: made at the edge, printed on every page."""

    inputs_hash: str
    code: str
    versions: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Work(Record):
    """What is to be planned: the case, where its disease lies, and a hole if one is cut."""

    case: Case
    tract_map: TractMap
    today: date
    wound: Wound | None = None
    simulation: Simulation | None = None


def plan_case(
    case: Case,
    tract_map: TractMap,
    provenance: Provenance,
    *,
    today: date,
    simulation: Simulation | None = None,
    progress: Progress = silent,
) -> PlanSet:
    """Return three to five plans for one case, or say why there is none.

    Parameters
    ----------
    case : Case
        Findings, limits, precision, seed.
    tract_map : TractMap
        Where the disease lies.
    provenance : Provenance
        Hash, code and versions to be printed.
    today : date
        For the timing gate.
    simulation : Simulation, optional
        Guessed skins on which the pull of the plans is computed, and who computes it; none:
        no pull.
    progress : callable
        Told what is being done and the share that is done; may raise to cancel.

    Raises
    ------
    NotNowError
        While an acute sign is present or was not asked.
    NoPlanError
        If no closure keeps all limits; names those that bind and by how much.
    """
    refuse_narrow_margin(case.limits)
    gate = timing(case.findings, today, case.limits.recheck_after_day)
    if not gate.ready:
        raise NotNowError(f"{gate.reason} {gate.background}")
    work = Work(case=case, tract_map=tract_map, today=today, simulation=simulation)
    return plans_of(work, provenance, progress)


def plans_of(work: Work, provenance: Provenance, progress: Progress = silent) -> PlanSet:
    """Return plans for a piece of work, whatever the time of the disease.

    Raises
    ------
    NoPlanError
        If no closure keeps all limits; names those that bind and by how much.
    """
    case, tract_map, wound = work.case, work.tract_map, work.wound
    today, simulation = work.today, work.simulation
    progress("Measuring the disease", 0.0)
    field = field_of(tract_map, case.precision)
    verge = _verge(tract_map, field)
    progress("Searching closures", 0.1)
    families = search(field, case.limits, verge, wound)
    chosen = shortlist(families, case.limits, _pulls(case.limits, simulation, progress))
    progress("Measuring the plans", 0.5)
    members = _planned_first(chosen.members, families, case.limits)
    pairs = _kept_plans(members, field, case, verge)
    if not pairs:
        raise NoPlanError(_why_none(field, case.limits, verge, wound))
    values = _values(pairs)
    drafts = tuple(plan for _, plan in pairs)
    if wound is None:
        drafts = with_filling(drafts, tract_map)
    drafts, totals_n = _closed(drafts, case, tract_map, simulation, progress)
    plans = _worded(drafts, values, totals_n)
    progress("Drawing comparators", 0.9)
    drawn = _drawn(plans, case.choice, provenance.code)
    return PlanSet(
        schema=PLAN_SCHEMA,
        case_label=label_of(case.patient),
        allergies=allergies_of(case.findings),
        code=provenance.code,
        made_on=today.isoformat(),
        inputs_hash=provenance.inputs_hash,
        seed=case.seed,
        versions=provenance.versions,
        tract_map=tract_map,
        classification=classify(tract_map.pits, case.findings.recurrent),
        limits=case.limits,
        excision=drawn.excision,
        plans=plans,
        chosen=drawn.id,
        chosen_by_surgeon=case.choice is not None,
        order=order_of(tuple(plan.id for plan in plans), totals_n),
        would_change=_would_change(plans, totals_n, simulation),
        candidates=sum(len(f) for f in families),
        comparators=_comparators(field, case, verge, wound),
        refused=_refused(families, case.limits, chosen.unbalanced, pairs),
        cautions=(*CAUTIONS, *cautions_of(case, tract_map, plans, today)),
        assumptions=ASSUMPTIONS,
    )


def with_figures(
    made: PlanSet, case: Case, simulation: Simulation, progress: Progress = silent
) -> PlanSet:
    """Return plans that were made at once with what takes longer: empty room and pull.

    Letters and words stay, so that a plan that was looked at is still the same plan.
    """
    drafts = with_filling(made.plans, made.tract_map)
    plans, totals_n = _closed(drafts, case, made.tract_map, simulation, progress)
    return replace(
        made,
        plans=plans,
        order=order_of(tuple(plan.id for plan in plans), totals_n),
        would_change=_would_change(plans, totals_n, simulation),
    )


def search(
    field: Field, limits: Limits, verge: Point2, wound: Wound | None = None
) -> tuple[Candidates, ...]:
    """Return every closure on the grid that holds the disease with its margin.

    Where a hole is cut already, every closure holds that too, and those come first that need no
    further cut round it.
    """
    hull = _hull(field, limits, wound)
    return (
        *(hole_search.hole_candidates(wound, hull, verge) if wound else ()),
        *rhombic_search.rhombic_candidates(hull, limits, verge),
        advancement_search.advancement_candidates(hull, limits, verge),
    )


def _hull(field: Field, limits: Limits, wound: Wound | None) -> Floats:
    margin = footprint(field.parts, field.skin, limits.drawn_margin_mm, limits.wall_angle_deg)
    return margin if wound is None else _holding(margin, wound)


def _holding(margin: Floats, wound: Wound) -> Floats:
    """Add what is cut already to what every outline must hold."""
    return np.concatenate([margin, wound.holds_mm])


def _verge(tract_map: TractMap, field: Field) -> Point2:
    s, y = unroll_mm(field.skin, [tract_map.anal_verge_mm[:2]])[0]
    return float(s), float(y)


def _planned_first(
    members: Sequence[Member], families: tuple[Candidates, ...], limits: Limits
) -> tuple[Member, ...]:
    """Put the closure that was planned first, where a hole is cut and can still take it."""
    first = families[0]
    if first.family not in hole_search.PLANNED or not all_kept(first, limits).any():
        return tuple(members)
    rest = [(f, i) for f, i in members if not hole_search.same_flap((first, 0), (f, i))]
    return ((first, 0), *rest)[: len(LETTERS)]


def _kept_plans(
    chosen: Sequence[Member], field: Field, case: Case, verge: Point2
) -> list[tuple[Member, Plan]]:
    """Measure the chosen candidates in full, and keep those that still keep every limit."""
    pairs = [(member, measured_plan(member, field, case, verge)) for member in chosen]
    return [(m, p) for m, p in pairs if all(c.kept or not c.hard for c in p.limits)]


def _values(pairs: Sequence[tuple[Member, Plan]]) -> Floats:
    """Return the rounded objectives of plans as they are really drawn."""
    measures = np.array([final_measures(member, plan) for member, plan in pairs])
    return rounded(measures, np.array([family.published for (family, _), _ in pairs]))


def _pulls(limits: Limits, simulation: Simulation | None, progress: Progress) -> Pulls | None:
    """Return what computes the pull of candidates on a coarse mesh, if anything does."""
    if simulation is None:
        return None

    def pulls_n(members: Sequence[Member]) -> Floats:
        closures = [drawing_of(each, limits.wall_angle_deg).closure for each in members]
        return coarse_pulls_n(closures, simulation, part_of(progress, 0.2, 0.5))

    return pulls_n


def _closed(
    plans: tuple[Plan, ...],
    case: Case,
    tract_map: TractMap,
    simulation: Simulation | None,
    progress: Progress,
) -> tuple[tuple[Plan, ...], Floats]:
    """Return the plans with what the mechanics says of them, and their pull on each skin."""
    if simulation is None:
        return plans, np.empty((len(plans), 0))
    pulled, totals_n = with_pull(plans, simulation, part_of(progress, 0.6, 0.9))
    return sutured_plans(pulled, case, tract_map, simulation), totals_n


def _worded(plans: tuple[Plan, ...], values: Floats, totals_n: Floats) -> tuple[Plan, ...]:
    """Give the plans their letters and say what each is best at and what it costs."""
    known = np.isfinite(totals_n).all(axis=0)
    names: dict[str, str] = {}
    if known.any():
        relative = totals_n[:, known] / totals_n[:, known].min(axis=0)
        values, names = (
            by_pull(values, np.arange(len(plans)), np.median(relative, axis=1)),
            PULL_NAMES,
        )
    ranks = zip(best_at(values), as_good_as_any(values), behind_all(values), strict=True)
    words = [sentence_of(*([names.get(n, n) for n in each] for each in rank)) for rank in ranks]
    return tuple(
        replace(plan, id=letter, best_at=best, price=price)
        for letter, plan, (best, price) in zip(LETTERS, plans, words, strict=False)
    )


def _would_change(plans: tuple[Plan, ...], totals_n: Floats, simulation: Simulation | None) -> str:
    skins = simulation.skins.ensemble if simulation else ()
    return change_of(tuple(plan.id for plan in plans), totals_n, skins)


def _drawn(plans: tuple[Plan, ...], choice: Choice | None, code: str) -> Plan:
    """Return the plan that the template shows: the surgeon's, or the first."""
    if choice is None:
        return plans[0]
    if choice.code and choice.code != code:
        raise InputError(
            f"Plan {choice.plan} was chosen among plans {choice.code}; these are plans {code}. "
            "Look at them and choose again."
        )
    for plan in plans:
        if plan.id == choice.plan.upper():
            return plan
    ids = ", ".join(plan.id for plan in plans)
    raise InputError(
        f"Plan “{choice.plan}” was chosen, but the plans are {ids}. Choose one of these."
    )


def _comparators(
    field: Field, case: Case, verge: Point2, wound: Wound | None
) -> tuple[Comparator, ...]:
    hull = _hull(field, case.limits, wound)
    both = np.concatenate([hull, hull * [-1, 1]])
    spindle = smallest_fusiform(
        both, np.zeros(len(both)), aspect_ratio=FUSIFORM_ASPECT, tilt_deg=0.0
    )
    outline = midline.outline_of(spindle, case.limits.wall_angle_deg)
    excision = excise(outline, field, case.limits, np.random.default_rng(case.seed))
    return tuple(
        Comparator(
            excision=excision,
            closure=closure,
            scar=measure_scar(closure, verge, case.precision.marking_sd_mm),
            warning=closure.warnings[0],
        )
        for closure in (midline.close(spindle), midline.leave_open(spindle))
    )


def _refused(
    families: tuple[Candidates, ...],
    limits: Limits,
    unbalanced: frozenset[str],
    pairs: Sequence[tuple[Member, Plan]],
) -> tuple[Refusal, ...]:
    shown, values = {family.family for (family, _), _ in pairs}, _values(pairs)
    found = [
        refusal(family, limits, values, lost=family.family in unbalanced)
        for family in families
        if family.family not in shown
    ]
    closed = Refusal(
        kind="midline fusiform",
        reason="scar on the midline; obsolete by the German guideline of 2020.",
        tried=1,
        kept=0,
    )
    return (*found, closed)


def _why_none(field: Field, case_limits: Limits, verge: Point2, wound: Wound | None) -> str:
    """Search again without the limits that shape the outline, and say what binds."""
    loose = replace(case_limits, lower_end_midline_mm=0.0, anal_verge_mm=0.0)
    everything = merged(list(search(field, loose, verge, wound)))
    alone = gives(everything, case_limits)
    if wound is None:
        alone += _smaller_margin(field, case_limits, verge)
    if alone:
        return f"No plan keeps all limits. {_sentence('; or '.join(alone))}"
    together = nearest(everything, case_limits)
    if not together:
        whence = f" with a flap from the {case_limits.flap_from}" if case_limits.flap_from else ""
        return (
            f"No closure{whence} can be drawn round this disease with its margin. Check where "
            "pits and tracts lie, ask for the other side, or draw a smaller margin."
        )
    return (
        "No plan keeps all limits, and no single one is enough to give. "
        f"{_sentence('; and '.join(together))}"
    )


def _smaller_margin(field: Field, limits: Limits, verge: Point2) -> list[str]:
    """Return the largest whole margin with which a plan keeps all other limits, as a phrase."""
    asked = limits.drawn_margin_mm
    for margin_mm in range(int(np.ceil(asked)) - 1, -1, -1):
        narrow = replace(limits, drawn_margin_mm=float(margin_mm))
        if any(all_kept(family, narrow).any() for family in search(field, narrow, verge)):
            return [f"drawn margin: {asked:g} mm asked, {margin_mm} mm can be drawn"]
    return []


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."
