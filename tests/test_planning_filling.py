"""Filling of real closures: the specimen's volume, closed forms on level skin, mirror images."""

from dataclasses import replace

import numpy as np
import pytest
from factory import case, mirrored
from pydantic import TypeAdapter
from sample_plans import flat_surface, sample_plan_set

from crena.flaps import advancement, midline, rhombic, v_y
from crena.geometry.lenses import Fusiform, Lens
from crena.geometry.lines import distance_to_lines_mm
from crena.geometry.measures import flared_volume_mm3, polygon_area_mm2
from crena.geometry.triangles import areas_mm2
from crena.planning import filling as planned
from crena.planning.filling import filling_of, with_filling
from crena.planning.flap_places import sewn_triangles
from crena.records import BodyEntry, Filling, Side, Surface
from crena.sinus.excise import excise, field_of
from crena.sinus.mapping import map_from_probing

HALF = np.array([[0.0, 43.3012701892], [-25.0, 0.0], [0.0, -43.3012701892], [25.0, 0.0]])
TILTED = HALF @ np.array([[0.96, 0.28], [-0.28, 0.96]]) + [-6.0, 31.0]
LIMBERG = rhombic.RhombicFlap(
    donor_side=Side.RIGHT, caudal_pivot=True, elevation_deg=0.0, tip_deg=60.0
)
DEEP = BodyEntry(cleft_depth_mm=14.0, presacral_depth_mm=33.0, gluteal_depth_mm=21.0)


def map_of(depth_mm=28.0, **body):
    """Level skin over a level floor, or a body measured by hand."""
    if body:
        return map_from_probing(case(body=BodyEntry(**body)))
    plain = map_from_probing(case())
    return replace(plain, skin=flat_surface(0.0), floor=flat_surface(-depth_mm))


def sloping_map(rise_ratio):
    """Level skin over a fascia that falls away to the patient's right."""
    x, y = tuple(float(v) for v in range(-120, 121, 20)), (-200.0, 200.0)
    floor = Surface(
        x_mm=x, y_mm=y, z_mm=(tuple(-28.0 - rise_ratio * v for v in x),) * 2,
        origin=flat_surface(0.0).origin, sd_mm=0.0,
    )  # fmt: skip
    return replace(map_of(), floor=floor)


def outline_of(closure, wall_angle_deg=0.0):
    return rhombic.outline_of(closure, wall_angle_deg)


def test_a_limberg_flap_on_level_skin_and_floor_leaves_nothing():
    closure = rhombic.close(TILTED, LIMBERG)
    known = filling_of(outline_of(closure), closure, map_of())
    exact = 28.0 * abs(polygon_area_mm2(TILTED)) / 1000
    assert known.cavity_ml == pytest.approx(exact, rel=1e-6)
    assert known.flap_ml == pytest.approx(exact, rel=1e-6)
    assert known.gap_ml == pytest.approx(0.0, abs=1e-6) and known.options == ()


@pytest.mark.parametrize("raised_mm", [0.0, 10.0, 21.5, 40.0])
def test_a_flap_raised_thinner_leaves_the_difference(raised_mm):
    closure = rhombic.close(TILTED, LIMBERG)
    known = filling_of(outline_of(closure), closure, map_of(), raised_mm=raised_mm)
    exact = max(28.0 - raised_mm, 0.0) * abs(polygon_area_mm2(TILTED)) / 1000
    assert known.gap_ml == pytest.approx(exact, rel=1e-6, abs=1e-6)
    assert known.deepest_mm == pytest.approx(max(28.0 - raised_mm, 0.0), abs=1e-6)


def test_the_flap_brings_the_thickness_of_the_place_it_comes_from():
    """Fascia sloping across: a point p of the wound gets the depth at p turned back by 60."""
    closure = rhombic.close(TILTED, LIMBERG)
    known = filling_of(outline_of(closure), closure, sloping_map(0.1))
    motion = closure.flaps[0].motion
    a, pivot = np.radians(-motion.angle_deg), np.array(motion.pivot_mm)
    s, y = np.meshgrid(known.gap_map.s_mm, known.gap_map.y_mm)
    back = pivot[0] + np.cos(a) * (s - pivot[0]) - np.sin(a) * (y - pivot[1])
    exact = np.maximum((28 + 0.1 * s) - (28 + 0.1 * back), 0)
    inside = (np.abs(np.stack([s, y], -1) - TILTED.mean(axis=0)) < 10).all(axis=-1)
    shown = np.array(known.gap_map.depth_mm)
    assert inside.sum() > 50 and shown[inside] == pytest.approx(exact[inside], abs=0.006)


@pytest.mark.parametrize("angle_deg", [5.0, 15.0])
def test_room_under_leaning_walls_counts_as_empty(angle_deg):
    """A flap as thick as the wound is deep leaves the flared volume less the straight one."""
    closure = rhombic.close(TILTED, LIMBERG)
    known = filling_of(outline_of(closure, angle_deg), closure, map_of(20.0))
    area, inradius = abs(polygon_area_mm2(TILTED)), 25 * np.sin(np.radians(60))
    flared = flared_volume_mm3(area, inradius, 20.0, angle_deg) / 1000
    assert known.cavity_ml == pytest.approx(flared, rel=1e-6)
    assert known.gap_ml == pytest.approx(flared - 20.0 * area / 1000, rel=1e-6)
    assert any("leaning walls" in words for words in known.assumed)


def test_the_cavity_is_the_specimen_in_a_cleft():
    """Two ways: columns square to the skin here, the divergence theorem there."""
    tract_map, plain = map_from_probing(case(body=DEEP)), case(body=DEEP)
    closure = rhombic.close(TILTED, LIMBERG)
    outline = outline_of(closure, 8.0)
    field = field_of(tract_map, plain.precision)
    taken = excise(outline, field, plain.limits, np.random.default_rng(1))
    assert filling_of(outline, closure, tract_map).cavity_ml == pytest.approx(
        taken.volume_ml, rel=2e-3
    )


@pytest.mark.parametrize("elevation_tip", [(0.0, 60.0), (20.0, 30.0), (30.0, 70.0)])
def test_a_rhombic_flap_is_sewn_to_every_edge_of_the_wound(elevation_tip):
    closure = rhombic.close(
        TILTED, replace(LIMBERG, elevation_deg=elevation_tip[0], tip_deg=elevation_tip[1])
    )
    home, placed = sewn_triangles(closure, 1)
    assert areas_mm2(placed).sum() == pytest.approx(abs(polygon_area_mm2(TILTED)), rel=1e-9)
    own = abs(polygon_area_mm2(closure.flaps[0].outline_mm))
    assert areas_mm2(home).sum() == pytest.approx(own, rel=1e-9)


def test_a_narrow_flap_that_is_spread_leaves_the_difference_of_the_volumes():
    closure = rhombic.close(TILTED, replace(LIMBERG, elevation_deg=20.0, tip_deg=30.0))
    known = filling_of(outline_of(closure), closure, map_of())
    own_ml = 28.0 * abs(polygon_area_mm2(closure.flaps[0].outline_mm)) / 1000
    assert known.gap_ml == pytest.approx(known.cavity_ml - own_ml, rel=1e-6)
    assert known.spare_ml == pytest.approx(0.0, abs=1e-9)


def test_an_island_advanced_by_the_gap_fills_the_defect():
    flap = v_y.IslandFlap(
        donor_side=Side.LEFT, centre_s_mm=4.0, centre_y_mm=30.0, width_mm=40.0, gap_mm=24.0,
        tilt_deg=12.0,
    )  # fmt: skip
    closure = v_y.close(flap)
    home, placed = sewn_triangles(closure, 1)
    assert placed - home == pytest.approx(
        np.broadcast_to(closure.flaps[0].motion.shift_mm, home.shape), abs=1e-9
    )


def lens_case(pole_side=Side.LEFT):
    sign = pole_side.sign
    lens = Lens(
        cranial_pole_mm=(sign * 22.0, 74.0), caudal_pole_mm=(sign * 24.0, -14.0),
        left_sagitta_mm=12.0 if sign < 0 else 33.0, right_sagitta_mm=33.0 if sign < 0 else 12.0,
    )  # fmt: skip
    return advancement.close(lens, pole_side), advancement.outline_of(lens, pole_side, 0.0)


def test_an_advanced_strip_keeps_its_base_and_reaches_the_other_edge():
    closure, outline = lens_case()
    known = filling_of(outline, closure, map_of())
    home, placed = sewn_triangles(closure, 1)
    stays = (home == placed).all(axis=-1)
    away = [distance_to_lines_mm(p, [closure.seams[0].fixed_mm]) for p in placed[~stays]]
    assert stays.any() and max(away) < 0.1
    assert areas_mm2(placed).sum() == pytest.approx(
        areas_mm2(home).sum() + abs(polygon_area_mm2(closure.removed_mm)), rel=1e-3
    )
    assert known.gap_ml > known.cavity_ml / 2
    assert any("10 mm thick" in words for words in known.assumed)


def test_edges_that_just_meet_lay_nothing_but_skin_over_the_wound():
    spindle = Fusiform(
        centre_s_mm=3.0, centre_y_mm=25.0, length_mm=90.0, aspect_ratio=3.0, tilt_deg=10.0
    )
    outline = midline.outline_of(spindle, 0.0)
    closed = filling_of(outline, midline.close(spindle), map_of())
    opened = filling_of(outline, midline.leave_open(spindle), map_of())
    assert closed.gap_ml == pytest.approx(closed.cavity_ml * (1 - 2.5 / 28), rel=1e-3)
    assert opened.gap_ml == pytest.approx(opened.cavity_ml, rel=1e-9)


def test_thicker_flap_and_turned_in_fat_bring_their_volume():
    closure = rhombic.close(TILTED, LIMBERG)
    area = abs(polygon_area_mm2(TILTED))
    thin = filling_of(outline_of(closure), closure, map_of(), raised_mm=18.0)
    by_name = {option.name: option for option in thin.options}
    thick, fat = by_name["thicker flap"], by_name["fat turned in from the edge"]
    assert thick.volume_ml == pytest.approx(10 * area / 1000, rel=1e-6)
    assert thick.gap_ml == pytest.approx(0.0, abs=1e-6)
    assert fat.volume_ml == pytest.approx(
        14 * abs(polygon_area_mm2(fat.outline_mm)) / 1000, rel=0.2
    )
    assert fat.gap_ml == pytest.approx(
        thin.gap_ml - 10 * fat.volume_ml / 14, rel=1e-6
    )  # no room for more than the 10 mm that were empty


def test_a_flap_raised_on_the_fascia_can_take_the_fascia_along():
    closure = rhombic.close(TILTED, LIMBERG)
    known = filling_of(outline_of(closure), closure, map_from_probing(case(body=DEEP)))
    option = next(o for o in known.options if o.name == "fascia included")
    assert option.volume_ml == pytest.approx(planned.FASCIA_MM * 2.165, rel=1e-3)
    assert option.gap_ml < known.gap_ml


def test_mirrored_bodies_have_mirrored_fillings():
    closures = [
        rhombic.close(TILTED, LIMBERG),
        rhombic.close((TILTED * [-1, 1])[[0, 3, 2, 1]], replace(LIMBERG, donor_side=Side.LEFT)),
    ]
    maps = [map_from_probing(one) for one in (case(body=DEEP), mirrored(case(body=DEEP)))]
    a, b = (filling_of(outline_of(c, 6.0), c, m) for c, m in zip(closures, maps, strict=True))
    for name in ("cavity_ml", "flap_ml", "spare_ml", "gap_ml", "gap_low_ml", "gap_high_ml"):
        assert getattr(a, name) == pytest.approx(getattr(b, name), abs=2e-4 * a.cavity_ml)
    assert a.middle_at_mm == pytest.approx((-b.middle_at_mm[0], b.middle_at_mm[1]), abs=0.02)
    assert a.gap_ml > 1.0


def test_the_band_is_that_of_the_floor_and_of_the_skin():
    """16 mm stay empty everywhere; skin 3 mm and floor 4 mm make 5 mm, times 1.645."""
    closure = rhombic.close(TILTED, LIMBERG)
    tract_map = replace(map_of(), floor=replace(flat_surface(-28.0), sd_mm=4.0))
    known = filling_of(outline_of(closure), closure, tract_map, raised_mm=12.0)
    area = abs(polygon_area_mm2(TILTED))
    for gap_ml, deep_mm in (
        (known.gap_low_ml, 16 - 1.645 * 5),
        (known.gap_ml, 16.0),
        (known.gap_high_ml, 16 + 1.645 * 5),
    ):
        assert gap_ml == pytest.approx(deep_mm * area / 1000, rel=1e-6)


def test_the_section_shows_the_cavity_and_the_tissue_at_the_deepest_level():
    closure = rhombic.close(TILTED, LIMBERG)
    known = filling_of(outline_of(closure), closure, map_of(), raised_mm=12.0)
    section = known.section
    cavity, tissue = (np.array(p) for p in (section.cavity_mm, section.filled_mm))
    assert cavity[:, 1].min() == pytest.approx(-28.0) and tissue[:, 1].min() == pytest.approx(-12.0)
    ratio = abs(polygon_area_mm2(tissue)) / abs(polygon_area_mm2(cavity))
    assert ratio == pytest.approx(12 / 28, rel=1e-6)


def test_plans_carry_their_filling():
    plan_set = sample_plan_set()
    plans = with_filling(plan_set.plans[:2], plan_set.tract_map)
    assert [p.dead_space_ml for p in plans] == [p.filling.gap_ml for p in plans]
    assert all(p.filling.cavity_ml > 50 for p in plans)


def test_a_filling_is_the_same_after_writing_and_reading():
    closure = rhombic.close(TILTED, LIMBERG)
    known = filling_of(outline_of(closure, 5.0), closure, map_of(), raised_mm=12.0)
    form = TypeAdapter(Filling)
    assert form.validate_json(form.dump_json(known)) == known
