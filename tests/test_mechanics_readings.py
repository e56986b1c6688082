"""Readings of closed wounds against closed forms, sums and refinement."""

from dataclasses import replace

import numpy as np
import pytest
from sample_sheets import a_skin, distorted, lens, limberg, turned
from test_mechanics_solver import balance, closed_strip

from crena.mechanics import readings
from crena.mechanics.closed import SolverLimits, Status
from crena.mechanics.mesh import areas_mm2, mesh_closure
from crena.mechanics.solver import close_wound
from crena.mechanics.ties import tied
from crena.records import CrenaError, InputError

SKIN = a_skin(fibre_kpa=0.0, shear_kpa=30.0)
FLAP = balance(mesh_closure(limberg(), seam_step_mm=4.0), SKIN)


def stretched(along=1.2, across=0.95, skin=SKIN):
    sheet = distorted()
    start = sheet.nodes_mm * [along, across]
    skin = replace(skin, foundation_n_per_mm3=0.0)
    return balance(sheet, skin, start=start, limits=SolverLimits(tolerance_ratio=1e-12))


def test_every_stitch_of_an_even_strip_carries_the_same():
    state, force, narrower = closed_strip()
    windows = readings.window_forces_n(state, "gap", 10 * narrower / 4)
    assert windows == pytest.approx([force / 4] * 4, rel=1e-9)


def test_windows_together_carry_what_the_seam_carries():
    whole = readings.window_forces_n(FLAP, "side", 1000.0)
    assert whole.shape == (1,)
    parts = readings.window_forces_n(FLAP, "side", 8.0)
    found = readings.suture_forces(FLAP)
    line = next(s for s in found.seams if s.name == "side")
    ends = sum(c.force_n for c in found.corners if "side" in c.seams)
    assert len(parts) == round(line.length_mm / 8)
    assert whole[0] <= parts.sum() <= line.line_n + ends
    assert parts.sum() >= 0.97 * line.line_n


def test_open_forces_cancel_wherever_skin_is_free_or_sutured():
    forces, ties = readings.open_forces_n(FLAP), tied(FLAP.sheet)
    sums = np.stack([np.bincount(ties.joined, forces[:, k]) for k in range(2)], axis=1)
    assert np.abs(sums[ties.free]).max() <= FLAP.tolerance_n * 1.01
    assert np.abs(forces[FLAP.sheet.seams[3].moved]).max() > 1e4 * FLAP.tolerance_n


def test_total_is_the_sum_of_lines_and_corners():
    found = readings.suture_forces(FLAP)
    parts = [s.line_n for s in found.seams] + [c.force_n for c in found.corners]
    assert found.total_n == pytest.approx(sum(parts), rel=1e-13)
    assert [s.name for s in found.seams if s.donor] == ["donor"]
    assert [c.seams for c in found.corners if c.donor] == [("top", "donor")]


def test_donor_share_is_given_in_both_ways():
    found = readings.suture_forces(FLAP)
    line = next(s.line_n for s in found.seams if s.donor)
    corner = next(c.force_n for c in found.corners if c.donor)
    assert found.donor_line_share_ratio == pytest.approx(line / found.total_n, rel=1e-13)
    assert found.donor_share_ratio == pytest.approx((line + corner) / found.total_n, rel=1e-13)


def test_wound_without_a_donor_has_no_donor_share():
    assert readings.suture_forces(balance(lens(), SKIN)).donor_share_ratio is None


def test_total_and_donor_share_settle_as_the_mesh_is_refined():
    fine = readings.suture_forces(balance(mesh_closure(limberg(), seam_step_mm=2.0), SKIN))
    coarse = readings.suture_forces(FLAP)
    assert coarse.total_n == pytest.approx(fine.total_n, rel=0.03)
    assert coarse.donor_share_ratio == pytest.approx(fine.donor_share_ratio, rel=0.05)


def test_forces_do_not_change_when_everything_is_turned():
    skin = a_skin(axis_deg=20.0)
    plain, other = (
        readings.suture_forces(balance(s, replace(skin, axis_deg=20.0 + a))).total_n
        for s, a in ((FLAP.sheet, 0.0), (turned(FLAP.sheet, 50.0), 50.0))
    )
    assert other == pytest.approx(plain, rel=1e-7)


def test_mean_stretch_of_evenly_stretched_skin_is_that_stretch():
    state = stretched()
    assert readings.disc_mean_stretch_ratio(state, (3.0, -2.0)) == pytest.approx(1.2, rel=1e-9)
    assert readings.disc_mean_stretch_ratio(state, (3.0, -2.0), 4.0) == pytest.approx(1.2, rel=1e-9)


def test_disc_off_the_sheet_is_refused():
    with pytest.raises(InputError, match="disc"):
        readings.disc_mean_stretch_ratio(FLAP, (900.0, 0.0))


def test_whole_sheet_is_wrinkled_or_none_of_it():
    rest = replace(SKIN, tension_along_n_per_mm=0.0, tension_across_n_per_mm=0.0)
    assert readings.wrinkled_area_mm2(stretched(1.2, 1.1, rest)) == 0
    folded = stretched(1.2, 0.9, rest)
    assert readings.wrinkled_area_mm2(folded) == pytest.approx(60 * 40, rel=1e-12)
    near = readings.wrinkled_area_mm2(folded, (0.0, 0.0), 8.0)
    assert near == pytest.approx(np.pi * 64 / (1.2 * 0.9), rel=0.05)


@pytest.mark.parametrize("state", [FLAP, stretched()])
def test_no_gap_is_left_and_nothing_overlaps(state):
    area = np.ptp(state.sheet.nodes_mm, axis=0).prod()
    assert abs(readings.areal_balance_mm2(state)) <= 1e-12 * area


def test_gap_that_is_not_sutured_is_seen_in_the_balance():
    sheet = lens()
    skin_mm2 = areas_mm2(sheet).sum()
    hole = float(np.ptp(sheet.nodes_mm, axis=0).prod() - skin_mm2)
    slack = replace(SKIN, tension_along_n_per_mm=0.0, tension_across_n_per_mm=0.0)
    open_wound = replace(sheet, seams=())
    left = readings.areal_balance_mm2(balance(open_wound, slack))
    assert left == pytest.approx(-hole, rel=1e-9) and hole > 100


def test_scar_lies_where_both_edges_lie():
    lines = readings.scar_lines_mm(FLAP)
    assert list(lines) == ["base", "side", "top", "donor"]
    assert lines["base"][-1] == pytest.approx(lines["side"][0], abs=1e-12)
    assert lines["base"][0] == pytest.approx([0, -34.641], abs=8.0)


@pytest.mark.parametrize(
    "reading",
    [
        readings.suture_forces,
        readings.open_forces_n,
        readings.scar_lines_mm,
        readings.wrinkled_area_mm2,
        readings.is_wrinkled,
        readings.areal_balance_mm2,
        lambda state: readings.window_forces_n(state, "gap", 8.0),
        lambda state: readings.disc_mean_stretch_ratio(state, (0.0, 0.0)),
    ],
)
def test_closure_that_did_not_converge_has_no_readings(reading):
    failed = close_wound(lens(), SKIN, limits=SolverLimits(most_iterations=1))
    assert failed.status is Status.NOT_CONVERGED
    with pytest.raises(CrenaError, match="balance"):
        reading(failed)


@pytest.mark.parametrize(("seam", "spacing"), [("none", 8.0), ("donor", 0.0)])
def test_seam_or_spacing_that_is_none_is_refused(seam, spacing):
    with pytest.raises(InputError, match=r"no seam|Give more"):
        readings.window_forces_n(FLAP, seam, spacing)
