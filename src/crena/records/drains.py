"""The drain: what was read, the rule by which it comes out, and when that may be."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Annotated, Any

from crena.records.base import Between, Record
from crena.records.errors import InputError
from crena.records.numbers import number_from
from crena.records.sides import Answer

MOST_ML = 1000.0
"""Assumed: a drain of this region cannot give more than this in one day."""

_VOLUME = re.compile(r"\s*(?P<number>\S*?)\s*(?P<unit>[^\W\d_]*)\.?\s*")
_MILLILITRE = {"", "ml", "cc"}
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d)?", re.ASCII)


def drain_volume_ml(typed: str) -> float:
    """Read the volume of a drain as people write it.

    Parameters
    ----------
    typed : str
        A number, alone or with mL or cc; the two are the same.

    Returns
    -------
    float
        The volume, mL.

    Raises
    ------
    InputError
        If the number is not plain or the unit is another, such as oz or cL.

    Examples
    --------
    >>> drain_volume_ml("12,5 cc"), drain_volume_ml("12.5 mL"), drain_volume_ml("12.5")
    (12.5, 12.5, 12.5)
    """
    parts = _VOLUME.fullmatch(typed)
    unit = parts["unit"] if parts else ""
    if unit.lower() not in _MILLILITRE:
        raise InputError(
            f"“{unit[:20]}” is not a unit that is read here. Write the volume in mL; 1 cc is 1 mL."
        )
    return number_from(parts["number"] if parts else typed, what="The volume")


@dataclass(frozen=True, slots=True)
class DrainVolume:
    """A volume entered in mL or cc, as a number or as text."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: Callable[[object], Any]
    ) -> dict[str, Any]:
        ranged = {**handler(source), "ge": 0.0, "le": MOST_ML}
        reader = {"type": "no-info", "function": _plain_volume}
        return {"type": "function-before", "function": reader, "schema": ranged}


@dataclass(frozen=True, slots=True)
class LocalTime:
    """Day and time of the local clock, written like 2026-11-25T08:30, without a zone."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: Callable[[object], Any]
    ) -> dict[str, Any]:
        reader = {"type": "no-info", "function": _plain_time}
        return {"type": "function-before", "function": reader, "schema": handler(source)}


class DrainFluid(StrEnum):
    """What the fluid looks like."""

    NOT_STATED = "not stated"
    CLEAR = "clear or yellow"
    BLOODSTAINED = "blood-stained"
    BRIGHT_BLOOD = "bright blood"
    TURBID = "turbid or foul"


class DrainSpan(StrEnum):
    """What a volume stands for."""

    SINCE_EMPTIED = "since last emptied"
    IN_24_H = "in 24 h"  #: brought to 24 hours by whoever read it


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainReading(Record):
    """One emptying of one drain.

    The time is that of the clock on the wall. In the night on which the clocks change a
    day has 23 or 25 hours; that error, 4 %, is far below the scatter of the readings.
    """

    drain: str = "1"
    emptied_at: Annotated[datetime, LocalTime()]
    volume_ml: Annotated[float, DrainVolume()] | None  #: none: not measured
    span: DrainSpan = DrainSpan.SINCE_EMPTIED
    fluid: DrainFluid = DrainFluid.NOT_STATED
    patent: Answer = Answer.NOT_ASKED  #: looked at: the tube is open and the vacuum holds
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainCourse(Record):
    """All that was read after one operation, in any order."""

    operation_ended_at: Annotated[datetime, LocalTime()]
    readings: tuple[DrainReading, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainRule(Record):
    """When the surgeon wants the drain out; several drains count together.

    10 mL in 24 h is one common practice, without source; units differ. Day 21 is the longest
    time found in removal rules (low-authority pages).
    """

    below_ml: Annotated[float, Between(1, 200, "mL in 24 h")] = 10.0
    readings: Annotated[int, Between(1, 5, "readings")] = 1  #: on consecutive days
    latest_day: Annotated[int, Between(1, 21, "days")] = 21  #: out by then, rule met or not


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainPrior(Record):
    """How drains run in general: log volume falls in a line, with scatter round it.

    Spreads and scatter are standard deviations of the natural logarithm of the volume.
    """

    start_ml: float  #: median 24-h volume that the line has on day 0
    start_spread_ratio: float
    fall_per_day: float  #: fall of the logarithm in one day
    fall_spread_per_day: float
    scatter_ratio: float  #: median scatter of one reading
    scatter_spread_ratio: float
    drains: int = 0  #: number of own courses it was learnt from


@dataclass(frozen=True, slots=True, kw_only=True)
class DayChance(Record):
    """The chance that the rule is first met on this day, counted from the operation."""

    day: int
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeBand(Record):
    """What the drain may give on one day to come; all drains together."""

    day: int
    low_of_8_in_10_ml_per_day: float
    low_of_half_ml_per_day: float
    middle_ml_per_day: float
    high_of_half_ml_per_day: float
    high_of_8_in_10_ml_per_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SuddenFall(Record):
    """A volume far below what was expected: a blocked drain until shown otherwise."""

    day: int
    ml_per_day: float
    expected_ml_per_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainForecast(Record):
    """When the rule may be met, as chances; none of it says that a drain does good."""

    met_on_day: int | None  #: the rule is met already
    days: tuple[DayChance, ...]  #: from the next reading to the latest day
    chance: float  #: that it is met by the latest day
    most_likely_day: int | None  #: none: most likely not by the latest day
    from_day: int | None  #: shortest range that holds 8 in 10; none: after the latest day
    to_day: int | None  #: none: beyond the latest day
    readings: int  #: days with a volume that the forecast rests on
    believed_days: tuple[int, ...] = ()  #: days whose volume may meet the rule
    volumes: tuple[VolumeBand, ...] = ()  #: up to the last day of the range, in order
    sudden_falls: tuple[SuddenFall, ...] = ()
    words: str
    cautions: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()


def _plain_volume(typed: object) -> object:
    if isinstance(typed, bool):
        raise ValueError("Yes or no is not a volume.")
    if not isinstance(typed, str):
        return typed
    try:
        return drain_volume_ml(typed)
    except InputError as refusal:
        raise ValueError(str(refusal)) from None


def _plain_time(written: object) -> object:
    if isinstance(written, datetime) and written.tzinfo is None:
        return written
    try:
        if isinstance(written, str) and _TIME.fullmatch(written):
            return datetime.fromisoformat(written)
    except ValueError:
        pass
    raise ValueError("Write day and time like 2026-11-25T08:30, without a zone.")
