"""Which points lie in a union of balls: looked up by cells, so that many can be asked."""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]

CELL_MM = 2.0
"""Edge of the cells by which balls are looked up; a millimetre more or less changes no answer."""

MOST_CELLS = 64
"""Cells along one axis; balls that lie far apart get larger cells."""

SLACK = 1e-9
"""What a bound may be off by: arithmetic, never an answer."""


class Balls(NamedTuple):
    """Balls sorted into cells: a named tuple, for compiled code can read nothing else of ours.

    The balls that reach into a cell are chained: the last one, then the one before it,
    until -1. A cell that lies wholly in one ball needs no chain.
    """

    centres: Floats  #: (n, 3) mm
    radii: Floats  #: (n,) mm
    low: Floats  #: (3,) mm, corner of the first cell
    edge_mm: float
    shape: Indices  #: (3,) cells along each axis
    full: NDArray[np.bool_]  #: (cells,)
    last: Indices  #: (cells,) into `ball`
    ball: Indices  #: (m,)
    before: Indices  #: (m,) into `ball`


def balls_of(centres: Floats, radii: Floats) -> Balls:
    """Sort balls (n, 3), (n,), mm, made ready once for many points."""
    middles = np.ascontiguousarray(centres, dtype=np.float64)
    widths = np.ascontiguousarray(radii, dtype=np.float64)
    low, edge_mm, shape = _cells(middles, widths)
    chains = _sorted_balls(middles, widths, low, edge_mm, shape)
    return Balls(middles, widths, low, edge_mm, shape, *chains)


def within_balls(points: Floats, balls: Balls) -> NDArray[np.bool_]:
    """Say for each point (k, 3), mm, whether it lies in any of the balls."""
    return np.asarray(_within(np.ascontiguousarray(points), balls), dtype=np.bool_)


@njit(cache=True)
def _within(points, balls):  # type: ignore[no-untyped-def]
    """Hold each point against the balls of its own cell alone."""
    inside = np.zeros(len(points), dtype=np.bool_)
    for i in range(len(points)):
        cell = _cell_of(points[i], balls.low, balls.edge_mm, balls.shape)
        if cell < 0:
            continue
        inside[i] = balls.full[cell]
        k = balls.last[cell]
        while k >= 0 and not inside[i]:
            j = balls.ball[k]
            a, b = points[i, 0] - balls.centres[j, 0], points[i, 1] - balls.centres[j, 1]
            c = points[i, 2] - balls.centres[j, 2]
            inside[i] = a * a + b * b + c * c <= balls.radii[j] * balls.radii[j]
            k = balls.before[k]
    return inside


@njit(cache=True)
def _cells(centres, radii):  # type: ignore[no-untyped-def]
    """Return the low corner, the edge and the number of cells that hold all balls."""
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for j in range(len(radii)):
        for k in range(3):
            low[k] = min(low[k], centres[j, k] - radii[j])
            high[k] = max(high[k], centres[j, k] + radii[j])
    edge = max(CELL_MM, (high - low).max() / MOST_CELLS)
    shape = np.ones(3, dtype=np.int64)
    for k in range(3):
        shape[k] = max(int((high[k] - low[k]) / edge) + 1, 1)
    return low, edge, shape


@njit(cache=True)
def _cell_of(point, low, edge, shape):  # type: ignore[no-untyped-def]
    """Return the number of the cell that holds a point; -1 if none does."""
    number = 0
    for k in range(3):
        at = np.floor((point[k] - low[k]) / edge)
        if not 0 <= at < shape[k]:
            return -1
        number = number * shape[k] + int(at)
    return number


@njit(cache=True)
def _sorted_balls(centres, radii, low, edge, shape):  # type: ignore[no-untyped-def]
    """Return which cells lie in one ball, and the chains of balls that reach into the others."""
    cells, most = shape.prod(), 0
    for j in range(len(radii)):
        most += (int(2 * radii[j] / edge) + 2) ** 3
    full, last = np.zeros(cells, dtype=np.bool_), np.full(cells, -1)
    ball, before, count = np.empty(most, np.int64), np.empty(most, np.int64), 0
    for j in range(len(radii)):
        at, r2 = (centres[j] - low) / edge, (radii[j] / edge) ** 2
        start = np.maximum(np.floor(at - radii[j] / edge), 0).astype(np.int64)
        stop = np.minimum(np.floor(at + radii[j] / edge) + 1, shape).astype(np.int64)
        for x in range(start[0], stop[0]):
            for y in range(start[1], stop[1]):
                for z in range(start[2], stop[2]):
                    cell = (x * shape[1] + y) * shape[2] + z
                    near2, far2 = _near_and_far(at, x, y, z)
                    if full[cell] or near2 > r2 + SLACK:
                        continue
                    full[cell] = far2 <= r2 - SLACK
                    ball[count], before[count], last[cell] = j, last[cell], count
                    count += 1
    return full, last, ball[:count].copy(), before[:count].copy()


@njit(cache=True)
def _near_and_far(at, x, y, z):  # type: ignore[no-untyped-def]
    """Return the squared distances of a place to the nearest and furthest point of a cell."""
    a, b, c = abs(x + 0.5 - at[0]), abs(y + 0.5 - at[1]), abs(z + 0.5 - at[2])
    near2 = max(a - 0.5, 0.0) ** 2 + max(b - 0.5, 0.0) ** 2 + max(c - 0.5, 0.0) ** 2
    return near2, (a + 0.5) ** 2 + (b + 0.5) ** 2 + (c + 0.5) ** 2
