"""Places that were pointed at on the skin laid flat, and the entries that say the same."""

from dataclasses import dataclass
from typing import Annotated

from crena.records.base import Between, Record
from crena.records.cases import BodyEntry, PitEntry
from crena.records.sides import Side


@dataclass(frozen=True, slots=True, kw_only=True)
class Pointed(Record):
    """A place on the skin laid flat: (s, y) of the skin frame."""

    across_mm: Annotated[float, Between(-500, 500, "mm")]  #: to the patient's right
    along_mm: Annotated[float, Between(-500, 500, "mm")]  #: towards the head


@dataclass(frozen=True, slots=True, kw_only=True)
class PointedTip(Record):
    """Where the tip of a probe lies under the skin, and what is known of that probe."""

    at: Pointed
    pit: PitEntry  #: where the probe goes in
    tip_depth_mm: Annotated[float, Between(0, 80, "mm")]
    body: BodyEntry
    case_id: str = ""  #: of the case whose scan shows the skin; empty: the skin is as entered


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPit(Record):
    """The three entries that place a pit."""

    above_coccyx_tip_mm: float
    off_midline_mm: float
    side: Side | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedTip(Record):
    """The three entries that place the tip of a probe whose depth is known."""

    length_mm: float
    from_cranial_deg: float
    side: Side | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedVerge(Record):
    """The entry that places the anal verge, which lies in the midline."""

    anal_verge_below_coccyx_tip_mm: float
