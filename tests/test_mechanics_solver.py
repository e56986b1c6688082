"""The balance of closed skin against closed forms, other methods, symmetries and faults."""

from dataclasses import replace

import numpy as np
import pytest
from sample_sheets import a_sheet, a_skin, distorted, lens, limberg, strip, turned
from scipy import optimize

from crena.mechanics._factor import Method
from crena.mechanics._system import System, system_of
from crena.mechanics.closed import SolverLimits, Status
from crena.mechanics.ensemble import assumed_skins
from crena.mechanics.mesh import mesh_closure, mirrored
from crena.mechanics.prepared import prepare
from crena.mechanics.prestretch import in_plan, prestretch_ratio
from crena.mechanics.pulls import pulls_of
from crena.mechanics.readings import suture_forces
from crena.mechanics.solver import close_prepared, close_wound
from crena.mechanics.start import spread
from crena.records import Cancelled, InputError

EXACT = SolverLimits(tolerance_ratio=1e-13)
PLAIN = {"fibre_kpa": 0.0}
FIBROUS = {"axis_deg": 25.0}
LENS = lens()


def balance(sheet, skin, **how):
    state = close_wound(sheet, skin, **how)
    assert state.status is Status.CONVERGED, state.reason
    return state


def system_at(sheet, skin):
    prepared = prepare(sheet)
    return system_of(prepared, skin, in_plan(prestretch_ratio(skin), skin.axis_deg))


@pytest.mark.parametrize("law", [PLAIN, FIBROUS])
def test_distorted_mesh_takes_up_an_even_stretch_exactly(law):
    sheet, skin = distorted(), a_skin(foundation_n_per_mm3=0.0, **law)
    wanted = sheet.nodes_mm @ np.array([[1.25, 0.07], [-0.1, 1.1]])
    inner = np.setdiff1d(np.arange(len(wanted)), sheet.border)
    start = wanted.copy()
    start[inner] += np.random.default_rng(5).uniform(-0.8, 0.8, (len(inner), 2))
    found = balance(sheet, skin, start=start, limits=EXACT).positions_mm
    assert np.abs(found - wanted).max() <= 1e-12 * np.abs(wanted).max()


@pytest.mark.parametrize("tension", [0.0, 0.05])
def test_intact_skin_is_in_balance_as_it_is(tension):
    skin = a_skin(tension_along_n_per_mm=tension, tension_across_n_per_mm=tension / 2)
    state = balance(distorted(), skin, limits=EXACT)
    assert state.iterations == 0
    assert state.positions_mm == pytest.approx(distorted().nodes_mm, abs=1e-12)


@pytest.mark.parametrize("law", [PLAIN, FIBROUS])
def test_forces_are_the_slope_of_the_energy(law):
    system, step = system_at(LENS, a_skin(**law)), 1e-5
    places, pattern = system.prepared.start_mm, system.prepared.pattern
    system.fill(places)
    force = system.force.copy()
    for dof in range(0, pattern.size, 37):
        move = spread(np.eye(1, pattern.size, dof)[0] * step, pattern)
        slope = (system.fill(places + move) - system.fill(places - move)) / (2 * step)
        assert slope == pytest.approx(force[dof], rel=1e-6, abs=1e-6 * np.abs(force).max())


@pytest.mark.parametrize("law", [PLAIN, FIBROUS])
def test_stiffness_is_the_slope_of_the_forces(law):
    system, step = system_at(LENS, a_skin(**law)), 1e-6
    places, pattern = system.prepared.start_mm, system.prepared.pattern
    system.fill(places)
    upper = pattern.matrix(system.stiffness).toarray()
    whole = upper + np.triu(upper, 1).T
    for dof in range(0, pattern.size, 37):
        move = spread(np.eye(1, pattern.size, dof)[0] * step, pattern)
        system.fill(places + move)
        ahead = system.force[: pattern.size].copy()
        system.fill(places - move)
        slope = (ahead - system.force[: pattern.size]) / (2 * step)
        assert np.abs(slope - whole[:, dof]).max() <= 1e-6 * np.abs(whole).max()


def closed_strip():
    """Two strips, 24 and 15 mm long, 6 mm apart, under 5 % stretch and free at their sides."""
    before, after = 1.05, 1.05 * 45 / 39
    skin = a_skin(
        shear_kpa=30.0, fibre_kpa=0.0, slack_ratio=1.0, thickness_mm=2.0,
        tension_along_n_per_mm=0.030 * 2.0 * (before - before**-2) * before**0.5,
        tension_across_n_per_mm=0.0,
    )  # fmt: skip
    narrower = (before / after) ** 0.5
    sheet = strip()
    start = prepare(sheet).start_mm * [1.0, narrower]
    force = 0.030 * 2.0 * (after - after**-2) * 10.0 * before**0.5
    return balance(sheet, skin, start=start, limits=EXACT), force, narrower


def test_gap_in_a_strip_closes_as_the_closed_form_says():
    state, force, narrower = closed_strip()
    seam = state.sheet.seams[0]
    meeting = state.positions_mm[seam.fixed]
    assert (meeting == state.positions_mm[seam.moved]).all()
    assert meeting[:, 0] == pytest.approx(24 * 45 / 39, rel=1e-11)
    assert np.ptp(meeting[:, 1]) == pytest.approx(10 * narrower, rel=1e-11)
    assert suture_forces(state).total_n == pytest.approx(force, rel=1e-10)


def test_turning_the_plan_or_the_axis_is_the_same():
    skin = a_skin(axis_deg=20.0)
    plain = balance(LENS, skin, limits=EXACT)
    other = balance(turned(LENS, 37.0), replace(skin, axis_deg=57.0), limits=EXACT)
    back = turned(replace(LENS, nodes_mm=other.positions_mm), -37.0).nodes_mm
    assert back == pytest.approx(plain.positions_mm, abs=1e-9)
    assert other.energy_n_mm == pytest.approx(plain.energy_n_mm, rel=1e-11)


def test_mirrored_sheet_closes_to_the_mirror_image():
    skin = a_skin(axis_deg=20.0)
    plain = balance(LENS, skin, limits=EXACT)
    other = balance(mirrored(LENS), replace(skin, axis_deg=160.0), limits=EXACT)
    assert other.positions_mm * [-1, 1] == pytest.approx(plain.positions_mm, abs=1e-9)


@pytest.mark.parametrize("method", [Method.LDL, Method.LU])
def test_all_ways_to_solve_agree(method):
    skin = a_skin(**FIBROUS)
    own = balance(LENS, skin)
    other = close_prepared(prepare(LENS, method=method), skin)
    assert other.iterations == own.iterations
    assert other.positions_mm == pytest.approx(own.positions_mm, abs=1e-10)


def test_plain_minimiser_finds_the_same_balance():
    sheet, skin = lens(size=9), a_skin(**FIBROUS)
    own, system = balance(sheet, skin, limits=EXACT), system_at(sheet, skin)
    start, pattern = system.prepared.start_mm, system.prepared.pattern

    def energy(q):
        return system.fill(start + spread(q, pattern))

    def slope(q):
        system.fill(start + spread(q, pattern))
        return system.force[: pattern.size].copy()

    other = optimize.minimize(energy, np.zeros(pattern.size), jac=slope, method="L-BFGS-B",
                              options={"gtol": 1e-9, "ftol": 1e-16, "maxiter": 5000})  # fmt: skip
    assert other.fun == pytest.approx(own.energy_n_mm, rel=1e-10)
    assert start + spread(other.x, pattern) == pytest.approx(own.positions_mm, abs=1e-4)


def test_prepared_sheet_serves_many_skins_with_the_same_bits():
    prepared = prepare(LENS)
    close_prepared(prepared, a_skin(axis_deg=70.0))
    again = close_prepared(prepared, a_skin(**FIBROUS))
    assert (again.positions_mm == balance(LENS, a_skin(**FIBROUS)).positions_mm).all()


def test_another_start_leads_to_the_same_balance():
    skin = a_skin(**FIBROUS)
    cold = balance(LENS, skin, limits=EXACT)
    near = balance(LENS, replace(skin, shear_kpa=45.0)).positions_mm
    warm = balance(LENS, skin, start=near, limits=EXACT)
    assert warm.iterations < cold.iterations
    assert warm.positions_mm == pytest.approx(cold.positions_mm, abs=1e-9)


def test_pulls_on_many_skins_are_those_of_each_skin_closed_from_the_beginning():
    skins = assumed_skins(4, np.random.default_rng(2))
    found = pulls_of(limberg(), skins, seam_step_mm=8.0)
    prepared = prepare(mesh_closure(limberg(), seam_step_mm=8.0, sheet_mm=320.0))
    alone = [suture_forces(close_prepared(prepared, skin)) for skin in skins]
    assert found.totals_n == pytest.approx([each.total_n for each in alone], rel=1e-8)
    assert found.seam_forces_n[2] == pytest.approx([s.line_n for s in alone[2].seams], rel=1e-8)


def test_pulls_do_not_depend_on_how_the_skins_are_shared_out():
    skins = assumed_skins(5, np.random.default_rng(2))
    whole = pulls_of(limberg(), skins, seam_step_mm=8.0)
    parts = [pulls_of(limberg(), part, seam_step_mm=8.0) for part in (skins[:2], skins[2:])]
    assert (whole.totals_n == np.concatenate([part.totals_n for part in parts])).all()
    assert (whole.seam_forces_n == np.vstack([part.seam_forces_n for part in parts])).all()


def test_firmer_hold_of_the_fascia_keeps_skin_nearer_its_place():
    held = [
        balance(LENS, a_skin(foundation_n_per_mm3=k, **PLAIN)).positions_mm - LENS.nodes_mm
        for k in (0.0, 2e-3)
    ]
    far = np.abs(LENS.nodes_mm).max(axis=1) > 42
    assert np.abs(held[1][far]).sum() < 0.5 * np.abs(held[0][far]).sum()


def test_indefinite_stiffness_is_passed_by_the_convex_one():
    state = balance(mesh_closure(limberg(), seam_step_mm=2.0), a_skin())
    assert state.convex_steps > 0
    assert state.residual_n <= state.tolerance_n


def refused(state, status):
    assert state.status is status
    assert state.positions_mm is None and state.energy_n_mm is None
    assert state.reason.endswith(".")


@pytest.mark.parametrize("field", ["shear_kpa", "axis_deg", "thickness_mm", "fibre_cap_ratio"])
def test_skin_that_is_no_number_gives_no_figure(field):
    refused(close_wound(LENS, a_skin(**{field: float("nan")})), Status.NO_PRESTRETCH)


def test_impossible_tension_gives_no_figure():
    skin = a_skin(**PLAIN, tension_along_n_per_mm=50.0)
    refused(close_wound(LENS, skin), Status.NO_PRESTRETCH)


def test_start_with_a_folded_triangle_gives_no_figure():
    start = prepare(LENS).start_mm
    inner = np.setdiff1d(np.arange(len(start)), np.r_[LENS.border, LENS.seams[0].moved])
    start[inner[0]] += 50.0
    refused(close_wound(LENS, a_skin(), start=start), Status.INVERTED)


def test_start_that_is_no_number_gives_no_figure():
    start = prepare(LENS).start_mm
    start[3, 1] = np.nan
    refused(close_wound(LENS, a_skin(), start=start), Status.NOT_FINITE)
    refused(close_wound(LENS, a_skin(), start=start[:-1]), Status.NOT_FINITE)


def test_too_few_iterations_give_no_figure():
    state = close_wound(LENS, a_skin(), limits=SolverLimits(most_iterations=2))
    refused(state, Status.NOT_CONVERGED)
    assert state.iterations == 2 and state.residual_n > state.tolerance_n


def test_tolerance_below_rounding_gives_no_figure():
    limits = SolverLimits(tolerance_ratio=1e-30, most_iterations=40)
    refused(close_wound(LENS, a_skin(), limits=limits), Status.NOT_CONVERGED)


def test_stopped_closure_gives_no_figure():
    def stop(iteration, residual_n):
        if iteration == 1:
            raise Cancelled

    refused(close_wound(LENS, a_skin(), progress=stop), Status.CANCELLED)


def test_closure_that_takes_too_long_gives_no_figure():
    ticks = iter(range(0, 1000, 10))
    limits = SolverLimits(most_seconds=15.0)
    state = close_wound(LENS, a_skin(), limits=limits, clock=lambda: float(next(ticks)))
    refused(state, Status.TOO_LONG)


class NoFactor:
    def renew(self, stiffness):
        return False

    def solve(self, load):
        return load * np.nan


class BadFactor(NoFactor):
    def renew(self, stiffness):
        return True


@pytest.mark.parametrize(
    ("factor", "status"), [(NoFactor, Status.SINGULAR), (BadFactor, Status.NOT_FINITE)]
)
def test_failing_linear_solver_gives_no_figure(factor, status):
    prepared = replace(prepare(LENS), factor=factor())
    refused(close_prepared(prepared, a_skin()), status)


@pytest.mark.parametrize("value", [np.nan, np.inf])
def test_forces_that_are_no_numbers_give_no_figure(monkeypatch, value):
    fill = System.fill

    def broken(self, places):
        energy = fill(self, places)
        self.force[5] = value
        return energy

    monkeypatch.setattr(System, "fill", broken)
    refused(close_wound(LENS, a_skin()), Status.NOT_FINITE)


def test_indefinite_numbers_have_no_factor_by_any_method():
    for method in Method:
        prepared = prepare(LENS, method=method)
        system = system_of(prepared, a_skin(), np.eye(2))
        system.fill(prepared.start_mm)
        system.stiffness[prepared.pattern.diagonal[40]] = -1.0
        assert not prepared.factor.renew(system.stiffness)


def test_sheet_with_a_flat_triangle_is_refused():
    sheet = distorted()
    nodes = sheet.nodes_mm.copy()
    nodes[sheet.triangles[5]] = nodes[sheet.triangles[5][0]]
    with pytest.raises(InputError, match="no area"):
        prepare(a_sheet(nodes, sheet.triangles, sheet.border))
