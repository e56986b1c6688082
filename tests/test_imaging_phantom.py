"""The phantom: its truth is where it says, and its voxels show that truth."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.ndimage import map_coordinates
from scipy.spatial import cKDTree

from crena.imaging import (
    PhantomRecipe,
    TractLook,
    body_to_lps_mm,
    lps_to_body_mm,
    render,
    skin_distance_mm,
    skin_points_lps_mm,
)
from crena.imaging._anatomy import (
    bone_distance_mm,
    muscle_distance_mm,
    skin_slope,
    vessel_distance_mm,
)
from crena.imaging._disease import _ellipsoid_distance
from crena.imaging._render import FLUID_SIGNAL

WHOLE = PhantomRecipe(
    rows=64,
    columns=80,
    slices=12,
    row_spacing_mm=2.4,
    column_spacing_mm=2.0,
    slice_spacing_mm=10.0,
    slice_thickness_mm=10.0,
)
DISEASE = PhantomRecipe(
    rows=56,
    columns=72,
    slices=20,
    row_spacing_mm=0.7,
    column_spacing_mm=0.6,
    slice_spacing_mm=2.5,
    slice_thickness_mm=2.5,
    tilt_deg=11.0,
    roll_deg=-6.0,
    centre_mm=(-8.0, 32.0, -5.0),
    noise_ratio=0.0,
)


@pytest.fixture(scope="module")
def whole():
    return render(WHOLE)


@pytest.fixture(scope="module")
def diseased():
    return render(DISEASE)


def voxel_indices(volume, points_lps_mm):
    """Return fractional (k, j, i) of points, by solving the affine."""
    ones = np.ones((len(points_lps_mm), 1))
    index = np.linalg.solve(volume.affine, np.hstack([points_lps_mm, ones]).T)
    return index[[2, 1, 0]]


def sampled(volume, points_lps_mm):
    return map_coordinates(volume.voxels, voxel_indices(volume, points_lps_mm), order=1)


def voxel_centres(volume):
    k, j, i = np.indices(volume.voxels.shape).reshape(3, -1)
    return (volume.affine @ np.stack([i, j, k, np.ones_like(i)]))[:3].T


def length_mm(points):
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def test_the_same_recipe_gives_the_same_voxels_and_another_seed_other_ones(whole):
    assert np.array_equal(render(WHOLE).volume.voxels, whole.volume.voxels)
    other = render(replace(WHOLE, seed=2)).volume
    assert not np.array_equal(other.voxels, whole.volume.voxels)
    assert other.series_uid != whole.volume.series_uid


def test_the_volume_is_float32_in_slice_row_column_order_and_right_handed(whole):
    assert whole.volume.voxels.shape == (12, 64, 80)
    assert whole.volume.voxels.dtype == np.float32
    assert np.linalg.det(whole.volume.affine[:3, :3]) == pytest.approx(2.4 * 2.0 * 10.0)


def test_progress_rises_to_one():
    told = []
    render(replace(WHOLE, slices=8), progress=lambda share, doing: told.append((share, doing)))
    shares = [share for share, _ in told]
    assert shares == sorted(shares) and len(shares) == 8 and shares[-1] == 1.0


def test_the_body_frame_turns_the_patients_left_to_l_and_keeps_lengths():
    origin, left = body_to_lps_mm(np.array([(0.0, 0.0, 0.0), (-10.0, 0.0, 0.0)]))
    assert left[0] - origin[0] > 9.9
    points = np.array([(1.0, -2.0, 3.0), (40.0, 11.0, -9.0)])
    assert np.allclose(lps_to_body_mm(body_to_lps_mm(points)), points)
    assert length_mm(body_to_lps_mm(points)) == pytest.approx(length_mm(points))


def test_the_landmarks_lie_on_the_midline_skin(whole):
    marks = np.array([whole.coccyx_tip_lps_mm, whole.sacral_crest_lps_mm, whole.anal_verge_lps_mm])
    assert np.abs(skin_distance_mm(marks)).max() < 1e-6
    body = lps_to_body_mm(marks)
    assert np.allclose(body[:, 0], 0.0) and np.allclose(body[0], 0.0)
    assert 40.0 < np.linalg.norm(body[2]) < 44.0 and body[2, 1] < 0.0


def test_the_pits_lie_on_the_midline_skin_at_10_22_and_35_mm(whole):
    pits = lps_to_body_mm(np.array(whole.pits_lps_mm))
    along = [length_mm(lps_to_body_mm(_midline(0.0, y))) for y in pits[:, 1]]
    assert along == pytest.approx([10.0, 22.0, 35.0], abs=0.2)
    assert np.abs(skin_distance_mm(np.array(whole.pits_lps_mm))).max() < 1e-6


def _midline(start_mm, stop_mm):
    y = np.linspace(start_mm, stop_mm, 200)
    return skin_points_lps_mm(np.zeros(200), y)


def test_the_tracts_start_at_their_pits_and_are_sampled_every_quarter_millimetre(whole):
    for tract, pit in zip(whole.tracts, whole.pits_lps_mm[1:], strict=True):
        steps = np.linalg.norm(np.diff(tract.centre_lps_mm, axis=0), axis=1)
        assert np.allclose(tract.centre_lps_mm[0], pit)
        assert np.allclose(steps, 0.25, atol=0.01)
        assert len(tract.outer_radius_mm) == len(tract.centre_lps_mm)
        assert np.allclose(tract.outer_radius_mm - tract.lumen_radius_mm, 1.0)


def test_the_long_tract_runs_to_the_patients_left_and_the_short_one_to_the_right(whole):
    long, short = (lps_to_body_mm(tract.centre_lps_mm) for tract in whole.tracts)
    assert 34.0 < length_mm(long) < 38.0 and 13.0 < length_mm(short) < 15.0
    assert -15.0 < long[-1, 0] < -11.0 and short[-1, 0] > 5.0
    assert long[-1, 1] > long[0, 1] + 10.0
    assert 14.0 < -skin_distance_mm(whole.tracts[0].centre_lps_mm).min() < 17.0
    assert 8.0 < -skin_distance_mm(whole.tracts[1].centre_lps_mm).min() < 10.0


def test_the_disease_stays_clear_of_bone_muscle_and_vessels(whole):
    for tract in whole.tracts:
        body = lps_to_body_mm(tract.centre_lps_mm).T
        for surface in (bone_distance_mm, muscle_distance_mm, vessel_distance_mm):
            assert (surface(*body) - tract.outer_radius_mm).min() > 5.0
    centre = lps_to_body_mm(np.array([whole.cavity.centre_lps_mm])).T
    largest = max(np.linalg.norm(axis) for axis in whole.cavity.half_axes_lps_mm)
    assert largest <= 8.0 and bone_distance_mm(*centre)[0] > largest + 5.0


def test_the_half_axes_of_the_cavity_are_at_right_angles(whole):
    axes = np.array(whole.cavity.half_axes_lps_mm)
    assert np.allclose(axes @ axes.T, np.diag([49.0, 30.25, 20.25]), atol=1e-9)


def test_the_lone_spot_lies_5_to_8_mm_from_the_long_tract_and_touches_nothing(whole):
    spot = np.array(whole.spot.centre_lps_mm)
    gaps = [
        (np.linalg.norm(tract.centre_lps_mm - spot, axis=1) - tract.outer_radius_mm).min()
        - whole.spot.radius_mm
        for tract in whole.tracts
    ]
    assert 5.0 < gaps[0] < 8.0 and gaps[1] > 5.0
    assert np.linalg.norm(spot - whole.cavity.centre_lps_mm) > 8.0 + whole.spot.radius_mm + 5.0


def test_the_floor_points_lie_on_bone_and_muscle_at_the_depths_of_the_plan(whole):
    presacral = np.array(whole.presacral_lps_mm)
    gluteal = np.array(whole.gluteal_lps_mm)
    assert np.abs(bone_distance_mm(*lps_to_body_mm(presacral).T)).max() < 1e-6
    assert np.abs(muscle_distance_mm(*lps_to_body_mm(gluteal).T)).max() < 1e-6
    midline = np.abs(lps_to_body_mm(presacral)[:, 0]) < 1e-6
    depths = -skin_distance_mm(presacral[midline])
    assert 6 <= len(presacral) <= 12 and 25.0 < depths.min() and depths.max() < 30.0
    depths = -skin_distance_mm(gluteal)
    assert len(gluteal) >= 8 and 20.0 < depths.min() and depths.max() < 25.0
    sides = np.sign(lps_to_body_mm(gluteal)[:, 0])
    assert (sides > 0).sum() == (sides < 0).sum()


def test_the_distance_from_the_skin_agrees_with_the_nearest_of_many_skin_points():
    rng = np.random.default_rng(4)
    body = rng.uniform((-45.0, -35.0, -25.0), (45.0, 55.0, 3.0), size=(200, 3))
    points = body_to_lps_mm(body)
    x, y = np.meshgrid(np.arange(-75.0, 75.0, 0.2), np.arange(-70.0, 90.0, 0.2))
    nearest, _ = cKDTree(skin_points_lps_mm(x.ravel(), y.ravel())).query(points)
    distance = skin_distance_mm(points)
    half_cell_mm = 0.25
    below = distance < 0.0
    assert below.sum() > 100
    assert (np.abs(distance) <= nearest + 1e-6)[below].all()
    assert (nearest**2 - distance**2 <= half_cell_mm**2)[below].all()


def test_the_slopes_of_the_skin_are_its_differences():
    x, y, step = np.array([-20.0, 3.0, 31.0]), np.array([-30.0, 12.0, 50.0]), 1e-3
    ahead = lps_to_body_mm(skin_points_lps_mm(x + step, y))[:, 2]
    behind = lps_to_body_mm(skin_points_lps_mm(x - step, y))[:, 2]
    up = lps_to_body_mm(skin_points_lps_mm(x, y + step))[:, 2]
    down = lps_to_body_mm(skin_points_lps_mm(x, y - step))[:, 2]
    along_x, along_y = skin_slope(x, y)
    assert np.allclose(along_x, (ahead - behind) / (2 * step), atol=1e-6)
    assert np.allclose(along_y, (up - down) / (2 * step), atol=1e-6)


def test_the_cleft_is_22_mm_deep_at_the_anus_and_5_mm_at_the_sacral_crest():
    def valley_mm(y_mm):
        x = np.linspace(-60.0, 60.0, 481)
        z = lps_to_body_mm(skin_points_lps_mm(x, np.full(481, y_mm)))[:, 2]
        return (z + x**2 / 280.0).max() - z[240]

    assert valley_mm(-42.0) == pytest.approx(22.0, abs=1.5)
    assert valley_mm(58.0) == pytest.approx(6.0, abs=1.0)


def test_a_sphere_has_its_exact_distance():
    points = np.array([(3.0, 0.0, 4.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0)])
    assert np.allclose(_ellipsoid_distance(points, np.full(3, 2.0)), [3.0, -1.0, -2.0])


def test_bright_tracts_are_seen_where_the_truth_says(diseased):
    for tract in diseased.tracts:
        inner = tract.centre_lps_mm[8:-4]
        assert sampled(diseased.volume, inner).min() > 350.0
    aside = diseased.tracts[0].centre_lps_mm[60:100] - np.array([0.0, 9.0, 0.0])
    assert sampled(diseased.volume, aside).max() < 250.0


def test_the_bright_voxels_of_the_cavity_are_centred_on_it(diseased):
    centres = voxel_centres(diseased.volume)
    axes = np.array(diseased.cavity.half_axes_lps_mm)
    local = (centres - diseased.cavity.centre_lps_mm) @ np.linalg.inv(axes)
    inside = (np.linalg.norm(local, axis=1) < 1.0) & (diseased.volume.voxels.ravel() > 600.0)
    middle = centres[inside].mean(axis=0)
    assert np.linalg.norm(middle - diseased.cavity.centre_lps_mm) < 0.5


def test_the_lone_spot_has_the_volume_of_its_ball():
    spot = render(DISEASE).spot
    fine = replace(
        DISEASE,
        rows=24,
        columns=24,
        slices=24,
        row_spacing_mm=0.3,
        column_spacing_mm=0.3,
        slice_spacing_mm=0.3,
        slice_thickness_mm=0.3,
        centre_mm=tuple(lps_to_body_mm(np.array(spot.centre_lps_mm)).tolist()),
    )
    n_bright = (render(fine).volume.voxels > 0.5 * (0.8 * FLUID_SIGNAL + 160.0)).sum()
    assert n_bright * 0.3**3 == pytest.approx(4.0 / 3.0 * np.pi * 2.0**3, rel=0.05)


def test_a_dark_lumen_is_darker_than_its_wall_and_a_low_contrast_one_dimmer_than_fluid(diseased):
    cavity = np.array([diseased.cavity.centre_lps_mm])
    dark = sampled(render(replace(DISEASE, look=TractLook.DARK_LUMEN)).volume, cavity)[0]
    low = sampled(render(replace(DISEASE, look=TractLook.LOW_CONTRAST)).volume, cavity)[0]
    bright = sampled(diseased.volume, cavity)[0]
    assert dark < 150.0 < 350.0 < low < 500.0 < 700.0 < bright


def test_a_collapsed_tract_has_no_lumen_over_6_mm_and_is_otherwise_the_same(diseased):
    shut = render(replace(DISEASE, look=TractLook.COLLAPSED))
    one, other = shut.tracts[0], diseased.tracts[0]
    assert np.array_equal(one.centre_lps_mm, other.centre_lps_mm)
    closed = one.lumen_radius_mm == 0.0
    assert closed.sum() * 0.25 == pytest.approx(6.0, abs=0.3)
    assert np.allclose(one.outer_radius_mm[closed], 1.0)
    middle = one.centre_lps_mm[closed][8:-8]
    assert sampled(shut.volume, middle).max() < 480.0 < sampled(diseased.volume, middle).min()


def test_the_air_holds_rayleigh_noise(whole):
    outside = skin_distance_mm(voxel_centres(whole.volume)[::7]) > 8.0
    air = whole.volume.voxels.ravel()[::7][outside]
    sd = WHOLE.noise_ratio * FLUID_SIGNAL
    assert len(air) > 1000
    assert air.mean() == pytest.approx(sd * np.sqrt(np.pi / 2.0), rel=0.04)


def test_marrow_and_cortex_stand_out_from_fat(whole):
    quiet = render(replace(DISEASE, centre_mm=(0.0, 30.0, -28.0))).volume
    body = np.array([(0.0, 33.0, -29.5), (0.0, 33.0, -25.8), (0.0, 33.0, -20.0)])
    marrow, cortex, fat = sampled(quiet, body_to_lps_mm(body))
    assert cortex < 100.0 < 120.0 < fat < 170.0 < marrow
