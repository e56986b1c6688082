"""Dots, hatch and small v marks inside outlines: plain geometry of the page."""

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.draw.svg import Box
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

WAVE_STEP_MM = 2.6
"""Between the waves of wrinkled skin, on paper."""

_WAVE_HALF_MM = 1.0
_WAVE_RISE_MM = 0.45
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


def odd_inside(points: ArrayLike, rings: Sequence[Sequence[Point2]]) -> Bools:
    """Return which points an odd number of rings surround: the area between them.

    Parameters
    ----------
    points : (n, 2) float
        What is asked.
    rings : sequence of rings
        Closed, first point not repeated.

    Returns
    -------
    (n,) bool
        True between the rings.

    Examples
    --------
    >>> outer, hole = ((0, 0), (9, 0), (9, 9), (0, 9)), ((3, 3), (6, 3), (6, 6), (3, 6))
    >>> odd_inside([(1, 1), (4, 4)], [outer, hole]).tolist()
    [True, False]
    """
    odd = np.zeros(len(np.atleast_2d(np.asarray(points, dtype=float))), dtype=bool)
    for ring in rings:
        odd ^= inside(points, ring)
    return odd


def hatch_between(
    rings: Sequence[Sequence[Point2]], step_mm: float, turn_deg: float
) -> tuple[tuple[Point2, ...], ...]:
    """Return parallel lines over the area that an odd number of rings surround.

    Parameters
    ----------
    rings : sequence of rings
        Closed, first point not repeated.
    step_mm : float
        Between two lines.
    turn_deg : float
        Of the lines, anticlockwise from across.

    Returns
    -------
    tuple of lines
        Each of two points.

    Examples
    --------
    >>> square = ((0, 0), (2, 0), (2, 2), (0, 2))
    >>> hatch_between([square], 1.5, 0.0)
    (((0.0, 0.0), (2.0, 0.0)), ((0.0, 1.5), (2.0, 1.5)))
    """
    if not rings:
        return ()
    cosine, sine = float(np.cos(np.radians(turn_deg))), float(np.sin(np.radians(turn_deg)))
    turn = np.array([[cosine, -sine], [sine, cosine]])
    laid = [np.asarray(ring, dtype=float) @ turn for ring in rings]
    heights = np.concatenate([ring[:, 1] for ring in laid])
    first = np.ceil(heights.min() / step_mm) * step_mm
    lines: list[tuple[Point2, ...]] = []
    for level in np.arange(first, heights.max(), step_mm):
        crossed = sorted(x for ring in laid for span in _crossed(ring, float(level)) for x in span)
        for start, end in zip(crossed[::2], crossed[1::2], strict=True):
            ends = np.array([[start, level], [end, level]]) @ turn.T
            lines.append(tuple((float(x), float(y)) for x, y in ends))
    return tuple(lines)


def places_between(rings: Sequence[Sequence[Point2]], step_mm: float) -> tuple[Point2, ...]:
    """Return the points of a square grid that an odd number of rings surround.

    Parameters
    ----------
    rings : sequence of rings
        Closed, first point not repeated.
    step_mm : float
        Between two points of the grid; the grid goes through the origin.

    Returns
    -------
    tuple of Point2
        Row by row from below.
    """
    if not rings:
        return ()
    corners = np.array([point for ring in rings for point in ring], dtype=float)
    low, high = np.floor(corners.min(axis=0) / step_mm) * step_mm, corners.max(axis=0)
    x, y = np.meshgrid(np.arange(low[0], high[0], step_mm), np.arange(low[1], high[1], step_mm))
    points = np.column_stack([x.ravel(), y.ravel()])
    return tuple((float(a), float(b)) for a, b in points[odd_inside(points, rings)])


def within_box(line: Sequence[Point2], box: Box) -> tuple[tuple[Point2, ...], ...]:
    """Return the parts of a line that lie in a box.

    Parameters
    ----------
    line : sequence of Point2
        Open, or closed by repeating its first point.
    box : Box
        Left, bottom, right, top.

    Returns
    -------
    tuple of lines
        In the order of the line.

    Examples
    --------
    >>> within_box(((-1.0, 1.0), (1.0, 1.0), (1.0, 9.0)), (0.0, 0.0, 2.0, 2.0))
    (((0.0, 1.0), (1.0, 1.0), (1.0, 2.0)),)

    Notes
    -----
    Each step is cut at the four edges (Liang & Barsky, ACM Transactions on Graphics 1984).
    """
    parts: list[list[Point2]] = []
    for p, q in pairwise(line):
        shares = _shares_within(p, q, box)
        if shares is None:
            continue
        a, b = ((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])) for t in shares)
        if parts and parts[-1][-1] == a:
            parts[-1].append(b)
        else:
            parts.append([a, b])
    return tuple(tuple(part) for part in parts)


def waves(places: Iterable[Point2], scale_ratio: float) -> tuple[tuple[Point2, ...], ...]:
    """Return a small wave at each place, of equal size on paper at any scale."""
    steps = np.linspace(-1.0, 1.0, 9)
    shape = np.column_stack([_WAVE_HALF_MM * steps, _WAVE_RISE_MM * np.sin(np.pi * steps)])
    return tuple(
        tuple((x + float(a), y + float(b)) for a, b in shape / scale_ratio) for x, y in places
    )


def v_marks(places: Iterable[Point2], scale_ratio: float) -> tuple[tuple[Point2, ...], ...]:
    """Return a small v at each place, of equal size on paper at any scale."""
    half, depth = _V_HALF_MM / scale_ratio, _V_DEPTH_MM / scale_ratio
    return tuple(
        ((x - half, y + depth / 2), (x, y - depth / 2), (x + half, y + depth / 2))
        for x, y in places
    )


def _shares_within(p: Point2, q: Point2, box: Box) -> tuple[float, float] | None:
    first, last = 0.0, 1.0
    for axis in range(2):
        step = q[axis] - p[axis]
        for bound, outwards in ((box[axis], -1.0), (box[axis + 2], 1.0)):
            room, pace = outwards * (bound - p[axis]), outwards * step
            if pace > 0:
                last = min(last, room / pace)
            elif pace < 0:
                first = max(first, room / pace)
            elif room < 0:
                return None
    return (first, last) if first < last else None


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
