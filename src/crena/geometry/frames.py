"""The skin frame: fixed by landmarks that the surgeon confirms, never by the image axes."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.records import InputError, Point3, SkinFrame, point3

LEAST_LANDMARK_DISTANCE_MM = 15.0
"""Two landmarks closer than this cannot fix a direction (assumed)."""

COLLINEAR = 0.25
"""Sine of the angle below which landmarks count as lying on one line (assumed)."""

PATIENT_RIGHT_LPS = np.array([-1.0, 0.0, 0.0])
"""The L axis of DICOM points to the patient's left, so the right is its negative."""


def skin_frame(
    coccyx_tip: Point3,
    sacral_crest: Point3,
    anal_verge: Point3,
    midline_bone: Sequence[Point3] = (),
) -> SkinFrame:
    """Place the skin frame by three landmarks on the skin of the midline, and bone under it.

    Parameters
    ----------
    coccyx_tip : (3,) float
        Skin over the tip of the coccyx, LPS mm: the origin.
    sacral_crest : (3,) float
        Skin over the sacral crest, LPS mm: y runs from the origin to it.
    anal_verge : (3,) float
        Anal verge, LPS mm: with the other two it fixes the plane of the midline.
    midline_bone : sequence of (3,) float
        Points of the sacral crest and the coccyx in the midline, LPS mm. The three skin
        landmarks lie almost on a line; these fix how the body is rolled about it.

    Returns
    -------
    SkinFrame
        x to the patient's right, y cranial, z out of the body; right-handed.

    Raises
    ------
    InputError
        If two landmarks nearly coincide, or the three do not tell right from left.

    Examples
    --------
    >>> frame = skin_frame((0, 0, 0), (0, 5, 60), (0, -20, -40))
    >>> round(frame.x_axis[0], 3)
    -1.0
    """
    tip, crest, verge = (np.asarray(p, dtype=float) for p in (coccyx_tip, sacral_crest, anal_verge))
    cranial = _direction(crest - tip, "The coccyx tip and the sacral crest")
    _direction(verge - tip, "The coccyx tip and the anal verge")
    deep = np.mean([np.asarray(p) - tip for p in midline_bone], axis=0) if midline_bone else None
    across = _midline_normal(cranial, verge - tip if deep is None else deep)
    out = np.cross(across, cranial)
    return SkinFrame(
        origin_lps_mm=point3(tip), x_axis=point3(across), y_axis=point3(cranial), z_axis=point3(out)
    )


def to_skin_mm(frame: SkinFrame, points_lps: ArrayLike) -> NDArray[np.float64]:
    """Carry points (n, 3) from LPS mm to the skin frame, mm."""
    moved = np.asarray(points_lps, dtype=float) - np.asarray(frame.origin_lps_mm)
    return np.asarray(moved @ _axes(frame).T)


def to_lps_mm(frame: SkinFrame, points: ArrayLike) -> NDArray[np.float64]:
    """Carry points (n, 3) from the skin frame to LPS, mm."""
    moved = np.asarray(points, dtype=float) @ _axes(frame)
    return np.asarray(moved + np.asarray(frame.origin_lps_mm))


def _axes(frame: SkinFrame) -> NDArray[np.float64]:
    return np.array([frame.x_axis, frame.y_axis, frame.z_axis], dtype=float)


def _direction(step: NDArray[np.float64], what: str) -> NDArray[np.float64]:
    length = float(np.linalg.norm(step))
    if not length >= LEAST_LANDMARK_DISTANCE_MM:
        raise InputError(
            f"{what} lie {length:.0f} mm apart; at least {LEAST_LANDMARK_DISTANCE_MM:.0f} mm are "
            "needed. Click both landmarks again."
        )
    return step / length


def _midline_normal(
    cranial: NDArray[np.float64], in_plane: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the unit normal of the midline plane that points to the patient's right.

    When the landmarks lie almost on one line, the plane that they span is mostly noise;
    the scanner's right, made perpendicular to the cranial axis, then has to serve.
    """
    square = PATIENT_RIGHT_LPS - (PATIENT_RIGHT_LPS @ cranial) * cranial
    normal = np.cross(cranial, in_plane)
    if np.linalg.norm(normal) < COLLINEAR * np.linalg.norm(in_plane):
        normal = square
    normal = normal / np.linalg.norm(normal)
    towards_right = float(normal @ PATIENT_RIGHT_LPS)
    if abs(towards_right) < 0.5:
        raise InputError(
            "The three midline landmarks do not lie on the patient's midline: their plane is "
            "turned by more than 60 degrees. Click them again."
        )
    return np.asarray(normal * np.sign(towards_right))
