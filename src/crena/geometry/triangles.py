"""Loose triangles that carry linear fields: cut along a line without loss, found by place.

The corners of a batch are one array (m, 3, k): the first two columns are the place, the
others are fields that are linear over each triangle. Cutting keeps all of them exact.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.geometry.measures import polygon_area_mm2
from crena.records.errors import InputError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_NEAR_MM = 1e-9
"""A place this little outside a triangle counts as in it."""

_ROUNDING = 1e-12
"""A level this small against the largest counts as nought."""


def areas_mm2(triangles: Floats) -> Floats:
    """Return the signed areas (m,) of triangles (m, 3, k); positive anticlockwise."""
    u = triangles[:, 1, :2] - triangles[:, 0, :2]
    v = triangles[:, 2, :2] - triangles[:, 0, :2]
    return np.asarray((u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2)


def split(triangles: Floats, levels: Floats) -> tuple[Floats, Floats]:
    """Cut triangles along the line on which a linear field is nought.

    Parameters
    ----------
    triangles : (m, 3, k) float
        Place, then fields.
    levels : (m, 3) float
        The field that cuts, at the corners.

    Returns
    -------
    tuple of (a, 3, k) and (b, 3, k) float
        The parts where the field is above nought, and the rest. They keep the sense of
        turning and together fill the triangles.

    Examples
    --------
    >>> whole = np.array([[(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)]])
    >>> above, below = split(whole, whole[..., 0] - 2.0)
    >>> areas_mm2(above).sum(), areas_mm2(below).sum()
    (np.float64(2.0), np.float64(6.0))
    """
    levels = np.where(np.abs(levels) <= _ROUNDING * np.abs(levels).max(initial=0.0), 0.0, levels)
    up, down = levels > 0, levels < 0
    some_up = up[:, 0] | up[:, 1] | up[:, 2]
    cut = some_up & (down[:, 0] | down[:, 1] | down[:, 2])
    whole_up = some_up & ~cut
    lone_up = cut & (up.sum(axis=1) == 1)
    lone_down = cut & ~lone_up
    tip_up, rest_down = _cut(triangles[lone_up], levels[lone_up], up[lone_up])
    tip_down, rest_up = _cut(triangles[lone_down], levels[lone_down], down[lone_down])
    above = np.concatenate([triangles[whole_up], tip_up, rest_up])
    below = np.concatenate([triangles[~cut & ~whole_up], tip_down, rest_down])
    return _with_area(above), _with_area(below)


def ears(outline: ArrayLike) -> Floats:
    """Return the triangles (n - 2, 3, k), anticlockwise, of a simple polygon (n, k).

    Parameters
    ----------
    outline : (n, k) float
        Corners in order, either way round, the first not repeated: place, then fields that
        ride along.

    Raises
    ------
    InputError
        If the outline crosses itself.

    Examples
    --------
    >>> areas_mm2(ears([(0, 0), (4, 0), (4, 4), (2, 1)])).sum()
    np.float64(6.0)
    """
    p = np.asarray(outline, dtype=float)
    p = p[(p[:, :2] != np.roll(p[:, :2], 1, axis=0)).any(axis=1)]
    left = list(range(len(p)) if polygon_area_mm2(p[:, :2]) > 0 else range(len(p))[::-1])
    found = []
    while len(left) > 2:
        n = next((n for n in range(len(left)) if _is_ear(p, left, n)), None)
        if n is None:
            raise InputError(
                f"An outline of {len(p)} points crosses itself. Draw it without a loop."
            )
        found.append(p[[left[n - 1], left[n], left[(n + 1) % len(left)]]])
        del left[n]
    return _with_area(np.array(found).reshape(-1, 3, p.shape[1]))


def located(triangles: Floats, points: Floats) -> tuple[Ints, Floats]:
    """Find the triangle that holds each point.

    Parameters
    ----------
    triangles : (m, 3, k) float
        Place in the first two columns; none without area.
    points : (n, 2) float
        What is looked for.

    Returns
    -------
    tuple of (n,) int and (n, 3) float
        The first triangle that holds the point, -1 if none does, and the weights of its
        corners.
    """
    at = triangles[..., :2]
    low, high = at.min(axis=1) - _NEAR_MM, at.max(axis=1) + _NEAR_MM
    x, y = points[:, :1], points[:, 1:]
    near = (x >= low[:, 0]) & (x <= high[:, 0]) & (y >= low[:, 1]) & (y <= high[:, 1])
    which, one = np.nonzero(near)
    shares = weights(at[one], points[which])
    holds = np.flatnonzero((shares >= -_NEAR_MM).all(axis=1))[::-1]
    found, best = np.full(len(points), -1), np.zeros((len(points), 3))
    found[which[holds]], best[which[holds]] = one[holds], shares[holds]
    return found, best


def weights(triangles: Floats, points: Floats) -> Floats:
    """Return the weights (n, 3) of each triangle's corners (n, 3, 2) at its own place (n, 2)."""
    corners = np.roll(triangles, -1, axis=1), np.roll(triangles, -2, axis=1)
    rest = [
        np.stack([points, p, q], axis=1)
        for p, q in zip(np.moveaxis(corners[0], 1, 0), np.moveaxis(corners[1], 1, 0), strict=True)
    ]
    parts = np.stack([areas_mm2(part) for part in rest], axis=1)
    return np.asarray(parts / areas_mm2(triangles)[:, None])


def _cut(triangles: Floats, levels: Floats, lone: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Return the tip at each triangle's lone corner, and the rest as two triangles."""
    order = (np.argmax(lone, axis=1)[:, None] + np.arange(3)) % 3
    at = np.arange(len(triangles))[:, None]
    a, b, c = np.moveaxis(triangles[at, order], 1, 0)
    la, lb, lc = levels[at, order].T[..., None]
    p, q = a + la / (la - lb) * (b - a), a + la / (la - lc) * (c - a)
    rest = [np.stack([p, b, c], axis=1), np.stack([p, c, q], axis=1)]
    return np.stack([a, p, q], axis=1), np.concatenate(rest)


def _with_area(triangles: Floats) -> Floats:
    size = np.abs(areas_mm2(triangles))
    return np.asarray(triangles[size > _ROUNDING * size.max(initial=0.0)])


def _is_ear(p: Floats, left: list[int], n: int) -> bool:
    """Tell whether a corner can be cut off: it turns left, and no other corner lies in it."""
    corners = (left[n - 1], left[n], left[(n + 1) % len(left)])
    a, b, c = p[list(corners), :2]
    others = p[[i for i in left if i not in corners], :2]
    sides = [_turns(a, b, others), _turns(b, c, others), _turns(c, a, others)]
    within = (np.array(sides) >= 0).all(axis=0)
    return bool(_turns(a, b, c[None])[0] >= 0 and not within.any())


def _turns(a: Floats, b: Floats, points: Floats) -> Floats:
    """Return how far points (n, 2) lie to the left of a line, times its length."""
    u, v = b - a, points - a
    return np.asarray(u[0] * v[:, 1] - u[1] * v[:, 0])
