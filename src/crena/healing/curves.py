"""What thread and wound hold from day to day: monotone curves through the points known."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import least_squares

from crena.records import (
    InputError,
    Material,
    Record,
    RetentionPoint,
    WoundPoint,
    basis_words,
)

Floats = NDArray[np.float64]

PLATEAU_FRACTION, SCALE_DAY, SHAPE_RATIO = 0.80, 41.4, 1.838
"""A scar reaches four fifths of whole skin; drawn through 3 % on day 7 (memory) and 20 % on
day 21 (low-authority page, after Levenson 1965)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthCurve(Record):
    """What is left of a thread's strength, at the days for which it is known."""

    material: Material
    at_day: tuple[float, ...]  #: from day 0
    middle_fraction: tuple[float, ...]  #: mean of the figures of that day
    low_fraction: tuple[float, ...]  #: lowest of them
    sources: tuple[str, ...]


def wound_fraction(days: ArrayLike) -> Floats:
    """Return the strength of a wound over whole skin, as a smooth sigmoid.

    Parameters
    ----------
    days : array_like of float
        Since the operation.

    Examples
    --------
    >>> wound_fraction([7, 21, 84]).round(2)
    array([0.03, 0.2 , 0.78])
    """
    t = np.asarray(days, dtype=float)
    return PLATEAU_FRACTION * -np.expm1(-((t / SCALE_DAY) ** SHAPE_RATIO))


def wound_points_fraction(days: ArrayLike, points: tuple[WoundPoint, ...]) -> Floats:
    """Return the lowest strength of a wound that the points let expect.

    Parameters
    ----------
    days : array_like of float
        Since the operation; after the last point the wound gains nothing.
    points : tuple of WoundPoint
        Day by day; on day 0 a wound holds nothing.
    """
    known = {p.day: p.low_fraction for p in points}
    at = np.array([0.0, *sorted(known)])
    held = np.array([0.0, *(known[day] for day in sorted(known))])
    return np.asarray(PchipInterpolator(at, held)(np.clip(days, 0.0, at[-1])), dtype=float)


def retention_curve(material: Material, points: tuple[RetentionPoint, ...]) -> StrengthCurve:
    """Gather what is known of a material's strength.

    Parameters
    ----------
    material : Material
        The thread.
    points : tuple of RetentionPoint
        Of all materials; several figures for one day are taken together.

    Raises
    ------
    InputError
        If nothing is known of it, or the figures rise with time.
    """
    own = [p for p in points if p.material is material]
    if not own:
        raise InputError(f"Nothing is known of how long {material} holds. Take another material.")
    by_day = {day: [p for p in own if p.day == day] for day in sorted({p.day for p in own})}
    middle = [
        np.mean([(p.low_fraction + p.high_fraction) / 2 for p in ps]) for ps in by_day.values()
    ]
    low = [min(p.low_fraction for p in ps) for ps in by_day.values()]
    curve = StrengthCurve(
        material=material,
        at_day=(0.0, *by_day),
        middle_fraction=(1.0, *map(float, middle)),
        low_fraction=(1.0, *low),
        sources=tuple(dict.fromkeys(basis_words(p.basis) for p in own)),
    )
    _refuse_rise(curve)
    return curve


def middle_fraction(curve: StrengthCurve, days: ArrayLike) -> Floats:
    """Return what a thread still holds, by the mean of the figures.

    Parameters
    ----------
    curve : StrengthCurve
        Of its material.
    days : array_like of float
        Since it was tied.
    """
    return _between(curve.at_day, curve.middle_fraction, days)


def low_fraction(curve: StrengthCurve, days: ArrayLike) -> Floats:
    """Return what a thread still holds, by the lowest of the figures.

    Parameters
    ----------
    curve : StrengthCurve
        Of its material.
    days : array_like of float
        Since it was tied.
    """
    return _between(curve.at_day, curve.low_fraction, days)


def weibull_of(curve: StrengthCurve) -> tuple[float, float]:
    """Fit exp(-(t/scale)^shape) to the middle figures, as a second way to the same curve.

    Parameters
    ----------
    curve : StrengthCurve
        With at least two days after day 0.

    Returns
    -------
    tuple of float
        Scale in days, and shape.
    """
    days, held = np.array(curve.at_day[1:]), np.array(curve.middle_fraction[1:])

    def misfit(logs: Floats) -> Floats:
        scale, shape = np.exp(logs)
        return np.asarray(np.exp(-((days / scale) ** shape)) - held, dtype=float)

    scale, shape = np.exp(least_squares(misfit, np.log([30.0, 2.0])).x)
    return float(scale), float(shape)


def _between(at_day: tuple[float, ...], held: tuple[float, ...], days: ArrayLike) -> Floats:
    """Return the monotone curve, and after its last day its last slope, down to nothing."""
    t = np.asarray(days, dtype=float)
    inside = PchipInterpolator(at_day, held)(np.clip(t, 0.0, at_day[-1]))
    slope = (held[-1] - held[-2]) / (at_day[-1] - at_day[-2])
    beyond = np.maximum(t - at_day[-1], 0.0)
    return np.asarray(np.maximum(inside + slope * beyond, 0.0), dtype=float)


def _refuse_rise(curve: StrengthCurve) -> None:
    for held in (curve.middle_fraction, curve.low_fraction):
        if any(later > earlier for earlier, later in zip(held, held[1:], strict=False)):
            raise InputError(
                f"The strength of {curve.material} rises with time in the table. Correct it."
            )
