"""A flat sheet of skin in triangles, cut and ready to be sutured."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.records import Record, RigidMotion

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]
Truths = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeamNodes(Record):
    """The nodes of two edges that are sutured to each other, first to first."""

    name: str
    fixed: Indices  #: (k,)
    moved: Indices  #: (k,) at the same fractions of arc length
    donor: bool = False  #: it closes the place that the flap came from


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet(Record):
    """Skin around a wound, meshed, with its cuts open and its seams not yet closed."""

    nodes_mm: Floats  #: (n, 2)
    triangles: Indices  #: (m, 3) anticlockwise
    border: Indices  #: (b,) nodes of the outer border, anticlockwise
    seams: tuple[SeamNodes, ...]
    flap: Indices  #: (m,) 0 for skin that stays, 1.. for the flap a triangle belongs to
    undermined: Truths  #: (m,) freed at the fascia
    motions: tuple[RigidMotion, ...]  #: one per flap
