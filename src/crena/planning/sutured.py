"""What the middle of the guessed skins says of a sutured plan: scar, sitting, and the mesh."""

from concurrent.futures import BrokenExecutor
from dataclasses import replace

from crena.geometry.unrolling import cleft_floor_mm, skin_map
from crena.mechanics.closed import ClosureState, Status
from crena.mechanics.material import Skin
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.midlines import midlines
from crena.mechanics.posture import sitting
from crena.mechanics.pulls import SEAM_STEP_MM, SHEET_MM
from crena.mechanics.refinement import refined
from crena.mechanics.solver import close_wound
from crena.mechanics.sweeps import Workers
from crena.planning.pull import Simulation
from crena.records import (
    Case,
    Closure,
    CrenaError,
    Mechanics,
    Plan,
    Polyline2,
    Posture,
    ScarAfter,
    SittingPull,
    TractMap,
)


def sutured_plans(
    plans: tuple[Plan, ...], case: Case, tract_map: TractMap, simulation: Simulation
) -> tuple[Plan, ...]:
    """Return plans with what the middle skin says of them, on the cleft of their own map.

    Parameters
    ----------
    plans : tuple of Plan
        With their pull.
    case : Case
        The stretch that the surgeon states for sitting.
    tract_map : TractMap
        Its skin has the cleft's floor.
    simulation : Simulation
        Guessed skins and workers.
    """
    floor_mm = cleft_floor_mm(skin_map(tract_map.skin))
    asked = simulation.skins.middle, case.skin.sitting, floor_mm
    return with_scars_after(plans, asked, simulation.workers)


def with_scars_after(
    plans: tuple[Plan, ...], asked: tuple[Skin, Posture | None, Polyline2], workers: Workers
) -> tuple[Plan, ...]:
    """Return the plans with what `with_scar_after` adds, computed side by side.

    Parameters
    ----------
    plans : tuple of Plan
        With their pull.
    asked : (Skin, Posture or None, Polyline2)
        The middle of the guesses, the stretch that the surgeon states, and the cleft's floor.
    workers : Workers
        If one of them dies, this process does all of it.
    """
    try:
        jobs = [workers.executor().submit(with_scar_after, p, *asked) for p in plans]
        return tuple(job.result() for job in jobs)
    except BrokenExecutor:
        return tuple(with_scar_after(plan, *asked) for plan in plans)


def with_scar_after(
    plan: Plan, skin: Skin, posture: Posture | None, floor_mm: Polyline2 = ()
) -> Plan:
    """Return a plan with its scar's place after closure, its pull while sitting, and the
    error of its mesh.

    Parameters
    ----------
    plan : Plan
        With its pull; one without a figure of pull comes back as it is.
    skin : Skin
        The middle of the guesses.
    posture : Posture, optional
        The stretch that the surgeon states.
    floor_mm : Polyline2
        The cleft's floor before the cut, (s, y); without it the sagittal reference.
    """
    known = plan.mechanics
    if known is None or known.total_force_n is None:
        return plan
    state = _sutured(plan.closure, skin)
    if state is None:
        lost = SittingPull(
            reason="no balance was found on the middle skin", over_lying_ratio=None,
            hardest_seam="", gape_mm=None,
        )  # fmt: skip
        return replace(plan, mechanics=replace(known, sitting=lost if posture else None))
    seen = _seen(known, state, posture, floor_mm)
    return replace(plan, mechanics=replace(seen, mesh_error_ratio=_mesh_error(plan.closure, state)))


def _mesh_error(closure: Closure, state: ClosureState) -> float | None:
    """Return the estimated error of the total pull; none where a finer mesh found no balance."""
    try:
        readings = refined(closure, state).readings
    except CrenaError:
        return None
    return readings[0].error_ratio if readings else None


def _sutured(closure: Closure, skin: Skin) -> ClosureState | None:
    try:
        sheet = mesh_closure(closure, seam_step_mm=SEAM_STEP_MM, sheet_mm=SHEET_MM)
        state = close_wound(sheet, skin)
    except CrenaError:
        return None
    return state if state.status is Status.CONVERGED else None


def _seen(
    known: Mechanics, state: ClosureState, posture: Posture | None, floor_mm: Polyline2
) -> Mechanics:
    found = midlines(state, floor_mm)
    return replace(
        known,
        scar_after=ScarAfter(sagittal=found.sagittal, material=found.material, floor=found.floor),
        sitting=_seated(state, posture) if posture else None,
    )


def _seated(state: ClosureState, posture: Posture) -> SittingPull:
    found = sitting(state, posture)
    if found.sitting_over_lying_ratio is None:
        return SittingPull(
            reason=found.reason, over_lying_ratio=None, hardest_seam="", gape_mm=None
        )
    gape = found.gape
    return SittingPull(
        reason="",
        over_lying_ratio=found.sitting_over_lying_ratio,
        hardest_seam=gape.seam if gape else "",
        gape_mm=gape.gape_mm if gape else None,
    )
