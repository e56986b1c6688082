"""The places of a seam: nodes of the open mesh that lie together before and after closing.

Where cuts meet, one point of the skin is several nodes, one for each sector; a seam may
name more than one of them in a row. A sheet's places are worked out once and remembered for
the next reading.
"""

from collections import defaultdict
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from crena.mechanics.sheet import SeamNodes, Sheet
from crena.mechanics.ties import tied

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]
Truths = NDArray[np.bool_]

SHEETS_REMEMBERED = 4
"""Sheets whose places are kept, the latest."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeamPlaces:
    """A seam, place by place."""

    name: str
    donor: bool
    first: Indices  #: (k,) one node of the fixed side at each place
    moved: tuple[Indices, ...]  #: k times the nodes of the moved side
    fixed: tuple[Indices, ...]
    pivots: Truths  #: (k,) both sides are one node: nothing is sutured here

    def moved_sums(self, values: Floats) -> Floats:
        """Return the sums of node values (n, d) over the moved side of each place (k, d)."""
        nodes, counts = _in_a_row(self.moved)
        return np.asarray(np.add.reduceat(values[nodes], np.cumsum(counts) - counts, axis=0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CornerPlace:
    """A place where seams end."""

    seams: tuple[str, ...]
    donor: bool  #: a donor seam ends here
    nodes: Indices  #: all that are sutured to one another here, two or more


@lru_cache(maxsize=SHEETS_REMEMBERED)
def places_of(sheet: Sheet) -> tuple[SeamPlaces, ...]:
    """Group the nodes of each seam by the place that they share."""
    return tuple(_places(seam, sheet.nodes_mm) for seam in sheet.seams)


@lru_cache(maxsize=SHEETS_REMEMBERED)
def corners_of(sheet: Sheet) -> tuple[CornerPlace, ...]:
    """Find where the seams of a sheet end."""
    joined = tied(sheet).joined
    meeting: dict[int, list[SeamPlaces]] = defaultdict(list)
    for line in places_of(sheet):
        for end in sorted({int(joined[line.first[0]]), int(joined[line.first[-1]])}):
            meeting[end].append(line)
    corners = (
        CornerPlace(
            seams=tuple(line.name for line in lines),
            donor=any(line.donor for line in lines),
            nodes=np.flatnonzero(joined == end),
        )
        for end, lines in meeting.items()
    )
    return tuple(corner for corner in corners if len(corner.nodes) > 1)


def lengths_at_nodes_mm(lines: tuple[SeamPlaces, ...], after_mm: Floats) -> Floats:
    """Return the length of all seams that belongs to each node of the open mesh (n,)."""
    total = np.zeros(len(after_mm))
    for line in lines:
        steps = np.linalg.norm(np.diff(after_mm[line.first], axis=0), axis=1)
        halves = np.concatenate([[0.0], steps / 2]) + np.concatenate([steps / 2, [0.0]])
        for side in (line.moved, line.fixed):
            nodes, counts = _in_a_row(side)
            np.add.at(total, nodes, np.repeat(halves / counts, counts))
    return total


def _places(seam: SeamNodes, nodes_mm: Floats) -> SeamPlaces:
    both = np.column_stack([nodes_mm[seam.fixed], nodes_mm[seam.moved]])
    starts = np.flatnonzero(np.concatenate([[True], (both[1:] != both[:-1]).any(axis=1)]))
    fixed = tuple(np.unique(part) for part in np.split(seam.fixed, starts[1:]))
    moved = tuple(np.unique(part) for part in np.split(seam.moved, starts[1:]))
    pivots = np.array([bool(np.isin(m, f).any()) for m, f in zip(moved, fixed, strict=True)])
    return SeamPlaces(
        name=seam.name, donor=seam.donor, first=seam.fixed[starts], moved=moved, fixed=fixed,
        pivots=pivots,
    )  # fmt: skip


def _in_a_row(places: tuple[Indices, ...]) -> tuple[Indices, Indices]:
    """Return all nodes of all places, and how many each place has (k,)."""
    return np.concatenate(places), np.array([len(nodes) for nodes in places])
