"""The stretch that living skin is under, from the tension that it carries."""

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._kernels import point_response
from crena.mechanics.material import Skin, check_skin, law_numbers
from crena.records import InputError

Floats = NDArray[np.float64]

MOST_STEPS = 60
"""Newton steps before the search is given up; it takes four to eight."""

TOLERANCE_RATIO = 1e-12
"""Accepted error of the tension, over tension plus shear stiffness times thickness."""

LEAST_STRETCH, MOST_STRETCH = 0.3, 4.0
"""Principal stretches that are looked at."""


def prestretch_ratio(skin: Skin) -> Floats:
    """Return the two principal stretches of living skin, along and across its tension lines.

    Parameters
    ----------
    skin : Skin
        With the tension that it carries in the living body, per mm of living skin.

    Returns
    -------
    (2,) float
        Stretch from the stress-free state, along and across.

    Raises
    ------
    InputError
        If a parameter is out of range, or no stretch carries that tension.

    Notes
    -----
    h P11(l1, l2) / l2 = T_along and h P22(l1, l2) / l1 = T_across, h the stress-free
    thickness and P the stress per stress-free area, by Newton's method.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from crena.mechanics.material import ASSUMED_SKIN
    >>> at_rest = replace(ASSUMED_SKIN, tension_along_n_per_mm=0.0, tension_across_n_per_mm=0.0)
    >>> prestretch_ratio(at_rest).tolist()
    [1.0, 1.0]
    """
    check_skin(skin)
    law, thickness = law_numbers(skin), skin.thickness_mm
    law[6:] = (1.0, 0.0)
    wanted = np.array([skin.tension_along_n_per_mm, skin.tension_across_n_per_mm])
    enough = TOLERANCE_RATIO * (wanted.sum() + thickness * law[0])
    stretch = np.ones(2)
    tension, slope = _tension(stretch, law, thickness)
    for _ in range(MOST_STEPS):
        error = tension - wanted
        if np.abs(error).max() <= enough:
            return stretch
        stretch = _nearer(stretch, error, slope, (law, thickness, wanted))
        tension, slope = _tension(stretch, law, thickness)
    raise InputError(
        f"No stretch was found that gives this skin {wanted[0]:g} and {wanted[1]:g} N/mm. "
        "Lower the tension or make the skin stiffer."
    )


def in_plan(stretch: Floats, axis_deg: float) -> Floats:
    """Return the deformation gradient (2, 2) of stretches along and across an axis.

    >>> in_plan(np.array([1.2, 1.0]), 90.0).round(12).tolist()
    [[1.0, 0.0], [0.0, 1.2]]
    """
    a = np.radians(axis_deg)
    turn = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    return np.asarray(turn @ np.diag(stretch) @ turn.T)


def _tension(stretch: Floats, law: Floats, thickness: float) -> tuple[Floats, Floats]:
    along, across = stretch
    _, p, a = point_response(np.array([along, 0.0, 0.0, across]), law, 0)
    tension = thickness * np.array([p[0] / across, p[3] / along])
    slope = thickness * np.array([
        [a[0, 0] / across, a[0, 3] / across - p[0] / across**2],
        [a[3, 0] / along - p[3] / along**2, a[3, 3] / along],
    ])  # fmt: skip
    return tension, slope


def _nearer(
    stretch: Floats, error: Floats, slope: Floats, problem: tuple[Floats, float, Floats]
) -> Floats:
    """Return stretches with a smaller error, by a Newton step halved as often as it takes."""
    law, thickness, wanted = problem
    if abs(np.linalg.det(slope)) == 0:
        return stretch
    step = -np.linalg.solve(slope, error)
    for _ in range(MOST_STEPS):
        trial = stretch + step
        if (trial > LEAST_STRETCH).all() and (trial < MOST_STRETCH).all():
            left = _tension(trial, law, thickness)[0] - wanted
            if np.abs(left).max() < np.abs(error).max():
                return trial
        step = step / 2
    return stretch
