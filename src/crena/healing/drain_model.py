"""The line of a drain's daily volumes: log y = a - b d + e, weighed on a grid.

The scatter e is Student's t with 4 degrees of freedom, so that one wrong reading cannot
carry the line away; a volume too small to read says only that it is small.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from crena.healing.drain_rates import DrainDay
from crena.records.drains import DrainPrior

PUBLISHED_PRIOR = DrainPrior(
    start_ml=53.0,
    start_spread_ratio=0.38,
    fall_per_day=0.44,
    fall_spread_per_day=0.18,
    scatter_ratio=0.3,
    scatter_spread_ratio=0.35,
)
"""Start and fall after 162 modified Limberg flaps (day 1 36.4 ± 13.2 mL, day 2 23.53 ± 9.8 mL;
Turkish Journal of Colorectal Disease); scatter and the spread of the fall are assumed."""

WIDE_PRIOR = DrainPrior(
    start_ml=60.0,
    start_spread_ratio=0.6,
    fall_per_day=0.35,
    fall_spread_per_day=0.15,
    scatter_ratio=0.3,
    scatter_spread_ratio=0.35,
)
"""Assumed: wider, for a unit whose own drains are not known yet."""

GRID_POINTS = (41, 41, 11)
"""Points along a, b and log scatter."""

GRID_REACH = (4.0, 4.0, 3.0)
"""How far the grid reaches on both sides of the prior's middle, in its spreads."""

NEGLIGIBLE_FRACTION = 1e-5
"""Points lighter than this share of the heaviest are dropped before looking ahead."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Grid:
    """Every line that is weighed, and the logarithm of its weight before any reading."""

    a: Array  #: (i, 1, 1)
    b: Array  #: (1, j, 1)
    sigma: Array  #: (1, 1, k)
    log_prior: Array  #: (i, j, k)

    def z(self, log_volume: float, at_day: float) -> Array:
        """Return how far a volume lies off each line, in scatters; (i, j, k)."""
        return (log_volume - self.a + self.b * at_day) / self.sigma


@lru_cache(maxsize=4)
def grid_of(prior: DrainPrior, points: tuple[int, int, int] = GRID_POINTS) -> Grid:
    """Return the lines of a prior with their weights.

    Parameters
    ----------
    prior : DrainPrior
        Normal for a, normal above zero for b, log-normal for the scatter.
    points : (int, int, int)
        Points along a, b and log scatter.

    Returns
    -------
    Grid
        Even steps, trapezoidal weights.
    """
    axes = [
        np.linspace(centre - reach * spread, centre + reach * spread, n)
        for centre, spread, reach, n in zip(
            middles_of(prior), spreads_of(prior), GRID_REACH, points, strict=True
        )
    ]
    axes[1] = np.linspace(max(axes[1][0], 0.0), axes[1][-1], points[1])
    a, b, log_sigma = axes
    return Grid(
        a=a[:, None, None],
        b=b[None, :, None],
        sigma=np.exp(log_sigma)[None, None, :],
        log_prior=log_prior_on(prior, (a, b, log_sigma)),
    )


def log_prior_on(prior: DrainPrior, axes: tuple[Array, Array, Array]) -> Array:
    """Return the logarithm of a prior's weight on every line, up to a constant.

    Parameters
    ----------
    prior : DrainPrior
        Normal for a, b and log scatter.
    axes : three (n,) float
        Even steps along a, b and log scatter.

    Returns
    -------
    (i, j, k) float
        The outermost lines count half, as in the trapezoidal rule.
    """
    logs = [
        _log_weights(axis, centre, spread)
        for axis, centre, spread in zip(axes, middles_of(prior), spreads_of(prior), strict=True)
    ]
    return np.asarray(logs[0][:, None, None] + logs[1][None, :, None] + logs[2])


def middles_of(prior: DrainPrior) -> tuple[float, float, float]:
    """Return the middles of a, b and log scatter."""
    return float(np.log(prior.start_ml)), prior.fall_per_day, float(np.log(prior.scatter_ratio))


def spreads_of(prior: DrainPrior) -> tuple[float, float, float]:
    """Return the spreads of a, b and log scatter."""
    return prior.start_spread_ratio, prior.fall_spread_per_day, prior.scatter_spread_ratio


def _log_weights(axis: Array, centre: float, spread: float) -> Array:
    logs = -0.5 * ((axis - centre) / spread) ** 2
    logs[[0, -1]] -= np.log(2)
    return np.asarray(logs)


def log_likelihood(day: DrainDay, grid: Grid) -> Array:
    """Return how well each line explains one day, as a logarithm without its constant.

    Parameters
    ----------
    day : DrainDay
        With a volume; one below what can be read counts as anywhere below.
    grid : Grid
        The lines.

    Returns
    -------
    (i, j, k) float
        A day that was not measured says nothing: zeros.
    """
    if day.ml_per_day is None:
        return np.zeros_like(grid.log_prior)
    if day.ml_per_day < day.readable_ml_per_day:
        return np.asarray(np.log(t4_below(grid.z(np.log(day.readable_ml_per_day), day.at_day))))
    z = grid.z(np.log(day.ml_per_day), day.at_day)
    return np.asarray(-2.5 * np.log1p(z * z / 4) - np.log(grid.sigma))


def weights_of(log_weights: Array) -> Array:
    """Return weights that add up to one, from their logarithms."""
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum())


def t4_below(z: Array) -> Array:
    """Return the chance that Student's t with 4 degrees of freedom lies below.

    Parameters
    ----------
    z : array of float
        Any shape.

    Returns
    -------
    array of float
        The closed form (1 + w)² (2 - w) / 4 with w = z / sqrt(4 + z²).

    Examples
    --------
    >>> float(t4_below(np.array(0.0)))
    0.5
    """
    w = z / np.sqrt(4 + z * z)
    return np.asarray((1 + w) ** 2 * (2 - w) / 4)


QUANTILE_POINTS = 81
"""Volumes at which a day's distribution is computed; between them it is read off straight."""

QUANTILE_REACH = 4.0
"""How far these volumes reach on both sides of the middle, in natural logarithms."""


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines that are left after the readings, with their weights."""

    a: Array  #: (m,)
    b: Array  #: (m,)
    sigma: Array  #: (m,)
    weight: Array  #: (m,) adds up to 1

    def chance_below(self, log_volume: float, at_day: float) -> Array:
        """Return, line by line, the chance that a reading falls below a volume; (m,)."""
        return t4_below((log_volume - self.a + self.b * at_day) / self.sigma)

    def volumes_ml(self, chances: Array, at_day: float) -> Array:
        """Return the volumes that a reading lies below with these chances; (q,)."""
        middle = self.weight @ (self.a - self.b * at_day)
        logs = middle + np.linspace(-QUANTILE_REACH, QUANTILE_REACH, QUANTILE_POINTS)
        below = [float(self.weight @ self.chance_below(log, at_day)) for log in logs]
        return np.asarray(np.exp(np.interp(chances, below, logs)), dtype=float)


def lines_of(log_weights: Array, grid: Grid) -> Lines:
    """Keep the lines that weigh anything.

    Parameters
    ----------
    log_weights : (i, j, k) float
        Prior and likelihood of every line.
    grid : Grid
        The lines.

    Returns
    -------
    Lines
        Without those that cannot be seen in the answer.
    """
    weights = weights_of(log_weights)
    i, j, k = np.nonzero(weights > NEGLIGIBLE_FRACTION * weights.max())
    kept = weights[i, j, k]
    return Lines(
        a=grid.a[i, 0, 0], b=grid.b[0, j, 0], sigma=grid.sigma[0, 0, k], weight=kept / kept.sum()
    )
