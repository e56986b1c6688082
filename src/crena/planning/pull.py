"""The pull of the plans that are shown, each on the same guessed skins."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from crena.mechanics.material import Skin
from crena.mechanics.pulls import Pulls, pulls_of
from crena.records import Mechanics, Plan, SeamPull

Floats = NDArray[np.float64]

MOST_FAILED = 0.05
"""Share of failed runs above which a plan gets no figure (assumed)."""

BAND = (0.05, 0.5, 0.95)


def with_pull(
    plans: tuple[Plan, ...], skins: tuple[Skin, ...], progress: Callable[[str, float], None]
) -> tuple[Plan, ...]:
    """Return the plans with their pull, compared skin by skin.

    Parameters
    ----------
    plans : tuple of Plan
        As drawn.
    skins : tuple of Skin
        Guesses; none: the plans come back without pull.
    progress : callable
        Told which plan is being closed.
    """
    if not skins:
        return plans
    runs = []
    for n, plan in enumerate(plans):
        progress(f"Pull of plan {plan.id}, {n + 1} of {len(plans)}", n / len(plans))
        runs.append(pulls_of(plan.closure, skins))
    totals = np.array([run.totals_n for run in runs])
    usable = np.isfinite(totals).all(axis=0)
    return tuple(
        replace(plan, mechanics=_mechanics(run, totals[:, usable], n))
        for n, (plan, run) in enumerate(zip(plans, runs, strict=True))
    )


def _mechanics(run: Pulls, totals: Floats, n: int) -> Mechanics:
    failed = len(run.reasons)
    count = len(run.totals_n)
    if failed > MOST_FAILED * count or not totals.shape[1]:
        return _no_figure(run.reasons[0] if run.reasons else "another plan has none", count, failed)
    relative = totals[n] / totals.min(axis=0)
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
        least_of_these_fraction=float((totals.argmin(axis=0) == n).mean()),
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
        least_of_these_fraction=None,
        donor_share=None,
        donor_share_low=None,
        donor_share_high=None,
        seam_forces=(),
    )
