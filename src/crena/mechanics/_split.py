"""Opening the cuts of a mesh, and the checks that every mesh must pass.

Round a node on a cut, triangles that share an edge which is no cut stay together; each such
group gets its own copy of the node. Ends of cuts, T-joints, contact with the removed skin
and islands need no rule of their own.
"""

import numpy as np
from numba import njit

from crena.geometry.measures import polygon_area_mm2
from crena.mechanics._sweeps import Frame
from crena.mechanics.cuts import Cuts
from crena.mechanics.sheet import Floats, Indices, Truths
from crena.records import CrenaError

AREA_TOLERANCE_RATIO = 1e-9
"""The triangles' area and the polygons' may differ by this share (rounding)."""


def opened(
    points: Floats, triangles: Indices, segments: Indices
) -> tuple[Floats, Indices, Indices]:
    """Give each side of the cuts nodes of its own.

    Parameters
    ----------
    points, triangles : (n, 2) float, (m, 3) int
        A mesh that has all cuts as edges.
    segments : (s, 2) int
        The cuts.

    Returns
    -------
    points, triangles, original : (n + c, 2) float, (m, 3) int, (n + c,) int
        The old nodes keep their numbers, copies follow; which old node each one was.
    """
    on_cut = np.zeros(len(points), dtype=np.bool_)
    on_cut[segments] = True
    group = _groups(triangles, _neighbours(triangles, segments, len(points)), on_cut)
    at = triangles.ravel()
    heads = np.flatnonzero((group == np.arange(len(group))) & on_cut[at])
    extra = np.ones(len(heads), dtype=np.bool_)
    extra[np.unique(at[heads], return_index=True)[1]] = False
    number = at.copy()
    number[heads[extra]] = len(points) + np.arange(int(extra.sum()))
    original = np.concatenate([np.arange(len(points)), at[heads[extra]]])
    return points[original], number[group].reshape(-1, 3), original


def check_whole(frame: Frame, cuts: Cuts, points: Floats, triangles: Indices) -> None:
    """Refuse a mesh before opening: edges, places, areas.

    Raises
    ------
    CrenaError
        With the check that failed.
    """
    keys, count = np.unique(_edge_keys(_edges(triangles), len(points)), return_counts=True)
    p = points[triangles]
    u, v = p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    areas = (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2
    x0, y0, x1, y1 = frame.field.box_mm
    ring_mm2 = polygon_area_mm2(cuts.points_mm[cuts.ring]) if len(cuts.ring) else 0.0
    skin_mm2 = (x1 - x0) * (y1 - y0) - ring_mm2
    _refuse_faults(
        {
            "a cut is not an edge": not np.isin(_edge_keys(frame.edges, len(points)), keys).all(),
            "three triangles share an edge": bool((count > 2).any()),
            "a fixed node moved": not np.array_equal(points[: len(frame.fixed_mm)], frame.fixed_mm),
            "a triangle is turned over": not (areas > 0).all(),
            "its area is wrong": not abs(areas.sum() / skin_mm2 - 1) <= AREA_TOLERANCE_RATIO,
        }
    )


def check_copies(cuts: Cuts, original: Indices) -> None:
    """Refuse opened cuts whose nodes have not one copy per sector of skin round them.

    Raises
    ------
    CrenaError
        If a count is wrong.
    """
    copies = np.bincount(original)[: len(cuts.points_mm)]
    _refuse_faults({"a cut is not open": not np.array_equal(copies, sectors(cuts))})


def sectors(cuts: Cuts) -> Indices:
    """Return the number of skin sectors round each node of the cuts, from the cuts alone.

    d segments part the disc round their common node into d sectors, one into one; on the
    border of the removed skin one of them is not skin.
    """
    ends = np.bincount(cuts.segments.ravel(), minlength=len(cuts.points_mm))
    ends[cuts.ring] -= 1
    return np.asarray(np.maximum(ends, 1))


def _refuse_faults(faults: dict[str, bool]) -> None:
    for fault, found in faults.items():
        if found:
            raise CrenaError(f"The mesh failed its check: {fault}. Try a shorter seam step.")


def _edges(triangles: Indices) -> Indices:
    return np.asarray(triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2))


def _edge_keys(edges: Indices, span: int) -> Indices:
    return np.asarray(edges.min(axis=1) * span + edges.max(axis=1))


def _neighbours(triangles: Indices, segments: Indices, span: int) -> Indices:
    """Return for each edge of each triangle (m, 3) the same edge beyond it, -1 at a cut."""
    keys = _edge_keys(_edges(triangles), span)
    order = np.argsort(keys, kind="stable")
    twin = keys[order][1:] == keys[order][:-1]
    twin &= ~np.isin(keys[order][1:], _edge_keys(segments, span))
    beyond = np.full(len(keys), -1, dtype=np.int64)
    a, b = order[:-1][twin], order[1:][twin]
    beyond[a], beyond[b] = b, a
    return beyond


@njit(cache=True)
def _groups(triangles: Indices, beyond: Indices, on_cut: Truths) -> Indices:
    """Return for each corner of a triangle the first corner that it stays together with."""
    mate = np.arange(3 * len(triangles))
    for e in range(len(beyond)):
        f = beyond[e]
        if f < e:
            continue
        t, k = e // 3, e % 3
        u, j = f // 3, f % 3
        pairs = ((3 * t + k, 3 * u + (j + 1) % 3), (3 * t + (k + 1) % 3, 3 * u + j))
        for p, q in pairs:
            if on_cut[triangles[t, p % 3]]:
                p, q = _first(mate, p), _first(mate, q)
                mate[max(p, q)] = min(p, q)
    for c in range(len(mate)):
        if on_cut[triangles[c // 3, c % 3]]:
            mate[c] = _first(mate, c)
    return mate


@njit(cache=True)
def _first(mate: Indices, corner: int) -> int:
    while mate[corner] != corner:
        mate[corner] = mate[mate[corner]]
        corner = mate[corner]
    return corner
