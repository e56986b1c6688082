"""What is done, what is due and what has passed, from the dates and the aftercare of one case."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from crena.healing.date_rules import DAILY_LIFE, DRAIN_READING
from crena.records import Case, DatedTask, DrainForecast, Schedule
from crena.records.schedules import AgendaTask, TaskState, rule_code

DRAIN_OUT = "drain-out"
"""Code of the task that only the forecast can give: it stands in no schedule."""

DRAIN_OUT_TASK = "Take the drain out, as the surgeon’s rule says"

STITCHES = "stitches"
"""Entries of the schedule with such a code take stitches out."""

PATIENT_S_OWN = frozenset(rule.code for rule in DAILY_LIFE)
"""Dates that nobody at work has to keep."""

AT_OUTCOMES_FROM_DAY = 60
"""Assumed: from then on a visit is part of the follow-up and not of the healing."""


def agenda(
    case: Case, dates: Schedule, forecast: DrainForecast | None, today: date
) -> tuple[AgendaTask, ...]:
    """Return every date of a case with its state today.

    Parameters
    ----------
    case : Case
        After its operation; its aftercare says what was done.
    dates : Schedule
        Of this case.
    forecast : DrainForecast or None
        Of its drain; none: nothing was read.
    today : date
        The local day.

    Returns
    -------
    tuple of AgendaTask
        In order. A later date of the same rule takes the place of an earlier one that was
        missed; a reading of the drain that was missed cannot be made up.
    """
    tasks = [task for task in dates.entries if not _after_the_drain(task, case)]
    tasks += [*_reading_today(case, dates, today), *_drain_out(case, forecast, today)]
    tasks.sort(key=lambda task: (task.on, task.code))
    last = {rule_code(task.code): task.code for task in tasks if task.on <= today}
    return tuple(
        _standing(task, _done_on(task, case), today, newest=last.get(rule_code(task.code), ""))
        for task in tasks
    )


def due_of(tasks: tuple[AgendaTask, ...]) -> tuple[AgendaTask, ...]:
    """Return what somebody at work has to do today, the longest overdue first."""
    return tuple(task for task in tasks if task.state in (TaskState.OVERDUE, TaskState.DUE))


def drain_lies(case: Case) -> bool:
    """Tell whether a drain is known to lie: one was laid or read, and none was taken out."""
    laid = case.operation is not None and bool(case.operation.drains)
    was_read = case.aftercare.drain is not None and bool(case.aftercare.drain.readings)
    return (laid or was_read) and case.aftercare.drain_out_on is None


def _after_the_drain(task: DatedTask, case: Case) -> bool:
    out_on = case.aftercare.drain_out_on
    return out_on is not None and _is_reading(task) and task.on > out_on


def _reading_today(case: Case, dates: Schedule, today: date) -> Iterator[DatedTask]:
    """Yield today's reading of a drain that lies, where the schedule has none."""
    day = (today - dates.operated_on).days
    there = any(_is_reading(task) and task.on == today for task in dates.entries)
    if not drain_lies(case) or there or not 1 <= day <= case.aftercare.drain_rule.latest_day:
        return
    yield DatedTask(
        code=f"{DRAIN_READING.code}-{day}-days",
        on=today,
        day=day,
        task=DRAIN_READING.task,
        who=DRAIN_READING.who,
        source=DRAIN_READING.source,
        caution=DRAIN_READING.caution,
    )


def _drain_out(case: Case, forecast: DrainForecast | None, today: date) -> Iterator[DatedTask]:
    """Yield the day on which the drain left, or has to leave by the surgeon's rule."""
    day0 = case.operation.operated_on if case.operation else today
    latest = day0 + timedelta(days=case.aftercare.drain_rule.latest_day)
    on = case.aftercare.drain_out_on
    if on is None and drain_lies(case):
        met = _met_on(case, forecast)
        on = met or (latest if today >= latest else None)
    if on is None:
        return
    yield DatedTask(
        code=DRAIN_OUT,
        on=on,
        day=(on - day0).days,
        task=DRAIN_OUT_TASK,
        who="surgeon or ward nurse",
        source="set by the surgeon",
    )


def _met_on(case: Case, forecast: DrainForecast | None) -> date | None:
    if forecast is None or forecast.met_on_day is None or case.aftercare.drain is None:
        return None
    began = case.aftercare.drain.operation_ended_at.date()
    return began + timedelta(days=forecast.met_on_day)


def _done_on(task: DatedTask, case: Case) -> date | None:
    """Return when a task was done: as marked, read, or recorded with its own date."""
    care = case.aftercare
    if task.code == DRAIN_OUT:
        return care.drain_out_on
    if _is_reading(task):
        read = {r.emptied_at.date() for r in care.drain.readings} if care.drain else set()
        return task.on if task.on in read else None
    marked = next((done.on for done in care.done if done.code == task.code), None)
    if marked is None and task.code.startswith(STITCHES):
        return care.stitches_out_on
    return marked


def _standing(task: DatedTask, done_on: date | None, today: date, *, newest: str) -> AgendaTask:
    found = AgendaTask(
        task=task,
        rule=rule_code(task.code),
        state=_state(task, today, newest=newest),
        stop="outcomes" if task.day >= AT_OUTCOMES_FROM_DAY else "healing",
    )
    return replace(found, state=TaskState.DONE, done_on=done_on) if done_on else found


def _state(task: DatedTask, today: date, *, newest: str) -> TaskState:
    if task.on > today:
        return TaskState.AHEAD
    own = rule_code(task.code) in PATIENT_S_OWN
    missed = _is_reading(task) and task.on < today
    if own or missed or task.code != newest:
        return TaskState.PASSED
    return TaskState.DUE if task.on == today else TaskState.OVERDUE


def _is_reading(task: DatedTask) -> bool:
    return rule_code(task.code) == DRAIN_READING.code
