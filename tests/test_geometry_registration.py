"""Error of a registration at a target: against simulated registrations."""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from crena.geometry.registration import target_error_mm

MARKERS = np.array(
    [[-40, 0, 3], [38, 4, 5], [-35, 60, 9], [41, 55, 8], [0, 75, -4], [2, -30, -9]], float
)


def simulated_error(target, sd_mm, runs=4000):
    rng = np.random.default_rng(17)
    errors = []
    middle = MARKERS.mean(axis=0)
    for _ in range(runs):
        seen = MARKERS + rng.normal(0, sd_mm, MARKERS.shape)
        turn, _ = Rotation.align_vectors(seen - seen.mean(axis=0), MARKERS - middle)
        errors.append(turn.apply(target - middle) + seen.mean(axis=0) - target)
    return np.sqrt((np.array(errors) ** 2).sum(axis=1).mean())


@pytest.mark.parametrize("target", [(0, 25, -15), (-14, 45, -12), (30, -10, -40)])
def test_target_error_fitzpatrick1998_against_simulated_registrations(target):
    """FLE 2 mm, six markers round the cleft; the formula is of first order."""
    fle_mm = 2.0
    predicted = target_error_mm(MARKERS, target, fle_mm)
    simulated = simulated_error(np.array(target, float), fle_mm / np.sqrt(3))
    assert predicted == pytest.approx(simulated, rel=0.03)


def test_more_landmarks_are_never_worse_at_their_middle():
    middle = MARKERS.mean(axis=0)
    few = target_error_mm(MARKERS[:4], MARKERS[:4].mean(axis=0), 2.0)
    assert target_error_mm(MARKERS, middle, 2.0) < few


def test_error_does_not_depend_on_how_the_body_lies():
    turn = Rotation.from_rotvec([0.4, -0.8, 1.1])
    one = target_error_mm(MARKERS, (1, 2, -30), 2.0)
    assert target_error_mm(turn.apply(MARKERS) + 7, turn.apply([1, 2, -30]) + 7, 2.0) == (
        pytest.approx(one)
    )
