"""The tension lines of one person from four pinched skin folds.

Skin is squeezed between finger and thumb in four directions and the height of each fold is
read. Slack skin gives a high fold; the direction that gives the lowest is taken to be that
of the tension lines.
"""

from dataclasses import dataclass, replace

import numpy as np

from crena.mechanics.material import Skin, check_skin
from crena.records import InputError, Record

PINCHED_DEG = (0.0, 45.0, 90.0, 135.0)
"""Directions of squeezing, from one finger to the other: anticlockwise from the patient's
right, as the surgeon looks."""

READING_SD_MM = 1.0
"""Error of one fold height; assumed, a millimetre of the ruler."""

LEAST_SIGNAL = 2.0
"""Anisotropy that is called one, in its standard errors; assumed, about 5 of 100 by chance in
one direction."""

KNOWS_NOTHING_DEG = 180.0 / 12**0.5
"""Standard deviation of a direction of which nothing is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TensionLines(Record):
    """Which way the tension lines run, and how much more the skin is drawn along them."""

    axis_deg: float  #: from 0 to below 180, as `Skin.axis_deg`
    axis_error_deg: float  #: standard error; 52 where nothing is known
    tension_ratio: float  #: along over across; assumed, the inverse of the fold heights
    tension_error_ratio: float  #: standard error
    mean_mm: float  #: fold height
    swing_mm: float  #: by which it rises and falls about the mean
    misfit_mm: float  #: means of the two crossed pairs, first less second; nought if all fit
    warnings: tuple[str, ...]


def tension_lines(
    heights_mm: tuple[float, float, float, float], reading_sd_mm: float = READING_SD_MM
) -> TensionLines:
    """Find the tension lines from four fold heights.

    Parameters
    ----------
    heights_mm : (float, float, float, float)
        Heights of the folds squeezed along 0, 45, 90 and 135 degrees.
    reading_sd_mm : float
        Error of one height, one standard deviation.

    Returns
    -------
    TensionLines
        With a warning where the four numbers do not say a direction.

    Raises
    ------
    InputError
        If a height or the error is not above 0, or the heights cannot come from one skin.

    Notes
    -----
    Least squares of h = m + a cos 2t + b sin 2t over four even directions: m is the mean,
    a = (h0 - h90) / 2, b = (h45 - h135) / 2, each with the variance s^2 / 2. With A^2 =
    a^2 + b^2 the lowest fold, m - A, is squeezed along 2t = atan2(-b, -a), and the error
    of t is s / (sqrt(8) A) radians. One number is left as a check: h0 + h90 - h45 - h135
    over 2, with the error s. That tension goes with the inverse of the height is assumed.

    Examples
    --------
    >>> found = tension_lines((8.0, 12.0, 16.0, 12.0))
    >>> found.axis_deg, found.tension_ratio, found.misfit_mm
    (0.0, 2.0, 0.0)
    """
    h = _sound(heights_mm, reading_sd_mm)
    mean, a, b = float(h.mean()), float(h[0] - h[2]) / 2, float(h[1] - h[3]) / 2
    swing = float(np.hypot(a, b))
    if swing >= mean:
        raise InputError(
            f"The heights swing by {swing:.1f} mm about {mean:.1f} mm, more than one skin can. "
            "Pinch again with the same force in all four directions."
        )
    misfit = float(h[0] + h[2] - h[1] - h[3]) / 2
    return TensionLines(
        axis_deg=float(np.degrees(np.arctan2(-b, -a)) / 2 % 180) if swing else 0.0,
        axis_error_deg=_axis_error_deg(swing, reading_sd_mm),
        tension_ratio=(mean + swing) / (mean - swing),
        tension_error_ratio=_tension_error(mean, swing, reading_sd_mm),
        mean_mm=mean, swing_mm=swing, misfit_mm=misfit,
        warnings=_warnings(swing, misfit, reading_sd_mm),
    )  # fmt: skip


def skin_with(skin: Skin, lines: TensionLines) -> Skin:
    """Return a skin with the tension lines that were found, and the mean tension it had.

    Parameters
    ----------
    skin : Skin
        Everything else stays as it is.
    lines : TensionLines
        As `tension_lines` gives them.

    Raises
    ------
    InputError
        If the skin's own numbers are out of range.

    Examples
    --------
    >>> from crena.mechanics.material import ASSUMED_SKIN
    >>> found = skin_with(ASSUMED_SKIN, tension_lines((16.0, 12.0, 8.0, 12.0)))
    >>> found.axis_deg, round(found.tension_along_n_per_mm, 12), round(
    ...     found.tension_across_n_per_mm, 12)
    (90.0, 0.06, 0.03)
    """
    check_skin(skin)
    both = skin.tension_along_n_per_mm + skin.tension_across_n_per_mm
    across = both / (1 + lines.tension_ratio)
    return replace(
        skin,
        axis_deg=lines.axis_deg,
        tension_along_n_per_mm=across * lines.tension_ratio,
        tension_across_n_per_mm=across,
    )


def _sound(heights_mm: tuple[float, ...], reading_sd_mm: float) -> np.ndarray:
    h = np.asarray(heights_mm, dtype=np.float64)
    if h.shape != (len(PINCHED_DEG),):
        raise InputError(f"{h.size} fold heights are given. Pinch in four directions.")
    for direction, height in zip(PINCHED_DEG, h, strict=True):
        if not 0 < height < np.inf:
            raise InputError(
                f"The fold at {direction:g} degrees is {height:g} mm high. "
                "Enter a height above 0 mm."
            )
    if not 0 < reading_sd_mm < np.inf:
        raise InputError(f"An error of reading of {reading_sd_mm:g} mm is none. Give more than 0.")
    return h


def _axis_error_deg(swing: float, sd: float) -> float:
    if swing == 0:
        return KNOWS_NOTHING_DEG
    return float(min(np.degrees(sd / (8**0.5 * swing)), KNOWS_NOTHING_DEG))


def _tension_error(mean: float, swing: float, sd: float) -> float:
    """Return the error of (m + A) / (m - A) to first order, from sd/2 of m and sd/sqrt 2 of A."""
    from_mean = -2 * swing / (mean - swing) ** 2 * sd / 2
    from_swing = 2 * mean / (mean - swing) ** 2 * sd / 2**0.5
    return float(np.hypot(from_mean, from_swing))


def _warnings(swing: float, misfit: float, sd: float) -> tuple[str, ...]:
    found = []
    if swing < LEAST_SIGNAL * sd / 2**0.5:
        found.append(
            f"The heights differ by no more than the error of reading ({sd:g} mm): they do not "
            "say which way the tension lines run. Use the assumed direction."
        )
    if abs(misfit) > LEAST_SIGNAL * sd:
        found.append(
            f"The four heights do not fit one direction: {abs(misfit):.1f} mm are left over, "
            f"with an error of reading of {sd:g} mm. Pinch again."
        )
    return tuple(found)
