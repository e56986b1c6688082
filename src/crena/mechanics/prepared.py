"""A sheet made ready for closing: all that its mesh alone decides, kept for every skin."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._factor import Factor, Method, new_factor
from crena.mechanics._pattern import Pattern, pattern_of
from crena.mechanics._plane import areas_mm2, shape_gradients
from crena.mechanics.sheet import Sheet, Truths
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
    nodes_mm: Floats  #: (n, 2) before
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
    start = transposed_mm(sheet, ties, pattern, factor)
    return Prepared(
        sheet=sheet, ties=ties, pattern=pattern, nodes_mm=nodes, triangles=triangles,
        gradients=gradients, areas_mm2=areas, held_mm2=_held_mm2(sheet, areas),
        start_mm=start, factor=factor,
    )  # fmt: skip


def freed(prepared: Prepared, undermined: Truths) -> Prepared:
    """Return the same sheet with another zone freed at the fascia; the factor is shared.

    Parameters
    ----------
    prepared : Prepared
        The sheet, as `prepare` gives it.
    undermined : (m,) bool
        Which triangles are freed.
    """
    sheet = replace(prepared.sheet, undermined=undermined)
    return replace(prepared, sheet=sheet, held_mm2=_held_mm2(sheet, prepared.areas_mm2))


def _held_mm2(sheet: Sheet, areas: Floats) -> Floats:
    """Return the area that the fascia holds at each node (n,)."""
    share = np.where(sheet.undermined, 0.0, areas / 3)
    held = np.bincount(sheet.triangles.ravel(), np.repeat(share, 3), len(sheet.nodes_mm))
    return np.asarray(held, dtype=np.float64)
