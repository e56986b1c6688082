"""First places for the nodes: along the border, and in hexagonal lattices between the cuts.

The wanted edge length grows with the distance from the cuts. Each lattice has one pitch
and keeps the points whose wanted length lies in its band; where lattices meet, points that
are too near to a finer one are dropped. No randomness: the same cuts give the same places.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import ArrayLike

from crena.mechanics.sheet import Floats, Indices, Truths

BAND_RATIO = 2**0.25
"""Pitch of a lattice over that of the next finer one (assumed; four to a doubling)."""
CLEAR_RATIO = 0.55
"""Least distance of a seed from cuts and border, in wanted edge lengths (assumed)."""
THIN_RATIO = 0.7
"""Least distance of two seeds, in wanted edge lengths (assumed)."""
COARSEST_RATIO = 0.09
"""Longest wanted edge over the width of the sheet (assumed: 18 mm of 200 mm)."""
MOST_CELLS = 1000
"""Cells along one side of the grid that finds near seeds (memory)."""
BORDER_SAMPLES = 256
"""Points on which the wanted length along one side of the border is summed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field:
    """The wanted edge length, and where there is skin."""

    samples: Floats  #: (q, 3) x, y and spacing on the cuts, mm
    rule: Floats  #: (3,) growth per mm, share of the spacing, longest wanted edge in mm
    box_mm: Floats  #: (4,) least x, least y, greatest x, greatest y of the sheet
    ring_mm: Floats  #: (r, 2) border of the removed skin

    def sizes_mm(self, points: Floats) -> Floats:
        """Return the wanted edge length at each point (n, 2)."""
        return np.asarray(_sizes(np.ascontiguousarray(points), self.samples, self.rule))


def field_of(
    points: Floats, segments: Indices, ring: Indices, sheet_mm: float, rule: tuple[float, float]
) -> Field:
    """Return the field of wanted lengths round the cuts, on a square sheet centred on them.

    Parameters
    ----------
    points, segments, ring : (p, 2) float, (s, 2) int, (r,) int
        The cuts.
    sheet_mm : float
        Side of the square.
    rule : (float, float)
        Growth of the wanted length per mm, and its share of the spacing on the cuts.
    """
    a, b = segments.T
    step = np.linalg.norm(points[b] - points[a], axis=1)
    ends = np.bincount(segments.ravel(), minlength=len(points))
    mean = np.bincount(segments.ravel(), np.repeat(step, 2), len(points)) / ends
    centre = (points.min(axis=0) + points.max(axis=0)) / 2
    return Field(
        samples=np.concatenate(
            [np.column_stack([points, mean]), np.column_stack([(points[a] + points[b]) / 2, step])]
        ),
        rule=np.array([*rule, COARSEST_RATIO * sheet_mm]),
        box_mm=np.concatenate([centre - sheet_mm / 2, centre + sheet_mm / 2]),
        ring_mm=np.ascontiguousarray(points[ring]),
    )


def border_points(field: Field) -> Floats:
    """Return nodes (b, 2) along the border, anticlockwise, as far apart as wanted there."""
    x0, y0, x1, y1 = field.box_mm
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])
    sides = [_along(a, b, field) for a, b in zip(corners[:-1], corners[1:], strict=True)]
    return np.concatenate(sides)


def inside(points: ArrayLike, polygon: ArrayLike) -> Truths:
    """Say for each point (n, 2) whether it lies in a polygon (m, 2), by even and odd.

    >>> inside([(1.0, 1.0), (3.0, 1.0)], [(0, 0), (2, 0), (2, 2), (0, 2)])
    array([ True, False])
    """
    places = np.ascontiguousarray(points, dtype=np.float64).reshape(-1, 2)
    corners = np.ascontiguousarray(polygon, dtype=np.float64).reshape(-1, 2)
    return np.asarray(_inside(places, corners), dtype=np.bool_)


def seeds(field: Field, border: Floats) -> Floats:
    """Return places (n, 2) for the inner nodes, finest lattice first."""
    _growth, share, coarsest = field.rule
    pitch = share * float(field.samples[:, 2].min())
    bands = max(int(np.ceil(np.log(share * coarsest / pitch) / np.log(BAND_RATIO))), 0) + 1
    found = [_lattice_of(field, pitch * BAND_RATIO**k) for k in range(bands)]
    points = np.concatenate([*found, np.zeros((0, 2))])
    sizes = field.sizes_mm(points)
    kept = _thinned(points, sizes, border, THIN_RATIO, MOST_CELLS)
    return np.asarray(points[kept])


def _along(a: Floats, b: Floats, field: Field) -> Floats:
    """Return one side's nodes without its last, equal steps of the integral of 1 / length."""
    t = np.linspace(0, 1, BORDER_SAMPLES)
    line = a + t[:, None] * (b - a)
    dense = 1 / field.sizes_mm(line)
    length_mm = float(np.linalg.norm(b - a))
    summed = np.concatenate([[0.0], np.cumsum((dense[1:] + dense[:-1]) / 2)])
    summed *= length_mm / (BORDER_SAMPLES - 1)
    count = max(round(float(summed[-1])), 2)
    where = np.interp(np.linspace(0, summed[-1], count + 1)[:-1], summed, t)
    return np.asarray(a + where[:, None] * (b - a))


def _lattice_of(field: Field, pitch: float) -> Floats:
    growth, share, _coarsest = field.rule
    low, high = pitch / np.sqrt(BAND_RATIO), pitch * np.sqrt(BAND_RATIO)
    near = field.samples[field.samples[:, 2] * share < high]
    reach = (high / share - near[:, 2].min()) / growth
    x0, y0 = np.maximum(near[:, :2].min(axis=0) - reach, field.box_mm[:2])
    x1, y1 = np.minimum(near[:, :2].max(axis=0) + reach, field.box_mm[2:])
    box = np.array([x0, y0, x1, y1, pitch, low, high])
    return np.asarray(_lattice(box, field.samples, field.rule, field.box_mm, field.ring_mm))


@njit(cache=True)
def _sizes(points: Floats, samples: Floats, rule: Floats) -> Floats:
    sizes = np.empty(len(points))
    for i in range(len(points)):
        sizes[i] = size_at(points[i, 0], points[i, 1], samples, rule)[0]
    return sizes


@njit(cache=True)
def size_at(x: float, y: float, samples: Floats, rule: Floats) -> tuple[float, float]:
    """Return the wanted length at a place, and the distance to the nearest sample."""
    least, nearest = np.inf, np.inf
    for q in range(len(samples)):
        dx, dy = x - samples[q, 0], y - samples[q, 1]
        far = np.sqrt(dx * dx + dy * dy)
        nearest = min(nearest, far)
        least = min(least, samples[q, 2] + rule[0] * far)
    return rule[1] * min(least, rule[2]), nearest


@njit(cache=True)
def in_polygon(x: float, y: float, polygon: Floats) -> bool:
    """Say whether a place lies in a polygon, by even and odd."""
    odd = False
    j = len(polygon) - 1
    for i in range(len(polygon)):
        yi, yj = polygon[i, 1], polygon[j, 1]
        if (yi > y) != (yj > y):
            if x < polygon[i, 0] + (y - yi) / (yj - yi) * (polygon[j, 0] - polygon[i, 0]):
                odd = not odd
        j = i
    return odd


@njit(cache=True)
def _inside(points: Floats, polygon: Floats) -> Truths:
    found = np.zeros(len(points), dtype=np.bool_)
    for i in range(len(points)):
        found[i] = in_polygon(points[i, 0], points[i, 1], polygon)
    return found


@njit(cache=True)
def is_free(x: float, y: float, away: float, box: Floats, ring: Floats) -> bool:
    """Say whether a place is skin at least so far from the border."""
    within = box[0] + away <= x <= box[2] - away and box[1] + away <= y <= box[3] - away
    return within and not in_polygon(x, y, ring)


@njit(cache=True)
def _lattice(box: Floats, samples: Floats, rule: Floats, sheet: Floats, ring: Floats) -> Floats:
    """Return a lattice's points in its band, passing over places too far from the band."""
    pitch, low, high = box[4], box[5], box[6]
    steepest = rule[0] * rule[1]
    rise = pitch * np.sqrt(3.0) / 2
    middle_x, middle_y = (sheet[0] + sheet[2]) / 2, (sheet[1] + sheet[3]) / 2
    found = []
    bottom, top = (
        int(np.ceil((box[1] - middle_y) / rise)),
        int(np.floor((box[3] - middle_y) / rise)),
    )
    for row in range(bottom, top + 1):
        y = middle_y + row * rise
        start = middle_x + (pitch / 2 if row % 2 else 0.0)
        first, last = (
            int(np.ceil((box[0] - start) / pitch)),
            int(np.floor((box[2] - start) / pitch)),
        )
        column = first
        while column <= last:
            x = start + column * pitch
            size, nearest = size_at(x, y, samples, rule)
            skip = max(size - high, low - size) / steepest
            column += max(1, int(skip / pitch))
            if skip > 0 or size == high or nearest < CLEAR_RATIO * size:
                continue
            if is_free(x, y, CLEAR_RATIO * size, sheet, ring):
                found.append((x, y))
    points = np.empty((len(found), 2))
    for i, (x, y) in enumerate(found):
        points[i, 0], points[i, 1] = x, y
    return points


@njit(cache=True)
def _thinned(
    points: Floats, sizes: Floats, border: Floats, ratio: float, most_cells: int
) -> Truths:
    """Keep a point unless one kept before, finest first, is too near for its size."""
    low_x, low_y = border[:, 0].min(), border[:, 1].min()
    width = border[:, 0].max() - low_x
    cell = width / most_cells
    if len(sizes):
        cell = max(cell, ratio * sizes.min())
    side = int(width / cell) + 1
    newest = np.full((side, side), -1)
    before = np.full(len(points), -1)
    kept = np.zeros(len(points), dtype=np.bool_)
    for i in range(len(points)):
        column, row = int((points[i, 0] - low_x) / cell), int((points[i, 1] - low_y) / cell)
        away = ratio * sizes[i]
        reach = int(away / cell) + 1
        kept[i] = True
        for r in range(max(row - reach, 0), min(row + reach, side - 1) + 1):
            for c in range(max(column - reach, 0), min(column + reach, side - 1) + 1):
                j = newest[r, c]
                while j >= 0:
                    dx, dy = points[i, 0] - points[j, 0], points[i, 1] - points[j, 1]
                    if dx * dx + dy * dy < away * away:
                        kept[i] = False
                    j = before[j]
        if kept[i]:
            before[i] = newest[row, column]
            newest[row, column] = i
    return kept
