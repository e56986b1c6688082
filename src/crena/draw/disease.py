"""The disease on the skin: tracts, cavities, spots and pits seen from above and laid flat."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.draw.inks import (
    CLEARANCE_RING,
    HATCH,
    PIT_DOT,
    PIT_RING,
    SPOT_RIM,
    TRACT_FILL,
    TRACT_RIM,
)
from crena.draw.marks import Dots, Line, Mark, Strokes, along, circle
from crena.draw.patterns import HATCH_STEP_MM, hatch_of, inside
from crena.geometry.measures import lengths_along_mm
from crena.geometry.unrolling import SkinMap, skin_map, unroll_mm
from crena.records import Cavity, Point2, Polyline2, Spot, Tract, TractMap
from crena.records.tracts import DiseaseShape

Floats = NDArray[np.float64]

RING_STEP_MM = 1.1
"""Between the dots of the clearance ring, on paper."""

DOT_STEP_MM = 1.8
"""Between the dots of the clearance ring on the page, on the skin."""

_DIRECTIONS = np.radians(np.arange(0.0, 360.0, 2.5))
_MOST_PIECES = 16
"""A tract's shadow is drawn from at most so many straight pieces."""

_PIT_MM = (0.65, 1.5)
"""Least and greatest radius of a pit's ring, on paper: a sign, not its size."""


def disease_marks(tract_map: TractMap, scale_ratio: float) -> tuple[Mark, ...]:
    """Draw the disease at its true width.

    Parameters
    ----------
    tract_map : TractMap
        What is drawn.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin: hatch and pits keep their size.

    Returns
    -------
    tuple of Mark
        Rim, ground and hatch of each part, dashed rims of what joins nothing, pits.
    """
    skin = skin_map(tract_map.skin)
    marks: list[Mark] = []
    for part in cleared_parts(tract_map):
        marks += hatched_marks([_flat(skin, p) for p in _shadows(part, 0.0)], scale_ratio)
    for spot in tract_map.spots:
        marks += _spot_marks(_flat(skin, circle(spot.centre_mm[:2], spot.radius_mm)), scale_ratio)
    for pit in tract_map.pits:
        radius_mm = min(max(_PIT_MM[0], 1.5 * scale_ratio), _PIT_MM[1]) / scale_ratio
        ring, dot = circle(pit.at_mm, radius_mm, 24), circle(pit.at_mm, radius_mm / 3, 12)
        marks.append(Line(points=ring, ink=PIT_RING, closed=True))
        marks.append(Line(points=dot, ink=PIT_DOT, closed=True))
    return tuple(marks)


def ring_marks(tract_map: TractMap, margin_mm: float, scale_ratio: float) -> tuple[Mark, ...]:
    """Draw the asked distance around all that is joined to the disease, as dots.

    Parameters
    ----------
    tract_map : TractMap
        What is to be cleared.
    margin_mm : float
        The distance asked for.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.

    Returns
    -------
    tuple of Mark
        The outline of the union, seen from above.
    """
    shapes = [s for part in cleared_parts(tract_map) for s in _shadows(part, margin_mm)]
    skin = skin_map(tract_map.skin)
    dots = union_dots(shapes, RING_STEP_MM / scale_ratio)
    return (Dots(points=_flat(skin, dots) if dots else (), ink=CLEARANCE_RING),)


def union_dots(shapes: Sequence[Polyline2], step_mm: float) -> Polyline2:
    """Return dots along the outline of a union of outlines.

    Parameters
    ----------
    shapes : sequence of outlines
        Closed; they may overlap.
    step_mm : float
        Between two dots.

    Returns
    -------
    Polyline2
        The dots, outline by outline.
    """
    dots: list[Point2] = []
    for i, shape in enumerate(shapes):
        ring = np.asarray(_even(shape, step_mm), dtype=float)
        outside = np.ones(len(ring), dtype=bool)
        for j, other in enumerate(shapes):
            if i != j:
                outside &= ~inside(ring, other)
        dots += _points(ring[outside])
    return _apart(dots, 0.7 * step_mm)


def hatched_marks(outlines: Sequence[Polyline2], scale_ratio: float) -> list[Mark]:
    """Draw one part of the disease: rims first and grounds over them.

    Parameters
    ----------
    outlines : sequence of outlines
        Whose union is the part; only the outer rim of the union stays to be seen.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.

    Returns
    -------
    list of Mark
        Rims, grounds, hatch.
    """
    marks: list[Mark] = [Line(points=o, ink=TRACT_RIM, closed=True) for o in outlines]
    marks += [Line(points=o, ink=TRACT_FILL, closed=True) for o in outlines]
    marks.append(Strokes(lines=hatch_of(outlines, HATCH_STEP_MM / scale_ratio), ink=HATCH))
    return marks


def cleared_parts(tract_map: TractMap) -> tuple[Tract | Cavity, ...]:
    """Return all that is joined to the disease: cavities, then tracts."""
    return (*tract_map.cavities, *tract_map.tracts)


def named_parts(tract_map: TractMap) -> tuple[Tract | Cavity | Spot, ...]:
    """Return all that bears a name on a drawing."""
    return (*tract_map.tracts, *tract_map.cavities, *tract_map.spots)


def part_outlines(tract_map: TractMap) -> tuple[Polyline2, ...]:
    """Return the outlines of all parts on the flat skin; those of one tube overlap."""
    shape = disease_shape(tract_map, None)
    return (*shape.parts, *shape.spots)


def disease_shape(tract_map: TractMap, margin_mm: float | None) -> DiseaseShape:
    """Return the outlines of the disease on the flat skin, seen from above.

    Parameters
    ----------
    tract_map : TractMap
        What is drawn.
    margin_mm : float or None
        The distance asked for; none: no ring is drawn round it.
    """
    skin = skin_map(tract_map.skin)
    parts = cleared_parts(tract_map)
    shadows = [shadow for part in parts for shadow in _shadows(part, 0.0)]
    spots = [circle(spot.centre_mm[:2], spot.radius_mm) for spot in tract_map.spots]
    wider = [] if margin_mm is None else [s for part in parts for s in _shadows(part, margin_mm)]
    dots = union_dots(wider, DOT_STEP_MM)
    return DiseaseShape(
        parts=tuple(_flat(skin, shadow) for shadow in shadows),
        spots=tuple(_flat(skin, spot) for spot in spots),
        ring=_flat(skin, dots) if dots else (),
    )


def on_skin(tract_map: TractMap, xy_mm: Point2) -> Point2:
    """Return where a place seen from above lies on the flat skin, (s, y).

    Parameters
    ----------
    tract_map : TractMap
        With the skin.
    xy_mm : Point2
        Across and cranial in the skin frame.

    Returns
    -------
    Point2
        Arc length across, and cranial.
    """
    return _flat(skin_map(tract_map.skin), [xy_mm])[0]


def part_middle(tract_map: TractMap, name: str) -> Point2:
    """Return where the name of a tract, cavity or spot points to, on the flat skin.

    Parameters
    ----------
    tract_map : TractMap
        Where the part is looked up.
    name : str
        Of the part.

    Returns
    -------
    Point2
        Half way along a tract, else the middle.
    """
    part = next(p for p in named_parts(tract_map) if p.name == name)
    if isinstance(part, Tract):
        ends = np.asarray(part.centre_mm, dtype=float)[:, :2]
        middle = ends[len(ends) // 2 - 1 : len(ends) // 2 + 1].mean(axis=0)
    else:
        middle = np.asarray(part.centre_mm, dtype=float)[:2]
    return _flat(skin_map(tract_map.skin), [middle])[0]


def cavity_shadow(cavity: Cavity, margin_mm: float) -> Polyline2:
    """Return the outline of an ellipsoid seen from above, kept off by a margin.

    Parameters
    ----------
    cavity : Cavity
        With three perpendicular half-axes.
    margin_mm : float
        Added along the normal.

    Returns
    -------
    Polyline2
        Closed, in (x, y).

    Notes
    -----
    The shadow of an ellipsoid with half-axes a_i is the ellipse whose support function is
    the length of (a_i · u), so its point in direction u is the sum of (a_i · u) a_i over it.
    """
    axes = np.asarray(cavity.half_axes_mm, dtype=float)[:, :2]
    u = _units()
    parts = u @ axes.T
    support = np.linalg.norm(parts, axis=1)[:, None]
    edge = np.asarray(cavity.centre_mm[:2]) + parts @ axes / support + margin_mm * u
    return _points(edge)


def _shadows(part: Tract | Cavity, margin_mm: float) -> list[Polyline2]:
    if isinstance(part, Cavity):
        return [cavity_shadow(part, margin_mm)]
    centre = np.asarray(part.centre_mm, dtype=float)[:, :2]
    radius = np.asarray(part.radius_mm, dtype=float) + margin_mm
    step = max(1, -(-(len(centre) - 1) // _MOST_PIECES))
    keep = sorted({*range(0, len(centre), step), len(centre) - 1})
    return [
        _round_cone(centre[[i, j]], radius[[i, j]])
        for i, j in zip(keep[:-1], keep[1:], strict=True)
    ]


def _round_cone(ends: Floats, radii: Floats) -> Polyline2:
    """Return the convex hull of two discs, by the disc that reaches farther each way."""
    u = _units()
    reach = u @ ends.T + radii
    farther = reach.argmax(axis=1)
    return _points(ends[farther] + radii[farther][:, None] * u)


def _units() -> Floats:
    return np.column_stack([np.cos(_DIRECTIONS), np.sin(_DIRECTIONS)])


def _spot_marks(outline: Polyline2, scale_ratio: float) -> list[Mark]:
    return [
        Line(points=outline, ink=TRACT_FILL, closed=True),
        Strokes(lines=hatch_of([outline], HATCH_STEP_MM / scale_ratio), ink=HATCH),
        Line(points=outline, ink=SPOT_RIM, closed=True),
    ]


def _flat(skin: SkinMap, xy: ArrayLike) -> Polyline2:
    return _points(unroll_mm(skin, xy))


def _points(array: Floats) -> Polyline2:
    return tuple((float(x), float(y)) for x, y in array)


def _even(outline: Polyline2, step_mm: float) -> Polyline2:
    """Return points at one distance along a closed outline."""
    fine = np.asarray(along((*outline, outline[0]), step_mm / 8), dtype=float)
    run = lengths_along_mm(fine)
    at = np.linspace(0.0, run[-1], max(8, round(float(run[-1]) / step_mm)), endpoint=False)
    return _points(np.column_stack([np.interp(at, run, fine[:, k]) for k in (0, 1)]))


def _apart(points: Sequence[Point2], least_mm: float) -> Polyline2:
    """Return the points without those that come too near to one before them."""
    kept: list[Point2] = []
    for point in points:
        if all((point[0] - q[0]) ** 2 + (point[1] - q[1]) ** 2 >= least_mm**2 for q in kept):
            kept.append(point)
    return tuple(kept)
