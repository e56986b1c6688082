"""A plan moved by hand, measured at once: all that geometry alone can say of it.

The pull and the filling are left out: they take longer than a hand waits. While the hand
moves, the chance of being clear is taken over a few errors; when it rests, over all.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.geometry.unrolling import unroll_mm
from crena.planning import moved_lenses, moved_rhombi
from crena.planning.drawings import Drawing
from crena.planning.measuring import ENOUGH_MM, plan_of
from crena.planning.moved_lenses import MovedLens
from crena.planning.moved_rhombi import FAMILIES, MovedRhombus
from crena.records import (
    Closure,
    ClosureKind,
    HandlePoint,
    InputError,
    Limits,
    Move,
    MoveKind,
    Plan,
    Point2,
    Precision,
    Preview,
    Record,
    TractMap,
)
from crena.sinus.clearance import shared_errors, wall_gaps
from crena.sinus.excise import Field, excise_among, field_of
from crena.sinus.walls import wall_sheets

Floats = NDArray[np.float64]

Moving = MovedRhombus | MovedLens

FEW_ERRORS = 64
"""Errors over which the chance is taken while the hand moves; against all of them it is off
by less than 3 of 100 (a test measures it)."""

FURTHEST_MM = 300.0
"""No handle is put further from the coccyx tip."""

MOST_MOVES = 500

REFIT_ROUNDS = 12
"""Times a cut is grown or shrunk before its clearance is taken as it is."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground(Record):
    """What stays the same while a hand moves, made once for a case."""

    field: Field
    anal_verge_mm: Point2  #: (s, y)
    marking_sd_mm: float
    few_errors: Floats  #: (64, 3)
    all_errors: Floats  #: (1024, 3)


def ground_of(tract_map: TractMap, precision: Precision, seed: int) -> Ground:
    """Make a case ready to be moved about in."""
    field = field_of(tract_map, precision)
    s, y = unroll_mm(field.skin, [tract_map.anal_verge_mm[:2]])[0]
    return Ground(
        field=field,
        anal_verge_mm=(float(s), float(y)),
        marking_sd_mm=precision.marking_sd_mm,
        few_errors=shared_errors(np.random.default_rng(seed), FEW_ERRORS),
        all_errors=shared_errors(np.random.default_rng(seed)),
    )


def preview(
    plan: Plan, moves: Sequence[Move], limits: Limits, ground: Ground, *, full: bool
) -> Preview:
    """Move a plan and measure what comes of it.

    Parameters
    ----------
    plan : Plan
        As planned.
    moves : sequence of Move
        Done in order; none: the plan as it is.
    limits : Limits
        What is asked of it, and the lean of its walls.
    ground : Ground
        From `ground_of`.
    full : bool
        Take the chance over all errors, not over a few.

    Raises
    ------
    InputError
        If a move is none that this plan can make, or what comes of it cannot be drawn: one
        sentence with the measure and its range.
    """
    moving = moved(plan.closure, moves, limits, ground)
    drawing = drawing_of(moving, limits.wall_angle_deg)
    errors = ground.all_errors if full else ground.few_errors
    excision = excise_among(drawing.outline, ground.field, limits, errors)
    measured = plan_of(drawing, excision, limits, ground.anal_verge_mm, ground.marking_sd_mm)
    return Preview(
        plan=plan.id,
        code="",
        excision=excision,
        closure=measured.closure,
        scar=measured.scar,
        shape=measured.shape,
        limits=measured.limits,
        handles=_handles(moving, drawing.closure),
        also=_also(moving),
        cut_through=tuple(c.part for c in excision.clearances if c.least_mm < 0),
        full=full,
    )


def moved(closure: Closure, moves: Sequence[Move], limits: Limits, ground: Ground) -> Moving:
    """Return the free measures of a closure once all moves are done, in their order."""
    if len(moves) > MOST_MOVES:
        raise InputError(f"These are {len(moves)} moves; {MOST_MOVES} can be kept. Put some back.")
    moving = _moving(closure)
    for move in moves:
        moving = _after(moving, move, limits, ground)
    return moving


def drawing_of(moving: Moving, wall_angle_deg: float) -> Drawing:
    """Draw what is being moved, or say why it cannot be drawn."""
    if isinstance(moving, MovedLens):
        return moved_lenses.drawing_of(moving, wall_angle_deg)
    return moved_rhombi.drawing_of(moving, wall_angle_deg)


def _moving(closure: Closure) -> Moving:
    if closure.kind is ClosureKind.ADVANCEMENT:
        return moved_lenses.lens_of(closure)
    if closure.kind in FAMILIES:
        return moved_rhombi.rhombus_of(closure)
    raise InputError(f"A {closure.kind} cannot be moved by hand. Choose another plan.")


def _after(moving: Moving, move: Move, limits: Limits, ground: Ground) -> Moving:
    if move.kind is MoveKind.PLACE:
        return _placed(moving, move)
    if move.kind not in _also(moving):
        raise InputError(f"“{move.kind}” cannot be done to this plan. Mirror it instead.")
    if move.kind is MoveKind.REFIT:
        return _refitted(moving, limits, ground.field)
    if isinstance(moving, MovedLens):
        return moved_lenses.changed(moving, move.kind)
    return moved_rhombi.changed(moving, move.kind)


def _placed(moving: Moving, move: Move) -> Moving:
    if move.to_mm is None:
        raise InputError(f"Say to which place handle {move.handle[:20]!r} is moved.")
    if not np.hypot(*move.to_mm) <= FURTHEST_MM:
        raise InputError(f"That place is more than {FURTHEST_MM:g} mm from the coccyx tip.")
    if isinstance(moving, MovedLens):
        return moved_lenses.placed(moving, move.handle, move.to_mm)
    return moved_rhombi.placed(moving, move.handle, move.to_mm)


def _refitted(moving: Moving, limits: Limits, field: Field) -> Moving:
    """Grow or shrink a cut until its walls keep the drawn margin, and no more than a millimetre."""
    fitted = moving
    for _ in range(REFIT_ROUNDS):
        outline = drawing_of(fitted, limits.wall_angle_deg).outline
        gaps = wall_gaps(field.parts, wall_sheets(outline, field.skin, field.floor))
        missing_mm = limits.drawn_margin_mm - min(float(gap.gaps[0]) for gap in gaps)
        if -1.0 < missing_mm <= ENOUGH_MM:
            return fitted
        fitted = _grown(fitted, missing_mm if missing_mm > 0 else missing_mm + 0.5)
    raise InputError(
        f"This cut does not keep {limits.drawn_margin_mm:g} mm by growing or shrinking alone. Move "
        "its centre over the disease, then fit it again."
    )


def _grown(moving: Moving, grow_mm: float) -> Moving:
    if isinstance(moving, MovedLens):
        return moved_lenses.grown(moving, grow_mm)
    return moved_rhombi.grown(moving, grow_mm)


def _handles(moving: Moving, closure: Closure) -> tuple[HandlePoint, ...]:
    if isinstance(moving, MovedLens):
        return moved_lenses.handles(moving)
    return moved_rhombi.handles(moving, closure)


def _also(moving: Moving) -> tuple[MoveKind, ...]:
    if isinstance(moving, MovedLens):
        return (MoveKind.REFIT, MoveKind.MIRROR)
    return (MoveKind.REFIT, MoveKind.OTHER_SIDE, MoveKind.OTHER_HINGE, MoveKind.MIRROR)
