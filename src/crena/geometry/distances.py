"""Distances from round cones to triangles, exact along each cone.

A tract is a chain of balls whose radius changes linearly from vertex to vertex; its
clearance to a wall is the least of |P(t) - T| - r(t). The first term is the distance to a
convex set, so the sum is convex along each piece and a golden-section search is exact.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def tube_gaps_mm(centres: Floats, radii: Floats, triangles: Floats) -> Floats:
    """Return, for each triangle, the gap to a tube and the place on the tube's middle line.

    Parameters
    ----------
    centres : (n, 3) float
        Vertices of the middle line, mm; one vertex is a ball.
    radii : (n,) float
        Radius at each vertex, mm.
    triangles : (m, 3, 3) float
        Corners, mm.

    Returns
    -------
    (m, 7) float
        Gap (negative where they overlap), the point on the middle line (3), and the
        nearest point of the triangle (3), mm.
    """
    lines = np.ascontiguousarray(centres, dtype=np.float64)
    if len(lines) == 1:
        lines, radii = np.repeat(lines, 2, axis=0), np.repeat(radii, 2)
    widths = np.ascontiguousarray(radii, dtype=np.float64)
    return np.asarray(_tube_gaps(lines, widths, np.ascontiguousarray(triangles)))


def cloud_gaps_mm(points: Floats, triangles: Floats) -> Floats:
    """Return, for each triangle, the least distance to a cloud of points, as `tube_gaps_mm`.

    Parameters
    ----------
    points : (n, 3) float
        For a convex body: points whose hull holds it, mm.
    triangles : (m, 3, 3) float
        Corners, mm.
    """
    return np.asarray(_cloud_gaps(np.ascontiguousarray(points), np.ascontiguousarray(triangles)))


def within_balls(points: Floats, centres: Floats, radii: Floats) -> NDArray[np.bool_]:
    """Say for each point (n, 3) whether it lies in any of the balls (m, 3), (m,), mm."""
    inside = _within_balls(
        np.ascontiguousarray(points), np.ascontiguousarray(centres), np.ascontiguousarray(radii)
    )
    return np.asarray(inside, dtype=np.bool_)


@njit(cache=True)
def _within_balls(points, centres, radii):  # type: ignore[no-untyped-def]
    inside = np.zeros(len(points), dtype=np.bool_)
    for i in range(len(points)):
        x, y, z = points[i]
        for j in range(len(radii)):
            a, b, c = x - centres[j, 0], y - centres[j, 1], z - centres[j, 2]
            if a * a + b * b + c * c <= radii[j] * radii[j]:
                inside[i] = True
                break
    return inside


@njit(cache=True)
def _tube_gaps(centres, radii, triangles):  # type: ignore[no-untyped-def]
    n, m = len(centres), len(triangles)
    out = np.empty((m, 7))
    at_vertex = np.empty(n)
    for j in range(m):
        a, b, c = triangles[j, 0], triangles[j, 1], triangles[j, 2]
        for i in range(n):
            at_vertex[i] = _norm(centres[i] - _nearest(centres[i], a, b, c)) - radii[i]
        first = int(np.argmin(at_vertex))
        last = 1 if first == n - 1 else 0
        best, best_i, best_t = at_vertex[first], first - last, float(last)
        for i in range(n - 1):
            length = _norm(centres[i + 1] - centres[i])
            slope = abs(radii[i + 1] - radii[i])
            if (at_vertex[i] + at_vertex[i + 1] - length - slope) / 2 < best:
                t, gap = _least_along(centres[i], centres[i + 1], radii[i : i + 2], triangles[j])
                if gap < best:
                    best, best_i, best_t = gap, i, t
        place = centres[best_i] + best_t * (centres[best_i + 1] - centres[best_i])
        out[j, 0] = best
        out[j, 1:4] = place
        out[j, 4:7] = _nearest(place, a, b, c)
    return out


@njit(cache=True)
def _cloud_gaps(points, triangles):  # type: ignore[no-untyped-def]
    out = np.empty((len(triangles), 7))
    for j in range(len(triangles)):
        best = np.inf
        for i in range(len(points)):
            near = _nearest(points[i], triangles[j, 0], triangles[j, 1], triangles[j, 2])
            gap = _norm(points[i] - near)
            if gap < best:
                best = gap
                out[j, 0], out[j, 1:4], out[j, 4:7] = gap, points[i], near
    return out


@njit(cache=True)
def _least_along(p, q, r, triangle):  # type: ignore[no-untyped-def]
    shrink = (np.sqrt(5.0) - 1) / 2
    low, high = 0.0, 1.0
    left, right = 1 - shrink, shrink
    at_left, at_right = _gap(p, q, r, triangle, left), _gap(p, q, r, triangle, right)
    for _ in range(48):
        if at_left < at_right:
            high, right, at_right = right, left, at_left
            left = high - shrink * (high - low)
            at_left = _gap(p, q, r, triangle, left)
        else:
            low, left, at_left = left, right, at_right
            right = low + shrink * (high - low)
            at_right = _gap(p, q, r, triangle, right)
    t = (low + high) / 2
    return t, _gap(p, q, r, triangle, t)


@njit(cache=True)
def _gap(p, q, r, triangle, t):  # type: ignore[no-untyped-def]
    place = p + t * (q - p)
    near = _nearest(place, triangle[0], triangle[1], triangle[2])
    return _norm(place - near) - (r[0] + t * (r[1] - r[0]))


@njit(cache=True)
def _norm(v):  # type: ignore[no-untyped-def]
    return np.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])


@njit(cache=True)
def _dot(u, v):  # type: ignore[no-untyped-def]
    return u[0] * v[0] + u[1] * v[1] + u[2] * v[2]


@njit(cache=True)
def _nearest(p, a, b, c):  # type: ignore[no-untyped-def]
    """Return the point of a triangle nearest to p (regions of Ericson 2005, section 5.1.5)."""
    ab, ac, ap = b - a, c - a, p - a
    d1, d2 = _dot(ab, ap), _dot(ac, ap)
    if d1 <= 0 and d2 <= 0:
        return a
    bp = p - b
    d3, d4 = _dot(ab, bp), _dot(ac, bp)
    if d3 >= 0 and d4 <= d3:
        return b
    vc = d1 * d4 - d3 * d2
    if vc <= 0 and d1 >= 0 and d3 <= 0:
        return a + d1 / (d1 - d3) * ab
    cp = p - c
    d5, d6 = _dot(ab, cp), _dot(ac, cp)
    if d6 >= 0 and d5 <= d6:
        return c
    vb = d5 * d2 - d1 * d6
    if vb <= 0 and d2 >= 0 and d6 <= 0:
        return a + d2 / (d2 - d6) * ac
    va = d3 * d6 - d5 * d4
    if va <= 0 and d4 >= d3 and d5 >= d6:
        return b + (d4 - d3) / ((d4 - d3) + (d5 - d6)) * (c - b)
    return a + (vb * ab + vc * ac) / (va + vb + vc)
