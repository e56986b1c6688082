"""How exact a rigid registration by landmarks is at a target."""

import numpy as np
from numpy.typing import ArrayLike


def target_error_mm(landmarks: ArrayLike, target: ArrayLike, landmark_error_mm: float) -> float:
    """Return the expected error at a target after a rigid registration by landmarks.

    Parameters
    ----------
    landmarks : (n, 3) float
        Landmarks, n >= 3, not on one line, mm.
    target : (3,) float
        Where the error is asked for, mm.
    landmark_error_mm : float
        Error of one landmark, root mean square over all three axes together, mm.

    Returns
    -------
    float
        Root mean square over all three axes together, mm.

    Notes
    -----
    TRE^2 = FLE^2 / n (1 + 1/3 sum over the principal axes of d_k^2 / f_k^2), d_k the
    target's and f_k the landmarks' root mean square distance from axis k (Fitzpatrick,
    West & Maurer 1998, formula from memory; tested by simulated registrations). The
    residual of a registration says nothing of its error at a target (Danilchenko &
    Fitzpatrick 2010).

    Examples
    --------
    >>> cube = [[0, 0, 0], [30, 0, 0], [0, 30, 0], [0, 0, 30]]
    >>> round(target_error_mm(cube, [7.5, 7.5, 7.5], 2.0), 3)
    1.0
    """
    points = np.asarray(landmarks, dtype=float)
    middle = points.mean(axis=0)
    axes = np.linalg.svd(points - middle)[2]
    spread = (points - middle) @ axes.T
    step = axes @ (np.asarray(target, dtype=float) - middle)
    square = spread**2
    from_axis = square.sum(axis=1, keepdims=True) - square
    target_square = (step**2).sum() - step**2
    ratio = target_square / from_axis.mean(axis=0)
    return float(landmark_error_mm / np.sqrt(len(points)) * np.sqrt(1 + ratio.sum() / 3))
