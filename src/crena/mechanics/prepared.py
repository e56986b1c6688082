"""A sheet made ready for closing: all that its mesh alone decides, kept for every skin."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._factor import Factor, Method, new_factor
from crena.mechanics._pattern import Pattern, pattern_of
from crena.mechanics._plane import areas_mm2, shape_gradients
from crena.mechanics.sheet import Sheet
from crena.mechanics.start import transposed_mm
from crena.mechanics.ties import Ties, tied
from crena.records import InputError

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Prepared:
    """All that depends on the sheet alone, to be used again for other skins.

    One user at a time: the factor is a workspace.
    """

    sheet: Sheet
    ties: Ties
    pattern: Pattern
    triangles: Indices  #: (m, 3)
    gradients: Floats  #: (m, 3, 2) per mm of living skin
    areas_mm2: Floats  #: (m,)
    held_mm2: Floats  #: (n,) area that the fascia holds at each node
    start_mm: Floats  #: (n, 2) flaps in their places
    factor: Factor


def prepare(sheet: Sheet, *, method: Method = Method.FRONTS) -> Prepared:
    """Work out once what every closure of this sheet needs.

    Parameters
    ----------
    sheet : Sheet
        Skin with open seams.
    method : Method
        How linear systems are solved.

    Raises
    ------
    InputError
        If the sheet is not one that can be sutured.
    """
    nodes = np.ascontiguousarray(sheet.nodes_mm, dtype=np.float64)
    triangles = np.ascontiguousarray(sheet.triangles, dtype=np.int64)
    flat = ~(areas_mm2(nodes, triangles) > 0)
    if flat.any():
        raise InputError(f"{int(flat.sum())} triangles of the sheet have no area. Mesh it again.")
    gradients, areas = shape_gradients(nodes, triangles)
    ties = tied(sheet)
    pattern = pattern_of(sheet.triangles, ties)
    factor = new_factor(pattern, method)
    share = np.where(sheet.undermined, 0.0, areas / 3)
    held = np.bincount(sheet.triangles.ravel(), np.repeat(share, 3), len(nodes))
    start = transposed_mm(sheet, ties, pattern, factor)
    return Prepared(
        sheet=sheet, ties=ties, pattern=pattern, triangles=triangles,
        gradients=gradients, areas_mm2=areas, held_mm2=np.asarray(held, dtype=np.float64),
        start_mm=start, factor=factor,
    )  # fmt: skip
