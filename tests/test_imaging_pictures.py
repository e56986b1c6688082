"""How a series is shown: which way is head and right, which greys, where the air is."""

import itertools
from dataclasses import replace

import numpy as np
import pytest

from crena.imaging import PhantomRecipe, picture_of, render, skin_distance_mm
from crena.records import ViewName, Volume, VoxelAxis, Way

AXIS = {VoxelAxis.COLUMN: 0, VoxelAxis.ROW: 1, VoxelAxis.SLICE: 2}
TOWARDS = {
    Way.LEFT: (1, 0, 0), Way.RIGHT: (-1, 0, 0), Way.BACK: (0, 1, 0),
    Way.FRONT: (0, -1, 0), Way.HEAD: (0, 0, 1), Way.FEET: (0, 0, -1),
}  # fmt: skip

STACKS = [
    (order, signs)
    for order in itertools.permutations(range(3))
    for signs in itertools.product((1, -1), repeat=3)
]
"""Every way in which columns, rows and slices can run along the body's axes."""


def volume(affine, voxels=None):
    return Volume(
        voxels=np.ones((4, 5, 6), np.float32) if voxels is None else voxels,
        affine=affine,
        slice_thickness_mm=3.0,
        frame_of_reference_uid="1.2",
        series_uid="1.2.3",
        prone=True,
    )


def stack(order, signs, tilt_deg=0.0):
    """Make an affine whose i, j, k run along the given axes, 0.5, 0.8 and 3 mm apart."""
    affine = np.eye(4)
    affine[:3, :3] = 0
    for voxel, (axis, sign, mm) in enumerate(zip(order, signs, (0.5, 0.8, 3.0), strict=True)):
        affine[axis, voxel] = sign * mm
    angle = np.radians(tilt_deg)
    turn = np.array(
        [[1, 0, 0], [0, np.cos(angle), -np.sin(angle)], [0, np.sin(angle), np.cos(angle)]]
    )
    affine[:3, :3] = turn @ affine[:3, :3]
    return affine


def runs(view, affine, axis, turned):
    """Return the direction in the patient in which a picture's index runs as it is drawn."""
    step = affine[:3, AXIS[axis]]
    return (-step if turned else step) / np.linalg.norm(step)


@pytest.mark.parametrize("tilt_deg", [0, 20])
@pytest.mark.parametrize(("order", "signs"), STACKS)
def test_every_edge_is_where_its_word_says_however_the_series_was_taken(order, signs, tilt_deg):
    affine = stack(order, signs, tilt_deg)
    picture, _ = picture_of(volume(affine), "")
    near = np.cos(np.radians(tilt_deg)) - 1e-9
    for view in picture.views:
        assert {view.across, view.down, view.through} == set(VoxelAxis)
        right = runs(view, affine, view.across, view.across_turned)
        down = runs(view, affine, view.down, view.down_turned)
        onward = runs(view, affine, view.through, view.through_turned)
        assert right @ TOWARDS[view.right] >= near and right @ TOWARDS[view.left] <= -near
        assert down @ TOWARDS[view.bottom] >= near and down @ TOWARDS[view.top] <= -near
        assert onward @ TOWARDS[view.towards] >= near
    assert picture.tilt_deg == pytest.approx(tilt_deg)


def test_the_patients_right_lies_on_the_viewers_right_wherever_it_is_seen():
    picture, _ = picture_of(volume(stack((0, 1, 2), (1, 1, 1))), "")
    across, side, behind = picture.views
    assert (across.name, across.right, across.top) == (ViewName.ACROSS, Way.RIGHT, Way.BACK)
    assert (behind.name, behind.right, behind.top) == (ViewName.BEHIND, Way.RIGHT, Way.HEAD)
    assert (side.name, side.right, side.top) == (ViewName.SIDE, Way.BACK, Way.HEAD)


def test_pixels_keep_their_own_width_and_height():
    picture, _ = picture_of(volume(stack((0, 1, 2), (-1, -1, 1))), "")
    across, side, _ = picture.views
    assert (across.column_mm, across.row_mm, across.step_mm) == (0.5, 0.8, 3.0)
    assert (across.columns, across.rows, across.slices) == (6, 5, 4)
    assert (side.column_mm, side.row_mm, side.step_mm) == (0.8, 3.0, 0.5)
    assert [view.as_scanned for view in picture.views] == [True, False, False]


@pytest.mark.parametrize(
    ("low", "high", "scale"), [(0, 900, 1), (-300, 500, 1), (0, 64_000, 0.5), (0, 1, 32_000)]
)
def test_signals_become_whole_numbers_that_fit(low, high, scale):
    voxels = np.linspace(low, high, 4 * 5 * 6).reshape(4, 5, 6).astype(np.float32)
    _, numbers = picture_of(volume(np.eye(4), voxels), "")
    shown = np.where(numbers < 0, -1 - numbers.astype(int), numbers)
    assert np.abs(shown - scale * (voxels - min(0, low))).max() <= 0.51


@pytest.fixture(scope="module")
def phantom():
    return render(PhantomRecipe(seed=12))


def test_air_behind_the_patient_is_told_from_the_body_and_no_signal_is_lost(phantom):
    scanned = phantom.volume
    picture, numbers = picture_of(scanned, "")
    kji = np.stack(np.unravel_index(np.arange(0, numbers.size, 211), numbers.shape), -1)
    points = kji[:, ::-1] @ scanned.affine[:3, :3].T + scanned.affine[:3, 3]
    outside_mm, body = skin_distance_mm(points), numbers[tuple(kji.T)] >= 0
    assert body[outside_mm < -3].mean() > 0.999
    assert body[outside_mm > 3].mean() < 0.001
    shown = np.where(numbers < 0, -1 - numbers.astype(int), numbers)
    assert np.array_equal(shown, np.rint(scanned.voxels).astype(int))
    assert 0 <= picture.window.low < picture.window.high <= picture.widest.high


def test_a_series_of_nothing_is_shown_and_not_broken():
    picture, numbers = picture_of(volume(np.eye(4), np.zeros((4, 5, 6), np.float32)), "")
    assert picture.window.high > picture.window.low
    assert numbers.shape == (4, 5, 6)


def test_notes_and_position_are_carried_along():
    found, _ = picture_of(replace(volume(np.eye(4)), notes=("Supine.",), prone=False), "f" * 64)
    assert (found.notes, found.prone, found.voxels_sha256) == (("Supine.",), False, "f" * 64)
