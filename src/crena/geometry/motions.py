"""Rigid motions of the plane: turning and shifting flaps."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.records import RigidMotion

Floats = NDArray[np.float64]


def turned(points: ArrayLike, angle_deg: float, pivot: ArrayLike = (0.0, 0.0)) -> Floats:
    """Turn points (n, 2) anticlockwise about a pivot."""
    p, c = np.asarray(points, dtype=float), np.asarray(pivot, dtype=float)
    a = np.radians(angle_deg)
    rotation = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    return np.asarray((p - c) @ rotation.T + c)


def moved(motion: RigidMotion, points: ArrayLike, share: float = 1.0) -> Floats:
    """Carry points (n, 2) along a motion; share 0 leaves them, 1 brings them to their place."""
    shift = share * np.asarray(motion.shift_mm, dtype=float)
    return turned(points, share * motion.angle_deg, motion.pivot_mm) + shift


def best_motion(start: ArrayLike, end: ArrayLike, pivot: tuple[float, float]) -> RigidMotion:
    """Return the rigid motion that brings start nearest to end, in least squares.

    Parameters
    ----------
    start, end : (n, 2) float
        Matching points, mm.
    pivot : (2,) float
        The point that the turn is written about, mm.

    Returns
    -------
    RigidMotion
        Umeyama's solution without scale (IEEE PAMI 1991;13:376, formula from memory).
    """
    p, q = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    a, b = p - p.mean(axis=0), q - q.mean(axis=0)
    angle_deg = np.degrees(np.arctan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum()))
    shift = q.mean(axis=0) - turned(p.mean(axis=0)[None], float(angle_deg), pivot)[0]
    return RigidMotion(
        angle_deg=float(angle_deg), pivot_mm=pivot, shift_mm=(float(shift[0]), float(shift[1]))
    )
