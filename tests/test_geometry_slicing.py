"""Where slices cut balls and ellipsoids, against closed forms."""

import numpy as np
import pytest

from crena.geometry.slicing import cut_balls, cut_ellipsoid, from_voxels, to_picture_mm, to_voxels
from crena.records import SliceView, ViewName, VoxelAxis, Way

AFFINE = np.array(
    [[0.6, 0.1, 0.4, 5], [-0.1, 0.9, 0.2, -7], [0.05, 0.2, 3.0, 11], [0, 0, 0, 1]], dtype=float
)


def area(outline):
    x, y = np.array(outline).T
    return 0.5 * abs(x @ np.roll(y, 1) - y @ np.roll(x, 1))


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
