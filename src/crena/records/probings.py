"""What the probe felt: one pass from a pit into a tract."""

from dataclasses import dataclass
from typing import Annotated

from crena.records.base import Between, Record
from crena.records.sides import Side


@dataclass(frozen=True, slots=True, kw_only=True)
class Probing(Record):
    """One pass of the probe: from a pit, which way, how long, how deep its tip came."""

    tract: str
    pit: str
    length_mm: Annotated[float, Between(2, 150, "mm")]
    tip_depth_mm: Annotated[float, Between(0, 80, "mm")]  #: below the skin
    from_cranial_deg: Annotated[float, Between(0, 180, "degrees")]  #: 0 cranial, 180 caudal
    side: Side | None = None  #: which way it turns; needed unless 0 or 180 degrees
    outer_radius_mm: Annotated[float, Between(0.5, 15, "mm")] = 2.5
    cavity_radius_mm: Annotated[float, Between(1, 30, "mm")] | None = None  #: at the tip
