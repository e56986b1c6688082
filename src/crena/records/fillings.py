"""How well the wound is filled: the cavity, what the flap brings, and what stays empty."""

from dataclasses import dataclass

from crena.records.base import Record
from crena.records.shapes import Point2, Polyline2


@dataclass(frozen=True, slots=True, kw_only=True)
class Quilting(Record):
    """Stitches from the flap to the floor at one spacing, and what they leave open.

    Both ratios compare with no stitch at all, under the same pressure and pull; they are
    no volumes.
    """

    spacing_mm: float
    stitches: int
    farthest_mm: float  #: from a place on the floor to the nearest stitch
    pocket_ratio: float  #: one pocket between stitches, against the one great pocket
    gap_ratio: float  #: all pockets together, against the one great pocket


@dataclass(frozen=True, slots=True, kw_only=True)
class FillingOption(Record):
    """One more way to fill what stays empty, taken alone."""

    name: str
    how: str  #: one sentence: what is done, and how large it is
    outline_mm: Polyline2  #: where it comes to lie, (s, y), closed; empty: where the flap lies
    volume_ml: float  #: of the tissue that it brings over the wound
    gap_ml: float  #: what stays empty with it


@dataclass(frozen=True, slots=True, kw_only=True)
class GapMap(Record):
    """Depth of what stays empty, on a grid over the skin.

    Beyond the outline of the cavity each depth is that of the nearest place within.
    """

    s_mm: tuple[float, ...]  #: (n,), ascending
    y_mm: tuple[float, ...]  #: (m,), ascending
    depth_mm: tuple[tuple[float, ...], ...]  #: (m, n)


@dataclass(frozen=True, slots=True, kw_only=True)
class FillingSection(Record):
    """A section across at one level, closed lines in (x, z)."""

    y_mm: float
    cavity_mm: Polyline2
    filled_mm: Polyline2  #: the tissue laid in, from the skin downwards; empty if none


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling(Record):
    """The cavity of one plan, filled by its flap; the pull of the tissue is not in it."""

    cavity_ml: float
    flap_ml: float  #: of the cavity, filled by what is laid in
    spare_ml: float  #: laid in, and finds no room
    gap_ml: float  #: stays empty
    gap_low_ml: float  #: if the floor lies higher, within the error of its depth
    gap_high_ml: float  #: if it lies lower
    gap_without_flap_ml: float
    deepest_mm: float  #: of what stays empty
    deepest_at_mm: Point2 | None  #: none if nothing stays empty
    middle_at_mm: Point2 | None  #: centroid of what stays empty
    outline_mm: Polyline2  #: of the cavity seen from the skin, undercut included, closed
    gap_map: GapMap
    section: FillingSection  #: at the level of the deepest place
    quilting: tuple[Quilting, ...]
    options: tuple[FillingOption, ...]
    assumed: tuple[str, ...]
