"""Points in a union of balls: looked up by cells, against every ball in turn."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crena.geometry.balls import balls_of, within_balls


def in_any(points, centres, radii):
    """Hold every point against every ball."""
    apart = np.linalg.norm(points[:, None] - centres[None], axis=2)
    return (apart <= radii).any(axis=1)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 60), st.floats(0.5, 300), st.floats(0, 20))
def test_cells_find_what_a_look_at_every_ball_finds(seed, count, spread_mm, most_mm):
    rng = np.random.default_rng(seed)
    centres = rng.normal(size=(count, 3)) * [spread_mm, 0.4 * spread_mm, 0.1 * spread_mm]
    radii = rng.uniform(0, most_mm, count)
    near = centres[rng.integers(0, count, 400)] + rng.normal(size=(400, 3)) * most_mm
    points = np.concatenate([near, rng.normal(size=(200, 3)) * spread_mm])
    found = within_balls(points, balls_of(centres, radii))
    assert (found == in_any(points, centres, radii)).all()


@pytest.mark.parametrize("radius_mm", [1.0, 2.0, 7.5])
def test_the_skin_of_a_ball_belongs_to_it(radius_mm):
    balls = balls_of(np.zeros((1, 3)), np.array([radius_mm]))
    ways = np.concatenate([np.eye(3), -np.eye(3)])
    assert within_balls(radius_mm * ways, balls).all()
    assert not within_balls(1.001 * radius_mm * ways, balls).any()


def test_one_set_of_balls_answers_many_times():
    rng = np.random.default_rng(7)
    balls = balls_of(rng.normal(size=(20, 3)) * 10, np.full(20, 4.0))
    points = rng.normal(size=(500, 3)) * 12
    assert (within_balls(points, balls) == within_balls(points, balls)).all()
    assert within_balls(points[:0], balls).shape == (0,)
