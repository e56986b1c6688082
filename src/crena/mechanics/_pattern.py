"""Where every number of a triangle goes in the stiffness: worked out once per mesh."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from crena.mechanics._ordering import Fronts, dissected, fronts_of
from crena.mechanics.ties import Ties

Indices = NDArray[np.int64]
Floats = NDArray[np.float64]

SPARE = 2
"""Places at the end of each array that take what belongs to nodes that are held."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pattern:
    """The upper triangle of the stiffness by columns, and the way into it."""

    pointers: Indices  #: (2 f + 1,) first entry of each column, f the free joined nodes
    rows: Indices  #: row of each entry, ascending in each column
    node_dofs: Indices  #: (n,) number of each node's x in the order of elimination; 2 f if held
    element_dofs: Indices  #: (m, 6)
    slots: Indices  #: (m, 21) place of each upper entry of a triangle's stiffness
    diagonal: Indices  #: (2 f + 2,) place of each number's diagonal entry
    fronts: Fronts

    @property
    def size(self) -> int:
        """Return how many numbers are unknown."""
        return len(self.pointers) - 1

    def matrix(self, stiffness: Floats) -> Any:
        """Return the upper triangle as a sparse matrix, by columns."""
        shape = (self.size, self.size)
        return sparse.csc_matrix((stiffness[: len(self.rows)], self.rows, self.pointers), shape)


def pattern_of(triangles: Indices, ties: Ties) -> Pattern:
    """Lay out the stiffness of a tied mesh in nested-dissection order.

    Parameters
    ----------
    triangles : (m, 3) int
        Nodes of each triangle.
    ties : Ties
        The joined nodes.
    """
    count = int(ties.free.sum())
    numbers = np.full(len(ties.free), -1, dtype=np.int64)
    numbers[ties.free] = np.arange(count)
    edges = _edges(numbers[ties.joined[triangles]], count)
    order = dissected(edges, count)
    numbers[np.flatnonzero(ties.free)[order]] = np.arange(count)
    nodes = numbers[ties.joined]
    edges = _edges(nodes[triangles], count)
    return _laid_out(nodes, nodes[triangles], edges, count)


def _edges(corners: Indices, count: int) -> Indices:
    """Return pairs of free nodes (low, high), each once, sorted by the high one."""
    pairs = np.concatenate([corners[:, [0, 1]], corners[:, [1, 2]], corners[:, [2, 0]]])
    pairs = np.sort(pairs[(pairs >= 0).all(axis=1)], axis=1)
    keys = np.unique(pairs[:, 1] * count + pairs[:, 0])
    return np.column_stack([keys % count, keys // count])


def _laid_out(nodes: Indices, corners: Indices, edges: Indices, count: int) -> Pattern:
    degrees = np.bincount(edges[:, 1], minlength=count)
    widths = np.c_[2 * degrees + 1, 2 * degrees + 2].ravel()
    pointers = np.concatenate([[0], np.cumsum(widths)])
    element_dofs = 2 * np.where(corners < 0, count, corners)
    element_dofs = (element_dofs[:, :, None] + np.arange(2)).reshape(-1, 6)
    element_dofs[np.repeat(corners < 0, 2, axis=1)] = 2 * count
    keys = np.sort(edges[:, 1] * count + edges[:, 0])
    firsts = np.concatenate([[0], np.cumsum(degrees)])
    top, bottom = np.triu_indices(6)
    low = np.minimum(element_dofs[:, top], element_dofs[:, bottom])
    high = np.maximum(element_dofs[:, top], element_dofs[:, bottom])
    place = (
        np.searchsorted(keys, high // 2 * count + low // 2)
        - firsts[np.minimum(high // 2, count - 1)]
    )
    slots = pointers[high] + 2 * place + low % 2
    slots[high == 2 * count] = pointers[-1]
    rows = _rows(edges, firsts, pointers, count)
    diagonal = np.concatenate([pointers[1:] - 1, [pointers[-1]] * SPARE])
    return Pattern(
        pointers=pointers, rows=rows, node_dofs=2 * np.where(nodes < 0, count, nodes),
        element_dofs=element_dofs, slots=slots, diagonal=diagonal, fronts=fronts_of(edges, count),
    )  # fmt: skip


def _rows(edges: Indices, firsts: Indices, pointers: Indices, count: int) -> Indices:
    rows = np.empty(pointers[-1], dtype=np.int64)
    within = np.arange(len(edges)) - firsts[edges[:, 1]]
    for column in range(2):
        for row in range(2):
            rows[pointers[2 * edges[:, 1] + column] + 2 * within + row] = 2 * edges[:, 0] + row
    own = np.arange(count)
    rows[pointers[1::2] - 1] = 2 * own
    rows[pointers[2::2] - 2] = 2 * own
    rows[pointers[2::2] - 1] = 2 * own + 1
    return rows
