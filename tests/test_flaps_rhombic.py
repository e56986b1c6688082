"""The rhombic family at large: closed, not crossing itself, mirrored alike."""

import numpy as np
import pytest

from crena.flaps import rhombic
from crena.geometry import rhombi
from crena.records import Side


def random_members(n, seed=5):
    """Corners A to F (n, 6, 2) of random members, with their angles."""
    rng = np.random.default_rng(seed)
    rows = np.column_stack(
        [
            rng.uniform(-30, 30, n), rng.uniform(-10, 60, n), rng.uniform(10, 40, n),
            rng.uniform(60, 90, n), rng.uniform(-90, 90, n), np.zeros(n),
        ]
    )  # fmt: skip
    abcd = rhombic.lettered(rhombi.corner_points(rows), Side.RIGHT, caudal_pivot=True)
    angles = np.column_stack([rng.uniform(0, 45, n), rng.uniform(30, 75, n)])
    ef = rhombic.flap_points(abcd, angles, np.ones((n, 2)))
    return np.concatenate([abcd, ef], axis=1), rows, angles


def cross(u, v):
    return u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]


def area(points):
    q = points - points[:, :1]
    r = np.roll(q, -1, axis=1)
    return np.abs((q[..., 0] * r[..., 1] - r[..., 0] * q[..., 1]).sum(axis=1)) / 2


def test_a_million_members_keep_sides_and_areas():
    p, rows, angles = random_members(1_000_000)
    side = 2 * rows[:, 2] / np.sin(np.radians(rows[:, 3]))
    edges = np.linalg.norm(np.diff(p, axis=1), axis=2)
    assert np.abs(edges / side[:, None] - 1).max() < 1e-9
    assert np.abs(area(p[:, :4]) / (side**2 * np.sin(np.radians(rows[:, 3]))) - 1).max() < 1e-9
    donor = side**2 * np.sin(np.radians(angles[:, 1])) / 2
    assert np.abs(area(p[:, 3:6]) / donor - 1).max() < 1e-9


def test_a_million_members_keep_their_angles():
    p, rows, angles = random_members(1_000_000, seed=6)
    d, e, f = p[:, 3], p[:, 4], p[:, 5]
    tip = np.arctan2(np.abs(cross(d - e, f - e)), ((d - e) * (f - e)).sum(axis=1))
    acute = np.arctan2(
        np.abs(cross(p[:, 1] - p[:, 0], p[:, 3] - p[:, 0])),
        ((p[:, 1] - p[:, 0]) * (p[:, 3] - p[:, 0])).sum(axis=1),
    )
    assert np.abs(np.degrees(tip) - angles[:, 1]).max() < 1e-9
    assert np.abs(np.degrees(acute) - rows[:, 3]).max() < 1e-9


def test_no_member_of_a_million_crosses_itself():
    p, _, _ = random_members(1_000_000, seed=7)
    outline = [p[:, i] for i in (0, 1, 2, 5, 4, 3)]
    pairs = [(i, j) for i in range(6) for j in range(i + 2, 6) if (i, j) != (0, 5)]
    for i, j in pairs:
        a, b, c, d = outline[i], outline[i + 1], outline[j], outline[(j + 1) % 6]
        apart = cross(b - a, c - a) * cross(b - a, d - a)
        other = cross(d - c, a - c) * cross(d - c, b - c)
        assert not ((apart < 0) & (other < 0)).any()


@pytest.mark.parametrize("caudal", [True, False])
def test_flap_from_the_other_side_is_the_mirror_image(caudal):
    quad = rhombi.corner_points(np.array([[4.0, 20.0, 25.0, 66.0, 11.0, 0.0]]))[0]
    mirrored = quad[[0, 3, 2, 1]] * [-1, 1]
    measures = {"caudal_pivot": caudal, "elevation_deg": 12.0, "tip_deg": 50.0}
    one = rhombic.close(quad, rhombic.RhombicFlap(donor_side=Side.RIGHT, **measures))
    other = rhombic.close(mirrored, rhombic.RhombicFlap(donor_side=Side.LEFT, **measures))
    for p, q in zip(one.corners, other.corners, strict=True):
        assert q.at_mm == pytest.approx((-p.at_mm[0], p.at_mm[1]), abs=1e-9)
    assert one.donor_side.other is other.donor_side


def test_four_flaps_of_one_rhombus_are_four_places():
    quad = rhombi.corner_points(np.array([[0.0, 0.0, 20.0, 60.0, 0.0, 0.0]]))[0]
    tips = {
        tuple(np.round(rhombic.close(quad, rhombic.RhombicFlap(
            donor_side=side, caudal_pivot=caudal, elevation_deg=10.0, tip_deg=60.0
        )).corners[4].at_mm, 3))
        for side in Side for caudal in (True, False)
    }  # fmt: skip
    assert len(tips) == 4


def test_seams_join_edges_of_equal_length_on_a_rhombus():
    quad = rhombi.corner_points(np.array([[4.0, 20.0, 25.0, 80.0, 11.0, 0.0]]))[0]
    flap = rhombic.RhombicFlap(
        donor_side=Side.LEFT, caudal_pivot=True, elevation_deg=20.0, tip_deg=45.0
    )
    assert rhombic.shape_of(rhombic.close(quad, flap)).edge_mismatch_mm < 1e-9
