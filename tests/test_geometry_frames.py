"""The skin frame: axes, round trips, and landmarks that cannot fix it."""

import numpy as np
import pytest

from crena.geometry.frames import skin_frame, to_lps_mm, to_skin_mm
from crena.records import InputError

TIP, CREST, VERGE = (2.0, 30.0, -10.0), (3.0, 36.0, 52.0), (1.0, 9.0, -47.0)


def test_axes_are_right_cranial_and_out_of_the_body():
    frame = skin_frame((0, 0, 0), (0, 0, 60), (0, -15, -40))
    assert np.allclose(
        [frame.x_axis, frame.y_axis, frame.z_axis], [[-1, 0, 0], [0, 0, 1], [0, 1, 0]]
    )


def test_frame_is_right_handed_and_orthonormal():
    frame = skin_frame(TIP, CREST, VERGE)
    axes = np.array([frame.x_axis, frame.y_axis, frame.z_axis])
    assert np.allclose(axes @ axes.T, np.eye(3), atol=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1.0)


def test_landmarks_lie_on_the_midline():
    frame = skin_frame(TIP, CREST, VERGE)
    assert np.allclose(to_skin_mm(frame, [TIP, CREST, VERGE])[:, 0], 0, atol=1e-9)
    assert to_skin_mm(frame, [CREST])[0, 1] > 0 > to_skin_mm(frame, [VERGE])[0, 1]


def test_points_come_back_from_the_skin_frame():
    frame = skin_frame(TIP, CREST, VERGE)
    points = np.array([[5.0, -3.0, 22.0], [-8.0, 41.0, 3.0]])
    assert np.allclose(to_lps_mm(frame, to_skin_mm(frame, points)), points, atol=1e-12)


def test_mirrored_landmarks_mirror_the_frame():
    def mirror(p):
        return -p[0], p[1], p[2]

    point = np.array([[7.0, -2.0, 11.0]])
    one = to_skin_mm(skin_frame(TIP, CREST, VERGE), point)
    other = to_skin_mm(skin_frame(mirror(TIP), mirror(CREST), mirror(VERGE)), point * [-1, 1, 1])
    assert np.allclose(other, one * [-1, 1, 1], atol=1e-12)


def test_landmarks_in_one_place_are_refused_with_their_distance():
    with pytest.raises(InputError, match="0 mm apart"):
        skin_frame(TIP, TIP, VERGE)


def test_landmarks_across_the_body_are_refused():
    with pytest.raises(InputError, match="turned by more than 60 degrees"):
        skin_frame((0, 0, 0), (0, 0, 60), (60, 0, 0))


def test_bone_in_the_midline_fixes_the_roll_of_the_body():
    roll = np.radians(7.0)
    out = np.array([np.sin(roll), np.cos(roll), 0.0])
    bone = [tuple(np.array([0.0, 0.0, z]) - 26 * out) for z in (5.0, 20.0, 40.0)]
    frame = skin_frame((0, 0, 0), (0, 0, 60), (0, 0.5, -40), bone)
    assert np.allclose(frame.z_axis, out, atol=1e-12)
