"""Skin as a height map, unrolled across the cleft by arc length.

A valley is nearly a generalised cylinder: at constant y it unrolls without stretch. The
coordinates of the template are (s, y), s being the arc length from the midline x = 0.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from crena.records import Surface

Floats = NDArray[np.float64]

FLOOR_REACH_MM = 15.0
"""How far off the midline the cleft's floor is looked for (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SkinMap:
    """A surface ready for look-ups: heights and arc lengths on the same grid."""

    x_mm: Floats  #: (n,)
    y_mm: Floats  #: (m,)
    z_mm: Floats  #: (m, n)
    arc_mm: Floats  #: (m, n), from x = 0, to the patient's right


def skin_map(surface: Surface) -> SkinMap:
    """Prepare a surface for unrolling.

    Parameters
    ----------
    surface : Surface
        Heights over a grid that contains x = 0.

    Returns
    -------
    SkinMap
        With the arc length at constant y, exact for the piecewise linear profile.
    """
    x, y = np.asarray(surface.x_mm, dtype=float), np.asarray(surface.y_mm, dtype=float)
    z = np.asarray(surface.z_mm, dtype=float)
    steps = np.hypot(np.diff(x), np.diff(z, axis=1))
    arc = np.concatenate([np.zeros((len(y), 1)), np.cumsum(steps, axis=1)], axis=1)
    at_midline = np.array([np.interp(0.0, x, row) for row in arc])
    return SkinMap(x_mm=x, y_mm=y, z_mm=z, arc_mm=arc - at_midline[:, None])


def cleft_floor_mm(skin: SkinMap) -> tuple[tuple[float, float], ...]:
    """Return the floor of the cleft: on each level the lowest place near the midline, (s, y).

    >>> from crena.records import Origin
    >>> flat = skin_map(Surface(x_mm=(-1.0, 0.0, 1.0), y_mm=(0.0, 5.0),
    ...     z_mm=((0.0, 0.0, -2.0), (0.0, -1.0, 0.0)), origin=Origin.PROBING, sd_mm=1.0))
    >>> [round(s, 2) for s, _ in cleft_floor_mm(flat)]
    [2.24, 0.0]
    """
    near = np.flatnonzero(np.abs(skin.x_mm) <= FLOOR_REACH_MM)
    lowest = near[np.argmin(skin.z_mm[:, near], axis=1)]
    along = skin.arc_mm[np.arange(len(lowest)), lowest]
    return tuple((float(s), float(y)) for s, y in zip(along, skin.y_mm, strict=True))


def height_mm(skin: SkinMap, xy: ArrayLike) -> Floats:
    """Return the height z at points (n, 2) of the (x, y) plane, bilinear, mm."""
    xy = np.atleast_2d(np.asarray(xy, dtype=float))
    return _bilinear(skin, skin.z_mm, xy)


def unroll_mm(skin: SkinMap, xy: ArrayLike) -> Floats:
    """Carry points (n, 2) from (x, y) to (s, y) on the skin above or below them, mm."""
    xy = np.atleast_2d(np.asarray(xy, dtype=float))
    beyond = xy[:, 0] - np.clip(xy[:, 0], skin.x_mm[0], skin.x_mm[-1])
    return np.column_stack([_bilinear(skin, skin.arc_mm, xy) + beyond, xy[:, 1]])


def roll_mm(skin: SkinMap, sy: ArrayLike) -> Floats:
    """Carry points (n, 2) from the template's (s, y) to the skin's (x, y, z), mm.

    Examples
    --------
    >>> from crena.records import Origin, Surface
    >>> slope = Surface(x_mm=(-40, 40), y_mm=(0, 10), z_mm=((-30, 30), (-30, 30)),
    ...                 origin=Origin.ENTERED, sd_mm=0.0)
    >>> roll_mm(skin_map(slope), [[10.0, 5.0]]).round(3)
    array([[8., 5., 6.]])
    """
    sy = np.atleast_2d(np.asarray(sy, dtype=float))
    row, fraction = _cell(skin.y_mm, sy[:, 1])
    column, low, high = _columns(skin.arc_mm, row, fraction, sy[:, 0])
    part = (sy[:, 0] - low) / (high - low)
    inside = np.clip(part, 0.0, 1.0)
    x = skin.x_mm[column] + inside * (skin.x_mm[column + 1] - skin.x_mm[column])
    beyond = (part - inside) * (high - low)
    xy = np.column_stack([x, sy[:, 1]])
    return np.column_stack([x + beyond, sy[:, 1], height_mm(skin, xy)])


@njit(cache=True)
def _columns(arcs, rows, fractions, s):  # type: ignore[no-untyped-def]
    """Return for each point the column whose arc lengths hold it, and both arc lengths.

    The arc lengths along a row between two rows of the grid rise; the column is found by
    halving, and only the arc lengths that are looked at are interpolated.
    """
    count = len(s)
    column, low, high = np.empty(count, np.int64), np.empty(count), np.empty(count)
    for i in range(count):
        below, above, f = arcs[rows[i]], arcs[rows[i] + 1], fractions[i]
        first, last = 0, len(below) - 2
        while first < last:
            half = (first + last + 1) // 2
            if below[half] * (1 - f) + above[half] * f <= s[i]:
                first = half
            else:
                last = half - 1
        column[i] = first
        low[i] = below[first] * (1 - f) + above[first] * f
        high[i] = below[first + 1] * (1 - f) + above[first + 1] * f
    return column, low, high


def _bilinear(skin: SkinMap, values: Floats, xy: Floats) -> Floats:
    i, u = _cell(skin.x_mm, xy[:, 0])
    j, v = _cell(skin.y_mm, xy[:, 1])
    low = values[j, i] * (1 - u) + values[j, i + 1] * u
    high = values[j + 1, i] * (1 - u) + values[j + 1, i + 1] * u
    return np.asarray(low * (1 - v) + high * v)


def _cell(grid: Floats, at: Floats) -> tuple[NDArray[np.int64], Floats]:
    inside = np.clip(at, grid[0], grid[-1])
    cell = np.clip(np.searchsorted(grid, inside, side="right") - 1, 0, len(grid) - 2)
    return cell.astype(np.int64), (inside - grid[cell]) / (grid[cell + 1] - grid[cell])
