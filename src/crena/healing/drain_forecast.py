"""When the surgeon's rule for the drain may be met: chances, not a promise of benefit."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from crena.healing.drain_model import (
    WIDE_PRIOR,
    Array,
    Grid,
    Lines,
    grid_of,
    lines_of,
    log_likelihood,
)
from crena.healing.drain_rates import COUNTING_DAY, DrainDay, drain_days
from crena.healing.drain_words import (
    EVIDENCE,
    forecast_words,
    latest_day_passed_words,
    latest_day_words,
    met_words,
    prior_words,
    sudden_fall_words,
    unread_words,
)
from crena.records import Answer
from crena.records.drains import (
    DayChance,
    DrainCourse,
    DrainForecast,
    DrainPrior,
    DrainRule,
    SuddenFall,
    VolumeBand,
)

SUDDEN_CHANCE = 0.01
"""Assumed: a volume so low that one in a hundred would be lower is a sudden fall."""

RANGE_CHANCE = 0.8
"""The range of days is stated so that it holds 8 in 10."""

BAND_CHANCES = (0.1, 0.25, 0.5, 0.75, 0.9)
"""What a volume to come lies below: ends of 8 in 10, of half, and the middle."""


def forecast_drain(
    course: DrainCourse,
    rule: DrainRule,
    prior: DrainPrior = WIDE_PRIOR,
    *,
    today: date | None = None,
) -> DrainForecast:
    """Say on which day the rule may be met.

    Parameters
    ----------
    course : DrainCourse
        What was read so far; may be nothing yet.
    rule : DrainRule
        The surgeon's own.
    prior : DrainPrior
        How drains run in general; learnt from the unit's own where there are enough.
    today : date, optional
        The day on which the forecast is made; no day before it is offered. None: every day
        after the last reading is.

    Returns
    -------
    DrainForecast
        The chance of each day, the most likely one, and the shortest range that holds
        8 in 10. A volume that fell suddenly does not count until the drain was found open.
        Cautions say since when readings are missing, or that the latest day has passed.

    Raises
    ------
    InputError
        If a reading cannot be; see :func:`crena.healing.drain_rates.drain_days`.

    Notes
    -----
    Given the line, days are independent, so the chance that the rule is first met on a day
    follows exactly by carrying the length of the run from day to day; it is then averaged
    over the lines. Nothing is drawn at random. After missed days the next volume stands for
    more than a day and does not count, so the first that can is the one after today.
    """
    found = drain_days(course)
    grid = grid_of(prior)
    weighed = _weigh(found.days, grid)
    run = _run_in_hand(weighed.counted, rule)
    cautions = (*weighed.cautions, *found.cautions)
    if run.met_on_day is not None:
        forecast = _met(run.met_on_day, weighed, rule)
    else:
        place = _place(course, found.days, today)
        ahead = _days_ahead(place, rule)
        in_hand = 0 if place.unread else run.length
        lines = lines_of(weighed.log_weights, grid)
        forecast = _ahead(ahead, _first_met(lines, ahead, in_hand, rule), weighed, rule)
        reach = forecast.to_day or rule.latest_day
        volumes = tuple(_band(lines, *each) for each in ahead if each[0] <= reach)
        forecast = replace(forecast, volumes=volumes)
        cautions = (*_late(place, rule), *cautions)
    return replace(
        forecast,
        believed_days=tuple(day.day for day, yes in weighed.counted if yes and day.counts),
        sudden_falls=weighed.sudden_falls,
        cautions=cautions,
        evidence=(*EVIDENCE, prior_words(prior)),
    )


@dataclass(frozen=True, slots=True)
class _Weighed:
    """The lines after the readings, and which readings may meet the rule."""

    log_weights: Array  #: (i, j, k)
    counted: tuple[tuple[DrainDay, bool], ...]  #: each day, and whether it was believed
    sudden_falls: tuple[SuddenFall, ...]

    @property
    def cautions(self) -> tuple[str, ...]:
        return tuple(sudden_fall_words(fall) for fall in self.sudden_falls)

    @property
    def readings(self) -> int:
        return sum(believed for _, believed in self.counted)


@dataclass(frozen=True, slots=True)
class _Run:
    """How many readings in a row keep the rule, and the day on which that was enough."""

    length: int
    met_on_day: int | None


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the course stands: its last reading, and today."""

    last: int  #: day of the last reading; 0: none
    ended_at_day: float  #: place on the line at which that reading ended
    today: int  #: 0 also where it is not known

    @property
    def unread(self) -> bool:
        """Return whether a whole day passed without a reading; one due today is not missing."""
        return self.today > self.last + 1


def _weigh(days: Sequence[DrainDay], grid: Grid) -> _Weighed:
    log_weights = grid.log_prior
    counted, falls = [], []
    for day in days:
        believed = day.ml_per_day is not None and day.patent is not Answer.NO
        if believed and day.patent is not Answer.YES:
            expected = _expected_if_sudden(day, lines_of(log_weights, grid))
            if expected is not None:
                falls.append(_sudden_fall(day, expected))
                believed = False
        if believed:
            log_weights = log_weights + log_likelihood(day, grid)
        counted.append((day, believed))
    return _Weighed(log_weights, tuple(counted), tuple(falls))


def _sudden_fall(day: DrainDay, expected_ml: float) -> SuddenFall:
    return SuddenFall(
        day=day.day, ml_per_day=day.ml_per_day or 0.0, expected_ml_per_day=expected_ml
    )


def _expected_if_sudden(day: DrainDay, lines: Lines) -> float | None:
    """Return the volume that was expected, if this one fell far below it."""
    volume = max(day.ml_per_day or 0.0, day.readable_ml_per_day)
    chance = float(lines.weight @ lines.chance_below(np.log(volume), day.at_day))
    if chance >= SUDDEN_CHANCE:
        return None
    return float(np.exp(lines.weight @ (lines.a - lines.b * day.at_day)))


def _run_in_hand(counted: Sequence[tuple[DrainDay, bool]], rule: DrainRule) -> _Run:
    length, met_on_day = 0, None
    for day, believed in counted:
        if believed and not day.counts:
            continue
        if not believed or (day.ml_per_day or 0.0) >= rule.below_ml:
            length, met_on_day = 0, None
            continue
        length += 1
        if length == rule.readings:
            met_on_day = day.day
    return _Run(length, met_on_day)


def _place(course: DrainCourse, days: Sequence[DrainDay], today: date | None) -> _Place:
    whole = [d for d in days if d.length_day >= COUNTING_DAY]
    last, ended_at_day = 0, 0.0
    if whole:
        last, ended_at_day = whole[-1].day, whole[-1].at_day - 0.5 + whole[-1].length_day / 2
    now = 0 if today is None else (today - course.operation_ended_at.date()).days
    return _Place(last, ended_at_day, now)


def _days_ahead(place: _Place, rule: DrainRule) -> list[tuple[int, float]]:
    """Return day and place on the line of every reading to come, 24 hours apart."""
    start = place.today if place.unread else place.last
    days = range(start + 1, rule.latest_day + 1)
    return [(day, place.ended_at_day + day - place.last) for day in days]


def _late(place: _Place, rule: DrainRule) -> list[str]:
    """Say that the drain should be out, or that readings are missing."""
    if place.today > rule.latest_day:
        return [latest_day_passed_words(place.today, rule)]
    return [unread_words(place.today, place.last)] if place.unread else []


def _first_met(
    lines: Lines, ahead: Sequence[tuple[int, float]], run: int, rule: DrainRule
) -> Array:
    """Return the chance that the rule is first met on each of the days; (n,)."""
    waiting = np.zeros((rule.readings, lines.weight.size))
    waiting[run] = lines.weight
    chances = []
    for _, at_day in ahead:
        below = lines.chance_below(np.log(rule.below_ml), at_day)
        longer = waiting * below
        chances.append(longer[-1].sum())
        broken = (waiting - longer).sum(axis=0)
        waiting = np.concatenate([broken[None], longer[:-1]])
    return np.array(chances)


def _band(lines: Lines, day: int, at_day: float) -> VolumeBand:
    """Return the volumes that are expected on one day to come."""
    low, quarter, middle, three_quarters, high = lines.volumes_ml(np.array(BAND_CHANCES), at_day)
    return VolumeBand(
        day=day,
        low_of_8_in_10_ml_per_day=float(low),
        low_of_half_ml_per_day=float(quarter),
        middle_ml_per_day=float(middle),
        high_of_half_ml_per_day=float(three_quarters),
        high_of_8_in_10_ml_per_day=float(high),
    )


def _shortest_range(chances: Array) -> tuple[int, int]:
    """Return first and last place of the shortest stretch that holds 8 in 10."""
    total = np.concatenate([[0.0], np.cumsum(chances)])
    spans = [
        (last - first, total[first] - total[last + 1], first, last)
        for first in range(chances.size)
        for last in range(first, chances.size)
        if total[last + 1] - total[first] >= RANGE_CHANCE - 1e-9
    ]
    return min(spans)[2:]


def _ahead(
    ahead: Sequence[tuple[int, float]],
    first: Array,
    weighed: _Weighed,
    rule: DrainRule,
) -> DrainForecast:
    chances = np.append(first, max(0.0, 1.0 - first.sum()))
    days: list[int | None] = [*(day for day, _ in ahead), None]
    low, high = _shortest_range(chances)
    likely = days[int(np.argmax(chances))]
    words = forecast_words(likely, (days[low], days[high]), rule, weighed.readings)
    return DrainForecast(
        met_on_day=None,
        days=tuple(
            DayChance(day=day, chance=float(chance))
            for (day, _), chance in zip(ahead, first, strict=True)
        ),
        chance=float(first.sum()),
        most_likely_day=likely,
        from_day=days[low],
        to_day=days[high],
        readings=weighed.readings,
        words=words if ahead else latest_day_words(rule),
    )


def _met(day: int, weighed: _Weighed, rule: DrainRule) -> DrainForecast:
    return DrainForecast(
        met_on_day=day,
        days=(),
        chance=1.0,
        most_likely_day=day,
        from_day=day,
        to_day=day,
        readings=weighed.readings,
        words=met_words(day, rule),
    )
