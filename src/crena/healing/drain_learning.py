"""What a unit learns from its own drains: how they run, and whether forecasts held."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from scipy.special import betaincinv

from crena.healing.drain_forecast import RANGE_CHANCE
from crena.healing.drain_model import (
    WIDE_PRIOR,
    Array,
    Grid,
    grid_of,
    log_likelihood,
    log_prior_on,
    middles_of,
    spreads_of,
    weights_of,
)
from crena.healing.drain_rates import drain_days
from crena.records import Answer, InputError, Record
from crena.records.drains import DrainCourse, DrainForecast, DrainPrior

ENOUGH_DRAINS = 20
"""Assumed: with fewer own courses the wide prior stands."""

WIDE_WEIGHT = 3.0
"""Assumed: the wide prior speaks for the spreads as loudly as so many courses."""

LEARNING_POINTS = (61, 61, 15)
"""Finer than for one forecast, since what is learnt may be narrow."""

ROUNDS = 60
"""Rounds of learning; on invented drains twice as many change nothing before the 8th digit."""

BAND_CHANCE = 0.95
"""The band round a share holds 95 of 100."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastForecast(Record):
    """A forecast as it was made, and the day on which the rule was met in truth."""

    forecast: DrainForecast
    true_day: int | None  #: none: not by the latest day


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration(Record):
    """How often the true day lay inside the stated range, for so many readings."""

    readings: int
    cases: int
    inside: int
    share_fraction: float
    low_fraction: float
    high_fraction: float
    words: str


def unit_prior(courses: Sequence[DrainCourse]) -> DrainPrior:
    """Learn how the unit's own drains run.

    Parameters
    ----------
    courses : sequence of DrainCourse
        Drains that are out, each read to its end.

    Returns
    -------
    DrainPrior
        The wide one while there are fewer than 20 courses with a volume.

    Notes
    -----
    Empirical Bayes by expectation and maximisation: every course weighs the lines of the
    wide grid; middle and spread of the prior are those of the weighed lines, the spreads
    drawn towards the wide ones. The unit's own middle is itself uncertain, which widens
    the spread by 1 + 1/n.
    """
    grid = grid_of(WIDE_PRIOR, LEARNING_POINTS)
    likelihoods = [known for course in courses if (known := _likelihood(course, grid)) is not None]
    if len(likelihoods) < ENOUGH_DRAINS:
        return WIDE_PRIOR
    prior = WIDE_PRIOR
    for _ in range(ROUNDS):
        prior = _next_prior(prior, grid, likelihoods)
    widened = (1 + 1 / len(likelihoods)) ** 0.5
    spreads = [widened * spread for spread in spreads_of(prior)]
    return _prior_from(middles_of(prior), spreads, len(likelihoods))


def calibration(past: Sequence[PastForecast]) -> tuple[Calibration, ...]:
    """Count how often the stated ranges held.

    Parameters
    ----------
    past : sequence of PastForecast
        Forecasts made while the rule was not yet met.

    Returns
    -------
    tuple of Calibration
        One for each number of readings, with the exact binomial band.

    Raises
    ------
    InputError
        If a forecast was made after the rule was met: it foretells nothing.

    Notes
    -----
    Clopper and Pearson 1934, Biometrika 26: 404-413.
    """
    if any(p.forecast.met_on_day is not None for p in past):
        raise InputError("A forecast was made after the rule was met. Leave it out.")
    ordered = sorted(past, key=lambda p: p.forecast.readings)
    groups = groupby(ordered, key=lambda p: p.forecast.readings)
    return tuple(_counted(readings, [_is_inside(p) for p in group]) for readings, group in groups)


def _likelihood(course: DrainCourse, grid: Grid) -> Array | None:
    days = [d for d in drain_days(course).days if d.patent is not Answer.NO]
    measured = [d for d in days if d.ml_per_day is not None]
    if not measured:
        return None
    return np.asarray(sum(log_likelihood(day, grid) for day in measured))


def _next_prior(prior: DrainPrior, grid: Grid, likelihoods: Sequence[Array]) -> DrainPrior:
    axes = (grid.a.ravel(), grid.b.ravel(), np.log(grid.sigma.ravel()))
    log_prior = log_prior_on(prior, axes)
    weights = np.asarray(sum(weights_of(log_prior + known) for known in likelihoods))
    sides = (weights.sum(axis=(1, 2)), weights.sum(axis=(0, 2)), weights.sum(axis=(0, 1)))
    n = len(likelihoods)
    middles = [float(axis @ side) / n for axis, side in zip(axes, sides, strict=True)]
    spreads = [
        ((side @ (axis - middle) ** 2 + WIDE_WEIGHT * wide**2) / (n + WIDE_WEIGHT)) ** 0.5
        for axis, side, middle, wide in zip(
            axes, sides, middles, spreads_of(WIDE_PRIOR), strict=True
        )
    ]
    return _prior_from(middles, spreads, n)


def _prior_from(middles: Sequence[float], spreads: Sequence[float], drains: int) -> DrainPrior:
    return DrainPrior(
        start_ml=float(np.exp(middles[0])),
        start_spread_ratio=float(spreads[0]),
        fall_per_day=middles[1],
        fall_spread_per_day=float(spreads[1]),
        scatter_ratio=float(np.exp(middles[2])),
        scatter_spread_ratio=float(spreads[2]),
        drains=drains,
    )


def _is_inside(past: PastForecast) -> bool:
    low, high = past.forecast.from_day, past.forecast.to_day
    if past.true_day is None:
        return high is None
    return low is not None and low <= past.true_day and (high is None or past.true_day <= high)


def _counted(readings: int, inside: Sequence[bool]) -> Calibration:
    n, k = len(inside), sum(inside)
    tail = (1 - BAND_CHANCE) / 2
    low = float(betaincinv(k, n - k + 1, tail)) if k else 0.0
    high = float(betaincinv(k + 1, n - k, 1 - tail)) if k < n else 1.0
    return Calibration(
        readings=readings,
        cases=n,
        inside=k,
        share_fraction=k / n,
        low_fraction=low,
        high_fraction=high,
        words=_calibration_words(readings, (k, n), (low, high)),
    )


def _calibration_words(readings: int, count: tuple[int, int], band: tuple[float, float]) -> str:
    said = (
        f"After {readings} volumes the true day lay in the stated range in {count[0]} of "
        f"{count[1]} courses ({band[0]:.0%} to {band[1]:.0%}; 80% was said)."
    )
    if band[1] < RANGE_CHANCE:
        return f"{said} The ranges are too narrow: do not rely on them."
    return said
