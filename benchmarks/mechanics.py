"""The closed wound beside general finite-element packages, and how its time grows.

Both sides close the same mesh of the same skin from the same start to the same residual.
The clock runs from the start to the balance: sums over triangles, factors, steps, line
search; on our side also the search for the prestretch, which the peers have in their mesh.
Mesh, ties, pattern and the peers' own objects are made before. The default of a peer is its
own `solve`: SuperLU with the order that SuperLU finds; "same ordering" is SuperLU with our
nested dissection and pivots from the diagonal.
"""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from statistics import median
from time import perf_counter
from typing import TypeVar

import numpy as np

from benchmarks import Row, interleaved
from benchmarks._peers import FElupe, ScikitFem, close_by_peer, task_of
from crena.flaps.rhombic import RhombicFlap, close
from crena.mechanics.closed import ClosureState, converged_mm
from crena.mechanics.ensemble import assumed_skins
from crena.mechanics.material import ASSUMED_SKIN
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.prepared import Prepared, prepare
from crena.mechanics.pulls import SHEET_MM, pulls_of
from crena.mechanics.readings import suture_forces
from crena.mechanics.solver import close_prepared
from crena.records import Closure, Side

Timed = TypeVar("Timed")

SIDE_MM = 40.0
"""Of the rhombus; a Limberg flap closes it."""

PLAIN_SKIN = replace(ASSUMED_SKIN, fibre_kpa=0.0, slack_ratio=1.0)
"""Neo-Hookean, taut and slack alike: a law that the peers need no cunning for."""

SEAM_STEPS_MM = {400: 8.3, 1_500: 2.6, 5_000: 0.81, 22_000: 0.175}
"""Seam step that gives about so many nodes."""

LADDER = (1_500, 5_000, 22_000)
"""Sizes that the exponent is taken over."""

LADDER_REPEATS = 5

REPEATS = {400: 61, 5_000: 11}
"""Pairs of runs."""

AGREEMENT_MM = 1e-8

SKINS, SKINS_OF_A_TASK = 64, 16

COARSE = {"seam_step_mm": 9.0, "sheet_mm": SHEET_MM}
"""The mesh of the first look at many plans."""


def solve_5k_scikit_fem() -> Row:
    """About 5,000 nodes; scikit-fem as it solves by default."""
    return _against("solve-5k-scikit-fem", (ScikitFem, 5_000, 8.0), ordered=False)


def solve_5k_scikit_fem_same_ordering() -> Row:
    """The same with our order of elimination."""
    return _against("solve-5k-scikit-fem-same-ordering", (ScikitFem, 5_000, 3.0), ordered=True)


def solve_5k_felupe() -> Row:
    """About 5,000 nodes; FElupe as it solves by default."""
    return _against("solve-5k-felupe", (FElupe, 5_000, 4.0), ordered=False)


def solve_5k_felupe_same_ordering() -> Row:
    """The same with our order of elimination."""
    return _against("solve-5k-felupe-same-ordering", (FElupe, 5_000, 1.5), ordered=True)


def solve_400_scikit_fem() -> Row:
    """The coarse mesh that plans are screened on."""
    return _against("solve-400-scikit-fem", (ScikitFem, 400, 10.0), ordered=False)


def solve_scaling() -> Row:
    """Exponent of the time of a closure against its nodes."""
    counts, seconds, steps = [], [], []
    for size in LADDER:
        prepared = _prepared(size)
        state, each_s = _closed(prepared), _seconds_of(prepared)
        counts.append(len(prepared.sheet.nodes_mm))
        seconds.append(median(each_s))
        steps.append(state.iterations)
    exponent = _exponent(counts, seconds)
    each = _exponent(counts, [s / n for s, n in zip(seconds, steps, strict=True)])
    parts = [
        f"{c} nodes {1000 * s:.1f} ms ({n} steps)"
        for c, s, n in zip(counts, seconds, steps, strict=True)
    ]
    detail = f"{', '.join(parts)}; of one step {each:.2f}"
    return Row(
        name="solve-scaling", value=exponent, unit="exponent", bar="", met=None, detail=detail
    )


def pull_per_skin() -> Row:
    """What a plan's pull costs on each guessed skin, with its share of mesh and set-up."""
    skins = assumed_skins(SKINS, np.random.default_rng(1))
    tasks = [skins[n : n + SKINS_OF_A_TASK] for n in range(0, SKINS, SKINS_OF_A_TASK)]
    times: list[float] = []
    for task in tasks:
        _timed(lambda task=task: pulls_of(_limberg(), task), times)
    each_ms = 1000 * sum(times) / SKINS
    detail = f"{SKINS} skins in {len(tasks)} tasks of one process, the first with the loading"
    return Row(
        name="pull-per-skin", value=each_ms, unit="ms", bar="<= 30", met=each_ms <= 30,
        detail=detail,
    )  # fmt: skip


def set_up_share_400() -> Row:
    """Share of mesh and set-up in one closure of the coarse mesh, usual skin with fibres."""
    parts: dict[str, list[float]] = {"mesh": [], "set-up": [], "balance": [], "readings": []}
    for _ in range(REPEATS[5_000]):
        sheet = _timed(lambda: mesh_closure(_limberg(), **COARSE), parts["mesh"])
        prepared = _timed(lambda sheet=sheet: prepare(sheet), parts["set-up"])
        state = _timed(lambda p=prepared: close_prepared(p, ASSUMED_SKIN), parts["balance"])
        _timed(lambda state=state: suture_forces(state), parts["readings"])
    each_ms = {part: 1000 * median(times) for part, times in parts.items()}
    share = (each_ms["mesh"] + each_ms["set-up"]) / sum(each_ms.values())
    detail = ", ".join(f"{part} {ms:.1f} ms" for part, ms in each_ms.items())
    return Row(
        name="set-up-share-400", value=share, unit="of the time", bar="<= 0.5", met=share <= 0.5,
        detail=f"{len(sheet.nodes_mm)} nodes, {detail}",
    )  # fmt: skip


def _against(name: str, case: tuple[type, int, float], *, ordered: bool) -> Row:
    peer, size, bar = case
    prepared = _prepared(size)
    task = task_of(peer, prepared, PLAIN_SKIN, ordered=ordered)
    own, theirs = _closed(prepared), close_by_peer(task)
    apart_mm = float(np.abs(converged_mm(own) - theirs.positions_mm).max())
    if not apart_mm <= AGREEMENT_MM or own.convex_steps:
        raise RuntimeError(f"{apart_mm:.1e} mm apart, {own.convex_steps} convex steps")
    own_s: list[float] = []
    peer_s: list[float] = []
    ratio = interleaved(
        lambda: _timed(lambda: _closed(prepared), own_s),
        lambda: _timed(lambda: close_by_peer(task), peer_s),
        REPEATS[size],
    )
    detail = (
        f"{len(prepared.sheet.nodes_mm)} nodes, {1000 * median(own_s):.1f} against "
        f"{1000 * median(peer_s):.1f} ms, {own.iterations} and {theirs.iterations} steps, "
        f"apart {apart_mm:.1e} mm"
    )
    return Row(name=name, value=ratio, unit="x", bar=f">= {bar:g}", met=ratio >= bar, detail=detail)


def _closed(prepared: Prepared) -> ClosureState:
    return close_prepared(prepared, PLAIN_SKIN)


def _seconds_of(prepared: Prepared) -> list[float]:
    times: list[float] = []
    for _ in range(LADDER_REPEATS):
        _timed(lambda: _closed(prepared), times)
    return times


def _timed(fn: Callable[[], Timed], times: list[float]) -> Timed:
    start = perf_counter()
    result = fn()
    times.append(perf_counter() - start)
    return result


@cache
def _prepared(size: int) -> Prepared:
    return prepare(mesh_closure(_limberg(), seam_step_mm=SEAM_STEPS_MM[size]))


def _limberg() -> Closure:
    high_mm, half_mm = SIDE_MM * np.sqrt(3) / 2, SIDE_MM / 2
    quad = np.array([[0.0, high_mm], [-half_mm, 0.0], [0.0, -high_mm], [half_mm, 0.0]])
    flap = RhombicFlap(donor_side=Side.RIGHT, caudal_pivot=True, elevation_deg=0.0, tip_deg=60.0)
    return close(quad, flap)


def _exponent(counts: list[int], seconds: list[float]) -> float:
    return float(np.polyfit(np.log(counts), np.log(seconds), 1)[0])


BENCHMARKS = {
    "solve-5k-scikit-fem": solve_5k_scikit_fem,
    "solve-5k-scikit-fem-same-ordering": solve_5k_scikit_fem_same_ordering,
    "solve-5k-felupe": solve_5k_felupe,
    "solve-5k-felupe-same-ordering": solve_5k_felupe_same_ordering,
    "solve-400-scikit-fem": solve_400_scikit_fem,
    "solve-scaling": solve_scaling,
    "pull-per-skin": pull_per_skin,
    "set-up-share-400": set_up_share_400,
}
