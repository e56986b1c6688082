"""From a tract map to plans: the one recipe of this room."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from crena.flaps import midline
from crena.flaps.scars import measure_scar
from crena.geometry.lenses import smallest_fusiform
from crena.geometry.unrolling import unroll_mm
from crena.healing import timing
from crena.mechanics.material import Skin
from crena.planning import advancement_search, rhombic_search
from crena.planning.candidates import Candidates, in_order, picked
from crena.planning.choice import as_good_as_any, behind_all, best_at, distinct
from crena.planning.front import front, objectives, rounded
from crena.planning.measuring import final_measures, measured_plan
from crena.planning.pull import with_pull
from crena.planning.refusals import all_kept, gives, merged, nearest, refusal
from crena.planning.words import (
    ASSUMPTIONS,
    CAUTIONS,
    allergies_of,
    cautions_of,
    label_of,
    order_of,
    sentence_of,
)
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
from crena.sinus.classify import classify
from crena.sinus.excise import Field, excise, field_of
from crena.sinus.footprint import footprint

Floats = NDArray[np.float64]
Progress = Callable[[str, float], None]

LETTERS = "ABCDE"

FEWEST_PLANS = 3
"""When fewer families stand on the front, twins from the other side or hinge are shown too."""

FUSIFORM_ASPECT = 3.0
"""Length over width of the fusiform shown for comparison."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Provenance(Record):
    """Where a plan comes from: made at the edge, printed on every page."""

    inputs_hash: str
    code: str
    versions: dict[str, str]


def plan_case(
    case: Case,
    tract_map: TractMap,
    provenance: Provenance,
    *,
    today: date,
    skins: tuple[Skin, ...] = (),
    progress: Progress = lambda step, share: None,
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
    skins : tuple of Skin
        Guessed skins on which the pull of the plans is computed; none: no pull.
    progress : callable
        Told what is being done and the share that is done; may raise to cancel.

    Raises
    ------
    NotNowError
        While an acute sign is present or was not asked.
    NoPlanError
        If no closure keeps all limits; names those that bind and by how much.
    """
    _refuse_narrow_margin(case.limits)
    gate = timing(case.findings, today, case.limits.recheck_after_day)
    if not gate.ready:
        raise NotNowError(f"{gate.reason} {gate.background}")
    progress("Measuring the disease", 0.0)
    field = field_of(tract_map, case.precision)
    verge = _verge(tract_map, field)
    progress("Searching closures", 0.1)
    families = search(field, case.limits, verge)
    progress("Measuring the plans", 0.5)
    pairs = _kept_plans(_chosen(families, case.limits), field, case, verge)
    if not pairs:
        raise NoPlanError(_why_none(field, case.limits, verge))
    values = _values(pairs)
    plans = _worded([plan for _, plan in pairs], values)
    plans = with_pull(plans, skins, lambda step, share: progress(step, 0.6 + 0.3 * share))
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
        order=order_of(len(plans)),
        candidates=sum(len(f) for f in families),
        comparators=_comparators(field, case, verge),
        refused=_refused(families, case.limits, {f.family for (f, _), _ in pairs}, values),
        cautions=(*CAUTIONS, *cautions_of(case, tract_map, plans, today)),
        assumptions=ASSUMPTIONS,
    )


def _refuse_narrow_margin(limits: Limits) -> None:
    if limits.drawn_margin_mm < limits.least_clearance_mm:
        raise InputError(
            f"The drawn margin, {limits.drawn_margin_mm:g} mm, is smaller than the clearance asked "
            f"for, {limits.least_clearance_mm:g} mm. Draw at least as much as you ask for."
        )


def search(field: Field, limits: Limits, verge: Point2) -> tuple[Candidates, ...]:
    """Return every closure on the grid that holds the disease with its margin."""
    hull = _hull(field, limits)
    return (
        *rhombic_search.rhombic_candidates(hull, limits, verge),
        advancement_search.advancement_candidates(hull, limits, verge),
    )


def _hull(field: Field, limits: Limits) -> Floats:
    return footprint(field.parts, field.skin, limits.drawn_margin_mm, limits.wall_angle_deg)


def _verge(tract_map: TractMap, field: Field) -> Point2:
    s, y = unroll_mm(field.skin, [tract_map.anal_verge_mm[:2]])[0]
    return float(s), float(y)


def _chosen(families: tuple[Candidates, ...], limits: Limits) -> list[tuple[Candidates, int]]:
    """Return distinct members of the rounded front, as family and index."""
    kept = [(f, np.flatnonzero(all_kept(f, limits))) for f in families]
    kept = [(f, k[in_order(picked(f, k))]) for f, k in kept]
    members = [(f, int(i)) for f, k in kept for i in k]
    if not members:
        return []
    values = np.concatenate([objectives(picked(f, k)) for f, k in kept if len(k)])
    best = front(values)
    shown = best[distinct(values[best], [members[b][0].family for b in best])]
    if len(shown) < FEWEST_PLANS:
        others = distinct(values, [_kind(*member) for member in members])
        more = [i for i in others if i not in shown]
        shown = np.concatenate([shown, more[: FEWEST_PLANS - len(shown)]]).astype(np.int64)
    return [members[i] for i in shown]


def _kind(family: Candidates, index: int) -> str:
    """Name a candidate's family, the side that gives the flap, and where it hinges."""
    return f"{family.family} {family.donor_sign[index]} {family.rows[index, 7:8]}"


def _kept_plans(
    chosen: list[tuple[Candidates, int]], field: Field, case: Case, verge: Point2
) -> list[tuple[tuple[Candidates, int], Plan]]:
    """Measure the chosen candidates in full, and keep those that still keep every limit."""
    pairs = [(member, measured_plan(member, field, case, verge)) for member in chosen]
    return [(m, p) for m, p in pairs if all(c.kept or not c.hard for c in p.limits)]


def _values(pairs: list[tuple[tuple[Candidates, int], Plan]]) -> Floats:
    """Return the rounded objectives of plans as they are really drawn."""
    measures = np.array([final_measures(member, plan) for member, plan in pairs])
    return rounded(measures, np.array([family.published for (family, _), _ in pairs]))


def _worded(plans: list[Plan], values: Floats) -> tuple[Plan, ...]:
    ranks = zip(best_at(values), as_good_as_any(values), behind_all(values), strict=True)
    words = [sentence_of(*rank) for rank in ranks]
    return tuple(
        replace(plan, id=letter, best_at=best, price=price)
        for letter, plan, (best, price) in zip(LETTERS, plans, words, strict=False)
    )


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


def _comparators(field: Field, case: Case, verge: Point2) -> tuple[Comparator, ...]:
    hull = _hull(field, case.limits)
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
    families: tuple[Candidates, ...], limits: Limits, shown: set[str], values: Floats
) -> tuple[Refusal, ...]:
    found = [refusal(family, limits, values) for family in families if family.family not in shown]
    closed = Refusal(
        kind="midline fusiform",
        reason="scar on the midline; obsolete by the German guideline of 2020.",
        tried=1,
        kept=0,
    )
    return (*found, closed)


def _why_none(field: Field, case_limits: Limits, verge: Point2) -> str:
    """Search again without the limits that shape the outline, and say what binds."""
    loose = replace(case_limits, lower_end_midline_mm=0.0, anal_verge_mm=0.0)
    everything = merged(list(search(field, loose, verge)))
    alone = gives(everything, case_limits) + _smaller_margin(field, case_limits, verge)
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
