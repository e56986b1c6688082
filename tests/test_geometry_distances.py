"""Gaps of tubes to walls: closed forms, dense sampling and a solid modeller."""

import numpy as np
import pytest
from manifold3d import Manifold, Mesh

from crena.geometry.distances import cloud_gaps_mm, tube_gaps_mm
from crena.geometry.supports import sphere_points

WALL = np.array([[[10.0, -50, -50], [10, 50, -50], [10, 0, 80]]])
BENT = np.array([[0.0, 0, 0], [3, 9, -4], [5, 20, -9], [1, 31, -15]])
WIDE = np.array([1.0, 1.6, 2.4, 3.1])


def test_ball_to_plane_is_the_distance_less_the_radius():
    assert tube_gaps_mm(np.zeros((1, 3)), np.array([3.0]), WALL)[0, 0] == pytest.approx(7.0)


def test_cone_leaning_to_a_wall_is_nearest_within_its_length():
    """A cone whose radius grows while it leaves the wall: the least lies inside."""
    edge = np.array([[[10.0, 15.0, -1], [10, 15.0, 1], [60, 15.0, 0]]])
    found = tube_gaps_mm(np.array([[0.0, 0, 0], [0, 30, 0]]), np.array([1.0, 4.0]), edge)[0]
    t = np.linspace(0, 1, 200_001)
    dense = (np.hypot(10, 30 * t - 15) - (1 + 3 * t)).min()
    assert found[0] == pytest.approx(dense, abs=1e-8)
    assert 15 < found[2] < 30


def test_bent_tube_agrees_with_dense_sampling():
    rng = np.random.default_rng(3)
    walls = rng.normal(0, 25, (40, 3, 3)) + np.array([30.0, 10, -10])
    found = tube_gaps_mm(BENT, WIDE, walls)[:, 0]
    grid = np.array([(a, b) for a in np.linspace(0, 1, 61) for b in np.linspace(0, 1 - a, 61)])
    t = np.linspace(0, 3, 301)
    line = np.column_stack([np.interp(t, range(4), BENT[:, k]) for k in range(3)])
    radius = np.interp(t, range(4), WIDE)
    for wall, gap in zip(walls[:8], found[:8], strict=True):
        inside = wall[0] + grid[:, :1] * (wall[1] - wall[0]) + grid[:, 1:] * (wall[2] - wall[0])
        dense = (np.linalg.norm(line[:, None] - inside[None], axis=2) - radius[:, None]).min()
        assert dense - 1.0 <= gap <= dense + 1e-9


def test_gap_agrees_with_a_solid_modeller():
    balls = [
        Manifold.sphere(float(r), 256).translate([float(v) for v in c])
        for c, r in zip(BENT, WIDE, strict=True)
    ]
    tube = Manifold.batch_hull([balls[0], balls[1]])
    for a, b in zip(balls[1:-1], balls[2:], strict=True):
        tube = tube + Manifold.batch_hull([a, b])
    wall = WALL[0] + np.array([0.0, 20, 0])
    corners = np.concatenate([wall, wall + [5.0, 0, 0]]).astype(np.float32)
    faces = np.array(
        [[0, 2, 1], [3, 4, 5], [0, 1, 3], [1, 4, 3], [1, 2, 4], [2, 5, 4], [2, 0, 5], [0, 3, 5]]
    )
    slab = Manifold(Mesh(corners, faces.astype(np.uint32)))
    assert slab.volume() != 0
    own = tube_gaps_mm(BENT, WIDE, wall[None])[0, 0]
    assert own == pytest.approx(tube.min_gap(slab, 50.0), abs=0.01)


def test_cloud_of_an_ellipsoid_is_never_optimistic():
    axes = np.diag([9.0, 6.0, 4.0])
    gap = cloud_gaps_mm(sphere_points(3) @ axes, WALL + np.array([5.0, 0, 0]))[0, 0]
    assert 6.0 - 0.06 <= gap <= 6.0


def test_turned_tube_and_wall_keep_their_gap():
    rng = np.random.default_rng(11)
    turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    one = tube_gaps_mm(BENT, WIDE, WALL)[0, 0]
    assert tube_gaps_mm(BENT @ turn.T, WIDE, WALL @ turn.T)[0, 0] == pytest.approx(one, abs=1e-9)
