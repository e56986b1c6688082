"""One candidate, drawn, excised in 3-D and checked against every limit."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from crena.flaps.scars import measure_scar, scar_warnings
from crena.geometry.lines import signed_distances_mm
from crena.planning import advancement_search, hole_search, rhombic_search
from crena.planning.candidates import MEASURES, Candidates, hard_limits, within
from crena.planning.drawings import Drawing
from crena.records import Case, Closure, Excision, LimitCheck, Limits, Plan, Point2
from crena.sinus.excise import Field, excise

GROW_ROUNDS = 6
"""Times an outline is grown before its clearance is taken as it is."""

ENOUGH_MM = 0.05
"""A clearance this close to the drawn margin counts as reached."""

GROW_RATIO = 1.1
"""An outline is grown by a little more than is missing, so that few rounds are needed."""


def measured_plan(
    member: tuple[Candidates, int], field: Field, case: Case, anal_verge: Point2
) -> Plan:
    """Return a candidate as a plan, without its letter and its words.

    Parameters
    ----------
    member : (Candidates, int)
        Family and index.
    field : Field
        The disease, made ready.
    case : Case
        Limits, precision, seed.
    anal_verge : (2,) float
        In (s, y), mm.
    """
    drawing, excision = _grown(member, field, case)
    return plan_of(drawing, excision, case.limits, anal_verge, case.precision.marking_sd_mm)


def plan_of(
    drawing: Drawing,
    excision: Excision,
    limits: Limits,
    anal_verge: Point2,
    marking_sd_mm: float,
) -> Plan:
    """Return a drawing with its scar and its limits as a plan, without its letter and its words."""
    scar = measure_scar(drawing.closure, anal_verge, marking_sd_mm)
    reached = {
        "lower_end_midline_mm": scar.lower_end_midline_mm,
        "anal_verge_mm": verge_distance_mm(drawing.closure, anal_verge),
        "base_to_length_ratio": drawing.shape.base_to_length_ratio or np.nan,
        "edge_mismatch_mm": drawing.shape.edge_mismatch_mm,
    }
    return Plan(
        id="",
        best_at="",
        price="",
        excision=excision,
        closure=replace(
            drawing.closure, warnings=(*drawing.closure.warnings, *scar_warnings(scar))
        ),
        scar=scar,
        shape=drawing.shape,
        limits=(*_limit_checks(reached, limits), *_clearance_checks(excision, limits)),
    )


def final_measures(member: tuple[Candidates, int], plan: Plan) -> NDArray[np.float64]:
    """Return a candidate's measures (8,) as its plan is really drawn, in whole millimetres."""
    candidates, index = member
    row = candidates.measures[index].copy()
    drawn = {
        "area_mm2": plan.excision.area_mm2,
        "donor_closure_mm": plan.shape.donor_closure_mm,
        "base_to_length_ratio": plan.shape.base_to_length_ratio or np.nan,
        "edge_mismatch_mm": plan.shape.edge_mismatch_mm,
        "lower_end_midline_mm": plan.scar.lower_end_midline_mm,
    }
    for name, value in drawn.items():
        row[MEASURES.index(name)] = value
    return np.asarray(row)


def verge_distance_mm(closure: Closure, anal_verge: Point2) -> float:
    """Return how far the anal verge lies outside the wound and every flap; negative inside."""
    areas = [closure.removed_mm, *(flap.outline_mm for flap in closure.flaps)]
    return min(float(signed_distances_mm(anal_verge, np.array([a]))[0]) for a in areas)


def drawing_of(
    member: tuple[Candidates, int], wall_angle_deg: float, grow_mm: float = 0.0
) -> Drawing:
    """Draw a candidate in whole millimetres.

    Parameters
    ----------
    member : (Candidates, int)
        Family and index.
    wall_angle_deg : float
        Of the walls of the excision.
    grow_mm : float
        How much further out than searched.
    """
    candidates, index = member
    return _drawer(candidates.family)(candidates, index, wall_angle_deg, grow_mm)


def _drawer(family: str) -> Callable[[Candidates, int, float, float], Drawing]:
    if family.startswith(advancement_search.FAMILY):
        return advancement_search.drawn
    of_a_hole = family in hole_search.FLAPS or family in hole_search.PLANNED
    return hole_search.drawn if of_a_hole else rhombic_search.drawn


def _grown(member: tuple[Candidates, int], field: Field, case: Case) -> tuple[Drawing, Excision]:
    """Draw a candidate and grow it until its clearance in 3-D is the drawn margin."""
    grow_mm = 0.0
    for _ in range(GROW_ROUNDS):
        drawing = drawing_of(member, case.limits.wall_angle_deg, grow_mm)
        rng = np.random.default_rng(case.seed)
        excision = excise(drawing.outline, field, case.limits, rng)
        missing = case.limits.drawn_margin_mm - excision.least_wall_clearance_mm
        if missing <= ENOUGH_MM:
            break
        grow_mm += GROW_RATIO * missing
    return drawing, excision


def _limit_checks(reached: dict[str, float], limits: Limits) -> tuple[LimitCheck, ...]:
    checks = []
    for limit in hard_limits(limits):
        value = reached[limit.measure]
        checks.append(
            LimitCheck(
                limit=limit.name,
                asked=limit.asked,
                reached=value,
                unit=limit.unit,
                kept=bool(within(value, limit)),
            )
        )
    return tuple(checks)


def _clearance_checks(excision: Excision, limits: Limits) -> tuple[LimitCheck, ...]:
    """Check the drawn margin at the walls, and the fascia, which no outline can move."""
    walls, floor = excision.least_wall_clearance_mm, min(c.floor_mm for c in excision.clearances)
    return (
        LimitCheck(
            limit="margin at every wall, as drawn",
            asked=limits.drawn_margin_mm,
            reached=walls,
            unit="mm",
            kept=walls >= limits.drawn_margin_mm - ENOUGH_MM,
        ),
        LimitCheck(
            limit="clearance of the fascia under the disease",
            asked=limits.least_clearance_mm,
            reached=floor,
            unit="mm",
            kept=floor >= limits.least_clearance_mm,
            hard=False,
        ),
    )
