"""Undermining, tension lines and sides: exact zones, symmetries, and what only falls."""

from dataclasses import replace

import numpy as np
import pytest
from sample_sheets import a_skin, limberg

from crena.flaps import midline
from crena.geometry.lenses import Fusiform
from crena.geometry.lines import distances_mm
from crena.mechanics import pulls
from crena.mechanics._seeds import inside
from crena.mechanics.closed import Status
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.prepared import freed, prepare
from crena.mechanics.undermining import (
    pull_by_axis,
    pull_by_side,
    pull_by_width,
    with_undermining,
)
from crena.records import InputError, Side

PLAIN = a_skin(fibre_kpa=0.0, shear_kpa=30.0)
FLAP = replace(limberg(), donor_side=Side.RIGHT)
TILTED = midline.close(
    Fusiform(centre_s_mm=6.0, centre_y_mm=3.0, length_mm=80.0, aspect_ratio=3.0, tilt_deg=12.0)
)


def from_cuts_mm(points, closure):
    """Return the distance of points from the nearest cut."""
    ring = closure.removed_mm
    lines = [np.asarray(line) for line in ((*ring, ring[0]), *closure.incisions_mm)]
    return np.array([min(distances_mm(p, line[None])[0] for line in lines) for p in points])


@pytest.mark.parametrize("closure", [FLAP, TILTED], ids=["flap", "fusiform"])
@pytest.mark.parametrize("width_mm", [1.0, 4.0, 13.0, 45.0])
def test_freed_zone_is_all_skin_within_the_width_of_a_cut(closure, width_mm):
    zone = with_undermining(closure, width_mm).undermined_mm
    points = np.random.default_rng(2).uniform(-90, 120, (3000, 2))
    points = points[~inside(points, closure.removed_mm)]
    gap = from_cuts_mm(points, closure) - width_mm
    clear = np.abs(gap) > 0.01 * width_mm
    assert (inside(points, zone) == (gap < 0))[clear].all() and clear.mean() > 0.95


def test_zone_of_one_straight_cut_is_a_capsule_closed_form():
    one = replace(FLAP, removed_mm=(), incisions_mm=(((3.0, 4.0), (33.0, 44.0)),))
    x, y = np.array(with_undermining(one, 10.0).undermined_mm).T
    area = 0.5 * (x * np.roll(y, -1) - y * np.roll(x, -1)).sum()
    assert area == pytest.approx(50 * 20 + np.pi * 100, rel=2e-3)


def test_no_undermining_frees_the_flap_alone():
    sheet = mesh_closure(with_undermining(FLAP, 0.0), seam_step_mm=6.0)
    assert (sheet.undermined == (sheet.flap > 0)).all() and sheet.undermined.any()


def test_zone_that_is_freed_later_is_the_zone_that_is_meshed():
    drawn = with_undermining(FLAP, 20.0)
    meshed = prepare(mesh_closure(drawn, seam_step_mm=6.0))
    later = freed(prepare(mesh_closure(FLAP, seam_step_mm=6.0)), meshed.sheet.undermined)
    assert (later.held_mm2 == meshed.held_mm2).all()
    assert later.held_mm2.sum() < prepare(mesh_closure(FLAP, seam_step_mm=6.0)).areas_mm2.sum()


def test_table_of_widths_says_what_a_closure_of_that_width_says():
    (row,) = pull_by_width(FLAP, PLAIN, [15.0])
    alone = pulls.pulls_of(with_undermining(FLAP, 15.0), (PLAIN,))
    assert row.pull.total_n == pytest.approx(alone.totals_n[0], rel=1e-9)
    assert row.pull.donor_share_ratio == pytest.approx(alone.donor_shares_ratio[0], rel=1e-9)


@pytest.mark.parametrize("skin", [PLAIN, a_skin(axis_deg=20.0)], ids=["plain", "fibrous"])
@pytest.mark.parametrize("closure", [FLAP, TILTED], ids=["flap", "fusiform"])
def test_force_and_energy_never_rise_with_undermining(closure, skin):
    """Of the energy it is a theorem, since only holds are let go; of the force it is seen."""
    rows = pull_by_width(closure, skin, [0.0, 5.0, 10.0, 20.0, 40.0])
    totals = np.array([row.pull.total_n for row in rows])
    energies = np.array([row.pull.energy_n_mm for row in rows])
    assert (np.diff(energies) < 0).all()
    assert (np.diff(totals) < 0).all() and totals[-1] < 0.95 * totals[0]


def test_tension_lines_turned_by_half_a_turn_pull_alike():
    skin = a_skin()
    rows = pull_by_axis(FLAP, skin, [25.0, 205.0, -155.0, 60.0])
    totals = [row.pull.total_n for row in rows]
    assert totals[1:3] == pytest.approx([totals[0]] * 2, rel=1e-9)
    assert totals[3] > 1.05 * totals[0]


def test_mirrored_flap_pulls_as_the_flap_on_mirrored_tension_lines():
    skin = a_skin(axis_deg=35.0)
    drawn, other = pull_by_side(FLAP, skin)
    by_axis = pull_by_axis(FLAP, skin, [35.0, 145.0])
    assert (drawn.donor_side, other.donor_side) == (Side.RIGHT, Side.LEFT)
    assert drawn.pull.total_n == by_axis[0].pull.total_n
    assert other.pull.total_n == pytest.approx(by_axis[1].pull.total_n, rel=1e-9)
    assert other.pull.donor_share_ratio == pytest.approx(
        by_axis[1].pull.donor_share_ratio, rel=1e-9
    )
    assert abs(other.pull.total_n / drawn.pull.total_n - 1) > 0.05


def test_skin_without_a_direction_does_not_mind_side_and_axis():
    even = replace(PLAIN, tension_along_n_per_mm=0.03, tension_across_n_per_mm=0.03)
    totals = [row.pull.total_n for row in pull_by_axis(FLAP, even, [0.0, 50.0])]
    totals += [row.pull.total_n for row in pull_by_side(FLAP, even)]
    assert totals == pytest.approx([totals[0]] * 4, rel=1e-9)


def test_run_that_fails_is_a_row_with_its_reason_and_no_figure():
    rows = pull_by_axis(FLAP, a_skin(thickness_mm=-1.0), [0.0])
    assert rows[0].pull.status is Status.NO_PRESTRETCH and "above 0" in rows[0].pull.reason
    assert rows[0].pull.total_n is None and rows[0].pull.energy_n_mm is None


@pytest.mark.parametrize("width_mm", [-5.0, 0.4, 500.0, float("nan")])
def test_width_that_cannot_be_drawn_is_refused(width_mm):
    with pytest.raises(InputError, match="Give 0, or 1 to 200 mm"):
        with_undermining(FLAP, width_mm)


def test_cuts_too_far_apart_for_one_zone_are_refused():
    apart = replace(FLAP, incisions_mm=(((100.0, 0.0), (120.0, 5.0)),))
    with pytest.raises(InputError, match="no single zone"):
        with_undermining(apart, 10.0)
    assert len(with_undermining(apart, 60.0).undermined_mm) > 50
