"""The outline of all points within a distance of lines.

Discs are set close together along the lines and their common outline is walked round once:
along each disc anticlockwise until the first other disc is met, and on along that one.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.records import InputError

Floats = NDArray[np.float64]

STEP_RATIO = 0.1
"""Distance of neighbouring discs over their radius; the outline then lies inside the true
one by at most 0.13 % of the radius (half the step squared, over twice the radius squared)."""

MOST_DISCS = 2000
"""Discs along all lines, by a longer step if need be (assumed; memory). At a radius of 1 mm
round a large flap the outline is then off by up to 1 % of it."""

TURN = 2 * np.pi
ROUNDING = 1e-9
"""Turn, in radians, that rounding may take a meeting place backwards."""

ARC_DEG = 6.0
"""Longest turn between two points of an arc; chords lie inside it by 0.14 % of the radius."""


def outline_within_mm(lines: tuple[ArrayLike, ...], radius_mm: float) -> Floats:
    """Return the outer border (k, 2) of all that lies within a distance of lines, anticlockwise.

    Parameters
    ----------
    lines : tuple of (n, 2) float
        Polylines, mm.
    radius_mm : float
        The distance, above 0.

    Raises
    ------
    InputError
        If the lines lie too far apart for one outline to hold them.

    Examples
    --------
    >>> ring = outline_within_mm(([(0.0, 0.0), (10.0, 0.0)],), 2.0)
    >>> bool(abs(ring[:, 0].max() - 12.0) < 0.01)
    True
    """
    centres = _centres([np.asarray(line, dtype=np.float64) for line in lines], radius_mm)
    arcs = _arcs(centres, radius_mm)
    reached = np.unique([disc for disc, _, _ in arcs])
    _refuse_parts(centres, reached, radius_mm)
    return np.concatenate([_points(centres[disc], radius_mm, a, b) for disc, a, b in arcs])


def _centres(lines: list[Floats], radius_mm: float) -> Floats:
    length = sum(float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum()) for p in lines)
    step = max(STEP_RATIO * radius_mm, length / MOST_DISCS)
    return np.unique(np.concatenate([_spaced(p, step) for p in lines]).round(9), axis=0)


def _spaced(line: Floats, step: float) -> Floats:
    parts = [line[-1:]]
    for a, b in zip(line[:-1], line[1:], strict=True):
        count = max(int(np.ceil(np.linalg.norm(b - a) / step)), 1)
        parts.append(a + np.arange(count)[:, None] / count * (b - a))
    return np.concatenate(parts)


def _arcs(centres: Floats, radius: float) -> list[tuple[int, float, float]]:
    """Return the arcs of the outer border: disc, and the angles it is walked from and to."""
    arcs: list[tuple[int, float, float]] = []
    first = disc = int(np.lexsort((centres[:, 0], centres[:, 1]))[0])
    angle = -np.pi / 2
    for _ in range(4 * len(centres)):
        turn, other, onward = _next(centres, disc, angle, radius)
        left = (-np.pi / 2 - angle) % TURN
        if disc == first and arcs and left <= turn:
            return [*arcs, (disc, angle, angle + left)]
        arcs.append((disc, angle, angle + turn))
        if other == disc:
            return arcs
        disc, angle = other, onward
    raise InputError("The freed zone has no single border. Give a wider zone.")


def _next(centres: Floats, disc: int, angle: float, radius: float) -> tuple[float, int, float]:
    """Return how far to turn until another disc is met, which, and the angle on that one."""
    way = centres - centres[disc]
    gap = np.hypot(way[:, 0], way[:, 1])
    near = np.flatnonzero((gap > 0) & (gap < 2 * radius))
    if not len(near):
        return TURN, disc, angle
    half = np.arccos(gap[near] / (2 * radius))
    toward = np.arctan2(way[near, 1], way[near, 0])
    turns = (toward - half - angle + ROUNDING) % TURN
    best = int(np.lexsort((-gap[near], turns.round(9)))[0])
    return float(turns[best] - ROUNDING), int(near[best]), float(toward[best] + np.pi + half[best])


def _points(centre: Floats, radius: float, start: float, end: float) -> Floats:
    count = max(int(np.ceil(np.degrees(end - start) / ARC_DEG)), 1)
    turn = start + (end - start) * np.arange(count) / count
    return centre + radius * np.column_stack([np.cos(turn), np.sin(turn)])


def _refuse_parts(centres: Floats, reached: NDArray[np.int64], radius: float) -> None:
    """Refuse discs that do not hang together with those on the outline."""
    known = np.zeros(len(centres), dtype=bool)
    known[reached] = True
    gaps = np.linalg.norm(centres[:, None] - centres[None], axis=2) < 2 * radius
    while (grown := gaps[known].any(axis=0) | known).sum() > known.sum():
        known = grown
    if not known.all():
        raise InputError(
            f"Cuts lie more than {2 * radius:g} mm apart: no single zone holds them. "
            "Free a wider zone."
        )
