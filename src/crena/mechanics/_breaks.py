"""Breaks: the places along a cut that must be nodes, alike on both edges of every seam.

A break on one edge of a seam is carried to the same fraction of the other edge, unless that
edge has a break of its own so near that the two can be sutured to each other. Where an edge
slides along its own cut, as beside an island that advances, each carried break asks for the
next; near ones would otherwise crowd the cut with steps as short as chance will have them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crena.mechanics.sheet import Floats
from crena.records import InputError

TOUCH_MM = 1e-6
"""Points nearer than this are one point (rounding of stored coordinates)."""
NEAR_BREAK_RATIO = 0.5
"""Breaks of two edges nearer than this, in seam steps, are sutured to each other (assumed)."""
MOST_BREAKS = 400
"""More matched breaks than this mean that the seams never come to terms (assumed)."""

Walk = list[tuple[int, float, float]]  #: (curve, from mm, to mm) in the order of an edge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Curve:
    """A cut: its points, and where along it there must be a node."""

    points: Floats  #: (n, 2); of a closed curve the first point is repeated
    along: Floats  #: (n,) arc length, mm
    keys: list[float]  #: arc lengths that must be nodes
    tips: Floats  #: (t,) arc lengths at which it turns back and leaves a narrow tip of skin

    @property
    def closed(self) -> bool:
        """Say whether it is the border of the removed skin."""
        return bool((self.points[0] == self.points[-1]).all())


def add_key(curve: Curve, along_mm: float) -> bool:
    """Ask for a node at an arc length; say whether there was none."""
    if min(abs(along_mm - key) for key in curve.keys) <= 2 * TOUCH_MM:
        return False
    curve.keys.append(along_mm)
    curve.keys.sort()
    return True


def share_breaks(
    curves: Sequence[Curve], walks: list[tuple[Walk, Walk]], seam_step_mm: float
) -> None:
    """Give the two edges of every seam the same number of breaks, each with its partner."""
    while any(_paired(curves, pair, seam_step_mm) for pair in walks):
        if sum(len(curve.keys) for curve in curves) > MOST_BREAKS:
            raise InputError("The seams share edges without end. Draw fewer seams on one cut.")


def _paired(curves: Sequence[Curve], pair: tuple[Walk, Walk], seam_step_mm: float) -> bool:
    """Carry the first break that has no partner to the other edge; say whether there was one."""
    lengths = [_length_mm(walk) for walk in pair]
    first, second = (_breaks_mm(curves, walk) / mm for walk, mm in zip(pair, lengths, strict=True))
    near = NEAR_BREAK_RATIO * seam_step_mm / max(lengths)
    return any(
        _break_at(curves, walk, float(fraction) * length)
        for walk, length, own, other in (
            (pair[1], lengths[1], first, second),
            (pair[0], lengths[0], second, first),
        )
        for fraction in own[_lonely(own, other, near)]
    )


def _lonely(own: Floats, other: Floats, near: float) -> list[int]:
    """Return which breaks have no partner: another one near, each the other's nearest."""
    if not len(own) or not len(other):
        return list(range(len(own)))
    gap = np.abs(own[:, None] - other)
    nearest = gap.argmin(axis=1)
    mutual = gap.argmin(axis=0)[nearest] == np.arange(len(own))
    return [int(i) for i in np.flatnonzero(~mutual | (gap.min(axis=1) > near))]


def _breaks_mm(curves: Sequence[Curve], walk: Walk) -> Floats:
    """Return how far along a walk its inner keys lie."""
    found, done = [], 0.0
    for c, s, e in walk:
        low, high = min(s, e) - TOUCH_MM, max(s, e) + TOUCH_MM
        found += [done + abs(key - s) for key in curves[c].keys if low < key < high]
        done += abs(e - s)
    inner = np.sort([s for s in found if 4 * TOUCH_MM < s < done - 4 * TOUCH_MM])
    return inner[np.diff(inner, prepend=-1.0) > 4 * TOUCH_MM]


def _break_at(curves: Sequence[Curve], walk: Walk, far_mm: float) -> bool:
    for c, s, e in walk:
        if far_mm <= abs(e - s) + TOUCH_MM:
            return add_key(curves[c], s + np.sign(e - s) * far_mm)
        far_mm -= abs(e - s)
    return False


def _length_mm(walk: Walk) -> float:
    return sum(abs(e - s) for _, s, e in walk)
