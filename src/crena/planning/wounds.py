"""The hole that is cut already, from its corners as the ruler gave them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.geometry.lenses import Lens, arc_points
from crena.geometry.measures import polygon_area_mm2
from crena.records import (
    Closure,
    ClosureKind,
    InputError,
    MeasuredCorner,
    OperationRecord,
    Point2,
    Record,
    Side,
    point2,
)

Floats = NDArray[np.float64]

ARC_STEP_MM = 2.0

LEAST_SIDE_MM = 3.0
"""Corners nearer to each other than this are taken for a slip (assumed)."""

LEAST_SHARE = 0.7
"""Of its planned length or width that a hole measured by its size has at least (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wound(Record):
    """A hole in the skin, and what every outline round it must hold."""

    corners_mm: Floats  #: (4, 2) cranial, left, caudal, right
    outline_mm: Floats  #: (n, 2) anticlockwise
    holds_mm: Floats  #: (k, 2) the hole, and what else must be taken beyond the known margin
    planned: Closure  #: that the hole was cut for
    lens: Lens | None = None  #: where both edges are arcs


def letters_round(planned: Closure) -> str:
    """Return the letters round the hole of a closure; the first and the third are its ends."""
    return "ALCM" if planned.kind is ClosureKind.ADVANCEMENT else "ABCD"


def corners_found(found: OperationRecord, planned: Closure) -> tuple[MeasuredCorner, ...]:
    """Return the corners of the real hole: as measured, else by its length and width.

    Parameters
    ----------
    found : OperationRecord
        With its corners, or with its length from end to end and its width between the others.
    planned : Closure
        That the hole was cut for.

    Returns
    -------
    tuple of MeasuredCorner
        None while neither is measured.

    Raises
    ------
    InputError
        If the hole would be much smaller than it was planned, or too narrow for its shape.

    Notes
    -----
    By length and width the planned hole is stretched along the line of its ends and square to
    it, about the middle between its ends (assumed).
    """
    length_mm, width_mm = found.hole_length_mm, found.hole_width_mm
    if found.measured or length_mm is None or width_mm is None:
        return found.measured
    _refuse_shrunk((length_mm, width_mm), hole_size_mm(planned))
    letters = letters_round(planned)
    ring = np.array([planned.points_mm[letter] for letter in letters])
    stretched = _stretched(ring, length_mm, width_mm)
    return tuple(corner_at(name, *point2(at)) for name, at in zip(letters, stretched, strict=True))


def corner_at(name: str, across_mm: float, along_mm: float) -> MeasuredCorner:
    """Return a corner at a place (s, y) as a ruler gives it; on the midline it has no side."""
    side = Side.RIGHT if across_mm > 0 else Side.LEFT
    return MeasuredCorner(
        name=name,
        above_coccyx_tip_mm=float(along_mm),
        off_midline_mm=float(abs(across_mm)),
        side=side if across_mm else None,
    )


def hole_size_mm(planned: Closure) -> tuple[float, float]:
    """Return length and width of the hole of a closure: from end to end, and between the others."""
    first, left, last, right = (np.array(planned.points_mm[n]) for n in letters_round(planned))
    return float(np.linalg.norm(last - first)), float(np.linalg.norm(right - left))


def wound_of(measured: Sequence[MeasuredCorner], planned: Closure) -> Wound:
    """Return the hole with these corners.

    Parameters
    ----------
    measured : sequence of MeasuredCorner
        A, B, C, D of a flap, or A, L, C, M of an advancement, in any order.
    planned : Closure
        That it was cut for.

    Raises
    ------
    InputError
        If a corner is missing or its side is, or if the corners do not go round one hole.
    """
    corners = {each.name: _place(each) for each in measured}
    letters = letters_round(planned)
    if sorted(each.name for each in measured) != sorted(letters):
        raise InputError(
            f"The hole needs its four corners {', '.join(sorted(letters))}, each once. Measure all "
            "four."
        )
    ring = np.array([corners[letter] for letter in letters])
    ring = ring if polygon_area_mm2(ring) > 0 else ring[[0, 3, 2, 1]]
    _refuse_folded(ring)
    quad = ring if ring[0, 1] >= ring[2, 1] else np.roll(ring, -2, axis=0)
    if planned.kind is not ClosureKind.ADVANCEMENT:
        return Wound(corners_mm=quad, outline_mm=quad, holds_mm=quad, planned=planned)
    lens = _lens(quad)
    outline = _arcs(lens)
    return Wound(corners_mm=quad, outline_mm=outline, holds_mm=outline, planned=planned, lens=lens)


def _refuse_shrunk(found_mm: tuple[float, float], planned_mm: tuple[float, float]) -> None:
    """Refuse a size that a hole cut by this plan hardly has: open skin gapes."""
    if all(now >= LEAST_SHARE * before for now, before in zip(found_mm, planned_mm, strict=True)):
        return
    (length, width), (now, wide) = planned_mm, found_mm
    raise InputError(
        f"A hole that was planned {length:.0f} by {width:.0f} mm is hardly {now:.0f} by {wide:.0f} "
        "mm: open skin gapes. Measure again, or corner by corner."
    )


def _stretched(ring: Floats, length_mm: float, width_mm: float) -> Floats:
    """Stretch four corners so that the first and third, second and fourth are so far apart."""
    ends, others = ring[2] - ring[0], ring[3] - ring[1]
    along = ends / np.linalg.norm(ends)
    square = np.array([-along[1], along[0]])
    longer = length_mm / float(np.linalg.norm(ends))
    slant_mm, across_mm = longer * float(others @ along), float(others @ square)
    if width_mm <= abs(slant_mm):
        raise InputError(
            f"A hole of this shape that is {length_mm:g} mm long is more than "
            f"{abs(slant_mm):.0f} mm wide. Measure again, or corner by corner."
        )
    wider = np.sqrt(width_mm**2 - slant_mm**2) / abs(across_mm)
    middle = (ring[0] + ring[2]) / 2
    away = ring - middle
    return np.asarray(
        middle
        + longer * (away @ along)[:, None] * along
        + wider * (away @ square)[:, None] * square
    )


def _place(measured: MeasuredCorner) -> Point2:
    if measured.at_mm is None:
        raise InputError(
            f"Corner {measured.name} lies off the midline; say to which side of the patient."
        )
    return measured.at_mm


def _refuse_folded(ring: Floats) -> None:
    """Refuse corners that are not the corners of one convex hole, as after a wrong side."""
    edges = np.roll(ring, -1, axis=0) - ring
    onward = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * onward[:, 1] - edges[:, 1] * onward[:, 0]
    if turns.min() <= 0 or np.linalg.norm(edges, axis=1).min() < LEAST_SIDE_MM:
        raise InputError(
            "These corners do not go round one hole in the order of their letters. Look at the "
            "drawing: a side of the patient may be wrong, or two corners exchanged."
        )


def _lens(quad: Floats) -> Lens:
    """Return the lens whose arcs run through the poles and the middle of each edge."""
    cranial, left, caudal, right = quad
    along = (caudal - cranial) / np.linalg.norm(caudal - cranial)
    across = np.array([-along[1], along[0]])
    return Lens(
        cranial_pole_mm=point2(cranial),
        caudal_pole_mm=point2(caudal),
        left_sagitta_mm=float((cranial - left) @ across),
        right_sagitta_mm=float((right - cranial) @ across),
    )


def _arcs(lens: Lens) -> Floats:
    cranial, caudal = np.asarray(lens.cranial_pole_mm), np.asarray(lens.caudal_pole_mm)
    left = arc_points(cranial, caudal, lens.left_sagitta_mm, ARC_STEP_MM)
    right = arc_points(caudal, cranial, lens.right_sagitta_mm, ARC_STEP_MM)
    return np.concatenate([left[:-1], right[:-1]])
