"""The specimen: its volume, its depth, and how much of it is healthy."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from crena.geometry.balls import Balls, balls_of, within_balls
from crena.geometry.slicing import Solid, ring_solid
from crena.geometry.unrolling import SkinMap, height_mm, roll_mm, unroll_mm
from crena.records import Record
from crena.records.units import ml_from_mm3
from crena.sinus.parts import Part
from crena.sinus.walls import WallSheet, sheet_triangles

Floats = NDArray[np.float64]

RINGS = 24
LAYERS = 12
KEPT = 8
"""Cases whose tissue near the disease is kept ready."""

SAMPLE_MM = 0.5
"""Spacing of the balls that stand for a tract when tissue is told healthy or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Specimen(Record):
    """Measures of what is taken out."""

    volume_ml: float
    floor_area_mm2: float
    depth_mm: float
    healthy_ml: float  #: further from the disease than the margin


def specimen(
    sheets: tuple[WallSheet, ...],
    skin: SkinMap,
    floor: SkinMap,
    parts: tuple[Part, ...],
    margin_mm: float,
) -> Specimen:
    """Measure what the walls and the floor enclose.

    Parameters
    ----------
    sheets : tuple of WallSheet
        Walls, anticlockwise, closed.
    skin, floor : SkinMap
        Top and bottom.
    parts : tuple of Part
        The disease.
    margin_mm : float
        Tissue further than this from every part counts as healthy beyond the margin.

    Notes
    -----
    Volume by the divergence theorem over a closed skin of triangles; the healthy share by
    a grid of rings and layers, each cell weighted by its own volume.
    """
    lid, base = _lid_and_base(sheets, skin, floor)
    faces = [_ring_triangles(rings) for rings in (lid, base)]
    shadows = [_shadows(face) for face in faces]
    under_lid, under_base = (_under(f, s) for f, s in zip(faces, shadows, strict=True))
    walls = np.concatenate([sheet_triangles(s) for s in sheets])
    volume_ml = ml_from_mm3(under_lid - under_base + _under(walls, _shadows(walls)))
    drops = lid[..., 2].reshape(-1) - height_mm(floor, lid[..., :2].reshape(-1, 2))
    near = _near_disease(parts, margin_mm)
    return Specimen(
        volume_ml=volume_ml,
        floor_area_mm2=float(shadows[1].sum()),
        depth_mm=float(drops.max()),
        healthy_ml=volume_ml * _healthy_share((lid, base), shadows, near),
    )


def specimen_solid(sheets: tuple[WallSheet, ...], skin: SkinMap, floor: SkinMap) -> Solid:
    """Return what the walls and the floor enclose as one body, for slices to cut.

    The skin's rings run from their middle out to the cut, then the walls' feet, then the
    floor's rings in to their middle: a ring goes on to the next one without a gap.
    """
    lid, base = _lid_and_base(sheets, skin, floor)
    return ring_solid(np.concatenate([lid, base[::-1]]))


def _lid_and_base(
    sheets: tuple[WallSheet, ...], skin: SkinMap, floor: SkinMap
) -> tuple[Floats, Floats]:
    """Return rings (rings, n, 3) of the skin and of the floor, each from its middle out."""
    top = np.concatenate([s.top[:-1] for s in sheets])
    bottom = np.concatenate([s.bottom[:-1] for s in sheets])
    return _skin_rings(top, skin), _floor_rings(bottom, floor)


def _skin_rings(top: Floats, skin: SkinMap) -> Floats:
    """Return points (rings, n, 3) of the skin within the outline, from its middle out."""
    edge = unroll_mm(skin, top[:, :2])
    rings = _rings(edge)
    return roll_mm(skin, rings.reshape(-1, 2)).reshape(*rings.shape[:2], 3)


def _floor_rings(bottom: Floats, floor: SkinMap) -> Floats:
    rings = _rings(bottom[:, :2])
    heights = height_mm(floor, rings.reshape(-1, 2)).reshape(rings.shape[:2])
    return np.concatenate([rings, heights[..., None]], axis=2)


def _rings(edge: Floats) -> Floats:
    middle = edge.mean(axis=0)
    out = np.linspace(0, 1, RINGS + 1)[:, None, None]
    return np.asarray(middle + out * (edge - middle))


def _ring_triangles(rings: Floats) -> Floats:
    a, c = rings[:-1], rings[1:]
    b, d = np.roll(a, -1, axis=1), np.roll(c, -1, axis=1)
    both = [np.stack([a, c, d], axis=2), np.stack([a, d, b], axis=2)]
    return np.concatenate([t.reshape(-1, 3, 3) for t in both])


def _shadows(triangles: Floats) -> Floats:
    """Return the signed areas (m,) of triangles seen from above."""
    u = triangles[:, 1, :2] - triangles[:, 0, :2]
    v = triangles[:, 2, :2] - triangles[:, 0, :2]
    return np.asarray((u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2)


def _under(triangles: Floats, shadows: Floats) -> float:
    """Return the flux of (0, 0, z) through triangles: the signed volume under them."""
    return float((shadows * triangles[..., 2].mean(axis=1)).sum())


def _healthy_share(rings: tuple[Floats, Floats], shadows: list[Floats], near: Balls) -> float:
    """Return which share of the tissue between lid and base lies outside the balls."""
    level = ((np.arange(LAYERS) + 0.5) / LAYERS)[:, None, None, None]
    lid, base = (_cell_middles(r) for r in rings)
    cells = lid + level * (base - lid)
    areas = [s.reshape(2, RINGS, -1).sum(axis=0) for s in shadows]
    weights = (lid - base)[..., 2] * ((1 - level[..., 0]) * areas[0] + level[..., 0] * areas[1])
    weights = np.maximum(weights.reshape(-1), 0.0)
    healthy = ~within_balls(cells.reshape(-1, 3), near)
    return float(weights[healthy].sum() / weights.sum())


def _cell_middles(rings: Floats) -> Floats:
    round_ = np.roll(rings, -1, axis=1)
    return np.asarray((rings[:-1] + rings[1:] + round_[:-1] + round_[1:]) / 4)


@lru_cache(maxsize=KEPT)
def _near_disease(parts: tuple[Part, ...], margin_mm: float) -> Balls:
    """Return the tissue within a margin of any part; it depends on no outline."""
    samples = [_samples(part) for part in parts]
    centres = np.concatenate([c for c, _ in samples])
    radii = np.concatenate([r for _, r in samples])
    return balls_of(centres, radii + margin_mm)


def _samples(part: Part) -> tuple[Floats, Floats]:
    """Return balls that fill a part closely enough to say what lies within a margin."""
    if not part.chain:
        middle = part.points.mean(axis=0)
        shells = [middle + share * (part.points - middle) for share in (0.25, 0.5, 0.75, 1.0)]
        return np.concatenate(shells), np.zeros(4 * len(part.points))
    if len(part.points) == 1:
        return part.points, part.radii
    lengths = np.linalg.norm(np.diff(part.points, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(lengths)])
    every = np.linspace(0, at[-1], int(np.ceil(at[-1] / SAMPLE_MM)) + 1)
    line = np.column_stack([np.interp(every, at, part.points[:, k]) for k in range(3)])
    return line, np.interp(every, at, part.radii)
