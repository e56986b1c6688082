"""Skins as wide as skin may vary, and faults that must never end in a figure."""

import inspect
from dataclasses import replace

import numpy as np
from sample_closures import RANDOM

from crena.mechanics import midlines, readings
from crena.mechanics.closed import ClosureState, SolverLimits, Status
from crena.mechanics.material import FIBRE_CAP_RATIO, FULL_DISPERSION_RATIO, Skin
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.prepared import prepare
from crena.mechanics.solver import close_prepared
from crena.mechanics.undermining import with_undermining
from crena.records import Cancelled, ClosureKind, CrenaError

STEPS_MM = (8.0, 5.0)
"""Seam steps: the usual one, and the shorter one that a refusal asks for."""
SHEET_MM = 300.0


def random_closure(rng):
    """Return a sutured closure of any family, undermined as chance will have it."""
    closure = RANDOM[rng.integers(len(RANDOM))](rng)
    if closure.kind is ClosureKind.OPEN:
        return random_closure(rng)
    width_mm = float(rng.choice([0.0, rng.uniform(1, 60)]))
    return with_undermining(closure, width_mm)


def random_skin(rng):
    """Return a skin: one in two neo-Hookean, the others with fibres up to the usual cap."""
    shear_kpa, fibre_kpa, exponent = np.exp(
        rng.uniform(np.log([5, 10, 0.1]), np.log([200, 5e3, 40]))
    )
    thickness_mm = rng.uniform(1.5, 4)
    along = 1e-3 * shear_kpa * thickness_mm * rng.uniform(0, 0.55)
    slack = rng.choice([0.02, rng.uniform(0.01, 1)])
    return Skin(
        shear_kpa=float(shear_kpa), fibre_kpa=float(rng.choice([0.0, fibre_kpa])),
        fibre_exponent_ratio=float(exponent), thickness_mm=thickness_mm,
        dispersion_ratio=rng.uniform(0, FULL_DISPERSION_RATIO), axis_deg=rng.uniform(0, 180),
        tension_along_n_per_mm=along, tension_across_n_per_mm=along * rng.uniform(0.3, 1),
        foundation_n_per_mm3=float(np.exp(rng.uniform(np.log(1e-5), np.log(2e-3)))),
        fibre_cap_ratio=FIBRE_CAP_RATIO, slack_ratio=float(slack),
    )  # fmt: skip


def random_sheet(rng):
    """Return a prepared sheet of a random closure, and how many meshes were refused."""
    closure = random_closure(rng)
    for refused, step_mm in enumerate(STEPS_MM):
        try:
            return prepare(mesh_closure(closure, seam_step_mm=step_mm, sheet_mm=SHEET_MM)), refused
        except CrenaError as refusal:
            last = refusal
    raise last


def bad_number(prepared, skin, rng):
    field = str(rng.choice(Skin.__slots__))
    value = float(rng.choice([np.nan, np.inf, -np.inf]))
    return close_prepared(prepared, replace(skin, **{field: value}))


def start_that_is_no_number(prepared, skin, rng):
    start = prepared.start_mm.copy()
    start[rng.integers(len(start)), rng.integers(2)] = rng.choice([np.nan, np.inf, -np.inf])
    return close_prepared(prepared, skin, start=start)


def start_turned_over(prepared, skin, rng):
    start = prepared.start_mm.copy()
    node = rng.choice(prepared.ties.first[prepared.ties.free])
    angle = rng.uniform(0, 2 * np.pi)
    start[node] += 600.0 * np.array([np.cos(angle), np.sin(angle)])
    return close_prepared(prepared, skin, start=start)


def skin_without_hold(prepared, skin, rng):
    border = prepared.sheet.border
    loose = prepare(replace(prepared.sheet, border=rng.choice(border, 1)))
    return close_prepared(loose, replace(skin, foundation_n_per_mm3=0.0))


class LateFactor:
    """A linear solver that fails after some good steps, in the way that is asked for."""

    def __init__(self, factor, good, way):
        self.factor, self.good, self.way = factor, good, way

    def renew(self, stiffness):
        self.good -= 1
        return self.factor.renew(stiffness) and (self.good > 0 or self.way != "singular")

    def solve(self, load):
        found = self.factor.solve(load)
        if self.good > 0:
            return found
        return {"no number": np.nan, "uphill": -1.0}.get(self.way, 1.0) * found


def failing_linear_solver(prepared, skin, rng):
    way = str(rng.choice(["singular", "no number", "uphill"]))
    factor = LateFactor(prepared.factor, rng.integers(3), way)
    return close_prepared(replace(prepared, factor=factor), skin)


def too_little_time(prepared, skin, rng):
    ticks = iter(np.cumsum(rng.uniform(4, 40, 1000)))
    limits = SolverLimits(most_seconds=rng.uniform(0, 8))
    return close_prepared(prepared, skin, limits=limits, clock=lambda: float(next(ticks)))


def too_few_steps(prepared, skin, rng):
    limits = SolverLimits(most_iterations=int(rng.integers(2)))
    return close_prepared(prepared, skin, limits=limits)


def tolerance_below_rounding(prepared, skin, rng):
    limits = SolverLimits(tolerance_ratio=10.0 ** rng.uniform(-40, -25), most_iterations=25)
    return close_prepared(prepared, skin, limits=limits)


def stopped(prepared, skin, rng):
    last = rng.integers(2)

    def stop(iteration, residual_n):
        if iteration == last:
            raise Cancelled

    return close_prepared(prepared, skin, progress=stop)


FAULTS = {
    bad_number: {Status.NO_PRESTRETCH},
    start_that_is_no_number: {Status.NOT_FINITE},
    start_turned_over: {Status.INVERTED},
    skin_without_hold: {Status.SINGULAR},
    failing_linear_solver: {Status.SINGULAR, Status.NOT_FINITE, Status.NOT_CONVERGED},
    too_little_time: {Status.TOO_LONG},
    too_few_steps: {Status.NOT_CONVERGED},
    tolerance_below_rounding: {Status.NOT_CONVERGED},
    stopped: {Status.CANCELLED},
}
"""Each fault with the ends that it may have."""

GIVEN = {"seam": "A–B", "spacing_mm": 8.0, "centre_mm": (0.0, 0.0)}


def readers():
    """Return every public function that reads a closed wound, found by what it takes first."""
    found = []
    for module in (readings, midlines):
        for name, function in inspect.getmembers(module, inspect.isfunction):
            first = next(iter(inspect.signature(function).parameters.values()), None)
            own = function.__module__ == module.__name__ and not name.startswith("_")
            if own and first is not None and first.annotation in (ClosureState, "ClosureState"):
                found.append(function)
    return found


def read(reader, state):
    """Return what one reader makes of a state."""
    parameters = list(inspect.signature(reader).parameters.values())[1:]
    needed = [p.name for p in parameters if p.default is inspect.Parameter.empty]
    return reader(state, **{name: GIVEN[name] for name in needed})


def leaks(state, fault):
    """Return what is wrong with how a fault ended: nothing, if there is no figure at all."""
    wrong = [] if state.status in FAULTS[fault] else [f"ended {state.status}"]
    if state.positions_mm is not None or state.energy_n_mm is not None:
        wrong.append("holds figures")
    for reader in readers():
        try:
            read(reader, state)
        except CrenaError as refusal:
            wrong += [] if state.reason in str(refusal) else [f"{reader.__name__}: no reason"]
        else:
            wrong.append(f"{reader.__name__}: a figure")
    return wrong
