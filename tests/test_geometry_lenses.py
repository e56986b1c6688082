"""Fusiform and lens: against a general optimiser, dense sampling and symmetry."""

import numpy as np
import pytest
from scipy.optimize import minimize

from crena.geometry import lenses

RNG = np.random.default_rng(7)
CENTRES = np.column_stack([RNG.normal(-4, 8, 22), RNG.normal(20, 14, 22)])
RADII = RNG.uniform(5, 11, 22)


def by_slsqp(tilt, start):
    t = np.radians(tilt)
    across = np.array([np.cos(t), -np.sin(t)])

    def slack(x):
        gaps = []
        for sign in (-1, 1):
            reach = np.linalg.norm(CENTRES - x[:2] + sign * across * 2 * x[2] / 3, axis=1) + RADII
            gaps.append(5 * x[2] / 6 - reach)
        return np.concatenate(gaps)

    options = {"ftol": 1e-14, "maxiter": 500}
    limits = {"type": "ineq", "fun": slack}
    return minimize(lambda x: x[2], start, constraints=limits, method="SLSQP", options=options)


@pytest.mark.parametrize("tilt", [-80.0, -33.0, 0.0, 12.5, 61.0])
def test_fusiform_agrees_with_slsqp(tilt):
    own = lenses.smallest_fusiform(CENTRES, RADII, aspect_ratio=3.0, tilt_deg=tilt)
    other = by_slsqp(tilt, np.array([*CENTRES.mean(axis=0), own.length_mm * 1.3]))
    assert own.length_mm == pytest.approx(other.x[2], abs=1e-6)


@pytest.mark.parametrize("aspect", [2.5, 4.0])
def test_fusiform_holds_every_disc(aspect):
    own = lenses.smallest_fusiform(CENTRES, RADII, aspect_ratio=aspect, tilt_deg=20.0)
    t = np.radians(20.0)
    pole = own.length_mm / 2 * np.array([np.sin(t), np.cos(t)])
    centre = np.array([own.centre_s_mm, own.centre_y_mm])
    right = lenses.arc_points(centre - pole, centre + pole, own.length_mm / aspect / 2, 0.05)
    left = lenses.arc_points(centre + pole, centre - pole, own.length_mm / aspect / 2, 0.05)
    outline = np.concatenate([right, left])
    gaps = np.linalg.norm(outline[None] - CENTRES[:, None], axis=2).min(axis=1) - RADII
    assert -1e-3 <= gaps.min() <= 1e-3


def test_arc_has_the_height_and_length_asked_for():
    arc = lenses.arc_points(np.array([0.0, 0.0]), np.array([80.0, 0.0]), 30.0, 0.01)
    assert arc[:, 1].min() == pytest.approx(-30.0, abs=1e-4)
    assert np.linalg.norm(np.diff(arc, axis=0), axis=1).sum() == pytest.approx(107.25, abs=0.01)


def test_least_sagittas_touch_the_points_and_no_less():
    points = np.array([[3.0, 10.0], [-12.0, 22.0], [1.0, 40.0], [-4.0, 5.0]])
    poles = np.array([[[18.0, 70.0], [22.0, -30.0]]])
    left, right = lenses.smallest_sagittas_mm(points, poles)[0]
    arc = lenses.arc_points(poles[0, 0], poles[0, 1], left, 0.01)
    gap = np.linalg.norm(arc[None] - points[:, None], axis=2).min(axis=1)
    assert gap.min() == pytest.approx(0.0, abs=0.01)
    assert right == 0.0


def test_lens_refuses_points_beyond_its_poles():
    points = np.array([[0.0, 90.0]])
    poles = np.array([[[18.0, 70.0], [22.0, -30.0]]])
    assert np.isinf(lenses.smallest_sagittas_mm(points, poles)).all()


def test_mirrored_lens_swaps_left_and_right():
    points = RNG.normal(0, 9, (12, 2))
    poles = np.array([[[20.0, 60.0], [23.0, -55.0]]])
    one = lenses.smallest_sagittas_mm(points, poles)[0]
    other = lenses.smallest_sagittas_mm(points * [-1, 1], poles * [-1, 1])[0]
    assert other == pytest.approx(one[::-1], abs=1e-12)
