"""A scan as it is looked at: slices of its block of voxels, and what lies on them."""

from dataclasses import dataclass
from enum import StrEnum

from crena.records.base import Record
from crena.records.scans import SkinFrame
from crena.records.shapes import Polyline2
from crena.records.tracts import Tract, TractMap


class Way(StrEnum):
    """A direction of the patient's body."""

    RIGHT = "right"
    LEFT = "left"
    HEAD = "head"
    FEET = "feet"
    BACK = "back"
    FRONT = "front"


class VoxelAxis(StrEnum):
    """An index of a voxel."""

    COLUMN = "i"
    ROW = "j"
    SLICE = "k"


class ViewName(StrEnum):
    """From where the slices are looked at."""

    ACROSS = "across"  #: slices across the body, the back on top
    SIDE = "side"  #: from the side, the head on top
    BEHIND = "behind"  #: from behind, the head on top


@dataclass(frozen=True, slots=True, kw_only=True)
class SliceView(Record):
    """How the block is cut into pictures: which index runs where, and what lies at the edges.

    A turned index runs against the picture: the first place shows the last voxel. Slices are
    numbered from 0 towards `towards`.
    """

    name: ViewName
    across: VoxelAxis
    down: VoxelAxis
    through: VoxelAxis
    across_turned: bool
    down_turned: bool
    through_turned: bool
    columns: int
    rows: int
    slices: int
    column_mm: float  #: width of a pixel
    row_mm: float  #: height of a pixel
    step_mm: float  #: from slice to slice
    left: Way
    right: Way
    top: Way
    bottom: Way
    towards: Way
    as_scanned: bool  #: each picture is one slice of the series


@dataclass(frozen=True, slots=True, kw_only=True)
class SignalWindow(Record):
    """Which numbers of the block are drawn as the darkest and as the brightest grey."""

    low: int
    high: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanPicture(Record):
    """What is known of a block of voxels that is shown.

    The block is int16, little-endian, in (k, j, i) order, numbers from 0; a voxel of the air
    outside of the body holds -1 minus its number.
    """

    series_uid: str
    voxels_sha256: str  #: of the signals as they were read; it enters the code of the plans
    slices: int
    rows: int
    columns: int
    window: SignalWindow  #: suggested
    widest: SignalWindow  #: the smallest and the greatest number of the body
    tilt_deg: float  #: the most that an index runs off the body's axis that it is named after
    affine_mm: tuple[tuple[float, ...], ...]  #: (4, 4), (i, j, k, 1) -> LPS
    thickness_mm: float
    prone: bool
    views: tuple[SliceView, ...]
    notes: tuple[str, ...] = ()


class ShownKind(StrEnum):
    """What is drawn on a slice."""

    TRACT = "tract"
    CAVITY = "cavity"
    SPOT = "spot"
    PROBE = "probe"
    MARGIN = "margin"  #: the distance asked for, round a tract or a cavity
    FLOOR = "floor"  #: the fascia
    CUT = "cut"  #: skin, walls and floor of the excision


@dataclass(frozen=True, slots=True, kw_only=True)
class SliceOutline(Record):
    """Where something of the map, or the excision, is cut by a slice of a view."""

    view: ViewName
    slice_number: int
    kind: ShownKind
    name: str
    outline_mm: Polyline2  #: right of and below the middle of the first pixel; only FLOOR is open


@dataclass(frozen=True, slots=True, kw_only=True)
class ScanMap(Record):
    """The tract map that a scan shows, with what the probe alone says, and where they lie."""

    tract_map: TractMap
    frame: SkinFrame
    probed: tuple[Tract, ...] = ()
