"""Scars and other lines in the template's plane: distance from the midline, crossings."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def share_beyond(lines: Iterable[ArrayLike], distance_mm: float) -> float:
    """Return the share of the lines' length that lies at least a distance off the midline.

    Exact: x is linear along each segment, so each is clipped in closed form.

    Parameters
    ----------
    lines : iterable of (n, 2) float
        Polylines in (s, y), mm; the midline is s = 0.
    distance_mm : float
        The distance asked for, mm.

    Examples
    --------
    >>> share_beyond([[(0, 0), (10, 0)]], 4.0)
    0.6
    """
    total = beyond = 0.0
    for line in lines:
        p = np.asarray(line, dtype=float)
        length = np.linalg.norm(np.diff(p, axis=0), axis=1)
        inside = fraction_within(p[:-1, 0], p[1:, 0], distance_mm)
        total += float(length.sum())
        beyond += float((length * (1 - inside)).sum())
    return beyond / total


def shares_beyond(lines: Floats, distance_mm: float) -> Floats:
    """Return for each of many polylines (n, k, 2) its share at least a distance off the midline."""
    inside = fraction_within(lines[:, :-1, 0], lines[:, 1:, 0], distance_mm)
    length = np.linalg.norm(np.diff(lines, axis=1), axis=2)
    return np.asarray(1 - (inside * length).sum(axis=1) / length.sum(axis=1))


def fraction_within(start: Floats, end: Floats, half_width_mm: float) -> Floats:
    """Return which part of each segment lies strictly within a strip about the midline.

    Parameters
    ----------
    start, end : (...) float
        Distance of the segments' ends from the midline, signed, mm.
    half_width_mm : float
        Of the strip.
    """
    low, high = np.minimum(start, end), np.maximum(start, end)
    overlap = np.minimum(high, half_width_mm) - np.maximum(low, -half_width_mm)
    span = high - low
    sloped = np.maximum(overlap, 0) / np.where(span > 0, span, 1.0)
    return np.where(span > 0, sloped, np.where(np.abs(start) < half_width_mm, 1.0, 0.0))


def distances_mm(point: ArrayLike, lines: Floats) -> Floats:
    """Return the least distance (n,) of a point from each of many polylines (n, k, 2), mm."""
    at = np.asarray(point, dtype=float)
    start, step = lines[:, :-1], np.diff(lines, axis=1)
    square = (step**2).sum(axis=2)
    along = ((at - start) * step).sum(axis=2) / np.where(square > 0, square, 1.0)
    nearest = start + np.clip(along, 0, 1)[..., None] * step
    return np.asarray(np.linalg.norm(at - nearest, axis=2).min(axis=1))


def signed_distances_mm(point: ArrayLike, polygons: Floats) -> Floats:
    """Return how far a point lies outside each closed polygon (n, k, 2); negative inside, mm.

    Examples
    --------
    >>> square = np.array([[[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]]])
    >>> signed_distances_mm((6.0, 1.0), square), signed_distances_mm((3.0, 2.0), square)
    (array([2.]), array([-1.]))
    """
    x, y = np.asarray(point, dtype=float)
    closed = np.concatenate([polygons, polygons[:, :1]], axis=1)
    (x0, y0), (x1, y1) = np.moveaxis(closed[:, :-1], 2, 0), np.moveaxis(closed[:, 1:], 2, 0)
    spans = (y0 > y) != (y1 > y)
    rise = np.where(y1 != y0, y1 - y0, 1.0)
    crossed = spans & (x < x0 + (x1 - x0) * (y - y0) / rise)
    inside = crossed.sum(axis=1) % 2 == 1
    return np.where(inside, -1.0, 1.0) * distances_mm(point, closed)


def is_inside(point: ArrayLike, polygon: Floats) -> bool:
    """Tell whether a point lies inside a closed polygon (k, 2); the first point is not repeated.

    >>> is_inside((3.0, 2.0), np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]]))
    True
    """
    x, y = np.asarray(point, dtype=float)
    (x0, y0), (x1, y1) = polygon.T, np.roll(polygon, -1, axis=0).T
    spans = (y0 > y) != (y1 > y)
    crossed = x < x0[spans] + (x1 - x0)[spans] * (y - y0[spans]) / (y1 - y0)[spans]
    return int(crossed.sum()) % 2 == 1


def least_midline_mm(lines: Iterable[ArrayLike]) -> float:
    """Return the least distance of the lines from the midline; 0 where one crosses it."""
    return min(_least_of_line(np.asarray(line, dtype=float)) for line in lines)


def midline_crossings(lines: Iterable[ArrayLike]) -> int:
    """Return how many times lines touch or pass the midline; one place counts once."""
    places: list[float] = []
    for line in lines:
        p = np.asarray(line, dtype=float)
        for (x0, y0), (x1, y1) in zip(p[:-1], p[1:], strict=True):
            if x0 * x1 <= 0 and (x0, x1) != (0, 0):
                places.append(y0 + (y1 - y0) * x0 / (x0 - x1))
    return len(np.unique(np.round(places, 6)))


def distance_to_lines_mm(point: ArrayLike, lines: Iterable[ArrayLike]) -> float:
    """Return the least distance of a point from polylines, mm."""
    return min(float(distances_mm(point, np.asarray(line, float)[None])[0]) for line in lines)


def _least_of_line(p: Floats) -> float:
    crosses = (p[:-1, 0] * p[1:, 0] <= 0).any()
    return 0.0 if crosses else float(np.abs(p[:, 0]).min())
