"""The disease as it is drawn: true width, true distance, checked against brute force."""

import numpy as np
import pytest
from sample_plans import cleft_surface, sample_plan_set, sample_tract_map

from crena.draw.disease import cavity_shadow, disease_shape, on_skin, part_middle, ring_marks
from crena.draw.marks import along
from crena.draw.patterns import grid_within, hatch_of, inside
from crena.draw.sections import _shapes, section_level_mm, section_picture
from crena.records import Cavity, Origin, TractMap

TILTED = Cavity(
    name="cavity",
    centre_mm=(3.0, -2.0, -9.0),
    half_axes_mm=((4.8, 3.6, 0.0), (-1.8, 2.4, 0.0), (0.0, 0.0, 2.0)),
    origin=Origin.SCAN,
    sd_mm=1.0,
    volume_ml=0.1,
)


def straight_map() -> TractMap:
    tract = sample_tract_map().tracts[1]
    return sample_tract_map(tracts=(tract,), cavities=(), spots=())


def test_the_shadow_of_an_ellipsoid_touches_its_farthest_points() -> None:
    axes = np.asarray(TILTED.half_axes_mm)
    rng = np.random.default_rng(7)
    balls = rng.normal(size=(20000, 3))
    balls /= np.linalg.norm(balls, axis=1)[:, None]
    surface = balls @ axes + TILTED.centre_mm
    shadow = np.asarray(cavity_shadow(TILTED, 0.0))
    for turn in np.radians([0, 37, 101, 200]):
        way = np.array([np.cos(turn), np.sin(turn)])
        assert (shadow @ way).max() == pytest.approx((surface[:, :2] @ way).max(), abs=0.03)


def test_the_ring_keeps_the_asked_distance_from_a_tube() -> None:
    tract_map = straight_map()
    (dots,) = ring_marks(tract_map, 5.0, 1.0)
    centre = np.asarray(tract_map.tracts[0].centre_mm)[:, :2]
    line = np.asarray(along([tuple(p) for p in centre], 0.01))
    away = [np.linalg.norm(line - dot, axis=1).min() for dot in dots.points]
    assert np.asarray(away) - tract_map.tracts[0].radius_mm[0] == pytest.approx(5.0, abs=0.02)


def test_the_page_is_sent_the_disease_at_its_true_width() -> None:
    tract_map = straight_map()
    shape = disease_shape(tract_map, 5.0)
    centre = np.asarray(tract_map.tracts[0].centre_mm)[:, :2]
    line = np.asarray(along([tuple(p) for p in centre], 0.01))
    radius_mm = tract_map.tracts[0].radius_mm[0]
    rims = np.concatenate([np.asarray(part) for part in shape.parts])
    off = [np.linalg.norm(line - place, axis=1).min() for place in rims]
    assert max(off) == pytest.approx(radius_mm, abs=0.02)
    ring = [np.linalg.norm(line - dot, axis=1).min() for dot in np.asarray(shape.ring)]
    assert np.asarray(ring) == pytest.approx(radius_mm + 5.0, abs=0.02)
    assert (disease_shape(tract_map, None).ring, shape.spots) == ((), ())


def test_on_a_slope_a_place_is_laid_flat_by_its_arc() -> None:
    tract_map = sample_tract_map(skin=cleft_surface())
    s, y = on_skin(tract_map, (30.0, 12.0))
    x = np.linspace(0.0, 30.0, 3001)
    z = 22.0 * (1 - np.exp(-((x / 18.0) ** 2) / 2))
    assert s == pytest.approx(np.hypot(np.diff(x), np.diff(z)).sum(), abs=0.05)
    assert y == 12.0
    assert on_skin(tract_map, (-30.0, 12.0))[0] == pytest.approx(-s)


def test_names_point_to_their_part() -> None:
    assert part_middle(sample_tract_map(), "S1") == (-17.0, 29.0)
    assert part_middle(straight_map(), "T2") == (-3.0, 26.0)


def test_hatch_covers_a_union_once_and_evenly() -> None:
    one = ((0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0))
    two = ((10.0, 0.0), (30.0, 0.0), (30.0, 10.0), (10.0, 10.0))
    lines = hatch_of([one, two], 0.5)
    length = sum(np.linalg.norm(np.subtract(*line)) for line in lines)
    assert length * 0.5 == pytest.approx(300.0, rel=0.02)


def test_dots_fill_an_outline_but_not_its_words() -> None:
    outline = ((0.0, 0.0), (30.0, 0.0), (30.0, 20.0), (0.0, 20.0))
    words = ((10.0, 5.0), (20.0, 5.0), (20.0, 9.0), (10.0, 9.0))
    dots = grid_within(outline, 1.0, without=[words])
    assert len(dots) == pytest.approx(600 - 40, abs=30)
    assert not inside(dots, words).any()


def test_the_section_of_an_ellipsoid_lies_on_it() -> None:
    ((ring,), (wider,)) = (_shapes(TILTED, -0.5, margin_mm) for margin_mm in (0.0, 2.0))
    axes = np.asarray(TILTED.half_axes_mm)
    points = np.array([(x, -0.5, z) for x, z in ring]) - TILTED.centre_mm
    shares = points @ axes.T / (axes**2).sum(axis=1)
    assert (shares**2).sum(axis=1) == pytest.approx(1.0)
    assert inside(ring, wider).all()
    assert _shapes(TILTED, 9.0, 0.0) == []


def test_the_section_lies_where_the_clearance_is_least_and_names_both_sides() -> None:
    plan_set = sample_plan_set()
    assert section_level_mm(plan_set.plans[0]) == 43.0
    svg, width_mm = section_picture(plan_set.plans[0], plan_set.tract_map, 5.0, 0.5)
    assert width_mm >= 40.0
    assert b">patient's left<" in svg and b">patient's right<" in svg
