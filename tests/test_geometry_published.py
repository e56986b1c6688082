"""Published and closed-form values of the plane geometry, each with its source."""

import numpy as np
import pytest

from crena.geometry import lenses, measures, rhombi, supports
from crena.geometry.lines import share_beyond

ORIGIN = np.zeros((1, 2))


def test_disc_in_rhombus_closed_form():
    disc = rhombi.smallest_rhombus(ORIGIN, np.array([15.0]), acute_deg=60)
    assert disc.area_mm2 == pytest.approx(4 * 15**2 / np.sin(np.pi / 3), rel=1e-9)


def test_segment_in_rhombus_closed_form():
    ends = np.array([[-20.0, 15.0], [20.0, -15.0]])
    found = rhombi.smallest_rhombus(ends, np.zeros(2), acute_deg=60)
    assert found.area_mm2 == pytest.approx(50**2 / (2 * np.sqrt(3)), rel=1e-7)


def test_unit_square_in_square_closed_form():
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])
    assert rhombi.smallest_rhombus(square, np.zeros(4), acute_deg=90).area_mm2 == pytest.approx(1)


def test_stadium_in_rhombus_closed_form():
    ends = np.array([[0.0, -20.0], [0.0, 20.0]])
    found = rhombi.smallest_rhombus(ends, np.array([12.0, 12.0]), acute_deg=60)
    assert 2 * found.inradius_mm == pytest.approx(40 * 0.5 + 2 * 12, abs=1e-6)


@pytest.mark.parametrize(("half", "side"), [(20, 46.19), (25, 51.96)])
def test_upright_side_round_midline_segment_closed_form(half, side):
    ends = np.array([[0.0, -half], [0.0, half]])
    found = rhombi.smallest_rhombus(ends, np.array([10.0, 10.0]), acute_deg=60, tilt_deg=0)
    assert found.side_mm == pytest.approx((half + 20) / (np.sqrt(3) / 2), abs=1e-9)
    assert found.side_mm == pytest.approx(side, abs=0.01)


def test_fusiform_round_disc_closed_form():
    found = lenses.smallest_fusiform(ORIGIN, np.array([15.0]), aspect_ratio=3, tilt_deg=17)
    assert found.length_mm == pytest.approx(90, abs=1e-7)


def test_ellipse_round_disc_closed_form():
    turn = 2 * np.pi * np.arange(720) / 720
    disc = 15 * np.column_stack([np.cos(turn), np.sin(turn)])
    found = lenses.smallest_ellipse_half_axis_mm(disc, 3.0, 31.0)
    assert found == pytest.approx(45, abs=0.01)


def test_flared_volume_closed_form():
    volume = measures.flared_volume_mm3(100, 25, 25, 10)
    assert volume == pytest.approx(2966.7268, abs=1e-3)


def test_capsule_closed_form():
    assert measures.capsule_volume_mm3(1.5, 40) == pytest.approx(296.8805, abs=1e-4)
    chain = np.array([[0, 0, 0], [0, 12, 0], [0, 40, 0.0]])
    cones = measures.round_cones_volume_mm3(chain, np.full(3, 1.5))
    assert cones == pytest.approx(296.8805, abs=1e-4)


def test_stadium_tract_with_margin_closed_form():
    assert measures.capsule_volume_mm3(3 + 5, 40) == pytest.approx(10_187, abs=1)
    x, y, z = np.meshgrid(*[np.arange(-9.75, 10, 0.5)] * 2, np.arange(-30.75, 31, 0.5))
    beyond = np.maximum(np.abs(z) - 20, 0)
    voxels = (x**2 + y**2 + beyond**2 <= 8**2).sum() * 0.5**3
    assert voxels == pytest.approx(10_187, rel=0.03)


def test_cap_closed_form():
    assert measures.cap_volume_mm3(30, 12) == pytest.approx(17_869.4, abs=0.1)
    sphere_radius = (30**2 + 12**2) / 24
    direct = np.pi * 12**2 * (sphere_radius - 12 / 3)
    assert measures.cap_volume_mm3(30, 12) == pytest.approx(direct, rel=1e-12)


def test_cap_of_a_ball_of_30_mm_closed_form():
    """A cap of height 12 on a ball of radius 30: pi h^2 (R - h/3)."""
    base = np.sqrt(30**2 - 18**2)
    assert measures.cap_volume_mm3(base, 12) == pytest.approx(11_762.1, abs=0.1)


def test_hemi_ellipsoid_specimen_closed_form():
    volume_mm3 = measures.hemi_ellipsoid_volume_mm3(60, 40, 30)
    assert volume_mm3 / 1000 == pytest.approx(37.70, abs=0.01)


@pytest.mark.parametrize(
    ("aspect", "angle", "arc"), [(3, 73.74, 1.0725), (4, 56.14, 1.0412), (7.5, 30.38, 1.0118)]
)
def test_fusiform_pole_angle_moody2001_tilleman2013(aspect, angle, arc):
    """Moody 2001: 37 to 74 degrees; Tilleman 2013: 30 degrees need about 7.5 to 1."""
    assert lenses.pole_angle_deg(aspect) == pytest.approx(angle, abs=0.01)
    assert measures.arc_length_mm(100, 50 / aspect) / 100 == pytest.approx(arc, abs=1e-4)


def test_rhombic_outline_pole_angle_moody2001_lower_end():
    assert lenses.tangent_pole_angle_deg(3) == pytest.approx(36.87, abs=0.01)


def test_advancement_arcs_closed_form():
    medial, lateral = measures.arc_length_mm(80, 30), measures.arc_length_mm(80, 10)
    assert (medial, lateral) == pytest.approx((107.25, 83.29), abs=0.01)
    assert medial - lateral == pytest.approx(23.96, abs=0.02)


@pytest.mark.parametrize(("wedge", "slope"), [(15, 16.6), (30, 23.6), (60, 33.56), (74, 37.4)])
def test_dog_ear_cone_closed_form(wedge, slope):
    assert measures.cone_slope_deg(wedge) == pytest.approx(slope, abs=0.05)


def test_share_beyond_5_mm_of_an_upright_limberg_closed_form():
    half_long, half_short = 25 * np.sqrt(3), 25.0
    a, b, c, d = (0, half_long), (-half_short, 0), (0, -half_long), (half_short, 0)
    scar = [[a, b], [b, c], [a, d], [d, (75.0, 0.0)]]
    assert share_beyond(scar, 5.0) == pytest.approx(0.85, abs=1e-12)


def test_ellipsoid_support_against_its_dense_surface():
    axes = np.diag([9.0, 6.0, 4.0]) @ np.linalg.qr(np.array([[1, 2, 0], [0.3, 1, 1], [1, 0, 2]]))[0]
    centre = np.array([3.0, -7.0, -12.0])
    points = supports.sphere_points(4) @ axes + centre
    theta = np.radians([10.0, 100.0, 250.0])
    exact = supports.ellipsoid_support_mm(centre, axes, 5.0, 10.0, theta)
    reach = supports.walled_radii_mm(np.zeros(len(points)), -points[:, 2], 5.0, 10.0)
    sampled = supports.support_mm(points[:, :2], reach, theta)
    assert (sampled >= exact - 1e-9).all()
    assert sampled == pytest.approx(exact, abs=0.02)


def test_corners_of_voxels_hold_a_body_that_their_centres_under_read():
    """An ellipse sampled by pixels of 0.5 mm: the hull of centres falls short of its reach."""
    x, y = np.meshgrid(*[np.arange(-12.25, 12.5, 0.5)] * 2)
    inside = (x / 9.1) ** 2 + (y / 5.3) ** 2 <= 1
    centres = np.column_stack([x[inside], y[inside], np.zeros(inside.sum())])
    corners = supports.voxel_corners(centres, np.diag([0.5, 0.5, 1.0]))[:, :2]
    theta = np.radians([0.0, 37.0, 90.0, 200.0])
    exact = np.hypot(9.1 * np.cos(theta), 5.3 * np.sin(theta))
    by_corners = supports.support_mm(corners, np.zeros(len(corners)), theta)
    by_centres = supports.support_mm(centres[:, :2], np.zeros(len(centres)), theta)
    assert (by_centres < exact).all() and (by_corners > by_centres + 0.2).all()
    assert by_corners == pytest.approx(exact, abs=0.5)
