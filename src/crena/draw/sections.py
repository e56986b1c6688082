"""A vertical section across: skin, tract, walls and floor at one level."""

from math import radians, sqrt, tan

import numpy as np
from numpy.typing import NDArray

from crena.draw.disease import RING_STEP_MM, cleared_parts, hatched_marks, union_dots
from crena.draw.inks import (
    BODY,
    CLEARANCE_RING,
    CUT,
    EMPTIED,
    FLOOR,
    GREY_WORDS,
    MIDLINE,
    SKIN,
    SPOT_RIM,
    TAKEN_OUT,
)
from crena.draw.marks import BODY_PT, SMALL_PT, Anchor, Dots, Line, Mark, Words, circle
from crena.draw.patterns import DOT_STEP_MM, grid_within
from crena.draw.side_marks import second_line_mm, side_marks
from crena.draw.svg import svg_of
from crena.geometry.measures import lengths_along_mm
from crena.geometry.slicing import cut_solid, ellipsoid_within
from crena.geometry.unrolling import SkinMap, height_mm, roll_mm, skin_map
from crena.records import Cavity, Excision, Plan, Point2, Polyline2, Tract, TractMap

Floats = NDArray[np.float64]

_AROUND_MM = 22.0
"""Shown beyond the walls on each side."""

_LEAST_HALF_MM = 40.0
_BELOW_FLOOR_MM = 5.0
_STEP_MM = 1.0
_SAMPLE_MM = 0.5


def section_level_mm(plan: Plan) -> float:
    """Return the level at which the clearance is least, mm above the coccyx tip.

    Parameters
    ----------
    plan : Plan
        With its clearances.

    Returns
    -------
    float
        0 if no clearance is known.
    """
    if not plan.excision.clearances:
        return 0.0
    return min(plan.excision.clearances, key=lambda one: one.least_mm).at_mm[1]


def section_picture(
    plan: Plan, tract_map: TractMap, margin_mm: float, scale_ratio: float
) -> tuple[bytes, float]:
    """Draw the section at the level where the clearance is least.

    Parameters
    ----------
    plan : Plan
        Whose excision is cut through.
    tract_map : TractMap
        Skin, floor and disease.
    margin_mm : float
        The distance that the surgeon asks for: the dotted ring.
    scale_ratio : float
        Millimetres in the picture for one millimetre of the body.

    Returns
    -------
    tuple
        SVG, and its width in mm.
    """
    y, k = section_level_mm(plan), scale_ratio
    skin, floor = skin_map(tract_map.skin), skin_map(tract_map.floor)
    hole = _specimen(plan.excision, skin, floor, y)
    half = max(_LEAST_HALF_MM, *(abs(p[0]) + _AROUND_MM for p in hole or ((0.0, 0.0),)))
    above, below = profile_mm(skin, -half, half, y), profile_mm(floor, -half, half, y)
    low = min(p[1] for p in below) - _BELOW_FLOOR_MM
    high = max(p[1] for p in above) + 6.0 / k
    body = (*above, (half, low), (-half, low))
    marks = (
        Line(points=body, ink=BODY, closed=True),
        *_hole_marks(hole, k),
        *_disease(tract_map, y, margin_mm, k),
        Line(points=above, ink=SKIN),
        Line(points=below, ink=FLOOR),
        Line(points=((0.0, high), (0.0, low)), ink=MIDLINE),
        *_words(half, low, below, k),
    )
    second_mm = second_line_mm(2 * half * k, BODY_PT, bold=True)
    box = (-half, low - (6.0 + second_mm) / k, half, high + 1.0)
    title = "Section across, patient's left on the left: skin, disease, walls and floor"
    return svg_of(marks, box, title, scale_ratio=k), 2 * half * k


def profile_mm(surface: SkinMap, left: float, right: float, y: float) -> Polyline2:
    """Return a surface across the body at one level, (x, z), a point each millimetre or so."""
    x = np.linspace(left, right, max(2, round((right - left) / _STEP_MM) + 1))
    z = height_mm(surface, np.column_stack([x, np.full_like(x, y)]))
    return tuple((float(a), float(b)) for a, b in zip(x, z, strict=True))


def _specimen(excision: Excision, skin: SkinMap, floor: SkinMap, y: float) -> Polyline2:
    """Return what is taken out at a level, in (x, z); empty if nothing is."""
    outline = np.asarray(excision.outline_mm, dtype=float)
    after = np.roll(outline, -1, axis=0)
    cut = (outline[:, 1] > y) != (after[:, 1] > y)
    if not cut.any():
        return ()
    p, q = outline[cut], after[cut]
    s = p[:, 0] + (y - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0])
    left, right = (roll_mm(skin, [(edge, y)])[0] for edge in (s.min(), s.max()))
    flare = tan(radians(excision.outline.wall_angle_deg))
    low_left = left[0] - flare * (left[2] - height_mm(floor, left[:2])[0])
    low_right = right[0] + flare * (right[2] - height_mm(floor, right[:2])[0])
    top = profile_mm(skin, float(left[0]), float(right[0]), y)
    bottom = profile_mm(floor, float(low_left), float(low_right), y)
    return (*top, *bottom[::-1])


def _hole_marks(hole: Polyline2, k: float) -> tuple[Mark, ...]:
    if not hole:
        return ()
    white = Line(points=hole, ink=EMPTIED, closed=True)
    dots = Dots(points=grid_within(hole, DOT_STEP_MM / k), ink=TAKEN_OUT)
    return (white, dots, Line(points=hole, ink=CUT, closed=True))


def _disease(tract_map: TractMap, y: float, margin_mm: float, k: float) -> list[Mark]:
    parts = cleared_parts(tract_map)
    rings = [shape for part in parts for shape in _shapes(part, y, margin_mm)]
    marks: list[Mark] = [Dots(points=union_dots(rings, RING_STEP_MM / k), ink=CLEARANCE_RING)]
    for part in parts:
        shapes = _shapes(part, y, 0.0)
        marks += hatched_marks(shapes, k) if shapes else ()
    for spot in tract_map.spots:
        square = spot.radius_mm**2 - (spot.centre_mm[1] - y) ** 2
        if square > 0:
            ring = circle((spot.centre_mm[0], spot.centre_mm[2]), sqrt(square))
            marks += [*hatched_marks([ring], k)[1:], Line(points=ring, ink=SPOT_RIM, closed=True)]
    return marks


def _shapes(part: Tract | Cavity, y: float, margin_mm: float) -> list[Polyline2]:
    if isinstance(part, Cavity):
        return _near_cavity(part, y, margin_mm) if margin_mm else _ellipse(part, y)
    centre, radius = _dense(part)
    square = (radius + margin_mm) ** 2 - (centre[:, 1] - y) ** 2
    return [
        circle((float(c[0]), float(c[2])), sqrt(s), 36)
        for c, s in zip(centre, square, strict=True) if s > 0
    ]  # fmt: skip


def _dense(tract: Tract) -> tuple[Floats, Floats]:
    """Return balls along a tract, close enough to look like its tube."""
    centre = np.asarray(tract.centre_mm, dtype=float)
    run = lengths_along_mm(centre)
    at = np.linspace(0.0, run[-1], max(2, round(float(run[-1]) / _SAMPLE_MM)))
    placed = np.column_stack([np.interp(at, run, centre[:, i]) for i in range(3)])
    return placed, np.interp(at, run, np.asarray(tract.radius_mm, dtype=float))


def _near_cavity(cavity: Cavity, y: float, margin_mm: float) -> list[Polyline2]:
    """Return the section of all that lies within a margin of an ellipsoid by a level."""
    near = ellipsoid_within(np.array(cavity.centre_mm), np.array(cavity.half_axes_mm), margin_mm)
    return list(cut_solid(near._replace(points=near.points[:, [0, 2, 1]]), y))


def _ellipse(cavity: Cavity, y: float) -> list[Polyline2]:
    """Return the section of an ellipsoid by a level.

    With q = (x, z) and M the inverse of the sum of a aT, the level cuts out
    (q - q0)T Mqq (q - q0) = 1 - d^2 (myy - mqyT Mqq^-1 mqy), q0 = c - d Mqq^-1 mqy.
    """
    axes = np.asarray(cavity.half_axes_mm, dtype=float)
    m = np.linalg.inv(axes.T @ axes)
    d = y - cavity.centre_mm[1]
    plane = m[np.ix_([0, 2], [0, 2])]
    shift = np.linalg.solve(plane, m[[0, 2], 1])
    rest = 1 - d**2 * (m[1, 1] - m[[0, 2], 1] @ shift)
    if rest <= 0:
        return []
    middle = np.asarray(cavity.centre_mm, dtype=float)[[0, 2]] - d * shift
    unit = np.asarray(circle((0.0, 0.0), 1.0), dtype=float)
    edge = middle + sqrt(rest) * unit @ np.linalg.inv(np.linalg.cholesky(plane))
    return [tuple((float(a), float(b)) for a, b in edge)]


def _words(half: float, low: float, below: Polyline2, k: float) -> list[Mark]:
    note: Point2 = (half - 2.0 / k, below[-1][1] + 2.6 / k)
    return [
        *side_marks((-half, half), low - 3.0 / k, k, BODY_PT, bold=True),
        Words(at=note, text="fascia", ink=GREY_WORDS, size_pt=SMALL_PT, anchor=Anchor.END),
    ]
