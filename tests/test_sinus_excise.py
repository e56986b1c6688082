"""Excision: clearance, chance, volume; against closed forms, sampling and voxels."""

from dataclasses import replace

import numpy as np
import pytest
from factory import case, tract_map
from manifold3d import Manifold
from sample_excisions import rhombus_round
from scipy.spatial import ConvexHull

from crena.geometry.measures import flared_volume_mm3
from crena.geometry.unrolling import height_mm, roll_mm, skin_map
from crena.planning.compose import search
from crena.planning.rhombic_search import drawn
from crena.records import (
    BodyEntry,
    Limits,
    Precision,
)
from crena.sinus.clearance import WallGap, chance_clear, wall_gaps
from crena.sinus.excise import excise, field_of
from crena.sinus.footprint import footprint
from crena.sinus.parts import Part, parts_of
from crena.sinus.walls import sheet_triangles, wall_sheets

LIMITS = Limits(drawn_margin_mm=7.0, least_clearance_mm=4.0)
FLAT_BODY = BodyEntry(cleft_depth_mm=0.0, presacral_depth_mm=25.0, gluteal_depth_mm=25.0)


def excised(found_map, margin=7.0, wall_angle=0.0):
    drawn_outline = rhombus_round(found_map, margin, wall_angle)
    field = field_of(found_map, Precision())
    return excise(drawn_outline, field, LIMITS, np.random.default_rng(1))


@pytest.mark.parametrize("cleft", [0.0, 12.0, 22.0])
@pytest.mark.parametrize("wall_angle", [0.0])
def test_smallest_rhombus_keeps_exactly_its_margin_in_3d(cleft, wall_angle):
    found = excised(tract_map(body=BodyEntry(cleft_depth_mm=cleft)), 7.0, wall_angle)
    assert 7.0 - 0.03 <= found.least_wall_clearance_mm <= 7.15


def test_leaning_walls_on_flat_skin_keep_their_margin_in_3d():
    found = excised(tract_map(body=FLAT_BODY), 7.0, 10.0)
    assert 7.0 - 0.05 <= found.least_wall_clearance_mm <= 7.3


def test_clearance_agrees_with_dense_sampling_of_disease_and_walls():
    found_map = tract_map()
    drawn_outline = rhombus_round(found_map)
    sheets = wall_sheets(drawn_outline, skin_map(found_map.skin), skin_map(found_map.floor))
    gaps = wall_gaps(parts_of(found_map), sheets)
    tract = found_map.tracts[0]
    line, radius = np.array(tract.centre_mm), np.array(tract.radius_mm)
    t = np.linspace(0, len(line) - 1, 400)
    dense = np.column_stack([np.interp(t, range(len(line)), line[:, k]) for k in range(3)])
    for sheet in sheets:
        own = next(g for g in gaps if g.part == "T1" and g.wall == sheet.name).gaps[0]
        mix = np.linspace(0, 1, 120)[:, None, None]
        wall = (sheet.top + mix * (sheet.bottom - sheet.top)).reshape(-1, 3)
        least = np.linalg.norm(dense[:, None] - wall[None], axis=2).min() - radius[0]
        assert least - 0.25 <= own <= least + 1e-9


def test_clearance_of_a_whole_excision_agrees_with_a_solid_modeller():
    """Tract and cavity as solids, every wall as a slab outside the wound, flat skin."""
    found_map = tract_map(body=FLAT_BODY)
    skin, floor = skin_map(found_map.skin), skin_map(found_map.floor)
    sheets = wall_sheets(rhombus_round(found_map), skin, floor)
    gaps = wall_gaps(parts_of(found_map), sheets)
    tract, cavity = found_map.tracts[0], found_map.cavities[0]
    ends = [solid_ball(tract.centre_mm[k], tract.radius_mm[k]) for k in (0, -1)]
    solids = {"T1": Manifold.batch_hull(ends), "T1 end": solid_ball(cavity.centre_mm, 4.0)}
    for sheet in sheets:
        along = sheet.top[-1, :2] - sheet.top[0, :2]
        out = 5 * np.array([along[1], -along[0], 0.0]) / np.linalg.norm(along)
        corners = np.concatenate([sheet.top[[0, -1]], sheet.bottom[[0, -1]]])
        slab = Manifold.hull_points(np.concatenate([corners, corners + out]))
        for name, solid in solids.items():
            own = next(g for g in gaps if g.part == name and g.wall == sheet.name).gaps[0]
            assert own == pytest.approx(solid.min_gap(slab, 90.0), abs=0.1)


def solid_ball(centre, radius):
    return Manifold.sphere(float(radius), 128).translate([float(v) for v in centre])


def test_binding_wall_is_named_and_part_by_part():
    found = excised(tract_map())
    assert {c.part for c in found.clearances} == {"T1", "T2", "T1 end", "pit 1", "pit 2"}
    nearest = min(found.clearances, key=lambda c: c.least_mm)
    assert nearest.wall in {"A–B", "B–C", "C–D", "D–A"}
    assert found.least_clearance_mm <= found.least_wall_clearance_mm == nearest.least_mm


def test_order_of_tracts_and_pits_does_not_matter():
    plain = case()
    turned = tract_map(pits=plain.pits[::-1], probings=plain.probings[::-1])
    one, other = excised(tract_map()), excised(turned)
    assert other.volume_ml == pytest.approx(one.volume_ml, rel=1e-9)
    assert other.least_clearance_mm == pytest.approx(one.least_clearance_mm, abs=1e-9)


def test_volume_under_flat_skin_closed_form():
    found_map = tract_map(body=FLAT_BODY)
    straight = excised(found_map)
    assert straight.volume_ml == pytest.approx(straight.area_mm2 * 25 / 1000, rel=1e-6)


def test_flared_volume_under_flat_skin_closed_form():
    found_map = tract_map(body=FLAT_BODY)
    leaning = excised(found_map, wall_angle=10.0)
    side = np.linalg.norm(np.subtract(leaning.outline_mm[0], leaning.outline_mm[1]))
    exact = flared_volume_mm3(leaning.area_mm2, leaning.area_mm2 / side / 2, 25, 10) / 1000
    assert leaning.volume_ml == pytest.approx(exact, rel=1e-3)


def test_volume_under_a_cleft_agrees_with_voxels():
    found_map = tract_map(body=BodyEntry(cleft_depth_mm=20.0))
    found = excised(found_map)
    skin, floor = skin_map(found_map.skin), skin_map(found_map.floor)
    dense = np.concatenate(
        [
            np.linspace(p, q, 60)
            for p, q in zip(found.outline_mm, np.roll(found.outline_mm, -1, 0), strict=True)
        ]
    )
    edge = roll_mm(skin, dense)[:, :2]
    x, y = np.meshgrid(np.arange(-80, 80, 0.25), np.arange(-60, 120, 0.25))
    grid = np.column_stack([x.ravel(), y.ravel()])
    inside = _within(grid, edge)
    heights = height_mm(skin, grid[inside]) - height_mm(floor, grid[inside])
    assert found.volume_ml == pytest.approx(heights.sum() * 0.25**2 / 1000, rel=0.005)


def _within(points, polygon):
    x, y = points.T
    inside = np.zeros(len(points), dtype=bool)
    for (x0, y0), (x1, y1) in zip(polygon, np.roll(polygon, -1, axis=0), strict=True):
        if y0 != y1:
            crosses = ((y0 > y) != (y1 > y)) & (x < (x1 - x0) * (y - y0) / (y1 - y0) + x0)
            inside ^= crosses
    return inside


def test_healthy_tissue_agrees_with_voxels():
    found_map = tract_map(body=FLAT_BODY, probings=case().probings[1:], pits=case().pits[1:])
    found = excised(found_map)
    hull = ConvexHull(np.array(found.outline_mm)).equations
    rng = np.random.default_rng(4)
    low, high = np.min(found.outline_mm, 0), np.max(found.outline_mm, 0)
    points = np.column_stack([rng.uniform(low, high, (200_000, 2)), rng.uniform(-25, 0, 200_000)])
    points = points[(points[:, :2] @ hull[:, :2].T + hull[:, 2] <= 0).all(axis=1)]
    line, radius = np.array(found_map.tracts[0].centre_mm), found_map.tracts[0].radius_mm[0]
    a, step = line[0], line[-1] - line[0]
    t = np.clip((points - a) @ step / (step @ step), 0, 1)
    tract = np.linalg.norm(points - a - t[:, None] * step, axis=1) - radius
    pit = np.linalg.norm(points - found_map.pits[0].position_mm, axis=1) - 1.0
    share = (np.minimum(tract, pit) > 7.0).mean()
    assert found.healthy_ml / found.volume_ml == pytest.approx(share, abs=0.02)


def plane_gaps(slacks, normals, sd):
    return tuple(
        WallGap(part="T", wall=str(k), gaps=np.array([s]), normals=np.array([n]),
                at=np.zeros(3), sd_mm=sd)
        for k, (s, n) in enumerate(zip(slacks, normals, strict=True))
    )  # fmt: skip


NORMALS = np.array([[0.87, 0.5, 0], [-0.87, 0.5, 0], [-0.87, -0.5, 0], [0.87, -0.5, 0]])
NORMALS = NORMALS / np.linalg.norm(NORMALS, axis=1, keepdims=True)


@pytest.mark.parametrize("shared", [0.5, 1.0, 2.0, 3.0])
def test_chance_agrees_with_plain_monte_carlo(shared):
    slacks = np.array([10.0, 10.0, 11.0, 12.5])
    found = chance_clear(plane_gaps(slacks, NORMALS, 0.8), 6.0, shared, np.random.default_rng(2))
    rng = np.random.default_rng(9)
    shift = rng.normal(0, shared, (100_000, 1, 3)) + rng.normal(0, 0.8, (100_000, 4, 3))
    true = (slacks - (shift * NORMALS).sum(axis=2)).min(axis=1)
    assert found.chance == pytest.approx((true >= 6.0).mean(), abs=0.006)
    assert found.quantile05_mm == pytest.approx(np.quantile(true, 0.05), abs=0.06)


def test_chance_of_a_whole_excision_agrees_with_moved_disease():
    found_map = tract_map()
    field = field_of(found_map, Precision())
    drawn_outline = rhombus_round(found_map)
    sheets = wall_sheets(drawn_outline, field.skin, field.floor)
    found = excise(drawn_outline, field, LIMITS, np.random.default_rng(3)).chance_clear.chance
    rng = np.random.default_rng(8)
    hits = [_moved_clear(field, sheets, rng) for _ in range(600)]
    assert found == pytest.approx(np.mean(hits), abs=0.06)


def _moved_clear(field, sheets, rng):
    shared = rng.normal(0, field.shared_sd_mm, 3)
    moved = tuple(
        replace(p, points=p.points + shared + rng.normal(0, p.sd_mm, 3)) for p in field.parts
    )
    return min(g.gaps[0] for g in wall_gaps(moved, sheets)) >= LIMITS.least_clearance_mm


def test_larger_errors_never_raise_the_chance_of_a_wide_margin():
    slacks = np.full(4, 10.0)
    chances = [
        chance_clear(plane_gaps(slacks, NORMALS, 0.5), 6.0, sd, np.random.default_rng(1)).chance
        for sd in (0.5, 1.5, 3.0)
    ]
    assert chances == sorted(chances, reverse=True)


def test_a_plan_drawn_with_just_the_margin_is_almost_never_that_clear():
    exact = plane_gaps(np.full(4, 10.0), NORMALS, 0.5)
    assert chance_clear(exact, 10.0, 2.0, np.random.default_rng(1)).chance < 0.05


def test_walls_reach_from_the_skin_to_the_floor():
    found_map = tract_map()
    skin, floor = skin_map(found_map.skin), skin_map(found_map.floor)
    for sheet in wall_sheets(rhombus_round(found_map), skin, floor):
        assert np.allclose(sheet.top[:, 2], height_mm(skin, sheet.top[:, :2]), atol=1e-6)
        assert np.allclose(sheet.bottom[:, 2], height_mm(floor, sheet.bottom[:, :2]), atol=1e-6)
        assert (sheet_triangles(sheet)[..., 2] < 40).all()


def test_a_cavity_cloud_holds_its_ellipsoid():
    part = next(p for p in parts_of(tract_map()) if p.name == "T1 end")
    assert isinstance(part, Part)
    assert np.linalg.norm(part.points - part.points.mean(axis=0), axis=1).min() >= 4.0 - 1e-9


def test_drawn_candidates_hold_the_footprint():
    found_map = tract_map()
    field = field_of(found_map, Precision())
    hull = footprint(field.parts, field.skin, 7.0, 0.0)
    family = search(field, LIMITS, (0.0, -42.0))[0]
    for index in range(0, len(family), max(1, len(family) // 20)):
        corners = np.array([c.at_mm for c in drawn(family, index, 0.0, 0.0).outline.corners])
        equations = ConvexHull(corners).equations
        assert (hull @ equations[:, :2].T + equations[:, 2]).max() <= 1e-6
