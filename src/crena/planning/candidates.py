"""Thousands of closures as rows of numbers, and which limits each one keeps."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.records import Limits, Record

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

ROUNDING = 1e-6
"""What a value may miss a limit by: arithmetic, not anatomy."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Candidates(Record):
    """Closures of one family, measured by closed form.

    `measures` holds, in the order of `MEASURES`: area of skin taken (mm2), donor closure
    (mm), distance of the scar's lower end from the midline (mm), distance of the nearest
    cut from the anal verge (mm), pedicle over flap length, largest edge mismatch (mm),
    share of the scar at least 10 mm off the midline, and tip misfit (degrees).
    """

    family: str
    rows: Floats  #: (n, k) what the family needs to draw the closure again
    measures: Floats  #: (n, 8)
    donor_sign: NDArray[np.int64]  #: (n,) +1: the flap comes from the patient's right
    published: bool = True  #: series of this construction have been published

    def __len__(self) -> int:
        return len(self.rows)


MEASURES = (
    "area_mm2",
    "donor_closure_mm",
    "lower_end_midline_mm",
    "anal_verge_mm",
    "base_to_length_ratio",
    "edge_mismatch_mm",
    "share_beyond_10mm",
    "tip_misfit_deg",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit(Record):
    """One limit on one measure."""

    name: str
    measure: str
    asked: float
    unit: str
    least: bool  #: the measure must be at least this; else at most


def hard_limits(limits: Limits) -> tuple[Limit, ...]:
    """Return the limits that every plan must keep, in the surgeon's words."""
    return (
        Limit(
            name="lower end of the scar, off the midline",
            measure="lower_end_midline_mm",
            asked=limits.lower_end_midline_mm,
            unit="mm",
            least=True,
        ),
        Limit(
            name="every cut, off the anal verge",
            measure="anal_verge_mm",
            asked=limits.anal_verge_mm,
            unit="mm",
            least=True,
        ),
        Limit(
            name="pedicle over flap length",
            measure="base_to_length_ratio",
            asked=limits.base_to_length_ratio,
            unit="",
            least=True,
        ),
        Limit(
            name="difference of sutured edges",
            measure="edge_mismatch_mm",
            asked=limits.edge_mismatch_mm,
            unit="mm",
            least=False,
        ),
    )


def measured(candidates: Candidates, name: str) -> Floats:
    """Return one measure (n,) of all candidates."""
    return np.asarray(candidates.measures[:, MEASURES.index(name)])


def keeps(candidates: Candidates, limit: Limit) -> Mask:
    """Say for each candidate (n,) whether it keeps a limit; NaN never does."""
    return within(measured(candidates, limit.measure), limit)


def within(value: ArrayLike, limit: Limit) -> Mask:
    """Say of values of a limit's measure whether they keep it; NaN never does."""
    value = np.asarray(value, dtype=float)
    if limit.least:
        return np.asarray(value >= limit.asked - ROUNDING)
    return np.asarray(value <= limit.asked + ROUNDING)


def keeps_side(candidates: Candidates, limits: Limits) -> Mask:
    """Say for each candidate (n,) whether its flap comes from the side asked for."""
    if limits.flap_from is None:
        return np.ones(len(candidates), dtype=bool)
    return np.asarray(candidates.donor_sign == limits.flap_from.sign)


def picked(candidates: Candidates, which: Mask | NDArray[np.int64]) -> Candidates:
    """Return some of the candidates."""
    return Candidates(
        family=candidates.family,
        rows=candidates.rows[which],
        measures=candidates.measures[which],
        donor_sign=candidates.donor_sign[which],
        published=candidates.published,
    )


def in_order(candidates: Candidates) -> NDArray[np.int64]:
    """Return an order (n,) that depends on nothing but the measures.

    Least skin first, then each other measure; the mirror image of a case is ordered alike,
    and of twins the one whose flap comes from the side of its outline stands first.
    """
    outline_sign = np.sign(candidates.rows[:, 0].round(6))
    twin = -candidates.donor_sign * outline_sign
    keys = np.column_stack([candidates.measures.round(6), twin])
    return np.asarray(np.lexsort(keys.T[::-1]), dtype=np.int64)
