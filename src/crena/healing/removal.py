"""The day the skin stitches leave: chances, custom and warnings; the surgeon's day stands."""

from dataclasses import dataclass
from math import ceil

import numpy as np

from crena.healing.curves import Floats, middle_fraction, wound_fraction
from crena.healing.strands import Strand, grid_days, staying
from crena.records import (
    Answer,
    CustomaryRemoval,
    EarliestDay,
    InputError,
    Record,
    RemovalChance,
    SupportCurve,
    SupportTerms,
    basis_words,
)
from crena.records.numbers import at_least

DRAWS = 4000

FIRST_DAY, LAST_CHANCE_DAY = 7, 28
"""Days of removal for which a chance is given."""

WIDER_RATIO = 1.5
"""An infected field, or one not asked about, widens every spread by half (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread(Record):
    """Standard deviations of the logarithms of what multiplies each part (all assumed)."""

    wound_ratio: float = 0.4  #: strength of the wound
    suture_ratio: float = 0.2  #: strength of all threads together
    time_ratio: float = 0.15  #: pace of the threads, and of the wound by itself
    load_ratio: float = 0.3


def widened(spread: Spread, contaminated: Answer) -> Spread:
    """Return the spread for a clean field, or a wider one for any other.

    Parameters
    ----------
    spread : Spread
        For a clean field.
    contaminated : Answer
        Not asked counts as yes.
    """
    if contaminated is Answer.NO:
        return spread
    return Spread(
        wound_ratio=WIDER_RATIO * spread.wound_ratio,
        suture_ratio=WIDER_RATIO * spread.suture_ratio,
        time_ratio=WIDER_RATIO * spread.time_ratio,
        load_ratio=WIDER_RATIO * spread.load_ratio,
    )


def removal_chances(
    strands: tuple[Strand, ...], terms: SupportTerms, spread: Spread, rng: np.random.Generator
) -> dict[float, float]:
    """Return the chance that support stays above the multiple of the load from each day on.

    Parameters
    ----------
    strands : tuple of Strand
        What was sewn; those with a day of removal are gone from the day asked about.
    terms : SupportTerms
        Load, strength of whole skin, multiple.
    spread : Spread
        Of the factors, all of median 1.
    rng : numpy.random.Generator
        The same draws serve every day, so that a later day is never worse.
    """
    days = grid_days()[grid_days() >= FIRST_DAY]
    wound, suture, healing, fading, load = _factors(spread, rng)
    held = wound * terms.whole_skin_n_per_mm * wound_fraction(days / healing)
    for strand in staying(strands):
        held += suture * strand.tied_n_per_mm * middle_fraction(strand.curve, days / fading)
    least = lowest_from_here_on(held)
    enough = least >= load * terms.load_n_per_mm * terms.multiple_ratio
    return {
        float(day): float(enough[:, days == day].mean())
        for day in range(FIRST_DAY, LAST_CHANCE_DAY + 1)
    }


def with_ratios(
    chances: dict[float, float], rest: SupportCurve, terms: SupportTerms
) -> tuple[RemovalChance, ...]:
    """Put beside each chance how many times its load the wound keeps from that day on.

    Parameters
    ----------
    chances : dict
        By day of removal.
    rest : SupportCurve
        Without the stitches that are taken out.
    terms : SupportTerms
        The load; the lowest figures are held against the high one.
    """
    days = np.array(rest.at_day)
    middle = lowest_from_here_on(np.array(rest.support_n_per_mm)) / terms.load_n_per_mm
    worst = lowest_from_here_on(np.array(rest.worst_n_per_mm)) / high_load_n_per_mm(terms)
    return tuple(
        RemovalChance(
            on_day=day,
            chance=chance,
            of_100=min(max(at_least(100 * chance), 1), 99),
            over_load_ratio=_rounded_down(middle[days == day][0]),
            worst_over_load_ratio=_rounded_down(worst[days == day][0]),
        )
        for day, chance in chances.items()
    )


def high_load_n_per_mm(terms: SupportTerms) -> float:
    """Return the load that 5 of 100 skins pass, or the load where that is not known."""
    return terms.high_load_n_per_mm or terms.load_n_per_mm


def lowest_from_here_on(held: Floats) -> Floats:
    """Return at each moment the lowest support of this and all later moments.

    >>> lowest_from_here_on(np.array([3.0, 1.0, 2.0, 4.0]))
    array([1., 1., 2., 4.])
    """
    backwards = np.minimum.accumulate(held[..., ::-1], axis=-1)
    return np.asarray(backwards[..., ::-1], dtype=float)


def earliest_day(days: Floats, held: Floats, asked_n_per_mm: float) -> float | None:
    """Return the first day from which support stays at or above what is asked.

    Parameters
    ----------
    days, held : (n,) float
        Support without the stitches that are taken out.
    asked_n_per_mm : float
        A multiple of the load.

    Returns
    -------
    float or None
        None if it is not kept to the last day.
    """
    safe = days[lowest_from_here_on(held) >= asked_n_per_mm]
    return float(safe[0]) if len(safe) else None


def customary_removal(removals: tuple[CustomaryRemoval, ...], risks: int) -> CustomaryRemoval:
    """Return when skin stitches of the back customarily leave with so many risks.

    Parameters
    ----------
    removals : tuple of CustomaryRemoval
        From fewer risks to more.
    risks : int
        Of tension, smoking, diabetes, steroids.

    Raises
    ------
    InputError
        If the table has nothing for so few.
    """
    fitting = [row for row in removals if row.risks_least <= risks]
    if not fitting:
        raise InputError(f"The table of removal days has no row for {risks} risks. Add one.")
    return max(fitting, key=lambda row: row.risks_least)


def early_warnings(
    removal_day: float | None, customary: CustomaryRemoval, earliest: EarliestDay
) -> tuple[str, ...]:
    """Warn of a day that is early by custom or by the curve; the day itself is not touched.

    Parameters
    ----------
    removal_day : float or None
        The surgeon's; none: nothing is taken out.
    customary : CustomaryRemoval
        What is usual.
    earliest : EarliestDay
        For the multiple that is asked.
    """
    if removal_day is None:
        return ()
    found = []
    if removal_day < customary.low_day:
        found.append(
            f"Day {removal_day:.0f} is earlier than the customary {_days(customary)} on the "
            f"{customary.site}: {basis_words(customary.basis)}. The surgeon's day stands."
        )
    if earliest.worst_from_day is None or removal_day < earliest.worst_from_day:
        found.append(
            f"Without the skin stitches the wound keeps {earliest.multiple_ratio:.1f} times its "
            f"load from {_from(earliest.from_day)} on, with the lowest figures known from "
            f"{_from(earliest.worst_from_day)} on. The surgeon's day stands."
        )
    return tuple(found)


def _rounded_down(ratio: float) -> float:
    """Return a ratio in tenths, from 10 on whole: no finer than it is known."""
    return at_least(ratio) if ratio >= 10 else at_least(10 * ratio) / 10


def _from(day: float | None) -> str:
    return "no day" if day is None else f"day {ceil(day)}"


def _factors(spread: Spread, rng: np.random.Generator) -> tuple[Floats, ...]:
    """Draw factors for wound, suture, pace of healing, pace of fading, and load."""
    sds = (
        spread.wound_ratio,
        spread.suture_ratio,
        spread.time_ratio,
        spread.time_ratio,
        spread.load_ratio,
    )
    return tuple(np.exp(rng.normal(0.0, sd, (DRAWS, 1))) for sd in sds)


def _days(customary: CustomaryRemoval) -> str:
    if customary.low_day == customary.high_day:
        return f"day {customary.low_day:.0f}"
    return f"days {customary.low_day:.0f} to {customary.high_day:.0f}"
