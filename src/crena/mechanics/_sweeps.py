"""Sweeps that bring the nodes to rest, and repairs of narrow angles.

Every sweep triangulates anew with all cuts kept as edges, then moves each inner node to the
centroid of its triangles, weighted with area over squared wanted length. A node moves only
where all its triangles stay upright, so no node ever crosses a cut.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pythoncdt as cdt
from numba import njit

from crena.mechanics._seeds import Field, inside, is_free, size_at
from crena.mechanics.sheet import Floats, Indices, Truths
from crena.records import CrenaError

SWEEPS = 10
CHANGES = (2, 5, 7)
"""Sweeps before which nodes are added and dropped."""
ADD_AREA_RATIO = 1.9
"""A triangle this much larger than wanted gets a node (assumed)."""
DROP_RATIO = 0.62
"""Nodes nearer than this share of the wanted length are one too many (assumed)."""
REPAIRS = 12
"""Rounds of repair at most (assumed)."""
WANTED_DEG = 26.0
"""Repair goes on while an angle is narrower that the cuts themselves do not force (assumed)."""
CLEAR_RATIO = 0.4
"""Least distance of an added node from the cuts, in wanted lengths (assumed)."""
OBTUSE = np.radians(105.0)
"""A corner wider than this has a node that is too near the opposite edge (assumed)."""
UPRIGHT_RATIO = 0.01
"""Least area of a moved node's triangles, in squared wanted lengths (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """What stays as it is: the nodes of cuts and border come first and do not move."""

    fixed_mm: Floats  #: (f, 2)
    edges: Indices  #: (e, 2) cuts, then border
    joined: Indices  #: (f, j) nodes that edges join to each fixed node; -1 fills up
    ring_nodes: Truths  #: (f,) whether a node is on the border of the removed skin
    field: Field


def frame_of(fixed_mm: Floats, edges: Indices, ring: Indices, field: Field) -> Frame:
    """Gather the fixed nodes, the edges that must be kept and the wanted lengths."""
    on_ring = np.zeros(len(fixed_mm), dtype=np.bool_)
    on_ring[ring] = True
    pairs = np.concatenate([edges, edges[:, ::-1]])
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    ends = np.bincount(pairs[:, 0], minlength=len(fixed_mm))
    place = np.arange(len(pairs)) - np.repeat(np.cumsum(ends) - ends, ends)
    joined = np.full((len(fixed_mm), int(ends.max())), -1, dtype=np.int64)
    joined[pairs[:, 0], place] = pairs[:, 1]
    return Frame(fixed_mm=fixed_mm, edges=edges, joined=joined, ring_nodes=on_ring, field=field)


def settled(frame: Frame, inner: Floats) -> tuple[Floats, Indices]:
    """Move, add and drop inner nodes until the triangles are good.

    Returns
    -------
    nodes, triangles : (n, 2) float, (m, 3) int
        Fixed nodes first; triangles anticlockwise, none in the removed skin.
    """
    points = np.concatenate([frame.fixed_mm, inner])
    sizes = frame.field.sizes_mm(points)
    for sweep in range(SWEEPS):
        triangles = triangulated(frame, points)
        if sweep in CHANGES:
            points = _changed(points, triangles, sizes, len(frame.fixed_mm))
            sizes = frame.field.sizes_mm(points)
            triangles = triangulated(frame, points)
        _relax(points, triangles, sizes, len(frame.fixed_mm))
    return _repaired(frame, points)


def triangulated(frame: Frame, points: Floats) -> Indices:
    """Return the constrained Delaunay triangles (m, 3) without the removed skin."""
    net = cdt.Triangulation(
        cdt.VertexInsertionOrder.AUTO, cdt.IntersectingConstraintEdges.NOT_ALLOWED, 0.0
    )
    nodes: Any = points  #: a buffer, which older type rules cannot say of an array
    edges: Any = frame.edges.astype(np.uint32)
    try:
        net.insert_vertices(nodes)
        net.insert_edges(edges)
    except RuntimeError as fault:
        raise CrenaError(
            "The cuts could not be meshed with this spacing. Try a shorter seam step."
        ) from fault
    net.erase_outer_triangles()
    found = net.triangles_array()["vertices"].astype(np.int64)
    return np.asarray(found[_kept(points, found, frame.ring_nodes, frame.field.ring_mm)])


def narrowest_deg(frame: Frame, points: Floats, triangles: Indices) -> float:
    """Return the least angle that the cuts themselves do not force."""
    return float(np.degrees(_narrowest(points, triangles, frame.joined)))


def _kept(points: Floats, triangles: Indices, on_ring: Truths, ring: Floats) -> Truths:
    """Say which triangles are skin; only one with all corners on the ring can be in it."""
    known = np.concatenate([on_ring, np.zeros(len(points) - len(on_ring), np.bool_)])
    kept = np.asarray(~known[triangles].all(axis=1))
    doubtful = np.flatnonzero(~kept)
    kept[doubtful] = ~inside(points[triangles[doubtful]].mean(axis=1), ring)
    return kept


def _repaired(frame: Frame, points: Floats) -> tuple[Floats, Indices]:
    triangles = triangulated(frame, points)
    best = points.copy(), triangles, narrowest_deg(frame, points, triangles)
    for _ in range(REPAIRS):
        if best[2] >= WANTED_DEG:
            break
        points = _mended(points, triangles, frame)
        sizes = frame.field.sizes_mm(points)
        for _ in range(2):
            _relax(points, triangulated(frame, points), sizes, len(frame.fixed_mm))
        triangles = triangulated(frame, points)
        narrowest = narrowest_deg(frame, points, triangles)
        if narrowest > best[2]:
            best = points.copy(), triangles, narrowest
    return best[0], best[1]


def _changed(points: Floats, triangles: Indices, sizes: Floats, fixed: int) -> Floats:
    """Drop crowded inner nodes, then add one in each triangle that is too large."""
    dropped = _crowded(points, triangles, sizes, fixed)
    p = points[triangles]
    area = _areas(p)
    wanted = np.sqrt(3) / 4 * sizes[triangles].mean(axis=1) ** 2
    large = (area > ADD_AREA_RATIO * wanted) & ~dropped[triangles].any(axis=1)
    return np.concatenate([points[~dropped], p[large].mean(axis=1)])


def _areas(p: Floats) -> Floats:
    u, v = p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    return np.asarray((u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2)


def _mended(points: Floats, triangles: Indices, frame: Frame) -> Floats:
    field = frame.field
    dropped, added = _mend(
        (points, triangles, frame.joined),
        (field.samples, field.rule, field.box_mm, field.ring_mm),
        np.radians(WANTED_DEG),
    )
    return np.concatenate([points[~dropped], added])


@njit(cache=True)
def _relax(points: Floats, triangles: Indices, sizes: Floats, fixed: int) -> None:
    """Move each inner node in turn to the weighted centroid of its triangles."""
    start, around = _stars(triangles, len(points))
    for i in range(fixed, len(points)):
        x, y, total = 0.0, 0.0, 0.0
        for k in range(start[i], start[i + 1]):
            a, b, c = triangles[around[k]]
            size = (sizes[a] + sizes[b] + sizes[c]) / 3
            weight = _area(points, a, b, c) / (size * size)
            x += weight * (points[a, 0] + points[b, 0] + points[c, 0]) / 3
            y += weight * (points[a, 1] + points[b, 1] + points[c, 1]) / 3
            total += weight
        if total <= 0:
            continue
        old_x, old_y = points[i, 0], points[i, 1]
        points[i, 0], points[i, 1] = x / total, y / total
        for k in range(start[i], start[i + 1]):
            a, b, c = triangles[around[k]]
            if _area(points, a, b, c) < UPRIGHT_RATIO * sizes[i] * sizes[i]:
                points[i, 0], points[i, 1] = old_x, old_y


@njit(cache=True)
def _stars(triangles: Indices, count: int) -> tuple[Indices, Indices]:
    """Return the triangles round each node, one list after the other."""
    start = np.zeros(count + 1, dtype=np.int64)
    for t in range(len(triangles)):
        for k in range(3):
            start[triangles[t, k] + 1] += 1
    start = np.cumsum(start)
    filled = start[:-1].copy()
    around = np.empty(3 * len(triangles), dtype=np.int64)
    for t in range(len(triangles)):
        for k in range(3):
            i = triangles[t, k]
            around[filled[i]] = t
            filled[i] += 1
    return start, around


@njit(cache=True)
def _area(points: Floats, a: int, b: int, c: int) -> float:
    ux, uy = points[b, 0] - points[a, 0], points[b, 1] - points[a, 1]
    vx, vy = points[c, 0] - points[a, 0], points[c, 1] - points[a, 1]
    return float((ux * vy - uy * vx) / 2)


@njit(cache=True)
def _apart(points: Floats, a: int, b: int) -> float:
    return float(np.hypot(points[b, 0] - points[a, 0], points[b, 1] - points[a, 1]))


@njit(cache=True)
def _angle(points: Floats, a: int, b: int, c: int) -> float:
    """Return the angle at a."""
    ux, uy = points[b, 0] - points[a, 0], points[b, 1] - points[a, 1]
    vx, vy = points[c, 0] - points[a, 0], points[c, 1] - points[a, 1]
    return float(abs(np.arctan2(ux * vy - uy * vx, ux * vx + uy * vy)))


@njit(cache=True)
def _crowded(points: Floats, triangles: Indices, sizes: Floats, fixed: int) -> Truths:
    dropped = np.zeros(len(points), dtype=np.bool_)
    for t in range(len(triangles)):
        for k in range(3):
            a, b = triangles[t, k], triangles[t, (k + 1) % 3]
            later, other = max(a, b), min(a, b)
            if later < fixed or dropped[later] or dropped[other]:
                continue
            if _apart(points, a, b) < DROP_RATIO * (sizes[a] + sizes[b]) / 2:
                dropped[later] = True
    return dropped


@njit(cache=True)
def _joined(joined: Indices, a: int, b: int) -> bool:
    """Say whether two nodes are neighbours on a cut or on the border."""
    if a >= len(joined) or b >= len(joined):
        return False
    return bool((joined[a] == b).any())


@njit(cache=True)
def _sharpest(points: Floats, corners: Indices, joined: Indices) -> tuple[float, int]:
    """Return a triangle's least angle and its place, but pi where two cuts force it."""
    least, at = np.pi, 0
    for k in range(3):
        a, b, c = corners[k], corners[(k + 1) % 3], corners[(k + 2) % 3]
        angle = _angle(points, a, b, c)
        if angle < least and not (_joined(joined, a, b) and _joined(joined, a, c)):
            least, at = angle, k
    return least, at


@njit(cache=True)
def _narrowest(points: Floats, triangles: Indices, joined: Indices) -> float:
    least = np.pi
    for t in range(len(triangles)):
        least = min(least, _sharpest(points, triangles[t], joined)[0])
    return least


@njit(cache=True)
def _mend(
    net: tuple[Floats, Indices, Indices],
    skin: tuple[Floats, Floats, Floats, Floats],
    wanted: float,
) -> tuple[Truths, Floats]:
    """Choose what to drop and to add where angles are too narrow, one change to a place."""
    points, triangles, joined = net
    samples, rule, box, ring = skin
    dropped = np.zeros(len(points), dtype=np.bool_)
    touched = np.zeros(len(points), dtype=np.bool_)
    added = []
    for t in range(len(triangles)):
        corners = triangles[t]
        angle, k = _sharpest(points, corners, joined)
        a, b, c = corners[k], corners[(k + 1) % 3], corners[(k + 2) % 3]
        if angle >= wanted or touched[a] or touched[b] or touched[c]:
            continue
        surplus = _surplus(points, (a, b, c), len(joined), samples, rule)
        if surplus >= 0:
            dropped[surplus] = True
        else:
            x, y = _centre(points, a, b, c)
            size, nearest = size_at(x, y, samples, rule)
            if nearest < CLEAR_RATIO * size or not is_free(x, y, CLEAR_RATIO * size, box, ring):
                continue
            added.append((x, y))
        touched[a] = touched[b] = touched[c] = True
    places = np.empty((len(added), 2))
    for i, (x, y) in enumerate(added):
        places[i, 0], places[i, 1] = x, y
    return dropped, places


@njit(cache=True)
def _surplus(
    points: Floats, corners: tuple[int, int, int], fixed: int, samples: Floats, rule: Floats
) -> int:
    """Return the inner node to drop: of the short edge, or of an obtuse corner; else -1."""
    a, b, c = corners
    x, y = (points[b, 0] + points[c, 0]) / 2, (points[b, 1] + points[c, 1]) / 2
    size = size_at(x, y, samples, rule)[0]
    if max(b, c) >= fixed and _apart(points, b, c) < DROP_RATIO * size:
        return max(b, c)
    for apex, p, q in ((b, a, c), (c, a, b)):
        if apex >= fixed and _angle(points, apex, p, q) > OBTUSE:
            return apex
    return -1


@njit(cache=True)
def _centre(points: Floats, a: int, b: int, c: int) -> tuple[float, float]:
    """Return the centre of the circle through three nodes."""
    ux, uy = points[b, 0] - points[a, 0], points[b, 1] - points[a, 1]
    vx, vy = points[c, 0] - points[a, 0], points[c, 1] - points[a, 1]
    twice = 2 * (ux * vy - uy * vx)
    uu, vv = ux * ux + uy * uy, vx * vx + vy * vy
    return points[a, 0] + (vy * uu - uy * vv) / twice, points[a, 1] + (ux * vv - vx * uu) / twice
