"""The floor of the excision, from clicked points and from entered depths."""

import numpy as np
import pytest
from scipy.interpolate import RBFInterpolator

from crena.records.errors import InputError
from crena.records.sides import Origin
from crena.records.tracts import Surface
from crena.sinus.floor import CLICK_SD_MM, STIFFNESS, entered_floor, floor_surface


def skin(height_mm: float = 2.0) -> Surface:
    x, y = np.arange(-60.0, 51.0, 5.0), np.arange(-20.0, 71.0, 6.0)
    row = tuple(float(height_mm + 0.1 * v) for v in x)
    return Surface(
        x_mm=tuple(x), y_mm=tuple(y), z_mm=(row,) * len(y), origin=Origin.SCAN, sd_mm=0.4
    )


def on(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """A tilted plane, deeper than the skin everywhere."""
    return -30.0 - 0.2 * x + 0.1 * y


def clicks(where: str) -> np.ndarray:
    across = [0.0, -3.0, 2.0] if where == "presacral" else [-50.0, -27.0, 22.0, 44.0]
    x, y = (v.ravel() for v in np.meshgrid(across, [-8.0, 14.0, 31.0, 60.0]))
    return np.stack([x, y, on(x, y)], axis=1)


def grid(surface: Surface) -> tuple[np.ndarray, np.ndarray]:
    x, y = np.meshgrid(surface.x_mm, surface.y_mm)
    return x, y


def test_points_on_a_plane_give_the_plane() -> None:
    floor = floor_surface(skin(), clicks("presacral"), clicks("gluteal"))
    assert np.array(floor.z_mm) == pytest.approx(on(*grid(floor)), abs=1e-6)
    assert floor.sd_mm == pytest.approx(CLICK_SD_MM, abs=1e-6)


def test_the_floor_stays_5_mm_under_the_skin() -> None:
    shallow = skin(-30.0)
    floor = floor_surface(shallow, clicks("presacral"), clicks("gluteal"))
    under = np.array(shallow.z_mm) - np.array(floor.z_mm)
    assert under.min() == pytest.approx(5.0)
    assert under.max() > 6.0


def test_the_sd_is_the_error_of_leaving_clicks_out() -> None:
    noisy = clicks("gluteal") + np.random.default_rng(3).normal(0, 1, (16, 1)) * [0.0, 0.0, 2.0]
    floor = floor_surface(skin(), clicks("presacral"), noisy)
    every = np.concatenate([clicks("presacral"), noisy])
    missed = [left_out_mm(every, i) for i in range(len(every))]
    assert floor.sd_mm == pytest.approx(np.hypot(np.sqrt(np.mean(np.square(missed))), CLICK_SD_MM))


def left_out_mm(points: np.ndarray, i: int) -> float:
    """Fit the plate without one point, in so many words, and miss that point."""
    from_others = np.delete(points, i, axis=0)
    scale = np.sqrt(np.prod(np.ptp(points[:, :2], axis=0) + 1.0) / len(points))
    plate = RBFInterpolator(from_others[:, :2] / scale, from_others[:, 2], smoothing=STIFFNESS)
    return float(points[i, 2] - plate(points[i : i + 1, :2] / scale)[0])


def test_mirrored_points_give_the_mirrored_floor() -> None:
    bent = clicks("gluteal") + np.array([[0.0, 0.0, 3.0]] * 5 + [[0.0, 0.0, 0.0]] * 11)
    even = Surface(
        x_mm=(-40.0, -10.0, 0.0, 10.0, 40.0),
        y_mm=(0.0, 20.0),
        z_mm=((0.0,) * 5,) * 2,
        origin=Origin.SCAN,
        sd_mm=0.4,
    )
    turn = np.array([-1.0, 1.0, 1.0])
    here = floor_surface(even, clicks("presacral"), bent)
    there = floor_surface(even, clicks("presacral") * turn, bent * turn)
    assert np.array(here.z_mm)[:, ::-1] == pytest.approx(np.array(there.z_mm), abs=1e-9)


def test_entered_depths_hold_at_the_midline_and_beside_it() -> None:
    floor = entered_floor(
        skin(), presacral_depth_mm=22.0, gluteal_depth_mm=31.0, transition_half_width_mm=20.0
    )
    depth = np.array(skin().z_mm) - np.array(floor.z_mm)
    at = {x: depth[0, floor.x_mm.index(x)] for x in (0.0, 10.0, -10.0, 20.0, -60.0)}
    assert list(at.values()) == pytest.approx([22.0, 26.5, 26.5, 31.0, 31.0])
    assert floor.origin is Origin.ENTERED


@pytest.mark.parametrize("depth_mm", [4.0, 151.0, float("nan")])
def test_a_depth_that_cannot_be_is_refused(depth_mm: float) -> None:
    with pytest.raises(InputError, match="presacral fascia"):
        entered_floor(
            skin(), presacral_depth_mm=depth_mm, gluteal_depth_mm=30.0, transition_half_width_mm=9.0
        )


def test_too_few_points_are_refused() -> None:
    with pytest.raises(InputError, match="Only 2 points are clicked on sacrum"):
        floor_surface(skin(), clicks("presacral")[:2], clicks("gluteal"))


def test_points_on_one_line_are_refused() -> None:
    line = np.stack([np.zeros(4), np.arange(4.0) * 9.0, -np.full(4, 30.0)], axis=1)
    with pytest.raises(InputError, match="on one line"):
        floor_surface(skin(), line, line + [0.0, 40.0, 0.0])
