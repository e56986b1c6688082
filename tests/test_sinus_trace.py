"""Tracts and cavities between clicks: tubes of known shape, and the phantom's truth."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy.spatial import cKDTree

from crena.imaging.phantom import Phantom, PhantomRecipe, TractLook, TrueTract, render
from crena.records.errors import ScanError
from crena.records.scans import CavityClicks, TractClicks, Volume
from crena.sinus._path import resampled
from crena.sinus.trace import Polarity, TracedTract, trace_cavity, trace_tract

LOOKS = list(TractLook)
MIRROR = np.array([-1.0, 1.0, 1.0])
STRAIGHT = np.array([[-12.0, -6.0, -14.0], [9.0, 5.0, 12.0]])
ARC_RADIUS_MM = 18.0


def oblique_affine(
    shape: tuple[int, int, int], spacing_mm: tuple[float, float, float]
) -> np.ndarray:
    """Tilted by 20 and rolled by 10 degrees, its middle at the origin; columns first."""
    tilt, roll = np.radians(20.0), np.radians(10.0)
    about_x = [[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]]
    about_z = [[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]]
    affine = np.eye(4)
    affine[:3, :3] = np.array(about_x) @ np.array(about_z) @ np.diag(spacing_mm)
    affine[:3, 3] = -affine[:3, :3] @ ((np.array(shape[::-1]) - 1) / 2)
    return affine


@cache
def tube_volume(kind: str, outer_mm: float, lumen: float) -> Volume:
    """A tube with a 1 mm wall in a plain block, 0.7 x 0.6 x 2.5 mm, by dense sampling."""
    shape = (26, 100, 90)
    affine = oblique_affine(shape, (0.7, 0.6, 2.5))
    line = cKDTree(resampled(line_of(kind), 0.1))
    kji = np.indices(shape).reshape(3, -1).T
    near = np.flatnonzero(line.query(kji[:, ::-1] @ affine[:3, :3].T + affine[:3, 3])[0] < 6.0)
    total = np.full(len(kji), 150.0)
    offsets = [
        v.ravel() for v in np.meshgrid([-0.25, 0.25], [-0.25, 0.25], np.arange(-0.375, 0.5, 0.25))
    ]
    fine = kji[near, None, ::-1] + np.stack(offsets, axis=-1)
    away = line.query(fine @ affine[:3, :3].T + affine[:3, 3])[0]
    tissue = np.where(away < outer_mm - 1, lumen, np.where(away < outer_mm, 500.0, 150.0))
    total[near] = tissue.mean(axis=1)
    noise = np.random.default_rng(4).normal(0.0, 20.0, len(kji))
    voxels = (total + noise).reshape(shape).astype(np.float32)
    return Volume(
        voxels=voxels,
        affine=affine,
        slice_thickness_mm=2.5,
        frame_of_reference_uid="1.2",
        series_uid="1.3",
        prone=True,
    )


def line_of(kind: str) -> np.ndarray:
    if kind == "straight":
        return STRAIGHT
    turn = np.linspace(0.0, np.pi / 2, 200)
    arc = np.stack([np.cos(turn), np.sin(turn), 0.6 * np.sin(turn)], axis=1) * ARC_RADIUS_MM
    return arc - np.array([9.0, 9.0, 5.0])


def clicks_on(line: np.ndarray, name: str = "A") -> TractClicks:
    return TractClicks(name=name, pit_lps_mm=tuple(line[0]), blind_end_lps_mm=tuple(line[-1]))


def distances(traced: TracedTract, line: np.ndarray) -> np.ndarray:
    return cKDTree(resampled(line, 0.05)).query(traced.centre_lps_mm)[0]


@cache
def phantom(look: TractLook) -> Phantom:
    """The part of the phantom that holds the disease."""
    return render(
        PhantomRecipe(look=look, rows=128, columns=128, slices=22, centre_mm=(-6.0, 30.0, -9.0))
    )


@cache
def jitter() -> np.ndarray:
    """Four click errors of 1.5 mm root mean square."""
    return np.random.default_rng(11).normal(0.0, 1.5 / np.sqrt(3.0), (4, 3))


@cache
def traced(look: TractLook, which: int) -> tuple[TracedTract, TrueTract, np.ndarray]:
    truth = phantom(look).tracts[which]
    ends = truth.centre_lps_mm[[0, -1]] + jitter()[2 * which : 2 * which + 2]
    return trace_tract(phantom(look).volume, clicks_on(ends, truth.name)), truth, ends


def clicked_length_mm(truth: TrueTract, ends: np.ndarray) -> float:
    """The truth's length between the planes across it at the two clicks."""
    line = truth.centre_lps_mm
    length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    start, stop = line[1] - line[0], line[-1] - line[-2]
    before = (line[0] - ends[0]) @ start / np.linalg.norm(start)
    return length + before + (ends[1] - line[-1]) @ stop / np.linalg.norm(stop)


def outside_cavity(look: TractLook, points: np.ndarray) -> np.ndarray:
    cavity = phantom(look).cavity
    axes = np.array(cavity.half_axes_lps_mm)
    local = (points - np.array(cavity.centre_lps_mm)) @ axes.T / (axes**2).sum(axis=1)
    return np.linalg.norm(local, axis=1) > 1.0


@pytest.mark.parametrize(("outer_mm", "lumen"), [(2.0, 800.0), (3.1, 800.0), (2.6, 60.0)])
def test_a_straight_tube_has_its_length_and_radius(outer_mm: float, lumen: float) -> None:
    found = trace_tract(tube_volume("straight", outer_mm, lumen), clicks_on(STRAIGHT))
    assert distances(found, STRAIGHT).mean() < 0.15
    assert found.length_mm == pytest.approx(np.linalg.norm(STRAIGHT[1] - STRAIGHT[0]), abs=0.3)
    assert np.median(found.radius_mm) == pytest.approx(outer_mm, abs=0.1)


def test_a_bent_tube_has_its_arc_length() -> None:
    line = line_of("bent")
    found = trace_tract(tube_volume("bent", 2.4, 800.0), clicks_on(line))
    length = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    assert found.length_mm == pytest.approx(length, abs=0.6)
    assert distances(found, line).mean() < 0.15


def test_the_ends_lie_in_the_planes_of_the_clicks() -> None:
    direction = (STRAIGHT[1] - STRAIGHT[0]) / np.linalg.norm(STRAIGHT[1] - STRAIGHT[0])
    shorter = STRAIGHT + np.array([[4.0], [-7.0]]) * direction
    found = trace_tract(tube_volume("straight", 2.0, 800.0), clicks_on(shorter))
    assert (found.centre_lps_mm[[0, -1]] - shorter) @ direction == pytest.approx([0, 0], abs=0.3)


def test_the_order_of_slices_does_not_matter() -> None:
    volume = tube_volume("bent", 2.4, 800.0)
    affine = volume.affine.copy()
    affine[:3, 3] += affine[:3, 2] * (len(volume.voxels) - 1)
    affine[:3, 2] *= -1
    turned = replace(volume, voxels=volume.voxels[::-1].copy(), affine=affine)
    clicks = clicks_on(line_of("bent"))
    here, there = trace_tract(volume, clicks), trace_tract(turned, clicks)
    assert np.abs(here.centre_lps_mm - there.centre_lps_mm).max() < 0.05


def test_a_mirrored_patient_has_the_mirrored_tract() -> None:
    volume = tube_volume("bent", 2.4, 800.0)
    mirrored = replace(volume, affine=np.diag([*MIRROR, 1.0]) @ volume.affine)
    here = trace_tract(volume, clicks_on(line_of("bent")))
    there = trace_tract(mirrored, clicks_on(line_of("bent") * MIRROR))
    assert np.abs(here.centre_lps_mm * MIRROR - there.centre_lps_mm).max() < 0.1
    assert here.radius_mm == pytest.approx(there.radius_mm, abs=0.05)


def test_a_way_point_leads_the_path_round_a_corner() -> None:
    line = line_of("bent")
    clicks = replace(clicks_on(line), way_points_lps_mm=(tuple(line[100]),))
    found = trace_tract(tube_volume("bent", 2.4, 800.0), clicks)
    assert distances(found, line).mean() < 0.15


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("which", [0, 1])
def test_the_middle_line_is_found_in_every_look(look: TractLook, which: int) -> None:
    found, truth, _ = traced(look, which)
    out = outside_cavity(look, found.centre_lps_mm)
    assert distances(found, truth.centre_lps_mm)[out].mean() <= 0.5


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("which", [0, 1])
def test_the_length_is_that_between_the_clicks(look: TractLook, which: int) -> None:
    found, truth, ends = traced(look, which)
    assert abs(found.length_mm - clicked_length_mm(truth, ends)) <= 3.0
    assert found.length_sd_mm >= phantom(look).volume.slice_thickness_mm / 2


@pytest.mark.parametrize("look", LOOKS)
def test_the_outer_radius_is_not_biased(look: TractLook) -> None:
    found, truth, _ = traced(look, 0)
    out = outside_cavity(look, found.centre_lps_mm)
    nearest = cKDTree(truth.centre_lps_mm).query(found.centre_lps_mm[out])[1]
    assert abs((found.radius_mm[out] - truth.outer_radius_mm[nearest]).mean()) <= 0.3


@pytest.mark.parametrize("look", LOOKS)
def test_the_polarity_of_the_lumen_is_told(look: TractLook) -> None:
    dark = look is TractLook.DARK_LUMEN
    assert traced(look, 0)[0].polarity is (Polarity.DARK if dark else Polarity.BRIGHT)


def test_a_given_polarity_is_kept() -> None:
    volume = tube_volume("straight", 2.6, 60.0)
    found = trace_tract(volume, clicks_on(STRAIGHT), polarity=Polarity.BRIGHT)
    free = trace_tract(volume, clicks_on(STRAIGHT))
    assert (found.polarity, free.polarity) == (Polarity.BRIGHT, Polarity.DARK)
    assert free.cost < found.cost


@pytest.mark.parametrize("look", LOOKS)
def test_the_cavity_has_its_middle_and_its_half_axes(look: TractLook) -> None:
    truth = phantom(look).cavity
    click = np.array(truth.centre_lps_mm) + jitter()[1]
    found = trace_cavity(phantom(look).volume, CavityClicks(name="C1", middle_lps_mm=tuple(click)))
    lengths = np.linalg.norm(found.half_axes_lps_mm, axis=1)
    wanted = np.linalg.norm(truth.half_axes_lps_mm, axis=1)
    assert np.linalg.norm(found.centre_lps_mm - truth.centre_lps_mm) <= 0.5
    assert np.abs(lengths - np.sort(wanted)[::-1]).max() <= 0.6
    across = found.half_axes_lps_mm @ found.half_axes_lps_mm.T
    assert across - np.diag(np.diag(across)) == pytest.approx(np.zeros((3, 3)), abs=1e-9)


def test_a_click_outside_the_scan_is_refused() -> None:
    clicks = clicks_on(np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 400.0]]))
    with pytest.raises(ScanError, match="1 of the 2 points clicked for A"):
        trace_tract(tube_volume("straight", 2.0, 800.0), clicks)


def test_two_ends_on_one_spot_are_refused() -> None:
    clicks = clicks_on(np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 1.5]]))
    with pytest.raises(ScanError, match=r"only 1\.5 mm apart"):
        trace_tract(tube_volume("straight", 2.0, 800.0), clicks)


def test_progress_runs_from_nothing_to_all() -> None:
    told: list[float] = []
    volume = tube_volume("straight", 2.0, 800.0)
    trace_tract(volume, clicks_on(STRAIGHT), progress=lambda done, what: told.append(done))
    assert (told[0], told[-1]) == (0.0, 1.0)
    assert told == sorted(told)
