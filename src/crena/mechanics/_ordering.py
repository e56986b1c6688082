"""The order of elimination of a mesh, worked out once and kept.

Nested dissection orders the nodes; the elimination tree groups them into fronts: runs of
nodes that share their rows, joined further where that costs few zeros (Duff & Reid 1983,
multifrontal method; Liu 1990, SIAM J Matrix Anal Appl 11:134, elimination trees).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pymetis
from numba import njit
from numpy.typing import NDArray
from scipy import sparse

Indices = NDArray[np.int64]

SMALL_FRONT_NODES = 6
"""Fronts up to this many nodes are always joined to the one that follows."""

ZEROS_RATIO = 0.15
"""Share of zeros in a joined front's rows that is still accepted."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fronts:
    """Which rows each front holds, and where its remainder goes; counted in nodes."""

    columns: Indices  #: (f + 1,) first node of each front, then the number of nodes
    starts: Indices  #: (f + 1,) where each front's rows begin in ``rows``
    rows: Indices  #: nodes of each front, its own first, ascending
    parents: Indices  #: (f,) the front that takes the remainder; -1 for a root
    places: Indices  #: as ``rows``: place within the parent's rows, -1 for its own nodes


def dissected(edges: Indices, count: int) -> Indices:
    """Return the nodes in nested-dissection order, children before their parents.

    Parameters
    ----------
    edges : (k, 2) int
        Pairs of nodes that share a triangle, each pair once, no node with itself.
    count : int
        Number of nodes.
    """
    graph = _graph(edges, count)
    order = np.asarray(pymetis.nested_dissection(_adjacency(graph))[0])
    renumbered = _graph(_inverse(order)[edges], count)
    parents = _parents(renumbered.indptr, renumbered.indices)
    return np.asarray(order[_postorder(parents)], dtype=np.int64)


def fronts_of(edges: Indices, count: int) -> Fronts:
    """Group ordered nodes into fronts.

    Parameters
    ----------
    edges : (k, 2) int
        Pairs of nodes, numbered in the order of elimination.
    count : int
        Number of nodes.
    """
    graph = _graph(edges, count)
    parents = _parents(graph.indptr, graph.indices)
    starts, below = _columns_below(graph, parents)
    columns = _joined(parents, np.diff(starts), SMALL_FRONT_NODES, ZEROS_RATIO)
    return _with_places(columns, parents, starts, below)


def _graph(edges: Indices, count: int) -> Any:
    both = np.concatenate([edges, edges[:, ::-1]])
    ones = np.ones(len(both), dtype=np.int8)
    graph = sparse.csr_matrix((ones, (both[:, 0], both[:, 1])), shape=(count, count))
    graph.sort_indices()
    return graph


def _adjacency(graph: Any) -> Any:
    return pymetis.CSRAdjacency(adj_starts=graph.indptr, adjacent=graph.indices)


def _inverse(order: Indices) -> Indices:
    inverse = np.empty(len(order), dtype=np.int64)
    inverse[order] = np.arange(len(order))
    return inverse


def _columns_below(graph: Any, parents: Indices) -> tuple[Indices, Indices]:
    """Return where each column of the factor begins, and its rows below the diagonal."""
    arrays = (graph.indptr, graph.indices)
    depths = np.zeros(len(parents), dtype=np.int64)
    _walk(arrays, parents, depths, np.empty(0, dtype=np.int64))
    starts = np.concatenate([[0], np.cumsum(depths)])
    below = np.empty(starts[-1], dtype=np.int64)
    _walk(arrays, parents, starts[:-1].copy(), below)
    return starts, below


def _with_places(columns: Indices, parents: Indices, starts: Indices, below: Indices) -> Fronts:
    count, fronts = int(columns[-1]), len(columns) - 1
    last = columns[1:] - 1
    own, rest = np.diff(columns), starts[last + 1] - starts[last]
    ends = np.concatenate([[0], np.cumsum(own + rest)])
    rows = np.empty(ends[-1], dtype=np.int64)
    within = np.arange(ends[-1]) - np.repeat(ends[:-1], own + rest)
    is_own = within < np.repeat(own, own + rest)
    rows[is_own] = np.arange(count)
    rows[~is_own] = below[(within + np.repeat(starts[last] - own, own + rest))[~is_own]]
    front_of = np.repeat(np.arange(fronts), own)
    above = np.where(parents[last] >= 0, front_of[parents[last]], -1)
    of_row = np.repeat(np.arange(fronts), own + rest)
    keys = of_row * count + rows
    places = np.full(ends[-1], -1, dtype=np.int64)
    target = above[of_row[~is_own]]
    places[~is_own] = np.searchsorted(keys, target * count + rows[~is_own]) - ends[target]
    return Fronts(columns=columns, starts=ends, rows=rows, parents=above, places=places)


@njit(cache=True)
def _parents(pointers, neighbours):  # type: ignore[no-untyped-def]
    count = len(pointers) - 1
    parents, ancestors = np.full(count, -1), np.full(count, -1)
    for i in range(count):
        for at in range(pointers[i], pointers[i + 1]):
            node = neighbours[at]
            if node >= i:
                continue
            while ancestors[node] != -1 and ancestors[node] != i:
                above = ancestors[node]
                ancestors[node] = i
                node = above
            if ancestors[node] == -1:
                ancestors[node] = i
                parents[node] = i
    return parents


@njit(cache=True)
def _postorder(parents):  # type: ignore[no-untyped-def]
    count = len(parents)
    first, following = np.full(count, -1), np.full(count, -1)
    roots = -1
    for node in range(count - 1, -1, -1):
        if parents[node] < 0:
            following[node] = roots
            roots = node
        else:
            following[node] = first[parents[node]]
            first[parents[node]] = node
    order, stack = np.empty(count, np.int64), np.empty(count + 1, np.int64)
    done = 0
    while roots != -1:
        depth, stack[0] = 1, roots
        while depth > 0:
            node = stack[depth - 1]
            if first[node] != -1:
                stack[depth] = first[node]
                first[node] = following[first[node]]
                depth += 1
            else:
                order[done] = node
                done += 1
                depth -= 1
        roots = following[roots]
    return order


@njit(cache=True)
def _walk(graph, parents, ends, below):  # type: ignore[no-untyped-def]
    """Walk the row subtrees: count at ``ends`` what each column holds, and note it in ``below``."""
    pointers, neighbours = graph
    mark = np.full(len(parents), -1)
    for i in range(len(parents)):
        mark[i] = i
        for at in range(pointers[i], pointers[i + 1]):
            node = neighbours[at]
            while node < i and mark[node] != i:
                mark[node] = i
                if len(below) > 0:
                    below[ends[node]] = i
                ends[node] += 1
                node = parents[node]


@njit(cache=True)
def _joined(parents, depths, small, zeros_ratio):  # type: ignore[no-untyped-def]
    """Return the first node of each front, after joining runs of nodes."""
    count = len(parents)
    begins, zeros = np.empty(count + 1, np.int64), np.zeros(count + 1)
    fronts = 0
    for node in range(count):
        begin, wasted = node, 0.0
        while fronts > 0 and parents[begin - 1] >= begin and parents[begin - 1] <= node:
            own, before = node + 1 - begin, begin - begins[fronts - 1]
            extra = zeros[fronts - 1] + before * (own + depths[node] - depths[begin - 1])
            area = (own + before) * (own + before + depths[node])
            is_small = before + own <= small
            if not is_small and wasted + extra > zeros_ratio * area:
                break
            begin, wasted = begins[fronts - 1], wasted + extra
            fronts -= 1
        begins[fronts], zeros[fronts] = begin, wasted
        fronts += 1
    begins[fronts] = count
    return begins[: fronts + 1].copy()
