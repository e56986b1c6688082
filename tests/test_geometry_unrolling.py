"""Unrolling the cleft: exact on slopes and cylinders, and back again."""

import numpy as np
import pytest

from crena.geometry.unrolling import height_mm, roll_mm, skin_map, unroll_mm
from crena.records import Origin, Surface

X = np.linspace(-60, 70, 261)
Y = np.linspace(-50, 80, 27)


def surface(height, x=X, y=Y):
    z = tuple(tuple(float(height(a, b)) for a in x) for b in y)
    return Surface(
        x_mm=tuple(map(float, x)),
        y_mm=tuple(map(float, y)),
        z_mm=z,
        origin=Origin.ENTERED,
        sd_mm=0.0,
    )


def cleft(x, y):
    return (22 - 0.1 * y) * (1 - np.exp(-(x**2) / (2 * 14**2))) + 0.05 * y


def test_flat_skin_is_its_own_unrolling():
    flat = skin_map(surface(lambda x, y: 0.0))
    points = np.array([[-30.0, 5.0], [12.3, -4.0]])
    assert np.allclose(unroll_mm(flat, points), points)


def test_cylinder_unrolls_by_its_arc():
    round_skin = skin_map(surface(lambda x, y: np.sqrt(100.0**2 - x**2)))
    s = unroll_mm(round_skin, [[50.0, 0.0]])[0, 0]
    assert s == pytest.approx(100 * np.arcsin(0.5), abs=0.01)


def test_cleft_makes_the_skin_longer_than_its_shadow():
    s = unroll_mm(skin_map(surface(cleft)), [[30.0, 0.0]])[0, 0]
    assert 1.1 < s / 30 < 1.4


def test_points_come_back_from_the_template():
    skin = skin_map(surface(cleft))
    xy = np.array([[-41.0, 33.0], [0.0, 0.0], [8.5, -21.7], [55.0, 71.0]])
    back = roll_mm(skin, unroll_mm(skin, xy))
    assert np.allclose(back[:, :2], xy, atol=1e-9)
    assert np.allclose(back[:, 2], height_mm(skin, xy), atol=1e-9)


def test_beyond_the_map_the_skin_runs_on_level():
    skin = skin_map(surface(cleft))
    edge = unroll_mm(skin, [[70.0, 10.0]])[0, 0]
    assert unroll_mm(skin, [[75.0, 10.0]])[0, 0] == pytest.approx(edge + 5)
    assert roll_mm(skin, [[edge + 5, 10.0]])[0, 0] == pytest.approx(75.0)


def test_mirrored_skin_mirrors_the_unrolling():
    lopsided = skin_map(surface(lambda x, y: cleft(x - 3, y)))
    other = skin_map(surface(lambda x, y: cleft(-x - 3, y), x=np.linspace(-70, 60, 261)))
    s = unroll_mm(lopsided, [[25.0, 4.0]])[0, 0]
    assert unroll_mm(other, [[-25.0, 4.0]])[0, 0] == pytest.approx(-s, abs=1e-9)
