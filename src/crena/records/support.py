"""What holds a closed wound from day to day: thread and healing against the pull."""

from dataclasses import dataclass
from typing import Annotated

from crena.records.base import Between, Record
from crena.records.sides import Answer
from crena.records.sutures import CustomaryRemoval


@dataclass(frozen=True, slots=True, kw_only=True)
class SupportTerms(Record):
    """What the wound must bear, and what is asked of it."""

    load_n_per_mm: Annotated[float, Between(1e-4, 100, "N/mm")]
    high_load_n_per_mm: Annotated[float, Between(1e-4, 1000, "N/mm")] | None = None
    #: 5 of 100 skins pull more; held against the lowest figures; none: as the load
    whole_skin_n_per_mm: Annotated[float, Between(1, 200, "N/mm")] = 25.0
    multiple_ratio: Annotated[float, Between(1, 20)] = 2.0  #: support over load that is asked
    contaminated: Answer = Answer.NOT_ASKED  #: infected or contaminated field
    risks: Annotated[int, Between(0, 10)] = 0  #: of tension, smoking, diabetes, steroids


@dataclass(frozen=True, slots=True, kw_only=True)
class SupportCurve(Record):
    """Support from day to day; a day on which stitches leave stands twice, before and after."""

    at_day: tuple[float, ...]
    support_n_per_mm: tuple[float, ...]
    worst_n_per_mm: tuple[float, ...]  #: with the lowest figures known


@dataclass(frozen=True, slots=True, kw_only=True)
class LowestSupport(Record):
    """The weakest moment."""

    on_day: float
    support_n_per_mm: float
    over_load_ratio: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EarliestDay(Record):
    """From when on the wound keeps a multiple of its load without the skin stitches."""

    multiple_ratio: float
    from_day: float | None  #: none: not within the days looked at
    worst_from_day: float | None  #: with the lowest figures known


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovalChance(Record):
    """Chance that support stays above the multiple once the skin stitches left on this day."""

    on_day: float
    chance: float
    of_100: int  #: the same chance in whole hundredths, rounded down; never none, never all
    over_load_ratio: float  #: least support over the load from that day on, rounded down
    worst_over_load_ratio: float  #: the same with the lowest figures known and the high load


@dataclass(frozen=True, slots=True, kw_only=True)
class Support(Record):
    """Support against time, and what it says of the day the skin stitches leave."""

    load_n_per_mm: float
    high_load_n_per_mm: float  #: held against the lowest figures
    multiple_ratio: float  #: support over load that is asked
    with_skin: SupportCurve
    without_skin: SupportCurve
    kept_in: SupportCurve  #: as if no stitch were ever taken out
    lowest: LowestSupport
    lowest_worst: LowestSupport  #: with the lowest figures known
    lowest_without_skin: LowestSupport
    earliest: tuple[EarliestDay, ...]
    chances: tuple[RemovalChance, ...]
    removal_day: float | None  #: the surgeon's, of the first stitches; none: nothing comes out
    customary: CustomaryRemoval
    warnings: tuple[str, ...]
    sources: tuple[str, ...]
