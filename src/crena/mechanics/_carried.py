"""Lines that move with the skin, and how they are found on a mesh."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.records import Polyline2, line2

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Carried:
    """A line that moves with the skin, each point between a few nodes."""

    nodes: Indices  #: (k, a)
    weights: Floats  #: (k, a)

    def at(self, places: Floats) -> Polyline2:
        """Return the line where the nodes lie now."""
        return line2(np.einsum("ka,kad->kd", self.weights, places[self.nodes]))


def traced(values: Floats, triangles: Indices) -> list[Carried]:
    """Return the lines on which node values pass 0, with higher values on their left."""
    high = values[triangles] > 0
    mixed = high.any(axis=1) & ~high.all(axis=1)
    lone = high[mixed] != (high[mixed].sum(axis=1) > 1)[:, None]
    turn = (lone.argmax(axis=1)[:, None] + np.arange(3)) % 3
    a, b, c = np.take_along_axis(triangles[mixed], turn, axis=1).T
    peak = values[a] > 0
    ends = np.sort([[a, np.where(peak, b, c)], [a, np.where(peak, c, b)]], axis=1)
    lines = []
    for chain in chains_of(*(ends[:, 0] * len(values) + ends[:, 1])):
        nodes = np.column_stack([chain // len(values), chain % len(values)])
        first, second = values[nodes].T
        weights = np.column_stack([-second, first]) / (first - second)[:, None]
        lines.append(Carried(nodes=nodes, weights=weights))
    return lines


def chains_of(starts: Indices, ends: Indices) -> list[Indices]:
    """Join steps into lines; a line that closes ends as it began."""
    onward = dict(zip(starts.tolist(), ends.tolist(), strict=True))
    begins = np.setdiff1d(starts, ends)
    chains = []
    for key in (*begins.tolist(), *starts.tolist()):
        chain = [key]
        while chain[-1] in onward:
            chain.append(onward.pop(chain[-1]))
        if len(chain) > 1:
            chains.append(np.array(chain))
    return chains
