"""Exact ties: sutured nodes become one, and the border stands still.

No penalty and no multiplier: the unknowns are renumbered, x = T q, so that tied nodes
share their place to the last bit and the stiffness stays symmetric.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

from crena.mechanics.sheet import Sheet
from crena.records import InputError

Indices = NDArray[np.int64]
Truths = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ties:
    """Which nodes are one once the seams are closed."""

    joined: Indices  #: (n,) number of the joined node that each node belongs to
    free: Truths  #: (j,) joined nodes that may move
    first: Indices  #: (j,) one node of each joined node


def tied(sheet: Sheet) -> Ties:
    """Join the nodes of all seams and hold the border.

    Parameters
    ----------
    sheet : Sheet
        Skin with open seams.

    Returns
    -------
    Ties
        The joined nodes.

    Raises
    ------
    InputError
        If a seam's edges have different numbers of nodes, would fold a triangle flat, or
        would pull two places of the border together, or if a piece of skin hangs on nothing.

    Notes
    -----
    The sets are the connected components of the graph of sutures, which is what
    union-find gives (Tarjan, J ACM 1975;22:215).
    """
    _refuse_uneven(sheet)
    pairs = np.concatenate([_no_pairs(), *(np.c_[s.fixed, s.moved] for s in sheet.seams)])
    count = len(sheet.nodes_mm)
    graph = sparse.coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), (count, count))
    joined = csgraph.connected_components(graph, directed=False)[1].astype(np.int64)
    _refuse_folded(joined[sheet.triangles])
    _refuse_loose(joined[sheet.triangles], joined[sheet.border])
    held = joined[sheet.border]
    if len(np.unique(held)) < len(np.unique(sheet.border)):
        raise InputError("A seam joins two places of the outer border. Use a larger sheet.")
    free = np.ones(joined.max() + 1, dtype=bool)
    free[held] = False
    first = np.zeros(len(free), dtype=np.int64)
    first[joined[::-1]] = np.arange(count)[::-1]
    first[held] = sheet.border
    return Ties(joined=joined, free=free, first=first)


def _no_pairs() -> Indices:
    return np.empty((0, 2), dtype=np.int64)


def _refuse_uneven(sheet: Sheet) -> None:
    for seam in sheet.seams:
        if len(seam.fixed) != len(seam.moved):
            raise InputError(
                f"Seam {seam.name}: {len(seam.fixed)} nodes meet {len(seam.moved)}. "
                "Mesh both edges with the same number."
            )


def _refuse_folded(corners: Indices) -> None:
    folded = (corners == np.roll(corners, 1, axis=1)).any(axis=1)
    if folded.any():
        raise InputError(
            f"The seams would fold {int(folded.sum())} triangles flat. Use a finer mesh."
        )


def _refuse_loose(corners: Indices, held: Indices) -> None:
    count = int(corners.max()) + 1
    ends = (corners.ravel(), np.roll(corners, 1, axis=1).ravel())
    graph = sparse.coo_matrix((np.ones(corners.size), ends), (count, count))
    piece = csgraph.connected_components(graph, directed=False)[1]
    loose = np.setdiff1d(piece[corners[:, 0]], piece[held[held < count]])
    if loose.size:
        raise InputError(
            f"{loose.size} pieces of skin hang on nothing. Suture them or leave them a pedicle."
        )
