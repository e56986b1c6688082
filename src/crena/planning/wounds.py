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
    Point2,
    Record,
    point2,
)

Floats = NDArray[np.float64]

ARC_STEP_MM = 2.0

LEAST_SIDE_MM = 3.0
"""Corners nearer to each other than this are taken for a slip (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wound(Record):
    """A hole in the skin, and what every outline round it must hold."""

    corners_mm: Floats  #: (4, 2) cranial, left, caudal, right
    outline_mm: Floats  #: (n, 2) anticlockwise
    holds_mm: Floats  #: (k, 2) the hole, and what else must be taken beyond the known margin
    planned: Closure  #: that the hole was cut for
    lens: Lens | None = None  #: where both edges are arcs


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
    letters = "ALCM" if planned.kind is ClosureKind.ADVANCEMENT else "ABCD"
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
