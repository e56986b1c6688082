"""New plans in theatre: for the defect as it really is, and a branch nobody knew of.

The skin is cut already, so a hole can only grow. Every plan holds the hole as it was measured,
the known disease with the clearance that was asked for, and a new branch with the margin that is
drawn round a tract.
"""

from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from crena.geometry.measures import polygon_area_mm2
from crena.geometry.unrolling import skin_map
from crena.planning.compose import Provenance, Work, plans_of
from crena.planning.hole_search import furthest_outside_mm
from crena.planning.wounds import Wound, corner_at, corners_found, letters_round, wound_of
from crena.records import (
    Case,
    InputError,
    MeasuredCorner,
    NoPlanError,
    OperationRecord,
    Plan,
    PlanSet,
    Recut,
    TractMap,
)
from crena.records.numbers import whole
from crena.records.progress import Progress, silent
from crena.sinus.footprint import footprint
from crena.sinus.mapping import with_branch
from crena.sinus.parts import parts_of

Floats = NDArray[np.float64]

GAPES = (
    "An open wound gapes: its edges lie further apart than the skin that is missing. Measure "
    "before anything is freed, with the edges lying as they fall."
)

SIZE_ALONE = (
    "The hole was measured by length and width alone: it is taken to lie about the middle of the "
    "hole as planned, and to run the same way."
)

NOT_MEASURED = (
    "Measure the hole first: its four corners, or its length and width, with the sterile ruler."
)

WHAT_IS_LEFT = (
    "What is left: give way in one of these and plan again; close with a larger flap from the "
    "buttock, by someone who does them; leave the wound open, or a part of it, to heal from its "
    "floor, and close later or not at all."
)
"""What the trade does when no flap keeps the limits (common practice, no source)."""

NOTHING_CUT_MM2 = 1.0
"""Less skin than this is not said to be cut away."""


def plan_in_theatre(
    case: Case,
    planned: PlanSet,
    provenance: Provenance,
    *,
    today: date,
    progress: Progress = silent,
) -> PlanSet:
    """Return plans for the defect that was measured, and how each differs from the one cut.

    They are there at once, without the pull and the room that stays empty: see `with_figures`.

    Parameters
    ----------
    case : Case
        Its operation holds the corners, the depth and new branches.
    planned : PlanSet
        The plans that the operation began with; their map is kept, the disease not traced again.
    provenance : Provenance
        Hash, code and versions to be printed.
    today : date
        To be printed; the timing gate was passed when the skin was cut.
    progress : callable
        Told what is being done and the share that is done; may raise to cancel.

    Raises
    ------
    InputError
        If the corners do not go round one hole, or a branch cannot lie where it is said to.
    NoPlanError
        If no closure of this hole keeps all limits: those that bind, and what is left.
    """
    found = case.operation
    cut = plan_that_was_cut(case, planned)
    corners = corners_found(found, cut.closure) if found else ()
    if found is None or not corners:
        raise InputError(NOT_MEASURED)
    tract_map = _with_branches(planned.tract_map, found, case)
    tract_map = _with_depth(tract_map, found, cut)
    wound = _held(wound_of(corners, cut.closure), tract_map, planned.tract_map, case)
    work = Work(
        case=_theatre_case(case),
        tract_map=tract_map,
        today=today,
        wound=wound,
    )
    try:
        made = plans_of(work, provenance, progress)
    except NoPlanError as none:
        raise NoPlanError(f"{none} {WHAT_IS_LEFT}") from None
    plans = tuple(replace(plan, recut=_recut(plan, wound, cut)) for plan in made.plans)
    cautions = (GAPES,) if found.measured else (GAPES, SIZE_ALONE)
    return replace(made, plans=plans, cautions=(*cautions, *made.cautions))


def plan_that_was_cut(case: Case, planned: PlanSet) -> Plan:
    """Return the plan that the operation began with: as recorded, else as chosen, else the first.

    A plan that was taken in theatre is of other plans than these, and is not the one meant.
    """
    done, letter = case.operation, case.choice.plan if case.choice else planned.chosen
    if done is not None and done.plan_code in ("", planned.code):
        letter = done.plan or letter
    return next((plan for plan in planned.plans if plan.id == letter), planned.plans[0])


def corners_as_planned(plan: Plan) -> tuple[MeasuredCorner, ...]:
    """Return the corners of a plan's hole as a ruler would give them, in whole millimetres."""
    places = ((name, plan.closure.points_mm[name]) for name in letters_round(plan.closure))
    return tuple(corner_at(name, whole(s), whole(y)) for name, (s, y) in places)


def _theatre_case(case: Case) -> Case:
    """Return the case with the clearance asked for in place of the margin that was drawn.

    The margin was drawn wider to allow for errors of map and marking. Skin that is cut is not
    cut again for them.
    """
    limits = replace(case.limits, drawn_margin_mm=case.limits.least_clearance_mm)
    return replace(case, limits=limits, choice=None)


def _with_branches(tract_map: TractMap, found: OperationRecord, case: Case) -> TractMap:
    known = {tract.name for tract in tract_map.tracts}
    for branch in found.branches:
        if branch.tract in known:
            raise InputError(
                f"There is a tract {branch.tract} on the map already. Give the new branch another "
                "name."
            )
        known.add(branch.tract)
        tract_map = with_branch(tract_map, branch, case.precision)
    return tract_map


def _with_depth(tract_map: TractMap, found: OperationRecord, cut: Plan) -> TractMap:
    """Lower or raise the floor by as much as the hole is deeper or shallower than planned."""
    if found.defect_depth_mm is None:
        return tract_map
    lower_mm = found.defect_depth_mm - cut.excision.depth_mm
    floor = tract_map.floor
    heights = tuple(tuple(z - lower_mm for z in row) for row in floor.z_mm)
    return replace(tract_map, floor=replace(floor, z_mm=heights))


def _held(wound: Wound, tract_map: TractMap, known: TractMap, case: Case) -> Wound:
    """Add what a new branch asks for to what every outline must hold."""
    before = {part.name for part in parts_of(known)}
    new = tuple(part for part in parts_of(tract_map) if part.name not in before)
    if not new:
        return wound
    skin, limits = skin_map(tract_map.skin), case.limits
    margin = footprint(new, skin, limits.drawn_margin_mm, limits.wall_angle_deg)
    return replace(wound, holds_mm=np.concatenate([wound.holds_mm, margin]))


def _recut(plan: Plan, wound: Wound, cut: Plan) -> Recut:
    outline = np.array(plan.closure.removed_mm)
    more = abs(polygon_area_mm2(outline)) - polygon_area_mm2(wound.outline_mm)
    more_mm2 = more if more > NOTHING_CUT_MM2 else 0.0
    return Recut(
        more_mm2=more_mm2,
        furthest_mm=furthest_outside_mm(outline, wound.outline_mm) if more_mm2 else 0.0,
        changed=tuple(_changes(plan, cut)),
    )


def _changes(plan: Plan, cut: Plan) -> list[str]:
    """Return a sentence for each figure that is another one than in the plan that was cut."""
    pairs = (
        ("Skin taken", "cm²", cut.excision.area_mm2 / 100, plan.excision.area_mm2 / 100),
        (
            "Lower end of the scar off the midline",
            "mm",
            cut.scar.lower_end_midline_mm,
            plan.scar.lower_end_midline_mm,
        ),
        ("Scar", "mm", cut.scar.length_mm, plan.scar.length_mm),
        (
            "Donor edges come together by",
            "mm",
            cut.shape.donor_closure_mm,
            plan.shape.donor_closure_mm,
        ),
        ("Depth", "mm", cut.excision.depth_mm, plan.excision.depth_mm),
    )
    sentences = [
        f"{what}: {whole(before)} {unit} planned, {whole(now)} {unit} now."
        for what, unit, before, now in pairs
        if whole(before) != whole(now)
    ]
    side, was = plan.closure.donor_side, cut.closure.donor_side
    if side is not was and side is not None:
        before = was or "from no single side"
        sentences.insert(0, f"The flap comes from the {side} now; the plan that was cut: {before}.")
    return sentences
