"""Where slices cut balls, ellipsoids, solids and sheets: closed forms, and another library."""

import numpy as np
import pytest
from manifold3d import Manifold
from scipy.spatial import cKDTree

from crena.geometry.slicing import (
    Solid,
    cut_balls,
    cut_ellipsoid,
    cut_sheet,
    cut_solid,
    ellipsoid_within,
    from_voxels,
    to_picture_mm,
    to_voxels,
)
from crena.records import SliceView, ViewName, VoxelAxis, Way

AFFINE = np.array(
    [[0.6, 0.1, 0.4, 5], [-0.1, 0.9, 0.2, -7], [0.05, 0.2, 3.0, 11], [0, 0, 0, 1]], dtype=float
)


def area(outline):
    return abs(signed_area(outline))


def signed_area(outline):
    x, y = np.array(outline).T
    return 0.5 * (x @ np.roll(y, 1) - y @ np.roll(x, 1))


@pytest.mark.parametrize("height", [0.0, 1.2, -2.4])
def test_a_ball_is_cut_as_a_circle_of_the_height_of_the_cut(height):
    (outline,) = cut_balls(np.array([[10.0, -4.0, 0.0]]), [3.0], height)
    radii = np.linalg.norm(np.array(outline) - (10, -4), axis=1)
    assert np.allclose(radii, np.sqrt(9 - height**2), atol=0.05)


@pytest.mark.parametrize("height", [3.0, -3.01, 40.0])
def test_a_slice_beside_a_ball_cuts_nothing(height):
    assert cut_balls(np.array([[10.0, -4.0, 0.0]]), [3.0], height) == ()


def test_a_straight_tube_along_the_slice_is_cut_as_a_stadium():
    centres = np.stack([np.linspace(0, 20, 81), np.zeros(81), np.zeros(81)], -1)
    (outline,) = cut_balls(centres, np.full(81, 2.0), 0.0)
    assert area(outline) == pytest.approx(20 * 4 + np.pi * 4, rel=0.01)


def test_a_tube_that_leaves_the_slice_and_comes_back_is_cut_twice():
    x = np.linspace(-15, 15, 121)
    centres = np.stack([x, np.zeros(121), 6 - 0.08 * x**2], -1)
    assert len(cut_balls(centres, np.full(121, 1.5), 0.0)) == 2


@pytest.mark.parametrize("height", [0.0, 1.5, -2.0])
def test_an_ellipsoid_along_the_axes_is_cut_as_the_ellipse_of_the_textbook(height):
    outline = cut_ellipsoid(np.zeros(3), np.diag([5.0, 3.0, 2.5]), height)
    share = np.sqrt(1 - (height / 2.5) ** 2)
    x, y = np.array(outline).T
    assert np.allclose((x / (5 * share)) ** 2 + (y / (3 * share)) ** 2, 1)


def test_every_point_of_a_cut_lies_on_a_turned_ellipsoid():
    turn = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0]
    axes = np.diag([6.0, 2.0, 3.0]) @ turn
    centre, height = np.array([1.0, 2.0, 4.0]), 4.7
    outline = np.array(cut_ellipsoid(centre, axes, height))
    points = np.column_stack([outline, np.full(len(outline), height)]) - centre
    u = points @ np.linalg.inv(axes)
    assert np.allclose(np.linalg.norm(u, axis=1), 1)
    assert cut_ellipsoid(centre, axes, 40.0) == ()


def box(low, high):
    """Return a box with its corners numbered by bits: x, y, z."""
    points = np.array([[(low, high)[n >> k & 1][k] for k in range(3)] for n in range(8)])
    squares = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]
    faces = [(a, b, c) for a, b, c, _ in squares] + [(a, c, d) for a, _, c, d in squares]
    return Solid(points=points, triangles=np.array(faces))


def solid_of(manifold):
    mesh = manifold.to_mesh()
    points = np.asarray(mesh.vert_properties, dtype=float)[:, :3]
    return Solid(points=points, triangles=np.asarray(mesh.tri_verts, dtype=np.int64))


@pytest.mark.parametrize("height", [-2.0, 0.0, 1.5, 4.99])
def test_a_box_is_cut_as_its_rectangle_also_where_the_plane_holds_its_floor(height):
    (outline,) = cut_solid(box((-3.0, 1.0, -2.0), (4.0, 6.0, 5.0)), height)
    assert area(outline) == pytest.approx(7 * 5)
    assert np.allclose([np.min(outline, axis=0), np.max(outline, axis=0)], [(-3, 1), (4, 6)])


@pytest.mark.parametrize("height", [5.0, 5.1, -2.1])
def test_a_slice_beside_a_box_cuts_nothing(height):
    assert cut_solid(box((-3.0, 1.0, -2.0), (4.0, 6.0, 5.0)), height) == ()


def test_a_turned_body_with_a_hole_is_cut_as_the_other_library_cuts_it():
    body = Manifold.cube((20, 14, 9), True) - Manifold.cylinder(30, 3, 3, 24, True)
    turned = body.rotate((27, -41, 13))
    solid = solid_of(turned)
    for height in np.linspace(-9.3, 9.3, 23):
        theirs = turned.slice(float(height))
        ours = cut_solid(solid, float(height))
        assert len(ours) == theirs.num_contour()
        assert abs(sum(map(signed_area, ours))) == pytest.approx(theirs.area(), rel=1e-4, abs=1e-3)


@pytest.mark.parametrize("axes", [(5.0, 5.0, 5.0), (14.0, 4.0, 9.0), (14.0, 2.0, 3.0)])
def test_all_within_a_distance_of_an_ellipsoid_lies_that_far_off_it_everywhere(axes):
    turn = np.linalg.qr(np.random.default_rng(5).normal(size=(3, 3)))[0]
    half_axes, centre = np.diag(axes) @ turn, np.array([3.0, -2.0, 7.0])
    near = ellipsoid_within(centre, half_axes, 5.0)
    u = np.random.default_rng(6).normal(size=(60_000, 3))
    surface = centre + (u / np.linalg.norm(u, axis=1, keepdims=True)) @ half_axes
    away = cKDTree(surface).query(near.points)[0]
    assert away.min() > 4.99
    assert away.max() < 5.1


def test_the_body_round_an_ellipsoid_is_cut_as_the_other_library_cuts_it():
    near = ellipsoid_within(np.zeros(3), np.diag([9.0, 4.0, 6.0]), 5.0)
    hull = Manifold.hull_points(near.points)
    for height in (-8.0, 0.3, 6.1):
        (ours,) = cut_solid(near, height)
        assert area(ours) == pytest.approx(hull.slice(height).area(), rel=1e-3)


def test_a_sloping_sheet_is_met_along_a_straight_line():
    x, y = np.meshgrid(np.linspace(-20, 30, 11), np.linspace(0, 40, 9))
    grid = np.stack([x, y, 2.0 + 0.5 * x - 0.25 * y], axis=-1)
    (line,) = cut_sheet(grid, 4.0)
    u, v = np.array(line).T
    assert np.allclose(2.0 + 0.5 * u - 0.25 * v, 4.0)
    assert np.ptp(v) == pytest.approx(40.0)
    assert cut_sheet(grid, 90.0) == ()


def test_voxels_go_to_the_patient_and_back():
    voxels = np.array([[0, 0, 0], [10.5, 3, 2], [-1, 7, 30]])
    placed = from_voxels(AFFINE, voxels)
    assert np.allclose(placed[0], AFFINE[:3, 3])
    assert np.allclose(placed[1] - placed[0], AFFINE[:3, :3] @ [10.5, 3, 2])
    assert np.allclose(to_voxels(AFFINE, placed), voxels)


def test_a_place_lies_on_the_picture_where_its_pixel_is_drawn():
    view = SliceView(
        name=ViewName.SIDE, across=VoxelAxis.ROW, down=VoxelAxis.SLICE, through=VoxelAxis.COLUMN,
        across_turned=False, down_turned=True, through_turned=True,
        columns=50, rows=20, slices=60, column_mm=0.9, row_mm=3.0, step_mm=0.6,
        left=Way.FRONT, right=Way.BACK, top=Way.HEAD, bottom=Way.FEET, towards=Way.LEFT,
        as_scanned=False,
    )  # fmt: skip
    voxel = np.array([[12.0, 33.0, 4.0]])
    (place,) = to_picture_mm(view, AFFINE, from_voxels(AFFINE, voxel))
    assert np.allclose(place, [33 * 0.9, (19 - 4) * 3.0, (59 - 12) * 0.6])
