"""Dates after the operation, by the calendar alone: no hours, no zones.

The operation's local calendar day is day 0. A month or a year later is the same day of that
month, or its last day where there is none.
"""

from calendar import monthrange
from collections.abc import Container
from datetime import date, timedelta

from crena.healing.date_rules import COMMON_RULES, EARLIEST_DAYS
from crena.records import (
    DatedTask,
    DateRule,
    InputError,
    OwnDay,
    Schedule,
    ScheduleSettings,
    weekday_date,
)

FIRST_YEAR, LAST_YEAR = 1950, 2150
"""An operation outside these years is a slip of the pen (assumed)."""

SATURDAY = 5
"""Monday is 0."""

DRAIN = "drain"
"""Entries of a drain have a code that starts so."""


def schedule(
    operated_on: date, settings: ScheduleSettings | None = None, *, drain_laid: bool = True
) -> Schedule:
    """Return every date that follows from an operation.

    Parameters
    ----------
    operated_on : date
        The local calendar day of the operation, day 0; not an instant with hours.
    settings : ScheduleSettings, optional
        The surgeon's rules, and days set by hand. A day set by hand always stands, also
        before the operation or on a weekend; a warning stands beside it.
    drain_laid : bool
        False if it is recorded that no drain was laid: then no entry of a drain stands, not
        even one whose day was set by hand.

    Returns
    -------
    Schedule
        In order. No day is moved off a weekend; for visits the next weekday stands beside.
        Public holidays are not known.

    Raises
    ------
    InputError
        If the day has hours or a year that cannot be meant, if two entries have one name,
        or if a day set by hand belongs to no entry.

    Examples
    --------
    >>> entries = schedule(date(2026, 11, 26)).entries
    >>> [(e.day, weekday_date(e.on)) for e in entries if e.code.startswith("stitches")]
    [(12, 'Tuesday 8 December 2026'), (14, 'Thursday 10 December 2026')]
    """
    _refuse_hours(operated_on)
    _refuse_odd_year(operated_on)
    asked = settings or ScheduleSettings()
    planned = _planned(operated_on, {r.code: r for r in (*COMMON_RULES, *asked.rules)})
    own = _days_by_code(asked.own_days, planned)
    entries = [
        _entry(code, rule, own.get(code, on), operated_on, planned_on=on)
        for code, (rule, on) in planned.items()
        if drain_laid or not code.startswith(DRAIN)
    ]
    return Schedule(
        operated_on=operated_on, entries=tuple(sorted(entries, key=lambda e: (e.on, e.code)))
    )


def months_after(day: date, months: int) -> date:
    """Return the same day of a later month, or that month's last day.

    >>> months_after(date(2026, 8, 31), 6), months_after(date(2028, 2, 29), 12)
    (datetime.date(2027, 2, 28), datetime.date(2029, 2, 28))
    """
    year, month = divmod(12 * day.year + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def weekday_after(day: date) -> date | None:
    """Return the Monday after a day on a weekend; none for other days.

    >>> weekday_after(date(2026, 12, 12)), weekday_after(date(2026, 12, 11))
    (datetime.date(2026, 12, 14), None)
    """
    return day + timedelta(days=7 - day.weekday()) if day.weekday() >= SATURDAY else None


def _planned(day0: date, rules: dict[str, DateRule]) -> dict[str, tuple[DateRule, date]]:
    """Return every entry's rule and day by its code."""
    found: dict[str, tuple[DateRule, date]] = {}
    for rule in rules.values():
        times = {
            **{f"{rule.code}-{n}-days": day0 + timedelta(days=n) for n in rule.days},
            **{f"{rule.code}-{n}-months": months_after(day0, n) for n in rule.months},
            **{f"{rule.code}-{n}-years": months_after(day0, 12 * n) for n in rule.years},
        }
        for code, on in times.items():
            name = rule.code if len(times) == 1 else code
            _refuse_second(name, found)
            found[name] = rule, on
    return found


def _days_by_code(own_days: tuple[OwnDay, ...], planned: Container[str]) -> dict[str, date]:
    found: dict[str, date] = {}
    for own in own_days:
        if own.code not in planned:
            raise InputError(
                f"A day is set for “{own.code}”, but there is no such entry. Correct its name."
            )
        _refuse_second(own.code, found)
        found[own.code] = own.on
    return found


def _entry(code: str, rule: DateRule, on: date, day0: date, *, planned_on: date) -> DatedTask:
    return DatedTask(
        code=code,
        on=on,
        day=(on - day0).days,
        task=rule.task,
        who=rule.who,
        source=rule.source if on == planned_on else "set by the surgeon",
        caution=rule.caution,
        weekday_after=weekday_after(on) if rule.visit else None,
        warnings=tuple(_warnings(rule.code, on, day0)),
    )


def _warnings(rule_code: str, on: date, day0: date) -> list[str]:
    """Return what speaks against a day; it stands all the same."""
    if on < day0:
        return [f"{weekday_date(on)} lies before the operation, {weekday_date(day0)}. Check it."]
    earliest, source = EARLIEST_DAYS.get(rule_code, (0, ""))
    if (on - day0).days < earliest:
        return [f"Day {(on - day0).days} is early: customary from day {earliest} ({source})."]
    return []


def _refuse_hours(day: date) -> None:
    """Refuse an instant: its day would depend on the zone."""
    if type(day) is not date:
        raise InputError("Give the operation's day without hours, like 2026-11-25.")


def _refuse_odd_year(day: date) -> None:
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise InputError(f"The operation's year is {day.year}. Correct it.")


def _refuse_second(code: str, found: Container[str]) -> None:
    if code in found:
        raise InputError(f"“{code}” stands twice among the dates. Keep one.")
