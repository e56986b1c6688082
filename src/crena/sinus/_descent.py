"""Robust least squares within bounds, on one core whatever the linear algebra underneath."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numba import njit

from crena.records.base import Record

Array = np.ndarray

ODD_SCALE = 1.5
"""Residual, in noise units, beyond which a voxel counts as odd and hardly pulls; assumed."""

LEAST_GAIN_FRACTION = 3e-4
"""The descent ends when a step gains less of the misfit; assumed."""

DAMPING_RANGE = (1e-7, 1e7)
"""Damping from which steps are taken as they are, and at which the descent gives up."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Problem(Record):
    """What is fitted: residuals, how they change, prior rows, and the bounds."""

    residuals: Callable[[Array], Array]  #: free numbers -> (n,)
    slopes: Callable[[Array], tuple[Array, Array]]  #: -> (n, q), and (q, p) from the free numbers
    prior: Array  #: (r, p) rows that hold the free numbers near the start
    start: Array  #: (p,)
    low: Array  #: (p,)
    high: Array  #: (p,)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lowest(Record):
    """Where the descent ended."""

    at: Array  #: (p,)
    misfit: float  #: mean Cauchy misfit of a residual
    normal: Array  #: (p, p) weighted normal matrix; its inverse is the covariance


def descend(problem: Problem, at: Array, steps: int) -> Lowest:
    """Descend to the lowest misfit by damped Gauss-Newton steps.

    Parameters
    ----------
    problem : Problem
        What is fitted.
    at : (p,) float
        Where to begin; the prior still pulls to the problem's start.
    steps : int
        Most steps, taken or refused.

    Returns
    -------
    Lowest
        The best place found.

    Notes
    -----
    Misfit: 1/2 sum c^2 ln(1 + (r / c)^2), minimised as reweighted least squares with the
    weights 1 / (1 + (r / c)^2); numbers at a bound that want to leave it are held (Levenberg
    1944, Marquardt 1963; Holland and Welsch 1977 for the weights). The normal matrix is summed
    row by row: a threaded decomposition of the tall matrix costs more than it saves.
    """
    at = np.clip(at, problem.low, problem.high)
    cost, damping = _cost(problem, at), 1e-3
    normal, slope = _normal(problem, at)
    for _ in range(steps):
        trial = np.clip(
            at + _step(problem, at, (normal, slope), damping), problem.low, problem.high
        )
        trial_cost = _cost(problem, trial)
        if trial_cost < cost:
            gained = (cost - trial_cost) / cost
            at, cost, damping = trial, trial_cost, max(damping / 5.0, DAMPING_RANGE[0])
            normal, slope = _normal(problem, at)
            if gained < LEAST_GAIN_FRACTION:
                break
        else:
            damping *= 6.0
            if damping > DAMPING_RANGE[1]:
                break
    return Lowest(at=at, misfit=cost / len(problem.residuals(at)), normal=normal)


def _cost(problem: Problem, at: Array) -> float:
    rest = np.concatenate([problem.residuals(at), problem.prior @ (at - problem.start)])
    return float(0.5 * ODD_SCALE**2 * np.log1p((rest / ODD_SCALE) ** 2).sum())


def _normal(problem: Problem, at: Array) -> tuple[Array, Array]:
    """Return the weighted normal matrix and the gradient in the free numbers."""
    slopes, chain = problem.slopes(at)
    full, gradient = _summed(slopes, problem.residuals(at), ODD_SCALE)
    held, pull = _summed(problem.prior, problem.prior @ (at - problem.start), ODD_SCALE)
    return chain.T @ full @ chain + held, chain.T @ gradient + pull


def _step(problem: Problem, at: Array, equations: tuple[Array, Array], damping: float) -> Array:
    normal, gradient = equations
    held = ((at <= problem.low) & (gradient > 0.0)) | ((at >= problem.high) & (gradient < 0.0))
    loose = np.flatnonzero(~held)
    some = normal[np.ix_(loose, loose)]
    sizes = np.maximum(np.diag(some), 1e-9)
    step = np.zeros(len(at))
    step[loose] = np.linalg.solve(some + damping * np.diag(sizes), -gradient[loose])
    return step


@njit(cache=True, nogil=True)
def _summed(
    rows: Array, rest: Array, odd: float
) -> tuple[Array, Array]:  # pragma: no cover - compiled
    """Sum the weighted outer products of the rows, and of the rows and the residuals."""
    width = rows.shape[1]
    normal, gradient = np.zeros((width, width)), np.zeros(width)
    filled = np.empty(width, np.int64)
    for n in range(len(rows)):
        weight = 1.0 / (1.0 + (rest[n] / odd) ** 2)
        count = 0
        for a in range(width):
            if rows[n, a] != 0.0:
                filled[count] = a
                count += 1
        for i in range(count):
            a = filled[i]
            part = weight * rows[n, a]
            gradient[a] += part * rest[n]
            for j in range(i + 1):
                normal[a, filled[j]] += part * rows[n, filled[j]]
    return normal + normal.T - np.diag(np.diag(normal)), gradient
