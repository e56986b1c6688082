"""Invented drains: courses drawn from a stated population, read once a day at eleven."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_learning import PastForecast
from crena.healing.drain_model import PUBLISHED_PRIOR
from crena.records import DrainCourse, DrainPrior, DrainReading, DrainRule

ENDED = datetime(2026, 11, 26, 11, 0)
DAYS = 60
RULE = DrainRule()

SLOW = DrainPrior(
    start_ml=53.0,
    start_spread_ratio=0.38,
    fall_per_day=0.2,
    fall_spread_per_day=0.05,
    scatter_ratio=0.3,
    scatter_spread_ratio=0.35,
)
"""A unit whose drains run slower than those that were published."""


def course(*volumes, hours=24.0):
    """One drain, emptied every so many hours; None was not measured."""
    return DrainCourse(
        operation_ended_at=ENDED,
        readings=tuple(
            DrainReading(emptied_at=ENDED + timedelta(hours=hours * (i + 1)), volume_ml=v)
            for i, v in enumerate(volumes)
        ),
    )


def daily_volumes(rng, population=PUBLISHED_PRIOR, days=DAYS):
    """One drain's true volumes in mL for each day."""
    a = rng.normal(np.log(population.start_ml), population.start_spread_ratio)
    b = -1.0
    while b <= 0:
        b = rng.normal(population.fall_per_day, population.fall_spread_per_day)
    sigma = population.scatter_ratio * np.exp(rng.normal(0, population.scatter_spread_ratio))
    line = a - b * np.arange(1, days + 1)
    return np.minimum(np.exp(line + sigma * rng.standard_t(4, days)), 999.0)


def true_day(volumes, rule=RULE):
    """The day on which the rule is first met; none if that is after the latest day."""
    run = 0
    for day, volume in enumerate(volumes[: rule.latest_day], start=1):
        run = run + 1 if volume < rule.below_ml else 0
        if run == rule.readings:
            return day
    return None


def finished_courses(rng, n, population):
    """Courses read until the rule was met."""
    drawn = [daily_volumes(rng, population) for _ in range(n)]
    return [course(*v[: true_day(v) or RULE.latest_day]) for v in drawn]


def same(volumes, rng):
    return volumes


def one_missing(volumes, rng):
    """The middle day was emptied and not measured."""
    return [None if i == len(volumes) // 2 else v for i, v in enumerate(volumes)]


def one_wrong(volumes, rng):
    """One reading, any of them, is written four times as large."""
    wrong = int(rng.integers(len(volumes)))
    return [min(4 * v, 999.0) if i == wrong else v for i, v in enumerate(volumes)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What is drawn, what the forecast believes, and how many days are read."""

    readings: int
    population: DrainPrior = PUBLISHED_PRIOR
    prior: DrainPrior = PUBLISHED_PRIOR
    rule: DrainRule = RULE
    harm: object = same


def past_forecasts(trial, cases, rng):
    """Forecasts for drains whose rule is not met yet, with the day that was true."""
    past = []
    while len(past) < cases:
        volumes = daily_volumes(rng, trial.population)
        day = true_day(volumes, trial.rule)
        if day is not None and day <= trial.readings:
            continue
        seen = trial.harm(list(volumes[: trial.readings]), rng)
        forecast = forecast_drain(course(*seen), trial.rule, trial.prior)
        if forecast.met_on_day is None:
            past.append(PastForecast(forecast=forecast, true_day=day))
    return past
