"""Close a wound: the least energy of the sheet with its seams sutured.

    min over q of  sum V W(F(q)) + 1/2 sum k |x(q) - X|^2

with x = T q (exact ties), F from the stress-free state through the prestretch, and k the
hold of the fascia. Newton with Armijo's line search; a trial with a triangle turned over
has infinite energy; where the stiffness is not positive definite it is replaced by one
that is.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._system import System, admitted, system_of
from crena.mechanics.closed import ClosureState, SolverLimits, Status
from crena.mechanics.material import Skin
from crena.mechanics.prepared import Prepared, prepare
from crena.mechanics.prestretch import in_plan, prestretch_ratio
from crena.mechanics.sheet import Sheet
from crena.mechanics.start import spread
from crena.records import Cancelled, InputError

Floats = NDArray[np.float64]
Progress = Callable[[int, float], object]
"""Told the iteration and the largest force out of balance, N; may raise Cancelled."""
Clock = Callable[[], float]
"""Tells seconds from any beginning."""

SUFFICIENT_DECREASE = 1e-4
"""Share of the promised decrease that a step must bring (Nocedal & Wright 2006, section 3.1)."""

SHORTEST_STEP = 1e-9
"""Share of a Newton step below which the line search gives up."""

ROUNDING = 1e-13
"""Relative rise of the energies in a sheet that rounding alone explains."""


def close_wound(
    sheet: Sheet,
    skin: Skin,
    *,
    limits: SolverLimits | None = None,
    start: Floats | None = None,
    progress: Progress | None = None,
    clock: Clock | None = None,
) -> ClosureState:
    """Close the seams of one sheet of one skin; see `close_prepared`.

    Parameters
    ----------
    sheet : Sheet
        Skin with open seams.
    skin : Skin
        Its parameters.
    limits : SolverLimits, optional
        When to be content and when to give up.
    start : (n, 2) float, optional
        Where to start, mm.
    progress : callable, optional
        Told iteration and residual.
    clock : callable, optional
        Tells seconds.
    """
    prepared = prepare(sheet)
    return close_prepared(
        prepared, skin, limits=limits, start=start, progress=progress, clock=clock
    )


def close_prepared(
    prepared: Prepared,
    skin: Skin,
    *,
    limits: SolverLimits | None = None,
    start: Floats | None = None,
    progress: Progress | None = None,
    clock: Clock | None = None,
) -> ClosureState:
    """Close the seams of a prepared sheet of one skin.

    Parameters
    ----------
    prepared : Prepared
        The sheet, as `prepare` gives it.
    skin : Skin
        Its parameters.
    limits : SolverLimits, optional
        When to be content and when to give up.
    start : (n, 2) float, optional
        Where to start, mm; without it, from the flaps in their places. The border stays
        where the start has it.
    progress : callable, optional
        Told iteration and residual; may raise Cancelled.
    clock : callable, optional
        Tells seconds, for the limit of time.

    Returns
    -------
    ClosureState
        With positions only if it converged; otherwise with the reason.
    """
    run = _Run(prepared, skin, limits or SolverLimits(), progress, clock)
    try:
        run.stretch = in_plan(prestretch_ratio(skin), skin.axis_deg)
    except InputError as refusal:
        return run.ended(Status.NO_PRESTRETCH, str(refusal))
    try:
        return _descend(run, prepared.start_mm if start is None else start)
    except Cancelled:
        return run.ended(Status.CANCELLED, "The closure was stopped. Start it again to see it.")


@dataclass(slots=True, eq=False)
class _Run:
    """One descent: what is fixed, and what changes from step to step."""

    prepared: Prepared
    skin: Skin
    limits: SolverLimits
    progress: Progress | None
    clock: Clock | None
    stretch: Floats | None = None
    iterations: int = 0
    convex_steps: int = 0
    residual: float = np.inf
    tolerance: float = 0.0
    energy: float = np.inf

    def ended(self, status: Status, reason: str, places: Floats | None = None) -> ClosureState:
        """Return the record; places and energy go into it only with a balance."""
        return ClosureState(
            sheet=self.prepared.sheet, skin=self.skin, status=status, reason=reason,
            iterations=self.iterations, convex_steps=self.convex_steps,
            residual_n=self.residual, tolerance_n=self.tolerance,
            energy_n_mm=self.energy if places is not None else None,
            positions_mm=places, prestretch=self.stretch,
        )  # fmt: skip


def _descend(run: _Run, start: Floats) -> ClosureState:
    places = admitted(start, run.prepared)
    if places is None:
        return run.ended(Status.NOT_FINITE, "The start holds a place that is not a number.")
    if run.stretch is None:
        raise RuntimeError("the prestretch is found before the descent")
    system = system_of(run.prepared, run.skin, run.stretch)
    if not system.is_held:
        return run.ended(Status.SINGULAR, _REASONS[Status.SINGULAR])
    begun = run.clock() if run.clock else 0.0
    run.energy = system.fill(places)
    if not np.isfinite(run.energy):
        return _no_start(run)
    run.tolerance = run.limits.tolerance_ratio * system.forces_at_work_n(places)
    while True:
        run.residual = system.out_of_balance_n()
        verdict = _verdict(run, begun)
        if verdict is Status.CONVERGED:
            return run.ended(verdict, _REASONS[verdict], places)
        trial = _step(run, system, places) if verdict is None else verdict
        if isinstance(trial, Status):
            return run.ended(trial, _REASONS[trial])
        places = trial
        run.iterations += 1


_REASONS = {
    Status.CONVERGED: "All forces balance.",
    Status.NOT_CONVERGED: "The forces found no balance. Try a finer mesh or a softer skin.",
    Status.NOT_FINITE: "The forces became infinite. Check the skin's numbers.",
    Status.SINGULAR: "Skin can move without resistance. Hold the border, or check the skin.",
    Status.TOO_LONG: "The time allowed ran out before the forces balanced. Allow more time.",
    Status.INVERTED: "The flaps cannot be brought to their places without folding the skin.",
}
"""What is said of each end."""


def _no_start(run: _Run) -> ClosureState:
    status = Status.NOT_FINITE if np.isnan(run.energy) else Status.INVERTED
    return run.ended(status, _REASONS[status])


def _verdict(run: _Run, begun: float) -> Status | None:
    """Return how the run ends here, or None if it goes on."""
    if run.progress:
        run.progress(run.iterations, run.residual)
    if not np.isfinite(run.residual):
        return Status.NOT_FINITE
    if run.residual <= run.tolerance:
        return Status.CONVERGED
    if run.iterations >= run.limits.most_iterations:
        return Status.NOT_CONVERGED
    if run.clock and run.clock() - begun > run.limits.most_seconds:
        return Status.TOO_LONG
    return None


def _step(run: _Run, system: System, places: Floats) -> Floats | Status:
    """Return better places by one Newton step, or why there are none."""
    factor = run.prepared.factor
    if not factor.renew(system.stiffness):
        run.convex_steps += 1
        system.fill_convex(places)
        if not factor.renew(system.stiffness):
            return Status.SINGULAR
    load = system.force[: run.prepared.pattern.size]
    step = -factor.solve(load)
    slope = float((load * step).sum())
    if not np.isfinite(slope) or slope >= 0:
        return Status.NOT_FINITE if not np.isfinite(slope) else Status.NOT_CONVERGED
    return _searched(run, system, places, (spread(step, run.prepared.pattern), slope))


def _searched(
    run: _Run, system: System, places: Floats, way: tuple[Floats, float]
) -> Floats | Status:
    """Return places along the step that lower the energy enough (Armijo), the system filled."""
    step, slope = way
    share, slack = 1.0, ROUNDING * (abs(run.energy) + system.energy_at_work_n_mm())
    while share > SHORTEST_STEP:
        trial: Floats = places + share * step
        energy = system.fill(trial)
        if energy <= run.energy + SUFFICIENT_DECREASE * share * slope + slack:
            run.energy = energy
            return trial
        share /= 2
    return Status.NOT_CONVERGED
