"""One candidate, drawn, excised in 3-D and checked against every limit."""

import numpy as np

from crena.flaps.scars import measure_scar
from crena.geometry.lines import distance_to_lines_mm
from crena.planning import advancement_search, rhombic_search
from crena.planning.candidates import Candidates, hard_limits
from crena.planning.drawings import Drawing
from crena.records import Case, Excision, LimitCheck, Limits, Plan, Point2
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
    scar = measure_scar(drawing.closure, anal_verge, case.precision.marking_sd_mm)
    verge_mm = distance_to_lines_mm(anal_verge, _cuts(drawing))
    ratio = drawing.shape.base_to_length_ratio
    reached = {
        "lower_end_midline_mm": scar.lower_end_midline_mm,
        "anal_verge_mm": verge_mm,
        "base_to_length_ratio": 1.0 if ratio is None else ratio,
        "edge_mismatch_mm": drawing.shape.edge_mismatch_mm,
    }
    return Plan(
        id="",
        best_at="",
        price="",
        excision=excision,
        closure=drawing.closure,
        scar=scar,
        shape=drawing.shape,
        limits=(*_limit_checks(reached, case.limits), _margin_check(excision, case.limits)),
    )


def _grown(member: tuple[Candidates, int], field: Field, case: Case) -> tuple[Drawing, Excision]:
    """Draw a candidate and grow it until its clearance in 3-D is the drawn margin."""
    candidates, index = member
    room = advancement_search if candidates.family == advancement_search.FAMILY else rhombic_search
    grow_mm = 0.0
    for _ in range(GROW_ROUNDS):
        drawing = room.drawn(candidates, index, case.limits.wall_angle_deg, grow_mm)
        rng = np.random.default_rng(case.seed)
        excision = excise(drawing.outline, field, case.limits, rng)
        missing = case.limits.drawn_margin_mm - excision.least_wall_clearance_mm
        if missing <= ENOUGH_MM:
            break
        grow_mm += GROW_RATIO * missing
    return drawing, excision


def _cuts(drawing: Drawing) -> list[tuple[Point2, ...]]:
    removed = drawing.closure.removed_mm
    return [(*removed, removed[0]), *drawing.closure.incisions_mm, *drawing.closure.scar_mm]


def _limit_checks(reached: dict[str, float], limits: Limits) -> tuple[LimitCheck, ...]:
    checks = []
    for limit in hard_limits(limits):
        value = reached[limit.measure]
        kept = value >= limit.asked - 1e-6 if limit.least else value <= limit.asked + 1e-6
        checks.append(
            LimitCheck(
                limit=limit.name, asked=limit.asked, reached=value, unit=limit.unit, kept=kept
            )
        )
    return tuple(checks)


def _margin_check(excision: Excision, limits: Limits) -> LimitCheck:
    return LimitCheck(
        limit="clearance of every wall",
        asked=limits.drawn_margin_mm,
        reached=excision.least_wall_clearance_mm,
        unit="mm",
        kept=excision.least_wall_clearance_mm >= limits.drawn_margin_mm - ENOUGH_MM,
    )
