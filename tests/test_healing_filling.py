"""Filling the cavity: closed forms, voxels, mirror images, and the two plain limits."""

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.path import Path
from scipy.spatial import ConvexHull

from crena.geometry.measures import cap_volume_mm3, hemi_ellipsoid_volume_mm3
from crena.geometry.motions import moved
from crena.geometry.triangles import areas_mm2, ears
from crena.healing.filling import (
    STAYS,
    Bed,
    Filler,
    carried,
    cavity_ml,
    compared,
    fill,
    gap_of,
    laid_in_ml,
    left_at_mm,
)
from crena.healing.quilting import quilting
from crena.records import InputError, RigidMotion

RHOMBUS = [(0.0, 0.0), (50.0, 0.0), (75.0, 43.30127018922193), (25.0, 43.30127018922193)]
BIG = [(-200, -200), (200, -200), (200, 200), (-200, 200)]
TURN = RigidMotion(angle_deg=60.0, pivot_mm=(50.0, 0.0), shift_mm=(2.0, -3.0))


def bed_of(outline, depth_at):
    triangles = ears(outline)
    return Bed(corners_mm=triangles, depth_mm=depth_at(triangles))


def slope(at):
    return 20.0 + 0.10 * at[..., 0] - 0.15 * at[..., 1]


def wedge(at):
    return 14.0 + 0.08 * at[..., 0] + 0.12 * at[..., 1]


def level(mm):
    return lambda at: np.full(at.shape[:-1], float(mm))


def gap_ml(bed, *fillers, **how):
    return gap_of(fill(bed, fillers, **how)).volume_ml


def disc_mesh(count, radius, depth):
    """Triangles of `count` rings and 4 x count rays; radius and depth of a ring's share."""
    share, turn = np.linspace(0, 1, count + 1), np.linspace(0, 2 * np.pi, 4 * count + 1)
    way = np.stack([np.cos(turn), np.sin(turn)], axis=-1)
    at = radius(share)[:, None, None] * way
    h = np.broadcast_to(depth(share)[:, None, None], (*at.shape[:2], 1))
    p = np.concatenate([at, h], axis=2)
    a, b, c, d = p[:-1, :-1], p[:-1, 1:], p[1:, :-1], p[1:, 1:]
    corners = np.concatenate(
        [np.stack(t, axis=2).reshape(-1, 3, 3) for t in ((a, c, d), (a, d, b))]
    )
    corners = corners[np.abs(areas_mm2(corners)) > 0]
    return Bed(corners_mm=corners[..., :2], depth_mm=corners[..., 2])


def rings(radius, depth):
    """Volumes in mm3 on 32, 64, 128 rings, and the limit that they run to (Romberg)."""
    v = [1000 * cavity_ml(disc_mesh(n, radius, depth)) for n in (32, 64, 128)]
    once = [v[1] + (v[1] - v[0]) / 3, v[2] + (v[2] - v[1]) / 3]
    return v, once[1] + (once[1] - once[0]) / 15


def test_spherical_cap_r30_h12_is_11762_1_mm3():
    """A ball of 30 has a base of 24 under a cap of 12. Linear triangles: fourfold less error."""
    v, limit = rings(
        lambda t: 24 * t, lambda t: np.maximum(np.sqrt(30.0**2 - (24 * t) ** 2) - 18, 0)
    )
    exact = cap_volume_mm3(24.0, 12.0)
    assert exact == pytest.approx(11_762.1, abs=0.05)
    assert limit == pytest.approx(exact, rel=1e-6)
    assert (v[0] - exact) / (v[1] - exact) == pytest.approx(4, abs=0.05)


def test_hemi_ellipsoid_60_40_30_is_37_70_ml():
    """Rings at the sine of even angles, so that the steep rim is as smooth as the middle."""
    half_turn = np.pi / 2
    _, limit = rings(lambda t: np.sin(half_turn * t), lambda t: 30 * np.cos(half_turn * t))
    stretched = limit * 30 * 20
    assert stretched == pytest.approx(hemi_ellipsoid_volume_mm3(60, 40, 30), rel=1e-6)
    assert stretched == pytest.approx(37_699.1, abs=0.05)


def frustum_ml(low_mm, high_mm, deep_mm):
    """Twelve sides: the area is 3 r^2; h/3 (A1 + A2 + sqrt(A1 A2))."""
    a1, a2 = 3 * low_mm**2, 3 * high_mm**2
    return deep_mm / 3 * (a1 + a2 + np.sqrt(a1 * a2)) / 1000


@pytest.mark.parametrize("thick_mm", [0.0, 4.0, 9.5, 15.0])
def test_a_level_flap_over_a_frustum_leaves_the_lower_frustum(thick_mm):
    """Floor of radius 18, 15 mm under a rim of radius 30: exact, cut where nothing is left."""
    turn = np.arange(12) * np.pi / 6
    way = np.column_stack([np.cos(turn), np.sin(turn)])
    p = [np.column_stack([r * way, np.full(12, d)]) for r, d in ((18.0, 15.0), (30.0, 0.0))]
    q = [np.roll(one, -1, axis=0) for one in p]
    sides = [np.stack([p[0], p[1], q[1]], axis=1), np.stack([p[0], q[1], q[0]], axis=1)]
    corners = np.concatenate([ears(p[0]), *sides])
    bed = Bed(corners_mm=corners[..., :2], depth_mm=corners[..., 2])
    exact = frustum_ml(18.0, 30.0 - 12.0 * thick_mm / 15.0, 15.0 - thick_mm)
    assert gap_ml(bed, carried(BIG, STAYS, level(thick_mm))) == pytest.approx(exact, abs=1e-12)
    assert gap_ml(bed, sink_mm=thick_mm) == pytest.approx(exact, abs=1e-12)


def test_centroid_and_deepest_place_of_a_wedge():
    """Depth x over a square of side 12: a third from the deep side, half-way along."""
    gap = gap_of(fill(bed_of([(0, 0), (12, 0), (12, 12), (0, 12)], lambda at: at[..., 0])))
    assert gap.middle_at_mm == pytest.approx((8.0, 6.0), abs=1e-12)
    assert gap.deepest_mm == 12.0 and gap.deepest_at_mm[0] == 12.0
    assert gap.volume_ml == pytest.approx(0.864, abs=1e-12)


def test_no_flap_leaves_the_whole_cavity():
    bed = bed_of(RHOMBUS, slope)
    assert gap_ml(bed) == pytest.approx(cavity_ml(bed), rel=1e-12)
    assert gap_ml(bed) == pytest.approx(50 * 43.30127018922193 * slope(np.mean(RHOMBUS, 0)) / 1000)


def test_a_flap_as_thick_as_the_cavity_leaves_nothing():
    """The flap is carried by 60 degrees and a shift; its thickness is that of the place."""
    bed = bed_of(RHOMBUS, slope)
    home = moved(RigidMotion(angle_deg=-60.0, pivot_mm=(52.0, -3.0), shift_mm=(-2.0, 3.0)), RHOMBUS)
    flap = carried(home, TURN, lambda at: slope(moved(TURN, at)))
    gap = gap_of(fill(bed, (flap,)))
    assert gap.volume_ml == pytest.approx(0.0, abs=1e-9)
    assert laid_in_ml(fill(bed, (flap,))) == pytest.approx(cavity_ml(bed), rel=1e-12)


def test_wound_that_the_flap_does_not_reach_keeps_its_depth():
    bed = bed_of([(0, 0), (40, 0), (40, 20), (0, 20)], level(10))
    flap = carried([(0, 0), (10, 0), (10, 20), (0, 20)], replace(STAYS, shift_mm=(5, 0)), level(7))
    assert gap_ml(bed, flap) == pytest.approx((600 * 10 + 200 * 3) / 1000, rel=1e-12)
    assert left_at_mm(bed, (flap,), np.array([(2, 5), (9, 5), (44, 5)])).tolist()[:2] == [10, 3]
    assert np.isnan(left_at_mm(bed, (), np.array([(44.0, 5.0)]))).all()


def test_two_flaps_that_overlap_add_their_thickness():
    bed = bed_of([(0, 0), (30, 0), (30, 10), (0, 10)], level(10))
    flaps = [
        carried([(a, 0), (b, 0), (b, 10), (a, 10)], STAYS, level(6)) for a, b in ((0, 20), (15, 30))
    ]
    assert gap_ml(bed, *flaps) == pytest.approx((150 + 100) * 4 / 1000, rel=1e-12)
    assert laid_in_ml(fill(bed, tuple(flaps))) == pytest.approx(350 * 6 / 1000, rel=1e-12)


def test_a_flap_that_is_spread_thins_and_keeps_its_volume():
    bed = bed_of(RHOMBUS, level(40))
    both = ears(np.column_stack([[(0, 0), (20, 0), (24, 31), (-3, 26)], RHOMBUS]))
    spread = Filler(home_mm=both[..., :2], placed_mm=both[..., 2:], thickness_mm=level(31))
    own_ml = 31 * areas_mm2(both).sum() / 1000
    assert laid_in_ml(fill(bed, (spread,))) == pytest.approx(own_ml, rel=1e-12)


def random_case(rng):
    """A convex wound with a sloping floor, and a flap somewhere over it."""
    wound, flap = (rng.normal(size=(9, 2)) * (22, 15) for _ in range(2))
    wound, flap = (p[ConvexHull(p).vertices] for p in (wound, flap))
    tilt = rng.uniform(-0.09, 0.09, size=(2, 2))
    motion = RigidMotion(
        angle_deg=float(rng.uniform(-180, 180)),
        pivot_mm=tuple(rng.normal(size=2) * 5),
        shift_mm=tuple(rng.normal(size=2) * 3),
    )
    return wound, flap, motion, lambda p: 18 + p @ tilt[0], lambda p: 9 + p @ tilt[1]


def voxel_gap_ml(wound, flap, motion, depth, thickness, size_mm=0.4):
    """Count the boxes of the wound that lie deeper than the flap over them."""
    low, high = wound.min(axis=0), wound.max(axis=0)
    x, y = (np.arange(low[k] + size_mm / 2, high[k], size_mm) for k in (0, 1))
    at = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    at = at[Path(wound).contains_points(at)]
    a = np.radians(-motion.angle_deg)
    back = at - motion.shift_mm - np.array(motion.pivot_mm)
    home = back @ np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]]) + motion.pivot_mm
    over = Path(flap).contains_points(home) * thickness(home)
    z = np.arange(size_mm / 2, depth(at).max(), size_mm)
    empty = (z < depth(at)[:, None]) & (z > over[:, None])
    return empty.sum() * size_mm**3 / 1000


def test_mesh_and_voxels_agree_on_1000_random_cavities():
    rng = np.random.default_rng(7)
    for _ in range(1000):
        wound, flap, motion, depth, thickness = random_case(rng)
        meshed = gap_ml(bed_of(wound, depth), carried(flap, motion, thickness))
        counted = voxel_gap_ml(wound, flap, motion, depth, thickness)
        assert counted == pytest.approx(meshed, rel=0.01)


def whole_case(scale=1.0, turn_deg=0.0, mirror=1.0):
    """The same asymmetric wound and flap, scaled, mirrored and then turned."""
    turn = RigidMotion(angle_deg=turn_deg, pivot_mm=(7.0, -4.0))

    def put(points):
        return moved(turn, np.asarray(points) * [mirror * scale, scale])

    def from_(at):
        p = moved(RigidMotion(angle_deg=-turn_deg, pivot_mm=(7.0, -4.0)), at.reshape(-1, 2))
        return (p / [mirror * scale, scale]).reshape(at.shape)

    flap = np.array([(-20.0, 5.0), (28.0, 9.0), (33.0, 44.0), (-12.0, 37.0)])
    filler = carried(put(flap), STAYS, lambda at: scale * wedge(from_(at)))
    return bed_of(put(RHOMBUS), lambda at: scale * slope(from_(at))), filler, put


@pytest.mark.parametrize(
    ("scale", "turn_deg", "mirror"), [(1.0, 0.0, -1.0), (1.0, 37.0, 1.0), (1.7, -81.0, -1.0)]
)
def test_mirrored_turned_and_scaled_wounds_have_the_gap_of_the_plain_one(scale, turn_deg, mirror):
    bed, filler, _ = whole_case()
    plain = gap_of(fill(bed, (filler,)))
    bed, filler, put = whole_case(scale, turn_deg, mirror)
    gap = gap_of(fill(bed, (filler,)))
    assert gap.volume_ml == pytest.approx(scale**3 * plain.volume_ml, rel=1e-9)
    assert gap.deepest_mm == pytest.approx(scale * plain.deepest_mm, rel=1e-9)
    assert gap.middle_at_mm == pytest.approx(put([plain.middle_at_mm])[0], abs=1e-9)


def test_a_deeper_floor_leaves_more_by_its_area():
    filled = fill(bed_of(RHOMBUS, level(20)), (carried(BIG, STAYS, level(12)),))
    more = gap_of(filled, deeper_mm=1.5).volume_ml - gap_of(filled).volume_ml
    assert more == pytest.approx(1.5 * 50 * 43.30127018922193 / 1000, rel=1e-9)
    assert gap_of(filled, deeper_mm=-9.0).middle_at_mm is None


@pytest.mark.parametrize("wrong", [np.nan, -0.1, np.inf])
def test_an_unknown_depth_never_passes_for_a_full_wound(wrong):
    bed = bed_of(RHOMBUS, slope)
    depth = bed.depth_mm.copy()
    depth[1, 2] = wrong
    with pytest.raises(InputError, match="depth of the wound"):
        fill(replace(bed, depth_mm=depth))
    with pytest.raises(InputError, match="thickness of the flap"):
        fill(bed, (carried(BIG, STAYS, level(wrong)),))


def test_plans_are_set_beside_the_one_that_leaves_least():
    rows = compared({"A": 4.0, "B": 1.5, "C": 4.0})
    assert [(r.plan, r.gap_ml, r.more_ml) for r in rows] == [
        ("B", 1.5, 0.0), ("A", 4.0, 2.5), ("C", 4.0, 2.5)
    ]  # fmt: skip


def test_one_pocket_falls_with_the_fourth_power_of_the_spacing_and_all_with_the_square():
    """pi p R^4 / 8T for one pocket, and 1/q^2 as many of them."""
    wide, narrow = quilting(4000.0, (20.0, 10.0))
    assert wide.pocket_ratio / narrow.pocket_ratio == pytest.approx(16, rel=1e-12)
    assert wide.gap_ratio / narrow.gap_ratio == pytest.approx(4, rel=1e-12)


def test_no_spacing_beats_no_stitch_and_a_spacing_of_nought_is_refused():
    (far,) = quilting(500.0, (80.0,))
    assert far.stitches == 1 and far.gap_ratio == far.pocket_ratio == 1.0
    with pytest.raises(InputError, match="cannot be counted"):
        quilting(500.0, (0.0,))
