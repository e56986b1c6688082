"""Dots, hatch and small v marks inside outlines: plain geometry of the page."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.records import Point2

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

DOT_STEP_MM = 2.6
"""Between the dots of what is taken out, on paper."""

SMALL_DOT_STEP_MM = 1.4
"""The same in small pictures."""

HATCH_STEP_MM = 1.1
"""Between the hatch lines of the disease, on paper."""

V_STEP_MM = 4.2
"""Between the v marks of the undermined zone, on paper."""

_V_HALF_MM = 0.8
_V_DEPTH_MM = 0.9
_HALF_TURN = float(np.sqrt(0.5))


def inside(points: ArrayLike, outline: ArrayLike) -> Bools:
    """Return which points lie within a closed outline (even-odd).

    Parameters
    ----------
    points : (n, 2) float
        What is asked.
    outline : (m, 2) float
        Corners in order, first not repeated.

    Returns
    -------
    (n,) bool
        True inside.

    Examples
    --------
    >>> inside([(1, 1), (3, 1)], [(0, 0), (2, 0), (2, 2), (0, 2)]).tolist()
    [True, False]
    """
    p = np.atleast_2d(np.asarray(points, dtype=float))
    a = np.asarray(outline, dtype=float)
    b = np.roll(a, -1, axis=0)
    rising = (a[:, 1] > p[:, 1:]) != (b[:, 1] > p[:, 1:])
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = a[:, 0] + (p[:, 1:] - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])
    return np.asarray((rising & (p[:, :1] < crossing)).sum(axis=1) % 2 == 1)


def grid_within(
    outline: Sequence[Point2], step_mm: float, *, without: Iterable[Sequence[Point2]] = ()
) -> tuple[Point2, ...]:
    """Return the points of a square grid that lie within an outline.

    Parameters
    ----------
    outline : sequence of Point2
        Closed, first point not repeated.
    step_mm : float
        Between two points of the grid; the grid goes through the origin.
    without : iterable of outlines
        Where no point may lie: words, other areas.

    Returns
    -------
    tuple of Point2
        Row by row from below.
    """
    if len(outline) < 3:
        return ()
    corners = np.asarray(outline, dtype=float)
    low = np.floor(corners.min(axis=0) / step_mm) * step_mm
    high = corners.max(axis=0)
    x, y = np.meshgrid(np.arange(low[0], high[0], step_mm), np.arange(low[1], high[1], step_mm))
    points = np.column_stack([x.ravel(), y.ravel()])
    keep = inside(points, corners)
    for area in without:
        if len(area) > 2:
            keep &= ~inside(points, area)
    return tuple((float(a), float(b)) for a, b in points[keep])


def hatch_of(
    outlines: Sequence[Sequence[Point2]], step_mm: float
) -> tuple[tuple[Point2, ...], ...]:
    """Return lines at 45 degrees over the union of outlines.

    Parameters
    ----------
    outlines : sequence of outlines
        Closed; they may overlap.
    step_mm : float
        Between two lines.

    Returns
    -------
    tuple of lines
        Each of two points.
    """
    turned = [np.asarray(outline, dtype=float) @ _turn() for outline in outlines]
    low = min(float(t[:, 1].min()) for t in turned)
    high = max(float(t[:, 1].max()) for t in turned)
    lines: list[tuple[Point2, ...]] = []
    for level in np.arange(np.ceil(low / step_mm) * step_mm, high, step_mm):
        spans = [span for t in turned for span in _crossed(t, float(level))]
        for start, end in _joined(spans):
            ends = np.array([[start, level], [end, level]]) @ _turn().T
            lines.append(tuple((float(x), float(y)) for x, y in ends))
    return tuple(lines)


def v_marks(places: Iterable[Point2], scale_ratio: float) -> tuple[tuple[Point2, ...], ...]:
    """Return a small v at each place, of equal size on paper at any scale."""
    half, depth = _V_HALF_MM / scale_ratio, _V_DEPTH_MM / scale_ratio
    return tuple(
        ((x - half, y + depth / 2), (x, y - depth / 2), (x + half, y + depth / 2))
        for x, y in places
    )


def _turn() -> Floats:
    return np.array([[_HALF_TURN, -_HALF_TURN], [_HALF_TURN, _HALF_TURN]])


def _crossed(outline: Floats, level: float) -> list[tuple[float, float]]:
    a, b = outline, np.roll(outline, -1, axis=0)
    cut = (a[:, 1] > level) != (b[:, 1] > level)
    a, b = a[cut], b[cut]
    at = np.sort(a[:, 0] + (level - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
    return [(float(at[i]), float(at[i + 1])) for i in range(0, len(at) - 1, 2)]


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    joined: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined
