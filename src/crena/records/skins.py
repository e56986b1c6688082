"""What the surgeon's hands say of the skin: pinched folds, and how it stretches in sitting."""

from dataclasses import dataclass
from typing import Annotated

from crena.records.base import Between, Record

LEAST_STRETCH, MOST_STRETCH = 0.8, 1.5
"""Stretches that are looked at (assumed; far beyond any posture)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinFolds(Record):
    """Heights of skin folds pinched in four directions, anticlockwise from across the cleft.

    A fold along a direction is squeezed with one finger on either end of that direction.
    """

    across_mm: Annotated[float, Between(1, 80, "mm")]  #: 0 degrees, patient's left to right
    rising_right_mm: Annotated[float, Between(1, 80, "mm")]  #: 45 degrees
    along_mm: Annotated[float, Between(1, 80, "mm")]  #: 90 degrees, along the cleft
    rising_left_mm: Annotated[float, Between(1, 80, "mm")]  #: 135 degrees


@dataclass(frozen=True, slots=True, kw_only=True)
class Posture(Record):
    """How much longer the skin of the buttock is than lying prone, as the surgeon states it."""

    across_ratio: Annotated[float, Between(LEAST_STRETCH, MOST_STRETCH)]  #: along x
    along_ratio: Annotated[float, Between(LEAST_STRETCH, MOST_STRETCH)] = 1.0  #: along y
    deep_ratio: Annotated[float, Between(0.0, 1.0)] = 1.0
    #: share of the stretch that the deep tissue takes part in; assumed: all of it


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinEntry(Record):
    """What was felt and stated of one person's skin; nothing: all is guessed."""

    folds: SkinFolds | None = None
    sitting: Posture | None = None
