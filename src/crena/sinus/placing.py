"""From a place on the skin laid flat back to the entries that say it.

The entries are rounded to what a ruler on the skin can tell, so that a place and what is
written beside it are one.
"""

import numpy as np

from crena.geometry.unrolling import SkinMap, height_mm, roll_mm
from crena.records import InputError, Point2, Side
from crena.records.cases import PitEntry
from crena.records.numbers import whole
from crena.records.placings import PlacedPit, PlacedTip, PlacedVerge
from crena.sinus.probing import entered_pit

RULER_STEP_MM = 0.5
"""What a ruler on the skin tells (assumed)."""

DIRECTION_STEP_DEG = 1.0
"""Directions are entered in whole degrees."""


def pit_at(place: Point2) -> PlacedPit:
    """Return the entries of a pit that was placed on the skin laid flat.

    Parameters
    ----------
    place : (2,) float
        (s, y), mm.

    Examples
    --------
    >>> found = pit_at((-4.1, 26.9))
    >>> found.above_coccyx_tip_mm, found.off_midline_mm, str(found.side)
    (27.0, 4.0, "patient's left")
    """
    off_mm = _measured(abs(place[0]))
    return PlacedPit(
        above_coccyx_tip_mm=_measured(place[1]),
        off_midline_mm=off_mm,
        side=side_of(place[0]) if off_mm else None,
    )


def verge_at(place: Point2) -> PlacedVerge:
    """Return how far below the coccyx tip the anal verge was placed, at (s, y), mm.

    >>> verge_at((3.0, -41.8)).anal_verge_below_coccyx_tip_mm
    42.0
    """
    return PlacedVerge(anal_verge_below_coccyx_tip_mm=_measured(-place[1]))


def tip_at(place: Point2, pit: PitEntry, tip_depth_mm: float, skin: SkinMap) -> PlacedTip:
    """Return length and direction of a probe whose tip lies under a place of the skin.

    Parameters
    ----------
    place : (2,) float
        (s, y) of the skin above the tip, mm.
    pit : PitEntry
        Where the probe goes in.
    tip_depth_mm : float
        Of the tip below that skin.
    skin : SkinMap
        The skin between the two.

    Raises
    ------
    InputError
        If the pit has no side though it lies off the midline, or a probe of the rounded
        length could not come that deep.
    """
    start = np.asarray(entered_pit(pit, skin).position_mm)
    xy = roll_mm(skin, [place])[0, :2]
    tip = np.array([*xy, height_mm(skin, xy[None])[0] - tip_depth_mm])
    length_mm = _measured(float(np.linalg.norm(tip - start)))
    if length_mm <= tip_depth_mm:
        raise InputError(
            f"A tip {tip_depth_mm:g} mm deep at this place needs a probe longer than it is deep. "
            "Place the tip farther from the pit, or correct its depth."
        )
    across_mm, along_mm = xy - start[:2]
    angle = np.degrees(np.arctan2(abs(across_mm), along_mm))
    turned_deg = DIRECTION_STEP_DEG * whole(float(angle) / DIRECTION_STEP_DEG)
    return PlacedTip(
        length_mm=length_mm,
        from_cranial_deg=turned_deg,
        side=None if turned_deg in (0, 180) else side_of(float(across_mm)),
    )


def side_of(across_mm: float) -> Side:
    """Return the side of the patient on which a place off the midline lies."""
    return Side.RIGHT if across_mm > 0 else Side.LEFT


def _measured(length_mm: float) -> float:
    return RULER_STEP_MM * whole(length_mm / RULER_STEP_MM)
