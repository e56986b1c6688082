"""What is cut out: outline, walls, floor, and how far it stays from the disease."""

from dataclasses import dataclass
from enum import StrEnum

from crena.records.base import Record
from crena.records.shapes import Point2, Point3, Polyline2


class OutlineKind(StrEnum):
    """The families of outlines."""

    RHOMBUS = "rhombus"
    FUSIFORM = "fusiform"
    ASYMMETRIC_LENS = "asymmetric lens"


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner(Record):
    """A named corner on the skin."""

    name: str
    at_mm: Point2  #: (s, y)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall(Record):
    """One side of the excision, named by the corners at its ends."""

    name: str
    line_mm: Polyline2  #: on the skin, (s, y), anticlockwise


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline(Record):
    """The line on the skin that is cut, with the slope of its walls."""

    kind: OutlineKind
    corners: tuple[Corner, ...]  #: anticlockwise
    walls: tuple[Wall, ...]  #: anticlockwise, closed
    wall_angle_deg: float  #: 0 straight down; more: the wound is wider at its floor


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance(Record):
    """How far one part of the disease stays from the nearest wall, in 3-D."""

    part: str  #: tract, cavity or pit
    wall: str  #: the wall that binds
    least_mm: float
    floor_mm: float  #: to the fascia
    at_mm: Point3  #: the place on the disease


@dataclass(frozen=True, slots=True, kw_only=True)
class ChanceClear(Record):
    """The chance that the true clearance is at least what was asked for."""

    at_least_mm: float
    chance: float
    chance_low: float  #: if the errors are a quarter larger than taken
    chance_high: float  #: if they are a quarter smaller
    quantile05_mm: float  #: 19 of 20 true clearances are larger


@dataclass(frozen=True, slots=True, kw_only=True)
class Excision(Record):
    """One excision, measured."""

    outline: Outline
    outline_mm: Polyline2  #: all walls in one closed line, (s, y)
    area_mm2: float  #: on the skin
    depth_mm: float  #: greatest, from skin to floor
    volume_ml: float
    volume_low_ml: float
    volume_high_ml: float
    healthy_ml: float  #: tissue beyond the drawn margin
    least_clearance_mm: float  #: walls and floor
    least_wall_clearance_mm: float
    clearances: tuple[Clearance, ...]
    chance_clear: ChanceClear
