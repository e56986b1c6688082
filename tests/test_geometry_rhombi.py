"""The smallest rhombus: against brute force, a linear-programme solver and symmetry."""

import numpy as np
import pytest
from scipy.optimize import linprog

from crena.geometry import rhombi, supports

RNG = np.random.default_rng(20)
CENTRES = np.column_stack([RNG.normal(-6, 9, 22), RNG.normal(36, 11, 22)])
RADII = RNG.uniform(6, 12, 22)
LIMITS = rhombi.CornerLimits(
    lower_end_midline_mm=15.0,
    lower_end_sign=-1,
    anal_verge_s_mm=0.0,
    anal_verge_y_mm=-42.0,
    anal_verge_mm=25.0,
)


def brute_area(centres, radii, acute):
    tilts = np.linspace(-90, 90, 20_001)
    rho = rhombi.free_inradii_mm(centres, radii, np.full_like(tilts, acute), tilts)
    return (4 * rho**2 / np.sin(np.radians(acute))).min()


@pytest.mark.parametrize("acute", [60.0, 71.3, 90.0])
def test_smallest_rhombus_is_never_worse_than_a_fine_grid(acute):
    found = rhombi.smallest_rhombus(CENTRES, RADII, acute_deg=acute)
    assert found.area_mm2 <= brute_area(CENTRES, RADII, acute) + 1e-6


def test_free_acute_angle_is_never_worse_than_any_fixed_one():
    free = rhombi.smallest_rhombus(CENTRES, RADII).area_mm2
    fixed = [rhombi.smallest_rhombus(CENTRES, RADII, acute_deg=g).area_mm2 for g in (60, 67, 83)]
    assert free <= min(fixed) + 1e-6


def test_rhombus_holds_every_disc_inside_its_four_walls():
    found = rhombi.smallest_rhombus(CENTRES, RADII)
    corners = rhombi.corner_points(rhombi.row_of(found))[0]
    edge = np.roll(corners, -1, axis=0) - corners
    outward = np.column_stack([edge[:, 1], -edge[:, 0]]) / found.side_mm
    slack = np.einsum("wd,wd->w", outward, corners)[:, None] - outward @ CENTRES.T - RADII
    assert slack.min() >= -1e-9
    assert np.linalg.norm(edge, axis=1) == pytest.approx(found.side_mm, rel=1e-12)


def test_grid_of_inradii_equals_the_direct_formula():
    rho, acute, tilt = rhombi.free_inradii_on_grid_mm(CENTRES, RADII, 0.5)
    picks = [(0, 3), (7, 100), (len(acute) - 1, 300)]
    for m, k in picks:
        direct = rhombi.free_inradii_mm(CENTRES, RADII, [acute[m]], [tilt[m, k]])[0]
        assert rho[m, k] == pytest.approx(direct, abs=1e-9)


def linear_programme(acute, tilt, shift, bearing):
    """Solve one shape with a general solver."""
    unit = rhombi.corner_points(np.array([[0, 0, 1.0, acute, tilt, shift]]))[0]
    edge = np.roll(unit, -1, axis=0) - unit
    walls = np.arctan2(-edge[:, 0], edge[:, 1])
    normals = np.column_stack([np.cos(walls), np.sin(walls)])
    reach = np.einsum("wd,wd->w", normals, unit)
    rows = np.column_stack([-normals, -reach]).tolist()
    right = list(-supports.support_mm(CENTRES, RADII, walls))
    lowest = unit[np.argmin(unit[:, 1])]
    rows.append([1.0, 0.0, lowest[0]])
    right.append(-LIMITS.lower_end_midline_mm)
    u = np.array([np.sin(np.radians(bearing)), np.cos(np.radians(bearing))])
    for corner in unit:
        rows.append([-u[0], -u[1], -(u @ corner)])
        right.append(-(LIMITS.anal_verge_mm + u @ np.array([0.0, LIMITS.anal_verge_y_mm])))
    free = (None, None)
    return linprog([0, 0, 1], A_ub=rows, b_ub=right, bounds=[free, free, free], method="highs")


def test_constrained_rhombus_agrees_with_highs():
    shapes = np.column_stack(
        [
            RNG.uniform(60, 90, 120),
            RNG.uniform(-90, 90, 120),
            RNG.choice([0, 0, -0.15, 0.2], 120),
            RNG.choice([0, -30, -60, -90], 120),
        ]
    )
    own = rhombi.constrained_rhombi(CENTRES, RADII, shapes, LIMITS)[:, 2]
    other = [linear_programme(*shape) for shape in shapes]
    feasible = np.array([o.status == 0 for o in other])
    assert 10 < feasible.sum()
    assert np.array_equal(feasible, np.isfinite(own))
    theirs = np.array([o.x[2] if o.status == 0 else np.nan for o in other])
    assert np.nanmax(np.abs(own - theirs)) <= 1e-9


def test_constrained_rhombus_keeps_every_corner_from_the_verge():
    found = rhombi.smallest_constrained_rhombus(CENTRES, RADII, LIMITS)
    corners = rhombi.corner_points(rhombi.row_of(found))[0]
    assert np.hypot(corners[:, 0], corners[:, 1] + 42).min() >= 25 - 1e-6
    assert corners[np.argmin(corners[:, 1]), 0] <= -15 + 1e-6


def test_limits_never_make_the_rhombus_smaller():
    bound = rhombi.smallest_constrained_rhombus(CENTRES, RADII, LIMITS)
    assert bound.area_mm2 >= rhombi.smallest_rhombus(CENTRES, RADII).area_mm2 - 1e-6


def test_mirrored_footprint_gives_the_mirrored_rhombus():
    mirror = np.array([-1.0, 1.0])
    one = rhombi.smallest_rhombus(CENTRES, RADII)
    other = rhombi.smallest_rhombus(CENTRES * mirror, RADII)
    assert other.tilt_deg == pytest.approx(-one.tilt_deg, abs=1e-4)
    assert (other.centre_s_mm, other.area_mm2) == pytest.approx(
        (-one.centre_s_mm, one.area_mm2), abs=1e-3
    )


def test_scaled_footprint_gives_the_scaled_rhombus():
    one = rhombi.smallest_rhombus(CENTRES, RADII)
    other = rhombi.smallest_rhombus(CENTRES * 1.7, RADII * 1.7)
    assert other.side_mm == pytest.approx(1.7 * one.side_mm, rel=1e-6)


def test_turned_footprint_gives_the_turned_rhombus():
    a = np.radians(23.0)
    turn = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    one = rhombi.smallest_rhombus(CENTRES, RADII)
    other = rhombi.smallest_rhombus(CENTRES @ turn.T, RADII)
    assert other.area_mm2 == pytest.approx(one.area_mm2, rel=1e-6)
    assert (one.tilt_deg - other.tilt_deg - 23 + 90) % 180 - 90 == pytest.approx(0, abs=1e-3)
