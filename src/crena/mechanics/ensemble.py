"""Skins that a person never measured may have."""

from dataclasses import replace

import numpy as np

from crena.mechanics.material import ASSUMED_SKIN, Skin

STIFFNESS_LOG_SD = 0.3
FIBRE_LOG_SD = 0.5
TENSION_LOG_SD = 0.4
FOUNDATION_LOG_SD = 0.5
AXIS_SD_DEG = 20.0
"""Spread of the guesses round ASSUMED_SKIN; the tension lines run across the sacrum, give or
take. All assumed: no source gives them for the sacral region."""


def assumed_skins(count: int, rng: np.random.Generator) -> tuple[Skin, ...]:
    """Return guessed skins: the same number and generator give the same skins.

    Parameters
    ----------
    count : int
        How many.
    rng : Generator
        Of the guesses.
    """
    return tuple(_guess(rng) for _ in range(count))


def _guess(rng: np.random.Generator) -> Skin:
    stiffness, fibre, tension, foundation = np.exp(
        rng.normal(0, [STIFFNESS_LOG_SD, FIBRE_LOG_SD, TENSION_LOG_SD, FOUNDATION_LOG_SD])
    )
    return replace(
        ASSUMED_SKIN,
        shear_kpa=float(ASSUMED_SKIN.shear_kpa * stiffness),
        fibre_kpa=float(ASSUMED_SKIN.fibre_kpa * fibre),
        axis_deg=float(rng.normal(ASSUMED_SKIN.axis_deg, AXIS_SD_DEG)),
        tension_along_n_per_mm=float(ASSUMED_SKIN.tension_along_n_per_mm * tension),
        tension_across_n_per_mm=float(ASSUMED_SKIN.tension_across_n_per_mm * tension),
        foundation_n_per_mm3=float(ASSUMED_SKIN.foundation_n_per_mm3 * foundation),
    )
