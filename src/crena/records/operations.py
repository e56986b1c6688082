"""What was really found and done; what nobody wrote down stays empty and is said so."""

from dataclasses import dataclass
from datetime import date, time
from enum import StrEnum
from typing import Annotated

from crena.records.base import Between, CalendarDay, Record
from crena.records.excisions import Corner
from crena.records.probings import Probing
from crena.records.shapes import Point2
from crena.records.sides import Answer, Side


class DyeSeen(StrEnum):
    """Where dye was seen once the wound was open."""

    NOT_USED = "no dye was used"
    NOWHERE = "seen nowhere in the wound"
    AT_WALL = "seen in the wound"
    NOT_RECORDED = "not recorded"


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredCorner(Record):
    """A corner of the real defect, measured with the sterile ruler."""

    name: str  #: its letter on the plan that was cut
    above_coccyx_tip_mm: Annotated[float, Between(-120, 200, "mm")]
    off_midline_mm: Annotated[float, Between(0, 150, "mm")] = 0.0
    side: Side | None = None  #: needed when the corner is off the midline

    @property
    def at_mm(self) -> Point2 | None:
        """Return its place (s, y); None while its side is not said."""
        if self.off_midline_mm and self.side is None:
            return None
        sign = self.side.sign if self.side else 1
        return sign * self.off_midline_mm, self.above_coccyx_tip_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class WallClearance(Record):
    """Healthy tissue between the disease and one wall, measured on the specimen."""

    wall: str
    clearance_mm: Annotated[float, Between(0, 80, "mm")]


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerDone(Record):
    """One layer as it was sewn."""

    name: str
    material: str
    size: str
    stitches: Annotated[int, Between(0, 300, "stitches")] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainPlaced(Record):
    """A drain as it was laid; one charrière (French) is a third of a millimetre."""

    name: str
    size_charriere: Annotated[int, Between(3, 40, "charrière")] | None = None
    leaves_on: Side | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Deviation(Record):
    """What was done otherwise than planned, and why."""

    what: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedStep(Record):
    """A step and the local clock time at which it was done."""

    step: str
    at: time


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationRecord(Record):
    """One operation; None is not recorded, an empty list is none."""

    operated_on: Annotated[date, CalendarDay()]
    plan_code: str = ""  #: as printed on the sheets that were used
    plan: str = ""  #: the plan's letter
    dye_seen: DyeSeen = DyeSeen.NOT_RECORDED
    dye_walls: tuple[str, ...] = ()  #: where it was seen
    corners: tuple[Corner, ...] | None = None  #: of the real defect
    measured: tuple[MeasuredCorner, ...] = ()  #: the same, as the ruler gave them
    #: in place of its corners: from the first to the third, from the second to the fourth
    hole_length_mm: Annotated[float, Between(1, 300, "mm")] | None = None
    hole_width_mm: Annotated[float, Between(1, 300, "mm")] | None = None
    branches: tuple[Probing, ...] = ()  #: found on the table, by dye or probe
    defect_length_mm: Annotated[float, Between(1, 300, "mm")] | None = None
    defect_width_mm: Annotated[float, Between(1, 300, "mm")] | None = None
    defect_depth_mm: Annotated[float, Between(1, 150, "mm")] | None = None
    specimen_length_mm: Annotated[float, Between(1, 300, "mm")] | None = None
    specimen_width_mm: Annotated[float, Between(1, 300, "mm")] | None = None
    specimen_depth_mm: Annotated[float, Between(1, 150, "mm")] | None = None
    specimen_weight_g: Annotated[int, Between(1, 2000, "g")] | None = None
    clearances: tuple[WallClearance, ...] | None = None
    blood_loss_ml: Annotated[float, Between(0, 5000, "mL")] | None = None
    layers: tuple[LayerDone, ...] | None = None
    drains: tuple[DrainPlaced, ...] | None = None
    counts_agree: Answer = Answer.NOT_ASKED  #: swabs, needles and instruments
    deviations: tuple[Deviation, ...] | None = None
    steps: tuple[TimedStep, ...] | None = None
    note: str = ""

    @property
    def defect(self) -> tuple[Corner, ...]:
        """Return the corners of the real defect whose place is known."""
        places = [(each.name, each.at_mm) for each in self.measured]
        found = tuple(Corner(name=name, at_mm=at) for name, at in places if at is not None)
        return found or self.corners or ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedDone(Record):
    """One figure as planned and as it came out, in words."""

    what: str
    planned: str
    done: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteSection(Record):
    """A heading and its paragraphs."""

    heading: str
    paragraphs: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationNote(Record):
    """The note: plain paragraphs that the surgeon may rewrite."""

    title: str
    sections: tuple[NoteSection, ...]
    rows: tuple[PlannedDone, ...]
    not_recorded: tuple[str, ...]
