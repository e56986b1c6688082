"""Distances from round cones to triangles, exact along each cone.

A tract is a chain of balls whose radius changes linearly from vertex to vertex; its
clearance to a wall is the least of |P(t) - T| - r(t). The first term is the distance to a
convex set, so the sum is convex along each piece and a golden-section search is exact.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SLACK = 1e-9
"""What a bound may be off by: arithmetic, never an answer."""


def tube_gaps_mm(
    centres: Floats, radii: Floats, triangles: Floats, nearest: int | None = None
) -> Floats:
    """Return, for each triangle, the gap to a tube and the place on the tube's middle line.

    Parameters
    ----------
    centres : (n, 3) float
        Vertices of the middle line, mm; one vertex is a ball.
    radii : (n,) float
        Radius at each vertex, mm.
    triangles : (m, 3, 3) float
        Corners, mm.
    nearest : int, optional
        So many triangles are wanted: the gaps of those that are surely further off are
        taken at the vertices alone, which is never less than they are.

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
    wanted = len(triangles) if nearest is None else min(nearest, len(triangles))
    return np.asarray(_tube_gaps(lines, widths, np.ascontiguousarray(triangles), wanted))


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


@njit(cache=True)
def _tube_gaps(centres, radii, triangles, wanted):  # type: ignore[no-untyped-def]
    n, m = len(centres), len(triangles)
    out, at_vertex = np.empty((m, 7)), np.empty((m, n))
    for j in range(m):
        for i in range(n):
            at_vertex[j, i] = _apart(centres[i], triangles[j]) - radii[i]
        out[j, 0] = at_vertex[j].min()
    floors = _floors(centres, radii, at_vertex)
    enough = np.sort(out[:, 0])[wanted - 1] if wanted > 0 else np.inf
    for j in range(m):
        first = int(np.argmin(at_vertex[j]))
        last = 1 if first == n - 1 else 0
        best, best_i, best_t = out[j, 0], first - last, float(last)
        for i in range(n - 1):
            if floors[j, i] < best and floors[j].min() <= enough + SLACK:
                p, q = centres[i], centres[i + 1]
                share, gap = _least_along(p, q, radii[i], radii[i + 1], triangles[j])
                if gap < best:
                    best, best_i, best_t = gap, i, share
        place = centres[best_i] + best_t * (centres[best_i + 1] - centres[best_i])
        out[j, 0] = best
        out[j, 1:4] = place
        out[j, 4], out[j, 5], out[j, 6] = _nearest(place[0], place[1], place[2], triangles[j])
    return out


@njit(cache=True)
def _floors(centres, radii, at_vertex):  # type: ignore[no-untyped-def]
    """Return what the gap along each piece (m, n - 1) is at least, from the gaps at its ends."""
    floors = np.empty((len(at_vertex), len(centres) - 1))
    for i in range(len(centres) - 1):
        p, q = centres[i], centres[i + 1]
        span = _norm(q[0] - p[0], q[1] - p[1], q[2] - p[2]) + abs(radii[i + 1] - radii[i])
        floors[:, i] = (at_vertex[:, i] + at_vertex[:, i + 1] - span) / 2
    return floors


@njit(cache=True)
def _cloud_gaps(points, triangles):  # type: ignore[no-untyped-def]
    out = np.empty((len(triangles), 7))
    for j in range(len(triangles)):
        t = triangles[j]
        middle, reach = _ball_round(t)
        best = np.inf
        for i in range(len(points)):
            x, y, z = points[i, 0], points[i, 1], points[i, 2]
            off = _norm(x - middle[0], y - middle[1], z - middle[2])
            if off - reach > best:
                continue
            u, v, w = _nearest(x, y, z, t)
            gap = _norm(x - u, y - v, z - w)
            if gap < best:
                best = gap
                out[j, 0], out[j, 1:4] = gap, points[i]
                out[j, 4], out[j, 5], out[j, 6] = u, v, w
    return out


@njit(cache=True)
def _ball_round(t):  # type: ignore[no-untyped-def]
    """Return the middle of a triangle's corners, and a radius that surely reaches all of it."""
    middle, reach = np.empty(3), 0.0
    for k in range(3):
        middle[k] = (t[0, k] + t[1, k] + t[2, k]) / 3
    for i in range(3):
        off = _norm(t[i, 0] - middle[0], t[i, 1] - middle[1], t[i, 2] - middle[2])
        reach = max(reach, off)
    return middle, reach + SLACK


@njit(cache=True)
def _least_along(p, q, r, s, triangle):  # type: ignore[no-untyped-def]
    """Return where between p and q a cone of radii r and s comes nearest, and how near."""
    shrink = (np.sqrt(5.0) - 1) / 2
    low, high = 0.0, 1.0
    left, right = 1 - shrink, shrink
    at_left, at_right = _gap(p, q, r, s, triangle, left), _gap(p, q, r, s, triangle, right)
    for _ in range(48):
        if at_left < at_right:
            high, right, at_right = right, left, at_left
            left = high - shrink * (high - low)
            at_left = _gap(p, q, r, s, triangle, left)
        else:
            low, left, at_left = left, right, at_right
            right = low + shrink * (high - low)
            at_right = _gap(p, q, r, s, triangle, right)
    t = (low + high) / 2
    return t, _gap(p, q, r, s, triangle, t)


@njit(cache=True)
def _gap(p, q, r, s, triangle, t):  # type: ignore[no-untyped-def]
    x, y, z = p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1]), p[2] + t * (q[2] - p[2])
    u, v, w = _nearest(x, y, z, triangle)
    return _norm(x - u, y - v, z - w) - (r + t * (s - r))


@njit(cache=True)
def _apart(p, triangle):  # type: ignore[no-untyped-def]
    u, v, w = _nearest(p[0], p[1], p[2], triangle)
    return _norm(p[0] - u, p[1] - v, p[2] - w)


@njit(cache=True)
def _norm(x, y, z):  # type: ignore[no-untyped-def]
    return np.sqrt(x * x + y * y + z * z)


@njit(cache=True)
def _nearest(x, y, z, t):  # type: ignore[no-untyped-def]
    """Return the point of a triangle nearest to (x, y, z): Ericson 2005, section 5.1.5.

    In single numbers: arrays of three would be made anew at each of some 100,000 calls.
    """
    ax, ay, az = t[0, 0], t[0, 1], t[0, 2]
    ux, uy, uz = t[1, 0] - ax, t[1, 1] - ay, t[1, 2] - az
    vx, vy, vz = t[2, 0] - ax, t[2, 1] - ay, t[2, 2] - az
    px, py, pz = x - ax, y - ay, z - az
    d1, d2 = ux * px + uy * py + uz * pz, vx * px + vy * py + vz * pz
    if d1 <= 0 and d2 <= 0:
        return ax, ay, az
    px, py, pz = x - t[1, 0], y - t[1, 1], z - t[1, 2]
    d3, d4 = ux * px + uy * py + uz * pz, vx * px + vy * py + vz * pz
    if d3 >= 0 and d4 <= d3:
        return t[1, 0], t[1, 1], t[1, 2]
    vc = d1 * d4 - d3 * d2
    if vc <= 0 and d1 >= 0 and d3 <= 0:
        share = d1 / (d1 - d3)
        return ax + share * ux, ay + share * uy, az + share * uz
    px, py, pz = x - t[2, 0], y - t[2, 1], z - t[2, 2]
    d5, d6 = ux * px + uy * py + uz * pz, vx * px + vy * py + vz * pz
    if d6 >= 0 and d5 <= d6:
        return t[2, 0], t[2, 1], t[2, 2]
    vb = d5 * d2 - d1 * d6
    if vb <= 0 and d2 >= 0 and d6 <= 0:
        share = d2 / (d2 - d6)
        return ax + share * vx, ay + share * vy, az + share * vz
    va = d3 * d6 - d5 * d4
    if va <= 0 and d4 >= d3 and d5 >= d6:
        share = (d4 - d3) / ((d4 - d3) + (d5 - d6))
        bx, by, bz = t[1, 0], t[1, 1], t[1, 2]
        return bx + share * (t[2, 0] - bx), by + share * (t[2, 1] - by), bz + share * (t[2, 2] - bz)
    whole = va + vb + vc
    return (
        ax + (vb * ux + vc * vx) / whole,
        ay + (vb * uy + vc * vy) / whole,
        az + (vb * uz + vc * vz) / whole,
    )
