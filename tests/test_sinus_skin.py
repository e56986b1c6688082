"""The skin of a scan: planes and cylinders of known height, and the phantom's truth."""

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest

from crena.geometry.frames import skin_frame, to_lps_mm, to_skin_mm
from crena.imaging.phantom import Phantom, PhantomRecipe, render, skin_distance_mm
from crena.records.errors import ScanError
from crena.records.scans import SkinFrame, Volume
from crena.records.tracts import Surface
from crena.sinus.skin import read_skin

FRAME = SkinFrame(
    origin_lps_mm=(4.0, -7.0, 12.0),
    x_axis=(-1.0, 0.0, 0.0),
    y_axis=(0.0, np.sin(0.1), np.cos(0.1)),
    z_axis=(0.0, np.cos(0.1), -np.sin(0.1)),
)
Height = Callable[[np.ndarray, np.ndarray], np.ndarray]


def body(height: Height, *, noise: float = 0.0) -> Volume:
    """Flesh of signal 200 under a skin of known height, 0.8 x 0.7 x 3 mm, in sub-samples."""
    shape = (26, 110, 100)
    affine = np.diag([0.8, 0.7, 3.0, 1.0])
    affine[:3, 3] = np.array(FRAME.origin_lps_mm) - np.array([40.0, 45.0, 37.5])
    kji = np.indices(shape).reshape(3, -1).T[:, ::-1]
    signal = 200.0 * (rise_mm(kji, affine, height) < 0.0)
    near = np.flatnonzero(np.abs(rise_mm(kji, affine, height)) < 3.0)
    steps = [(0.0, b, c) for b in np.linspace(-0.4, 0.4, 5) for c in np.linspace(-0.4, 0.4, 5)]
    inside = [rise_mm(kji[near] + step, affine, height) < 0.0 for step in steps]
    signal[near] = 200.0 * np.mean(inside, axis=0)
    if noise > 0.0:
        signal = signal + np.random.default_rng(5).normal(0.0, noise, len(kji))
    return Volume(
        voxels=signal.reshape(shape).astype(np.float32),
        affine=affine,
        slice_thickness_mm=3.0,
        frame_of_reference_uid="1",
        series_uid="2",
        prone=True,
    )


def rise_mm(ijk: np.ndarray, affine: np.ndarray, height: Height) -> np.ndarray:
    """How far above the skin voxels lie."""
    at = to_skin_mm(FRAME, ijk @ affine[:3, :3].T + affine[:3, 3])
    return at[:, 2] - height(at[:, 0], at[:, 1])


def errors_mm(surface: Surface, height: Height) -> np.ndarray:
    x, y = np.meshgrid(surface.x_mm, surface.y_mm)
    return np.array(surface.z_mm) - height(x, y)


@cache
def phantom() -> Phantom:
    return render(PhantomRecipe(rows=160, columns=200, slices=24, centre_mm=(0.0, 15.0, -10.0)))


def phantom_frame() -> SkinFrame:
    seen = phantom()
    return skin_frame(seen.coccyx_tip_lps_mm, seen.sacral_crest_lps_mm, seen.anal_verge_lps_mm)


def flat(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 0.0 * x - 1.3


def tilted(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return 0.2 * x - 0.15 * y + 0.7


def cylinder(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    return np.sqrt(60.0**2 - (x - 5.0) ** 2) - np.sqrt(60.0**2 - 5.0**2)


@pytest.mark.parametrize("height", [flat, tilted, cylinder])
def test_a_skin_of_known_shape_is_read_at_its_height(height: Height) -> None:
    off = errors_mm(read_skin(body(height), FRAME).surface, height)
    assert abs(off.mean()) < 0.1
    assert np.percentile(np.abs(off), 95) < 0.25


def test_noise_moves_the_skin_by_less_than_its_stated_sd() -> None:
    read = read_skin(body(tilted, noise=25.0), FRAME)
    off = errors_mm(read.surface, tilted)
    assert abs(off.mean()) < 0.15
    assert off.std() < read.surface.sd_mm


def test_the_phantoms_skin_lies_where_it_is() -> None:
    surface = read_skin(phantom().volume, phantom_frame()).surface
    x, y = np.meshgrid(surface.x_mm, surface.y_mm)
    points = np.stack([x, y, np.array(surface.z_mm)], axis=-1).reshape(-1, 3)
    off = skin_distance_mm(to_lps_mm(phantom_frame(), points))
    assert abs(off.mean()) < 0.3
    assert np.percentile(np.abs(off), 95) < 0.7
    assert np.percentile(np.abs(off[np.abs(points[:, 0]) < 6.0]), 95) < 0.7


def test_the_map_ends_where_the_scan_ends() -> None:
    surface = read_skin(body(flat), FRAME, across_mm=(-70.0, 70.0), along_mm=(-60.0, 90.0)).surface
    assert -42.0 < surface.x_mm[0] < -37.0
    assert 36.0 < surface.x_mm[-1] < 42.0
    assert -40.0 < surface.y_mm[0] < -30.0
    assert 30.0 < surface.y_mm[-1] < 40.0


def test_a_hole_is_filled_and_told() -> None:
    volume = body(flat)
    volume.voxels[13, :, 49:51] = 0.0
    read = read_skin(volume, FRAME)
    assert 0.0 < read.filled_fraction < 0.02
    assert "filled from their neighbours" in read.notes[0]
    assert np.abs(errors_mm(read.surface, flat)).max() < 1.0


def test_a_cleft_that_is_closed_over_a_part_of_its_length_is_refused() -> None:
    def touching(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        valley = -14.0 * np.exp(-((x / 9.0) ** 2))
        return np.where(y < -12.0, 14.0, 14.0 + valley)

    with pytest.raises(ScanError, match="jumps by 1[0-9] mm"):
        read_skin(body(touching), FRAME)


def test_a_cleft_that_is_closed_all_along_is_refused_at_the_landmark() -> None:
    with pytest.raises(ScanError, match="11 mm away from where it is clicked"):
        read_skin(body(lambda x, y: 0.0 * x + 11.0), FRAME)


def test_a_scan_without_skin_is_refused() -> None:
    with pytest.raises(ScanError, match="skin"):
        read_skin(body(lambda x, y: 0.0 * x + 300.0), FRAME)
