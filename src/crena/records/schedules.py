"""Dates after the operation: the surgeon's rules, and the days that follow from them."""

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Annotated

from crena.records.base import Between, CalendarDay, Record

_TIME_OF_ENTRY = re.compile(r"-\d+-(days|months|years)$")
"""What the schedule hangs on a rule's code where the rule has several times."""


def rule_code(entry_code: str) -> str:
    """Return the code of the rule that an entry of the schedule comes from.

    >>> rule_code("visit-3-months"), rule_code("stitches-half")
    ('visit', 'stitches-half')
    """
    return _TIME_OF_ENTRY.sub("", entry_code)


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
class TaskDone(Record):
    """An entry of the schedule that was done, and when."""

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


class TaskState(StrEnum):
    """How one date of a case stands today."""

    DONE = "done"
    OVERDUE = "overdue"
    DUE = "due"  #: today
    AHEAD = "ahead"
    PASSED = "passed"  #: not done, and nobody needs to do it any more


@dataclass(frozen=True, slots=True, kw_only=True)
class AgendaTask(Record):
    """One date of a case, whether it was done, and where on the road it is done."""

    task: DatedTask
    rule: str  #: code of the rule that it comes from
    state: TaskState
    done_on: date | None = None
    stop: str  #: of the road
