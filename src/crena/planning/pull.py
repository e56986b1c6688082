"""The pull of plans: a first look at many on a coarse mesh, bands for the few that are shown."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from crena.mechanics.ensemble import SkinGuesses
from crena.mechanics.pulls import Pulls
from crena.mechanics.sweeps import InThisProcess, Row, Task, Workers, key_of, sweep
from crena.records import Closure, Mechanics, Plan, Record, SeamPull
from crena.records.progress import Progress

Floats = NDArray[np.float64]

COARSE_STEP_MM = 9.0
"""Distance of suture nodes for the first look: about 400 nodes."""

SKINS_AT_A_TIME = 16
"""Skins of one task: few enough to share the work among processes, many enough for one mesh."""

MOST_FAILED = 0.05
"""Share of failed runs above which a plan gets no figure (assumed)."""

BAND = (0.05, 0.5, 0.95)


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulation(Record):
    """On which skins the pull is computed, and who computes it."""

    skins: SkinGuesses
    workers: Workers = InThisProcess()


def coarse_pulls_n(
    closures: Sequence[Closure], simulation: Simulation, progress: Progress
) -> Floats:
    """Return the total force (n,) of each closure on a coarse mesh, to compare them.

    Parameters
    ----------
    closures : sequence of Closure
        As drawn.
    simulation : Simulation
        The mean over the middle skin with its tension lines turned is taken.
    progress : callable
        Told how many are closed.

    Returns
    -------
    (n,) float
        N; infinite where a run found no balance, so that such a closure is never preferred.
    """
    tasks = [
        Task(closure=closure, skins=simulation.skins.turned, seam_step_mm=COARSE_STEP_MM)
        for closure in closures
    ]
    runs = _run(tasks, simulation.workers, "First look at the pull", progress)
    means = np.array([run.totals_n.mean() for run in runs])
    return np.where(np.isnan(means), np.inf, means)


def with_pull(
    plans: tuple[Plan, ...], simulation: Simulation, progress: Progress
) -> tuple[tuple[Plan, ...], Floats]:
    """Return the plans with their pull, compared skin by skin.

    Parameters
    ----------
    plans : tuple of Plan
        As drawn.
    simulation : Simulation
        Skins and workers.
    progress : callable
        Told how much is done.

    Returns
    -------
    plans : tuple of Plan
        With their pull as bands.
    totals_n : (k, n) float
        Total force of each plan on each skin, N; NaN where a run found no balance, and for
        every skin of a plan that gets no figure because too many runs found none.
    """
    skins = simulation.skins
    tasks = [task for plan in plans for task in _tasks(plan.closure, skins)]
    said = f"Pull of {len(plans)} plans on {len(skins.ensemble)} skins"
    runs = _run(tasks, simulation.workers, said, progress)
    each = len(runs) // len(plans)
    ensembles = [_joined(runs[n * each : (n + 1) * each]) for n in range(len(plans))]
    totals = np.array([run.totals_n for run in ensembles])
    figured = np.isnan(totals).mean(axis=1) <= MOST_FAILED
    totals[~figured] = np.nan
    usable = totals[:, np.isfinite(totals[figured]).all(axis=0)]
    done = tuple(
        replace(plan, mechanics=_mechanics(run, usable, n))
        for n, (plan, run) in enumerate(zip(plans, ensembles, strict=True))
    )
    return done, totals


def _tasks(closure: Closure, skins: SkinGuesses) -> list[Task]:
    """Return the tasks of one plan, a few skins each."""
    return [
        Task(closure=closure, skins=skins.ensemble[first : first + SKINS_AT_A_TIME])
        for first in range(0, len(skins.ensemble), SKINS_AT_A_TIME)
    ]


def _run(tasks: Sequence[Task], workers: Workers, said: str, progress: Progress) -> list[Pulls]:
    """Return the pulls of all tasks in their order; of a task that failed, no numbers."""
    keyed = {key_of(task, ""): task for task in tasks}
    done = 0

    def told(_: Row) -> None:
        nonlocal done
        done += 1
        progress(said, done / len(keyed))

    rows = {row.key: row for row in sweep(keyed, workers, keep=told)}
    return [_pulls(rows[key_of(task, "")], task) for task in tasks]


def _pulls(row: Row, task: Task) -> Pulls:
    return row.pulls or _no_pulls(task, row.failure)


def _no_pulls(task: Task, reason: str) -> Pulls:
    seams, count = task.closure.seams, len(task.skins)
    return Pulls(
        seams=tuple(seam.name for seam in seams),
        donor=tuple(seam.donor for seam in seams),
        seam_forces_n=np.full((count, len(seams)), np.nan),
        totals_n=np.full(count, np.nan),
        donor_shares_ratio=np.full(count, np.nan),
        reasons=(reason,) * count,
    )


def _joined(runs: Sequence[Pulls]) -> Pulls:
    return Pulls(
        seams=runs[0].seams,
        donor=runs[0].donor,
        seam_forces_n=np.concatenate([run.seam_forces_n for run in runs]),
        totals_n=np.concatenate([run.totals_n for run in runs]),
        donor_shares_ratio=np.concatenate([run.donor_shares_ratio for run in runs]),
        reasons=tuple(reason for run in runs for reason in run.reasons),
    )


def _mechanics(run: Pulls, totals: Floats, n: int) -> Mechanics:
    failed, count = len(run.reasons), len(run.totals_n)
    if failed > MOST_FAILED * count or not totals.shape[1]:
        reason = run.reasons[0] if run.reasons else "no skin is left on which all plans balance"
        return _no_figure(reason, count, failed)
    least_n = np.nanmin(totals, axis=0)
    relative = totals[n] / least_n
    low, middle, high = _band(run.totals_n)
    share_low, share, share_high = _band(run.donor_shares_ratio)
    return Mechanics(
        status="converged",
        reason="relative, not validated",
        skins=count,
        failed=failed,
        total_force_n=middle,
        total_low_n=low,
        total_high_n=high,
        relative_low_ratio=_band(relative)[0],
        relative_high_ratio=_band(relative)[2],
        compared=totals.shape[1],
        least_of_these_fraction=float((totals[n] == least_n).mean()),
        donor_share=share,
        donor_share_low=share_low,
        donor_share_high=share_high,
        seam_forces=tuple(_seam(run, k) for k in range(len(run.seams))),
    )


def _seam(run: Pulls, k: int) -> SeamPull:
    low, middle, high = _band(run.seam_forces_n[:, k])
    return SeamPull(
        name=run.seams[k],
        donor=run.donor[k],
        force_n=middle,
        force_low_n=low,
        force_high_n=high,
    )


def _band(values: Floats) -> tuple[float, float, float]:
    low, middle, high = np.nanquantile(values, BAND)
    return float(low), float(middle), float(high)


def _no_figure(reason: str, count: int, failed: int) -> Mechanics:
    return Mechanics(
        status="no figure",
        reason=reason,
        skins=count,
        failed=failed,
        total_force_n=None,
        total_low_n=None,
        total_high_n=None,
        relative_low_ratio=None,
        relative_high_ratio=None,
        compared=0,
        least_of_these_fraction=None,
        donor_share=None,
        donor_share_low=None,
        donor_share_high=None,
        seam_forces=(),
    )
