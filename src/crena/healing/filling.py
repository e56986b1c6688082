"""What a flap fills of the wound, and what stays empty under it.

The wound is a field of depths over triangles, the flap a field of thicknesses where it comes
from, carried into the wound triangle by triangle. Where the depth exceeds all that is laid
there, room stays empty. Depth and thickness are linear over each triangle, and triangles
are cut along the flap's own and along the line where nothing is left, so that

    V = integral of max(0, depth - thickness - sink) dA

is exact for fields that are linear over the triangles.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.geometry.motions import moved
from crena.geometry.triangles import areas_mm2, ears, located, split, weights
from crena.records import InputError, Point2, Record, RigidMotion, point2
from crena.records.units import ml_from_mm3

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STAYS = RigidMotion(angle_deg=0.0, pivot_mm=(0.0, 0.0))
"""The motion of tissue whose outline is given where it comes to lie."""

_NO_PART = np.empty(0, dtype=np.int64)

_DEPTH, _LEFT = 2, 3
"""Columns of a corner after its place: depth of the wound, and what is left of it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bed(Record):
    """The wound before anything is laid in; triangles do not overlap."""

    corners_mm: Floats  #: (m, 3, 2), on the skin, (s, y)
    depth_mm: Floats  #: (m, 3), from the skin to the floor, at each triangle's own corners


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filler(Record):
    """Tissue that is laid into the wound; spread over more skin, all of it thins alike."""

    home_mm: Floats  #: (k, 3, 2) triangles where it comes from
    placed_mm: Floats  #: (k, 3, 2) the same triangles where they come to lie
    thickness_mm: Callable[[Floats], Floats]  #: of places (n, 2) where it comes from


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filled(Record):
    """The wound in pieces, each with its depth and with what is left of it."""

    pieces: Floats  #: (n, 3, 4): s, y, depth, left; left is negative where tissue bulges


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap(Record):
    """What stays empty."""

    volume_ml: float
    deepest_mm: float
    deepest_at_mm: Point2 | None  #: none if nothing stays empty
    middle_at_mm: Point2 | None  #: centroid


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared(Record):
    """One plan's gap beside the least of all plans."""

    plan: str
    gap_ml: float
    more_ml: float  #: than the plan that leaves least


def fill(bed: Bed, fillers: tuple[Filler, ...] = (), *, sink_mm: float = 0.0) -> Filled:
    """Lay tissue into a wound.

    Parameters
    ----------
    bed : Bed
        The wound.
    fillers : tuple of Filler
        Laid in one after the other; where two overlap, their thicknesses add.
    sink_mm : float
        How far the surface of the skin sinks everywhere.

    Returns
    -------
    Filled
        What no filler reaches keeps its whole depth.

    Raises
    ------
    InputError
        If a depth, the sink or a thickness is not a number from 0 upwards.

    Examples
    --------
    >>> square = np.array([[(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)],
    ...                    [(0.0, 0.0), (10.0, 10.0), (0.0, 10.0)]])
    >>> bed = Bed(corners_mm=square, depth_mm=np.full((2, 3), 20.0))
    >>> flap = carried([(0, 0), (5, 0), (5, 10), (0, 10)], STAYS, lambda at: 12.0 + 0 * at[:, 0])
    >>> gap_of(fill(bed)).volume_ml, round(gap_of(fill(bed, (flap,))).volume_ml, 9)
    (2.0, 1.4)
    """
    depth = _known(bed.depth_mm, "depth of the wound")
    sink = float(_known(np.array(sink_mm), "sinking of the skin"))
    pieces = np.concatenate([bed.corners_mm, depth[..., None], depth[..., None] - sink], axis=2)
    for filler in fillers:
        pieces = _laid(pieces, filler)
    return Filled(pieces=pieces)


def carried(
    outline_mm: ArrayLike, motion: RigidMotion, thickness_mm: Callable[[Floats], Floats]
) -> Filler:
    """Return tissue that is carried into the wound without stretch.

    Parameters
    ----------
    outline_mm : (n, 2) float
        Where it comes from, closed.
    motion : RigidMotion
        To where it comes to lie.
    thickness_mm : callable
        Of places (n, 2) where it comes from.
    """
    home = ears(outline_mm)
    placed = moved(motion, home.reshape(-1, 2)).reshape(home.shape)
    return Filler(home_mm=home, placed_mm=placed, thickness_mm=thickness_mm)


def gap_of(filled: Filled, *, deeper_mm: float = 0.0) -> Gap:
    """Measure what stays empty.

    Parameters
    ----------
    filled : Filled
        From `fill`.
    deeper_mm : float
        How much deeper the floor lies than was taken; negative if it lies higher.
    """
    left = filled.pieces[..., _LEFT] + deeper_mm
    open_, _ = split(np.dstack([filled.pieces[..., :2], left]), left)
    if not len(open_):
        return Gap(volume_ml=0.0, deepest_mm=0.0, deepest_at_mm=None, middle_at_mm=None)
    at, depth, area = open_[..., :2], open_[..., 2], np.abs(areas_mm2(open_))
    volume = (area * depth.mean(axis=1)).sum()
    moments = at.sum(axis=1) * depth.sum(axis=1)[:, None] + (at * depth[..., None]).sum(axis=1)
    middle = (area[:, None] * moments).sum(axis=0) / 12 / volume
    deepest = np.unravel_index(np.argmax(depth), depth.shape)
    return Gap(
        volume_ml=ml_from_mm3(float(volume)),
        deepest_mm=float(depth[deepest]),
        deepest_at_mm=point2(at[deepest]),
        middle_at_mm=point2(middle),
    )


def laid_in_ml(filled: Filled) -> float:
    """Return all tissue that lies over the wound, whether it finds room or not."""
    pieces = filled.pieces
    laid = (pieces[..., _DEPTH] - pieces[..., _LEFT]).mean(axis=1)
    return ml_from_mm3(float((np.abs(areas_mm2(pieces)) * laid).sum()))


def cavity_ml(bed: Bed) -> float:
    """Return the volume of the whole wound."""
    areas = np.abs(areas_mm2(bed.corners_mm))
    return ml_from_mm3(float((areas * bed.depth_mm.mean(axis=1)).sum()))


def left_at_mm(bed: Bed, fillers: tuple[Filler, ...], points: Floats) -> Floats:
    """Return what is left of the depth at places (n, 2), mm; NaN outside the wound.

    Parameters
    ----------
    bed : Bed
        The wound.
    fillers : tuple of Filler
        What is laid in.
    points : (n, 2) float
        On the skin, (s, y) mm.
    """
    triangle, weights = located(bed.corners_mm, points)
    left = np.where(triangle >= 0, (weights * bed.depth_mm[triangle]).sum(axis=1), np.nan)
    for filler in fillers:
        part, share = located(filler.placed_mm, points)
        under = part >= 0
        left[under] -= _thickness(filler, part[under], share[under])
    return np.asarray(left)


def compared(gaps_ml: Mapping[str, float]) -> tuple[Compared, ...]:
    """Set the gaps of several plans beside each other, least first.

    Parameters
    ----------
    gaps_ml : mapping of str to float
        Gap of each plan by its letter; plans without a figure are left out by the caller.

    Examples
    --------
    >>> [(c.plan, c.more_ml) for c in compared({"A": 5.0, "B": 2.0})]
    [('B', 0.0), ('A', 3.0)]
    """
    order = sorted(gaps_ml, key=lambda plan: (gaps_ml[plan], plan))
    least = min(gaps_ml.values(), default=0.0)
    return tuple(Compared(plan=p, gap_ml=gaps_ml[p], more_ml=gaps_ml[p] - least) for p in order)


def _laid(pieces: Floats, filler: Filler) -> Floats:
    """Cut pieces along a filler's triangles and take its thickness off those within.

    Each round cuts every piece by the next triangle near it; a last column tells the piece
    that each part was cut from, and so which triangles are near.
    """
    number = np.broadcast_to(np.arange(len(pieces))[:, None, None], (len(pieces), 3, 1))
    rest, near = np.concatenate([pieces, number], axis=2), _near(pieces, filler.placed_mm)
    outside, within, parts = [], [], []
    for one in near.T:
        open_ = one[_numbers(rest)] >= 0
        outside.append(rest[~open_])
        covered, rest = _parted(rest[open_], filler.placed_mm[one])
        within.append(covered)
        parts.append(np.repeat(one[_numbers(covered)], 3))
    covered, part = np.concatenate([rest[:0], *within]), np.concatenate([_NO_PART, *parts])
    share = weights(filler.placed_mm[part], covered[..., :2].reshape(-1, 2))
    covered[..., _LEFT] -= _thickness(filler, part, share).reshape(-1, 3)
    return np.concatenate([*outside, rest, covered])[..., :-1]


def _numbers(parts: Floats) -> Ints:
    return parts[:, 0, -1].astype(np.int64)


def _near(pieces: Floats, triangles: Floats) -> Ints:
    """Return the triangles (n, most) whose box meets that of each piece; -1: no more."""
    ends = [(t[..., :2].min(axis=1), t[..., :2].max(axis=1)) for t in (pieces, triangles)]
    (low, high), (left, right) = ends
    meets = ((low[:, None] < right) & (high[:, None] > left)).all(axis=2)
    count = meets.sum(axis=1, keepdims=True)
    order = np.argsort(~meets, axis=1, kind="stable")[:, : int(count.max(initial=0))]
    return np.where(np.arange(order.shape[1]) < count, order, -1)


def _thickness(filler: Filler, part: Ints, share: Floats) -> Floats:
    """Return the thickness (n,) at corner shares (n, 3) of the triangles (n,) of a filler."""
    home = np.einsum("nc,ncd->nd", share, filler.home_mm[part])
    thinner = areas_mm2(filler.home_mm).sum() / areas_mm2(filler.placed_mm).sum()
    return np.asarray(_known(filler.thickness_mm(home), "thickness of the flap") * thinner)


def _parted(pieces: Floats, triangles: Floats) -> tuple[Floats, Floats]:
    """Return the parts of pieces inside their triangles (by number), and those outside."""
    inside, outside = pieces, []
    for edge in (0, 1, 2):
        corners = triangles[_numbers(inside)]
        p, q = corners[:, edge, None], corners[:, (edge + 1) % 3, None]
        away, along = inside[..., :2] - p, q - p
        inside, beyond = split(inside, along[..., 0] * away[..., 1] - along[..., 1] * away[..., 0])
        outside.append(beyond)
    return inside, np.concatenate(outside)


def _known(values_mm: Floats, what: str) -> Floats:
    """Return depths or thicknesses if each is a number from 0 upwards.

    A depth that is not a number would compare as no gap, and hide one.
    """
    values = np.asarray(values_mm, dtype=float)
    if not (values >= 0).all() or not np.isfinite(values).all():
        wrong = values[~((values >= 0) & np.isfinite(values))].flat[0]
        raise InputError(
            f"The {what} is {wrong:g} mm at one place. Check skin and fascia there: "
            "it must be 0 mm or more."
        )
    return values
