"""Skins that a person never measured may have."""

from dataclasses import dataclass, replace

import numpy as np

from crena.mechanics.material import ASSUMED_SKIN, Skin
from crena.records import Record

STIFFNESS_LOG_SD = 0.3
FIBRE_LOG_SD = 0.5
TENSION_LOG_SD = 0.4
FOUNDATION_LOG_SD = 0.5
AXIS_SD_DEG = 20.0
"""Spread of the guesses round the middle one; the tension lines run across the sacrum, give or
take. All assumed: no source gives them for the sacral region."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinGuesses(Record):
    """What is guessed of one person's skin: the middle, and an ensemble round it."""

    middle: Skin
    ensemble: tuple[Skin, ...]
    axis_sd_deg: float = AXIS_SD_DEG

    @property
    def turned(self) -> tuple[Skin, ...]:
        """Return the middle with its tension lines as guessed and one spread to either side."""
        axis = self.middle.axis_deg
        around = (axis - self.axis_sd_deg, axis, axis + self.axis_sd_deg)
        return tuple(replace(self.middle, axis_deg=each) for each in around)


def assumed_skins(
    count: int,
    rng: np.random.Generator,
    middle: Skin = ASSUMED_SKIN,
    *,
    axis_sd_deg: float = AXIS_SD_DEG,
) -> tuple[Skin, ...]:
    """Return guessed skins: the same number and generator give the same skins.

    Parameters
    ----------
    count : int
        How many.
    rng : Generator
        Of the guesses.
    middle : Skin
        The most likely one; the guesses lie round it.
    axis_sd_deg : float
        How well its tension lines are known, one standard deviation.
    """
    return tuple(_guess(middle, rng, axis_sd_deg) for _ in range(count))


def _guess(middle: Skin, rng: np.random.Generator, axis_sd_deg: float) -> Skin:
    stiffness, fibre, tension, foundation = np.exp(
        rng.normal(0, [STIFFNESS_LOG_SD, FIBRE_LOG_SD, TENSION_LOG_SD, FOUNDATION_LOG_SD])
    )
    return replace(
        middle,
        shear_kpa=float(middle.shear_kpa * stiffness),
        fibre_kpa=float(middle.fibre_kpa * fibre),
        axis_deg=float(rng.normal(middle.axis_deg, axis_sd_deg)),
        tension_along_n_per_mm=float(middle.tension_along_n_per_mm * tension),
        tension_across_n_per_mm=float(middle.tension_across_n_per_mm * tension),
        foundation_n_per_mm3=float(middle.foundation_n_per_mm3 * foundation),
    )
