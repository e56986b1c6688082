"""The skin before, during and after a closure, as lines that can be drawn."""

from dataclasses import dataclass
from enum import StrEnum

from crena.records.base import Record
from crena.records.shapes import Point2, Polyline2


class PullClass(StrEnum):
    """How hard a stretch of scar is pulled at, against the hardest of the same closure."""

    LOW = "low"
    MIDDLE = "middle"
    HIGH = "high"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScarWindow(Record):
    """The length of scar that one stitch holds."""

    seam: str
    donor: bool  #: it closes the place that the flap came from
    line_mm: Polyline2
    pull: PullClass


@dataclass(frozen=True, slots=True, kw_only=True)
class TensionBand(Record):
    """Where the tension lies between two multiples of that before the operation."""

    low_ratio: float
    high_ratio: float | None  #: none: no upper end
    rings_mm: tuple[Polyline2, ...]  #: closed; inside is what an odd number of them surround


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinMoment(Record):
    """The skin at one moment: what lies where."""

    name: str
    turned_fraction: float  #: of the way to its place, 0 as cut, 1 sutured
    computed: bool  #: in balance; else only drawn
    flaps_mm: tuple[Polyline2, ...]  #: closed
    edges_mm: tuple[Polyline2, ...]  #: round each gap, last point as the first; none once sutured
    free_edges_mm: tuple[Polyline2, ...]  #: the part of them that lies on the flaps
    grid_mm: tuple[Polyline2, ...]  #: lines 10 mm apart before the cut, on skin that stays
    weave_mm: tuple[Polyline2, ...]  #: the same lines on the flaps
    midline_mm: tuple[Polyline2, ...]  #: the skin that lay on the midline before the cut
    scar: tuple[ScarWindow, ...] = ()
    tension: tuple[TensionBand, ...] = ()
    wrinkles_mm: tuple[Polyline2, ...] = ()  #: rings, as in a tension band


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinFilm(Record):
    """One closure on one guessed skin, moment by moment; never of a run that failed."""

    moments: tuple[SkinMoment, ...]
    low_mm: Point2  #: lower left corner of what is shown, whole tens
    high_mm: Point2  #: its upper right corner
    window_mm: float  #: wanted length of a window of the scar
    disc_radius_mm: float  #: tension is the mean over such a disc
