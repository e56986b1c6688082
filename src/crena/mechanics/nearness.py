"""How near lines come to other lines: exact for polylines.

All points within a distance of a segment make a capsule, which is convex: a straight piece
meets it in one interval, found in closed form from two discs and a rectangle.
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

TOUCH_MM = 1e-6
"""Lines nearer than this touch (rounding)."""

ONE_PLACE_MM = 1e-3
"""Crossings nearer than this are one place (rounding at corners)."""

PARALLEL_RATIO = 1e-12
"""Sine below which two segments have no crossing of their own (rounding)."""


def least_mm(lines: Iterable[ArrayLike], others: Iterable[ArrayLike]) -> float:
    """Return the least distance between two sets of polylines; 0 where they meet.

    Parameters
    ----------
    lines, others : iterable of (n, 2) float
        Polylines, mm.

    Examples
    --------
    >>> least_mm([[(0, 0), (10, 0)]], [[(13, 4), (13, 9)]])
    5.0
    """
    a, b = _segments(lines), _segments(others)
    if len(_meetings(a, b)):
        return 0.0
    ends = [_point_distances_mm(a[:, k], b).min() for k in range(2)]
    ends += [_point_distances_mm(b[:, k], a).min() for k in range(2)]
    return float(min(ends))


def crossings(lines: Iterable[ArrayLike], others: Iterable[ArrayLike]) -> int:
    """Return at how many places two sets of polylines cross or touch.

    Parameters
    ----------
    lines, others : iterable of (n, 2) float
        Polylines, mm. A stretch that both share has no place of its own.

    Examples
    --------
    >>> crossings([[(-1, 1), (1, 1), (-1, 2)]], [[(0, 0), (0, 9)]])
    2
    """
    places: list[Floats] = []
    for at in _meetings(_segments(lines), _segments(others)):
        if all(np.linalg.norm(at - known) > ONE_PLACE_MM for known in places):
            places.append(at)
    return len(places)


def share_within(
    lines: Iterable[ArrayLike], others: Iterable[ArrayLike], distance_mm: float
) -> float:
    """Return the share of the lines' length that lies within a distance of others.

    Parameters
    ----------
    lines, others : iterable of (n, 2) float
        Polylines, mm.
    distance_mm : float
        How near.

    Examples
    --------
    >>> share_within([[(0, 0), (10, 0)]], [[(0, 0), (0, 9)]], 4.0)
    0.4
    """
    a, b = _segments(lines), _segments(others)
    low, high = _intervals(a, b, distance_mm)
    length = np.linalg.norm(a[:, 1] - a[:, 0], axis=1)
    covered = np.array([_covered(*pair) for pair in zip(low, high, strict=True)])
    return float((covered * length).sum() / length.sum())


def _segments(lines: Iterable[ArrayLike]) -> Floats:
    """Return the segments (k, 2, 2) of polylines."""
    points = [np.asarray(line, dtype=np.float64) for line in lines]
    return np.concatenate([np.stack([p[:-1], p[1:]], axis=1) for p in points])


def _meetings(a: Floats, b: Floats) -> Floats:
    """Return the places (c, 2) where segments (k, 2, 2) cross or touch others (m, 2, 2)."""
    d, e = a[:, None, 1] - a[:, None, 0], b[None, :, 1] - b[None, :, 0]
    between = b[None, :, 0] - a[:, None, 0]
    size_d, size_e = np.linalg.norm(d, axis=2), np.linalg.norm(e, axis=2)
    turn = _cross(d, e)
    slanted = np.abs(turn) > PARALLEL_RATIO * size_d * size_e
    safe = np.where(slanted, turn, 1.0)
    s, t = _cross(between, e) / safe, _cross(between, d) / safe
    meets = slanted & _on(s, size_d) & _on(t, size_e)
    return np.asarray((a[:, None, 0] + s[..., None] * d)[meets])


def _on(share: Floats, size: Floats) -> NDArray[np.bool_]:
    along = share * size
    return np.asarray((along >= -TOUCH_MM) & (along <= size + TOUCH_MM))


def _point_distances_mm(points: Floats, segments: Floats) -> Floats:
    """Return the distance (n, m) of points (n, 2) from segments (m, 2, 2)."""
    start, step = segments[:, 0], segments[:, 1] - segments[:, 0]
    off = points[:, None] - start
    square = (step**2).sum(axis=1)
    along = np.clip((off * step).sum(axis=2) / np.where(square > 0, square, 1.0), 0, 1)
    return np.asarray(np.linalg.norm(off - along[..., None] * step, axis=2))


def _intervals(a: Floats, b: Floats, radius: float) -> tuple[Floats, Floats]:
    """Return where (k, m) each segment a lies within a radius of each b, in shares of a."""
    d, e = a[:, None, 1] - a[:, None, 0], b[None, :, 1] - b[None, :, 0]
    size = np.linalg.norm(e, axis=2)
    unit = e / np.where(size > 0, size, 1.0)[..., None]
    off = a[:, None, 0] - b[None, :, 0]
    along = _slab((off * unit).sum(axis=2), (d * unit).sum(axis=2), (0.0, size))
    beside = _slab(_cross(unit, off), _cross(unit, d), (-radius, radius))
    parts = [(np.maximum(along[0], beside[0]), np.minimum(along[1], beside[1]))]
    parts += [_disc(a[:, None, 0] - b[None, :, k], d, radius) for k in range(2)]
    clipped = [(np.maximum(low, 0.0), np.minimum(high, 1.0)) for low, high in parts]
    lows = [np.where(low < high, low, np.inf) for low, high in clipped]
    highs = [np.where(low < high, high, -np.inf) for low, high in clipped]
    return np.minimum.reduce(lows), np.maximum.reduce(highs)


def _slab(
    start: Floats, step: Floats, bounds: tuple[float, float | Floats]
) -> tuple[Floats, Floats]:
    """Return from where to where start + t step lies within bounds."""
    low, high = bounds
    moves = step != 0
    safe = np.where(moves, step, 1.0)
    ends = (low - start) / safe, (high - start) / safe
    inside = (start >= low) & (start <= high)
    first = np.where(moves, np.minimum(*ends), np.where(inside, -np.inf, np.inf))
    last = np.where(moves, np.maximum(*ends), np.where(inside, np.inf, -np.inf))
    return first, last


def _disc(off: Floats, step: Floats, radius: float) -> tuple[Floats, Floats]:
    """Return from where to where |off + t step| is at most a radius."""
    square = (step**2).sum(axis=2)
    safe = np.where(square > 0, square, 1.0)
    middle = -(off * step).sum(axis=2) / safe
    room = radius**2 - ((off + middle[..., None] * step) ** 2).sum(axis=2)
    half = np.sqrt(np.maximum(room, 0.0) / safe)
    met = (room > 0) & (square > 0)
    return np.where(met, middle - half, np.inf), np.where(met, middle + half, -np.inf)


def _covered(low: Floats, high: Floats) -> float:
    """Return how much of 0 to 1 intervals cover together."""
    total, reached = 0.0, 0.0
    for k in np.argsort(low):
        if high[k] > reached:
            total += float(high[k] - max(low[k], reached))
            reached = float(high[k])
    return total


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
