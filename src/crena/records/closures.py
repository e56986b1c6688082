"""How the wound is closed: one record for every construction."""

from dataclasses import dataclass
from enum import StrEnum

from crena.records.base import Record
from crena.records.excisions import Corner
from crena.records.shapes import Point2, Polyline2
from crena.records.sides import Side


class ClosureKind(StrEnum):
    """The constructions, by the names that the trade uses."""

    LIMBERG = "Limberg"
    DUFOURMENTEL = "Dufourmentel"
    RHOMBIC_30 = "rhombic, 30-degree tip"
    RHOMBIC = "rhombic, free angles"
    ADVANCEMENT = "asymmetric advancement"
    V_Y = "V-Y advancement"
    ROTATION = "rotation flap"
    Z_PLASTY = "Z-plasty"
    TRIANGULAR = "triangular, two unequal flaps"
    MIDLINE = "midline fusiform"
    OPEN = "left open"


@dataclass(frozen=True, slots=True, kw_only=True)
class RigidMotion(Record):
    """A turn about a pivot, then a shift."""

    angle_deg: float  #: anticlockwise, as the surgeon sees it
    pivot_mm: Point2
    shift_mm: Point2 = (0.0, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flap(Record):
    """Skin that is raised and moved."""

    outline_mm: Polyline2  #: closed, first point not repeated
    pedicle_mm: tuple[Point2, Point2] | None  #: the uncut base; None if it lies deep, of an island
    motion: RigidMotion


@dataclass(frozen=True, slots=True, kw_only=True)
class Seam(Record):
    """Two edges that are sutured to each other, first to first and last to last."""

    name: str
    fixed_mm: Polyline2
    moved_mm: Polyline2  #: where the edge lies before it is moved
    donor: bool = False  #: it closes the place that the flap came from
    fixed_flap: int = 0  #: the flap, from 1, whose edge it is; 0 for skin that stays
    moved_flap: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter(Record):
    """A free measure of a construction, for people and for drawing it again."""

    name: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure(Record):
    """One way to close the wound, before any tissue gives."""

    kind: ClosureKind
    name: str
    donor_side: Side | None
    points_mm: dict[str, Point2]  #: corners by letter, in the trade's order
    removed_mm: Polyline2  #: skin taken out, closed
    incisions_mm: tuple[Polyline2, ...]  #: cuts beyond the outline
    flaps: tuple[Flap, ...]
    seams: tuple[Seam, ...]
    scar_mm: tuple[Polyline2, ...]  #: where the seams come to lie, each a line
    undermined_mm: Polyline2  #: zone freed at the fascia, closed; empty if none
    parameters: tuple[Parameter, ...]
    warnings: tuple[str, ...] = ()

    @property
    def corners(self) -> tuple[Corner, ...]:
        """Return the corners in order, with their letters."""
        return tuple(Corner(name=name, at_mm=at) for name, at in self.points_mm.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class Scar(Record):
    """The ideal scar: lengths and distances from the midline, x = 0."""

    polyline_mm: Polyline2
    branches_mm: tuple[Polyline2, ...]  #: further lines, where the scar forks
    length_mm: float
    least_midline_mm: float
    lower_end_mm: Point2
    lower_end_midline_mm: float
    lower_end_low_mm: float  #: the band that marking allows
    lower_end_high_mm: float
    lower_end_anal_verge_mm: float
    share_beyond_10mm: float
    midline_crossings: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape(Record):
    """What geometry alone says of a closure."""

    edge_mismatch_mm: float  #: largest difference of two edges that are sutured
    base_to_length_ratio: float | None  #: pedicle over flap length
    donor_closure_mm: float  #: how far the donor edges must come together
    flap_area_mm2: float
    defect_area_mm2: float
