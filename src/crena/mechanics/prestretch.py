"""The stretch that living skin is under, from the tension that it carries."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._kernels import point_response
from crena.mechanics.material import Skin, check_skin, law_numbers
from crena.records import InputError

Floats = NDArray[np.float64]
Pair = tuple[float, float]

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
    wanted = skin.tension_along_n_per_mm, skin.tension_across_n_per_mm
    enough = TOLERANCE_RATIO * (sum(wanted) + thickness * law[0])
    here = _tried((1.0, 1.0), law, thickness, wanted)
    for _ in range(MOST_STEPS):
        if here.miss <= enough:
            return np.array(here.stretch)
        here = _nearer(here, law, thickness, wanted)
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


class _Tried(NamedTuple):
    """Two stretches, and by how much they miss the tension, N/mm."""

    stretch: Pair
    error: Pair
    slope: tuple[float, float, float, float]  #: of the error, row by row

    @property
    def miss(self) -> float:
        return max(abs(self.error[0]), abs(self.error[1]))


def _tried(stretch: Pair, law: Floats, thickness: float, wanted: Pair) -> _Tried:
    along, across = stretch
    _, stress, tangent = point_response((along, 0.0, 0.0, across), law, 0)
    p, q = thickness * float(stress[0]) / across, thickness * float(stress[3]) / along
    mixed = thickness * float(tangent[0, 3])
    slope = (
        thickness * float(tangent[0, 0]) / across, (mixed - p) / across,
        (mixed - q) / along, thickness * float(tangent[3, 3]) / along,
    )  # fmt: skip
    return _Tried(stretch, (p - wanted[0], q - wanted[1]), slope)


def _nearer(here: _Tried, law: Floats, thickness: float, wanted: Pair) -> _Tried:
    """Return stretches with a smaller error, by a Newton step halved as often as it takes."""
    (a, b, c, d), (p, q) = here.slope, here.error
    determinant = a * d - b * c
    if determinant == 0:
        return here
    step = (b * q - d * p) / determinant, (c * p - a * q) / determinant
    share = 1.0
    for _ in range(MOST_STEPS):
        trial = here.stretch[0] + share * step[0], here.stretch[1] + share * step[1]
        if LEAST_STRETCH < min(trial) and max(trial) < MOST_STRETCH:
            there = _tried(trial, law, thickness, wanted)
            if there.miss < here.miss:
                return there
        share /= 2
    return here
