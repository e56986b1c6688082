"""From emptyings of drains to volumes in 24 hours, with what stands against each."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from math import isfinite

from crena.records import Answer, InputError, Record, long_date
from crena.records.drains import MOST_ML, DrainCourse, DrainFluid, DrainReading, DrainSpan

DAY = timedelta(hours=24)
HOUR = timedelta(hours=1)

ONE_ROUND = timedelta(hours=2)
"""Assumed: emptyings this close are one; a period this short says nothing about 24 hours."""

COUNTING_DAY = 0.5
"""Assumed: a period of at least half a day counts as a reading of the rule."""

LONGEST_DAY = 1.5
"""Assumed: in a longer period an emptying was not written, and its volume means nothing."""

LEAST_READ_ML = 2.0
"""Assumed: less than this cannot be read off one bottle."""

BLEEDING_ML_PER_HOUR = 50.0
"""From memory: above this, or with bright blood, the surgeon is called."""

RISE_RATIO = 3.0
"""Assumed: a volume that rises more than this in a day is looked at again."""

DAYS_OF_A_TOTAL = 3
"""Assumed: volumes that do nothing but rise over so many days may be running totals."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainDay(Record):
    """All drains together over about one day, as a volume in 24 hours."""

    day: int  #: of the calendar on which it ended, counted from the operation
    at_day: float  #: place on the line of the model: 1 for the first 24 h, 2 for the next
    length_day: float
    ml_per_day: float | None  #: none: not measured
    readable_ml_per_day: float  #: less than this cannot be told from nothing
    patent: Answer

    @property
    def counts(self) -> bool:
        """Return whether it can meet the surgeon's rule."""
        measured = self.ml_per_day is not None and self.patent is not Answer.NO
        return measured and self.length_day >= COUNTING_DAY


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainDays(Record):
    """The days of one course in their order, and what must be looked at."""

    days: tuple[DrainDay, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Round:
    """Emptyings that belong together."""

    at: datetime
    readings: tuple[DrainReading, ...]


def drain_days(course: DrainCourse) -> DrainDays:
    """Bring the readings of one course to volumes in 24 hours.

    Parameters
    ----------
    course : DrainCourse
        Readings in any order, of one drain or several.

    Returns
    -------
    DrainDays
        One for each day on which every drain was emptied; a day without a volume is kept
        as not measured.

    Raises
    ------
    InputError
        If a volume is negative or cannot be, if a time lies before the end of the
        operation or has a zone, or if one drain was emptied twice in the same minute.

    Notes
    -----
    A day ends at the emptying nearest to 24 hours after the last one, so a day that was
    emptied in parts is the same as a day that was emptied once. The model's line is that of
    daily volumes; a period has its place half a day after its middle.
    """
    readings = _as_emptied(course, _refuse_impossible(course))
    ends = _day_ends(course.operation_ended_at, _whole_rounds(readings))
    days: list[DrainDay] = []
    cautions = [*_signs(readings), *_fast(course, readings), *_unread_drains(readings)]
    start = course.operation_ended_at
    for end in ends:
        inside = [r for r in readings if start < r.emptied_at <= end.at]
        if end.at - start >= ONE_ROUND:
            days.append(_day(course.operation_ended_at, start, end, inside))
            cautions += _length_cautions(days[-1])
        start = end.at
    cautions += [*_rises(days), *_running_total(days)]
    return DrainDays(days=tuple(days), cautions=tuple(cautions))


def _refuse_impossible(course: DrainCourse) -> list[DrainReading]:
    times = [course.operation_ended_at, *(r.emptied_at for r in course.readings)]
    if any(time.tzinfo is not None for time in times):
        raise InputError("A time has a zone. Write the time of the clock on the wall.")
    readings = sorted(course.readings, key=lambda r: (r.emptied_at, r.drain))
    for reading in readings:
        _refuse_volume(reading)
        if reading.emptied_at <= course.operation_ended_at:
            raise InputError(
                f"Drain {reading.drain} was emptied {when(reading.emptied_at)}, before the "
                f"operation ended, {when(course.operation_ended_at)}. Correct the time."
            )
    _refuse_twice(readings)
    return readings


def _as_emptied(course: DrainCourse, readings: Sequence[DrainReading]) -> list[DrainReading]:
    """Return the readings with every volume as it was emptied, also where it was told for 24 h."""
    last = {r.drain: course.operation_ended_at for r in readings}
    emptied = []
    for reading in readings:
        share = (reading.emptied_at - last[reading.drain]) / DAY
        last[reading.drain] = reading.emptied_at
        if reading.span is DrainSpan.IN_24_H and reading.volume_ml is not None:
            reading = replace(reading, volume_ml=reading.volume_ml * share)
        emptied.append(reading)
    return emptied


def _refuse_volume(reading: DrainReading) -> None:
    volume = reading.volume_ml
    if volume is not None and not (isfinite(volume) and 0 <= volume <= MOST_ML):
        raise InputError(
            f"{volume:g} mL {when(reading.emptied_at)} cannot be: a drain gives 0 to "
            f"{MOST_ML:.0f} mL. Check figure and unit."
        )


def _refuse_twice(readings: Sequence[DrainReading]) -> None:
    keys = sorted((r.drain, r.emptied_at) for r in readings)
    for one, next_one in pairwise(keys):
        if one == next_one:
            raise InputError(f"Drain {one[0]} has two readings {when(one[1])}. Keep the right one.")


def _whole_rounds(readings: Sequence[DrainReading]) -> list[_Round]:
    drains = {r.drain for r in readings}
    rounds: list[list[DrainReading]] = []
    for reading in readings:
        if rounds and reading.emptied_at - rounds[-1][0].emptied_at < ONE_ROUND:
            rounds[-1].append(reading)
        else:
            rounds.append([reading])
    whole = [r for r in rounds if {reading.drain for reading in r} == drains]
    return [_Round(r[-1].emptied_at, tuple(r)) for r in whole]


def _day_ends(start: datetime, rounds: Sequence[_Round]) -> list[_Round]:
    ends: list[_Round] = []
    while later := [r for r in rounds if r.at > start]:
        due = start + DAY
        ends.append(min(later, key=lambda r: (abs(r.at - due), r.at)))
        start = ends[-1].at
    return ends


def _day(
    operation: datetime, start: datetime, end: _Round, inside: Sequence[DrainReading]
) -> DrainDay:
    length = (end.at - start) / DAY
    middle = (start - operation) / DAY + length / 2
    volumes = [r.volume_ml for r in inside if r.volume_ml is not None]
    known = len(volumes) == len(inside) and length <= LONGEST_DAY
    drains = len({r.drain for r in inside})
    return DrainDay(
        day=(end.at.date() - operation.date()).days,
        at_day=middle + 0.5,
        length_day=length,
        ml_per_day=sum(volumes) / length if known else None,
        readable_ml_per_day=drains * LEAST_READ_ML / length,
        patent=_patent(end.readings),
    )


def _patent(readings: Sequence[DrainReading]) -> Answer:
    answers = {r.patent for r in readings}
    if Answer.NO in answers:
        return Answer.NO
    return Answer.YES if answers == {Answer.YES} else Answer.NOT_ASKED


def _length_cautions(day: DrainDay) -> list[str]:
    if day.length_day > LONGEST_DAY:
        return [
            f"Day {day.day}: nothing was written for {24 * day.length_day:.0f} h before. The "
            "volume is left out, since it may be that of the last day alone. Write every "
            "emptying, also one that was not measured."
        ]
    if day.ml_per_day is None:
        return [f"Day {day.day}: emptied and not measured. The day is left out."]
    if day.length_day < COUNTING_DAY:
        return [
            f"Day {day.day}: {24 * day.length_day:.0f} h only, taken as {day.ml_per_day:.0f} mL "
            "in 24 h. It does not count for the rule."
        ]
    return []


def _signs(readings: Sequence[DrainReading]) -> list[str]:
    cautions = []
    for r in readings:
        if r.fluid is DrainFluid.BRIGHT_BLOOD:
            cautions.append(f"Bright blood {when(r.emptied_at)}: call the surgeon.")
        if r.fluid is DrainFluid.TURBID:
            cautions.append(f"Turbid or foul fluid {when(r.emptied_at)}: the surgeon looks at it.")
        if r.patent is Answer.NO:
            cautions.append(
                f"Drain {r.drain} was blocked or had lost its vacuum {when(r.emptied_at)}: "
                "that volume does not count. Open it, or call the surgeon."
            )
    return cautions


def _fast(course: DrainCourse, readings: Sequence[DrainReading]) -> list[str]:
    last = {r.drain: course.operation_ended_at for r in readings}
    cautions = []
    for r in readings:
        hours = max((r.emptied_at - last[r.drain]) / HOUR, 1.0)
        last[r.drain] = r.emptied_at
        rate = (r.volume_ml or 0.0) / hours
        if rate > BLEEDING_ML_PER_HOUR:
            cautions.append(
                f"{r.volume_ml:.0f} mL within {hours:.1f} h {when(r.emptied_at)}, more than "
                f"{BLEEDING_ML_PER_HOUR:.0f} mL in an hour: it may bleed. Call the surgeon."
            )
    return cautions


def _unread_drains(readings: Sequence[DrainReading]) -> list[str]:
    last = {r.drain: r.emptied_at for r in readings}
    newest = max(last.values(), default=None)
    return [
        f"Drain {drain} was last read {when(at)}; later days are left out. If it is out, "
        "forecast the other drains alone."
        for drain, at in sorted(last.items())
        if newest is not None and newest - at >= ONE_ROUND
    ]


def _rises(days: Sequence[DrainDay]) -> list[str]:
    cautions = []
    for before, after in pairwise(days):
        if before.ml_per_day is None or after.ml_per_day is None:
            continue
        if after.ml_per_day > RISE_RATIO * max(before.ml_per_day, before.readable_ml_per_day):
            cautions.append(
                f"Day {after.day}: {after.ml_per_day:.0f} mL in 24 h after "
                f"{before.ml_per_day:.0f} mL. Check figure and unit, and look at the patient."
            )
    return cautions


def _running_total(days: Sequence[DrainDay]) -> list[str]:
    volumes = [d.ml_per_day for d in days if d.ml_per_day is not None]
    if len(volumes) < DAYS_OF_A_TOTAL or any(b <= a for a, b in pairwise(volumes)):
        return []
    return [
        f"The volume rose on each of {len(volumes)} days. If these are running totals, write "
        "what was emptied each time."
    ]


def when(time: datetime) -> str:
    """Return a time with its day in words.

    >>> when(datetime(2027, 1, 6, 8, 5))
    'on 6 January 2027 at 08:05'
    """
    return f"on {long_date(time.date())} at {time:%H:%M}"
