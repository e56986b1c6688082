"""V-Y, rotation, Z and triangular closures: edges, motions, mirror images, refusals."""

import numpy as np
import pytest

from crena.flaps import rotation, triangular, v_y, z_plasty
from crena.geometry.measures import polygon_area_mm2, polyline_length_mm
from crena.geometry.motions import moved
from crena.records import InputError, Side

TRIANGLE = np.array([(2.0, 45.0), (-9.0, 6.0), (14.0, 2.0)])


def island(side=Side.RIGHT, sign=1, **changes):
    measures = {
        "centre_s_mm": sign * 6.0, "centre_y_mm": 21.0, "width_mm": 38.0, "gap_mm": 22.0,
        "height_ratio": 2.2, "tilt_deg": sign * 17.0,
    }  # fmt: skip
    return v_y.close(v_y.IslandFlap(donor_side=side, **(measures | changes)))


def turning(side=Side.RIGHT, sign=1, **changes):
    measures = {
        "base_cranial": False, "centre_s_mm": sign * 6.0, "centre_y_mm": 21.0, "base_mm": 20.0,
        "height_mm": 26.0, "radius_mm": 45.0, "arc_deg": 120.0, "tilt_deg": sign * 17.0,
    }  # fmt: skip
    return rotation.close(rotation.RotationFlap(donor_side=side, **(measures | changes)))


def zed(side=Side.RIGHT, sign=1, **changes):
    measures = {
        "centre_s_mm": sign * 6.0, "centre_y_mm": 21.0, "limb_mm": 33.0, "first_angle_deg": 45.0,
        "second_angle_deg": 70.0, "tilt_deg": sign * 17.0,
    }  # fmt: skip
    return z_plasty.close(z_plasty.ZPlasty(first_side=side, **(measures | changes)))


def three_cornered(side=Side.RIGHT, sign=1, **changes):
    triangle = TRIANGLE if sign > 0 else TRIANGLE[[0, 2, 1]] * [-1, 1]
    return triangular.close(triangle, triangular.UnequalFlaps(donor_side=side, **changes))


FAMILIES = (island, turning, zed, three_cornered)


def mirror(line):
    return np.asarray(line) * [-1, 1]


@pytest.mark.parametrize("draw", FAMILIES)
def test_closure_from_the_other_side_is_the_mirror_image(draw):
    one, other = draw(Side.RIGHT, 1), draw(Side.LEFT, -1)
    for p, q in zip(one.corners, other.corners, strict=True):
        assert q.name == p.name and q.at_mm == pytest.approx(mirror(p.at_mm), abs=1e-9)
    for a, b in zip(one.seams, other.seams, strict=True):
        assert np.array(b.fixed_mm) == pytest.approx(mirror(a.fixed_mm), abs=1e-9)
        assert np.array(b.moved_mm) == pytest.approx(mirror(a.moved_mm), abs=1e-9)
    for f, g in zip(one.flaps, other.flaps, strict=True):
        landed = moved(f.motion, f.outline_mm)
        assert moved(g.motion, g.outline_mm) == pytest.approx(mirror(landed), abs=1e-9)
    assert np.array(other.scar_mm[0]) == pytest.approx(mirror(one.scar_mm[0]), abs=1e-9)


@pytest.mark.parametrize("draw", FAMILIES)
def test_every_edge_that_is_cut_is_sutured_once_on_each_side(draw):
    """Twice the cuts and once the outline are all the edges there are."""
    closure = draw()
    ring = (*closure.removed_mm, *closure.removed_mm[:1])
    cut_mm = sum(polyline_length_mm(line) for line in closure.incisions_mm)
    edges_mm = 2 * cut_mm + (polyline_length_mm(ring) if closure.removed_mm else 0.0)
    sutured_mm = sum(polyline_length_mm(e) for s in closure.seams for e in (s.fixed_mm, s.moved_mm))
    assert sutured_mm == pytest.approx(edges_mm, rel=1e-9)


def test_edges_of_a_v_y_and_of_a_z_are_equal():
    assert v_y.shape_of(island()).edge_mismatch_mm < 1e-9
    assert z_plasty.shape_of(zed()).edge_mismatch_mm < 1e-9


def test_edges_of_a_rotation_flap_differ_by_the_base_and_it_says_so():
    closure = turning()
    assert rotation.shape_of(closure).edge_mismatch_mm == pytest.approx(20.0, rel=2e-3)
    assert any("20 mm longer" in words for words in closure.warnings)


def test_limb_of_a_triangular_closure_shares_the_difference_of_its_edges():
    at = {name: np.array(place) for name, place in three_cornered().points_mm.items()}
    side, base, free, limb = (np.linalg.norm(at[p] - at[q]) for p, q in ("BC", "AB", "AC", "CD"))
    assert base + free - limb == pytest.approx(limb - side)
    assert np.linalg.norm(at["E"] - at["D"]) == pytest.approx(limb)


def test_island_lands_on_the_far_edge_and_has_no_pedicle_on_the_skin():
    closure = island()
    (flap,) = closure.flaps
    landed = moved(flap.motion, [closure.points_mm["D"], closure.points_mm["C"]])
    assert landed == pytest.approx(np.array([closure.points_mm[n] for n in "AB"]), abs=1e-9)
    assert flap.pedicle_mm is None and v_y.shape_of(closure).base_to_length_ratio is None


def test_rotation_brings_b_to_a_and_keeps_the_arc_on_its_circle():
    closure = turning()
    (flap,), (arc,) = closure.flaps, closure.incisions_mm
    assert moved(flap.motion, arc[:1])[0] == pytest.approx(closure.points_mm["A"], abs=1e-9)
    away = np.linalg.norm(moved(flap.motion, arc) - flap.motion.pivot_mm, axis=1)
    assert away == pytest.approx(np.full(len(arc), 45.0))


def test_flaps_of_a_z_land_on_its_new_limbs_exactly():
    closure = zed()
    a, c, d, b = closure.scar_mm[0]
    for flap, wanted in zip(closure.flaps, ((c, d, b), (d, c, a)), strict=True):
        assert moved(flap.motion, flap.outline_mm) == pytest.approx(np.array(wanted), abs=1e-9)


def test_flaps_of_a_triangular_closure_are_unequal():
    first, second = (abs(polygon_area_mm2(f.outline_mm)) for f in three_cornered().flaps)
    assert second > first


def test_short_arc_is_warned_of_with_both_lengths():
    assert any("94 mm is shorter than 4" in w for w in turning(base_mm=30.0).warnings)
    assert not any("shorter" in w for w in turning().warnings)


def test_narrow_z_warns_that_it_may_shorten_roggendorf1982():
    assert any("Roggendorf" in w for w in zed(first_angle_deg=30.0).warnings)
    assert not any("Roggendorf" in w for w in zed().warnings)


def test_triangular_closure_says_that_its_construction_is_assumed_mutaf2017():
    assert any("assumed" in w and "Mutaf 2017" in w for w in three_cornered().warnings)


@pytest.mark.parametrize(
    ("draw", "changes", "says"),
    [
        (island, {"gap_mm": 90.0}, "higher island"),
        (turning, {"arc_deg": 200.0}, "45 to 180"),
        (turning, {"radius_mm": 15.0}, "too short"),
        (zed, {"second_angle_deg": 20.0}, "30 to 90"),
        (three_cornered, {"first_tip_deg": 95.0}, "30 to 90"),
    ],
)
def test_measures_out_of_range_are_refused_with_the_number(draw, changes, says):
    with pytest.raises(InputError, match=says):
        draw(**changes)


def test_second_flap_that_would_turn_too_far_is_refused():
    flat = np.array([(0.0, 8.0), (-20.0, 0.0), (20.0, 0.0)])
    with pytest.raises(InputError, match="150 together"):
        triangular.close(flat, triangular.UnequalFlaps(donor_side=Side.LEFT, first_tip_deg=60.0))
