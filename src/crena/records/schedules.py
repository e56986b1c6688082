"""Dates after the operation: the surgeon's rules, and the days that follow from them."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from crena.records.base import Between, CalendarDay, Record


@dataclass(frozen=True, slots=True, kw_only=True)
class DateRule(Record):
    """One thing to do, and how long after the operation; all times empty: never."""

    code: str  #: short name; a rule replaces the common rule of the same code
    task: str
    who: str
    days: tuple[Annotated[int, Between(0, 365, "days")], ...] = ()
    months: tuple[Annotated[int, Between(1, 60, "months")], ...] = ()
    years: tuple[Annotated[int, Between(1, 30, "years")], ...] = ()
    visit: bool = False  #: somebody must be at work that day
    source: str = "set by the surgeon"
    caution: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnDay(Record):
    """A day that the surgeon sets by hand for one entry; it always stands."""

    code: str  #: of the entry
    on: Annotated[date, CalendarDay()]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleSettings(Record):
    """What the surgeon wants otherwise than is common."""

    rules: tuple[DateRule, ...] = ()  #: replace common rules, or add to them
    own_days: tuple[OwnDay, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DatedTask(Record):
    """One thing to do on one day."""

    code: str  #: names the entry within its schedule: visit-3-months
    on: date
    day: int  #: from the operation, which is day 0
    task: str
    who: str
    source: str  #: where the time comes from, or that it has no source
    caution: str = ""
    weekday_after: date | None = None  #: a suggestion beside, if a visit falls on a weekend
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule(Record):
    """All dates that follow from one operation, in order."""

    operated_on: date
    entries: tuple[DatedTask, ...]
