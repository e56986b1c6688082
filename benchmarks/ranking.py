"""Whether a coarse mesh puts plans in the order of a fine one, over all families and skins."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.stats import spearmanr

from benchmarks import Row, sample
from crena.mechanics.material import ASSUMED_SKIN
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.pulls import pulls_of
from crena.planning.pull import COARSE_STEP_MM
from crena.records import Closure, CrenaError

closures = sample("sample_closures")

PLANS = 200
FINE_STEP_MM = 0.75
"""Some 5,000 nodes on the sheet of the plans."""

SKINS = {
    "assumed": ASSUMED_SKIN,
    "stiff fibres, lines at 40°": replace(ASSUMED_SKIN, fibre_kpa=500.0, axis_deg=40.0),
    "no fibres": replace(ASSUMED_SKIN, fibre_kpa=0.0),
}

LEAST_SPEARMAN = 0.95
MOST_REGRET = 0.02


@dataclass(frozen=True, slots=True)
class Ranked:
    """Total force of every plan on every skin, both ways, N."""

    coarse_n: NDArray[np.float64]  #: (plans, skins)
    fine_n: NDArray[np.float64]
    left_out: int  #: plans without a figure on one of the meshes
    nodes: tuple[float, float]  #: median on the coarse and the fine mesh


def rank_spearman() -> Row:
    """Rank correlation of total force, coarse against fine; the worst of three skins."""
    found = _ranked()
    each = [
        float(spearmanr(c, f).statistic)
        for c, f in zip(found.coarse_n.T, found.fine_n.T, strict=True)
    ]
    return Row(
        name="rank-spearman",
        value=min(each),
        unit="",
        bar=f">= {LEAST_SPEARMAN}",
        met=min(each) >= LEAST_SPEARMAN,
        detail=_told(found, [f"{value:.4f}" for value in each]),
    )


def rank_regret() -> Row:
    """How much more the plan that looks best on the coarse mesh pulls than the best on the fine."""
    found = _ranked()
    picked = found.fine_n[found.coarse_n.argmin(axis=0), np.arange(len(SKINS))]
    each = picked / found.fine_n.min(axis=0) - 1
    return Row(
        name="rank-regret",
        value=float(each.max()),
        unit="of the least pull",
        bar=f"<= {MOST_REGRET}",
        met=bool(each.max() <= MOST_REGRET),
        detail=_told(found, [f"{value:.4f}" for value in each]),
    )


def _told(found: Ranked, each: list[str]) -> str:
    skins = ", ".join(f"{name} {value}" for name, value in zip(SKINS, each, strict=True))
    coarse, fine = found.nodes
    return (
        f"{skins}; {len(found.coarse_n)} plans of {len(closures.RANDOM)} families, "
        f"{found.left_out} without a figure left out; {coarse:.0f} against {fine:.0f} nodes"
    )


@cache
def _ranked() -> Ranked:
    plans = _plans()
    skins = tuple(SKINS.values())
    coarse = np.array([pulls_of(p, skins, seam_step_mm=COARSE_STEP_MM).totals_n for p in plans])
    fine = np.array([pulls_of(p, skins, seam_step_mm=FINE_STEP_MM).totals_n for p in plans])
    known = (np.isfinite(coarse) & np.isfinite(fine)).all(axis=1)
    nodes = [_nodes(plans[:20], step) for step in (COARSE_STEP_MM, FINE_STEP_MM)]
    return Ranked(coarse[known], fine[known], int((~known).sum()), (nodes[0], nodes[1]))


def _plans() -> list[Closure]:
    rng, found = np.random.default_rng(2), []
    while len(found) < PLANS:
        closure = closures.RANDOM[len(found) % len(closures.RANDOM)](rng)
        if closure.seams:
            found.append(closure)
    return found


def _nodes(plans: list[Closure], step_mm: float) -> float:
    counts = []
    for plan in plans:
        try:
            sheet = mesh_closure(plan, seam_step_mm=step_mm, sheet_mm=320.0)
        except CrenaError:
            continue
        counts.append(len(sheet.nodes_mm))
    return float(np.median(counts))


BENCHMARKS = {"rank-spearman": rank_spearman, "rank-regret": rank_regret}
