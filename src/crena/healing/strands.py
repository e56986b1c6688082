"""The layers as strands: what they hold, together with the wound, on any day."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.healing.curves import (
    Floats,
    StrengthCurve,
    low_fraction,
    middle_fraction,
    retention_curve,
    wound_fraction,
    wound_points_fraction,
)
from crena.healing.threads import knot_pull_of
from crena.records import (
    Basis,
    LayerTemplate,
    Record,
    SupportCurve,
    SutureTables,
    WoundPoint,
)

Truths = NDArray[np.bool_]
Fraction = Callable[[StrengthCurve, Floats], Floats]

LAST_DAY = 84.0
"""Days looked at: what is known of wounds ends at 12 weeks."""

STEP_DAY = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand(Record):
    """One layer of stitches: what it holds when it is tied, and for how long."""

    name: str
    tied_n_per_mm: float
    curve: StrengthCurve
    removal_day: float | None  #: none: it stays
    basis: Basis  #: of the strength when tied


def strands_of(templates: tuple[LayerTemplate, ...], tables: SutureTables) -> tuple[Strand, ...]:
    """Return one strand for each layer; of rows above each other only one counts.

    Parameters
    ----------
    templates : tuple of LayerTemplate
        The layers as sewn.
    tables : SutureTables
        What their threads hold, and for how long.
    """
    return tuple(_strand(template, tables) for template in templates)


def grid_days() -> Floats:
    """Return the days looked at, in quarters."""
    return np.arange(0.0, LAST_DAY + STEP_DAY / 2, STEP_DAY)


def staying(strands: tuple[Strand, ...]) -> tuple[Strand, ...]:
    """Return the strands that nobody takes out."""
    return tuple(strand for strand in strands if strand.removal_day is None)


def support_curve(
    strands: tuple[Strand, ...], wound: tuple[WoundPoint, ...], whole_skin_n_per_mm: float
) -> SupportCurve:
    """Return the support from day to day, both sides of every day on which stitches leave.

    Parameters
    ----------
    strands : tuple of Strand
        What was sewn.
    wound : tuple of WoundPoint
        For the lowest figures; the others follow the smooth curve.
    whole_skin_n_per_mm : float
        Strength of unwounded skin.
    """
    days, gone = _moments(strands)
    sigmoid = wound_fraction(days)
    least = np.minimum(sigmoid, wound_points_fraction(days, wound))
    middle = whole_skin_n_per_mm * sigmoid + _threads(strands, days, gone, middle_fraction)
    worst = whole_skin_n_per_mm * least + _threads(strands, days, gone, low_fraction)
    return SupportCurve(
        at_day=tuple(days.tolist()),
        support_n_per_mm=tuple(middle.tolist()),
        worst_n_per_mm=tuple(worst.tolist()),
    )


def _strand(template: LayerTemplate, tables: SutureTables) -> Strand:
    pull = knot_pull_of(tables, template.size, template.material)
    return Strand(
        name=template.name,
        tied_n_per_mm=pull.least_n / template.spacing_mm,
        curve=retention_curve(template.material, tables.retention),
        removal_day=template.removal_day,
        basis=pull.basis,
    )


def _moments(strands: tuple[Strand, ...]) -> tuple[Floats, Truths]:
    """Return the days, each removal twice, and whether its stitches have left by then."""
    removals = {s.removal_day for s in strands if s.removal_day is not None}
    events = np.array(sorted(day for day in removals if day <= LAST_DAY))
    before = np.union1d(grid_days(), events)
    days = np.concatenate([before, events])
    gone = np.arange(len(days)) >= len(before)
    order = np.argsort(days, kind="stable")
    return days[order], gone[order]


def _threads(strands: tuple[Strand, ...], days: Floats, gone: Truths, fraction: Fraction) -> Floats:
    held = np.zeros(len(days))
    for strand in strands:
        end = LAST_DAY + 1 if strand.removal_day is None else strand.removal_day
        there = (days < end) | ((days == end) & ~gone)
        held += there * strand.tied_n_per_mm * fraction(strand.curve, days)
    return held
