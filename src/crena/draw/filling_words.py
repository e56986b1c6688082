"""What is said of the filling of a plan, in sentences with their bands."""

from crena.draw.words import NARROW, counted, span, with_unit
from crena.records.fillings import Filling, FillingOption, Quilting
from crena.records.numbers import whole

_PRINTS_AS_NOUGHT_ML = 0.5
"""Volumes are said in whole mL."""


def filling_sentence(filling: Filling) -> str:
    """Say what the flap fills of the cavity, what stays empty, and how deep.

    Parameters
    ----------
    filling : Filling
        Of one plan.

    Returns
    -------
    str
        One or two sentences; the band is that of the floor's depth.
    """
    cavity, flap = (whole(volume) for volume in (filling.cavity_ml, filling.flap_ml))
    said = f"The flap fills {flap} of {with_unit(cavity, 'mL')}."
    if filling.gap_high_ml < _PRINTS_AS_NOUGHT_ML:
        return f"{said} *Nothing stays empty.*"
    band = span(filling.gap_low_ml, filling.gap_high_ml, "mL")
    if filling.gap_ml < _PRINTS_AS_NOUGHT_ML:
        return f"{said} *{band}* may stay empty."
    return f"{said} *{band}* stay empty, deepest {with_unit(whole(filling.deepest_mm), 'mm')}."


def option_sentence(option: FillingOption) -> str:
    """Say what one more way to fill brings, and what still stays empty with it alone."""
    brings, left = (with_unit(whole(v), "mL") for v in (option.volume_ml, option.gap_ml))
    return f"{option.how} It brings {brings}; {left} still stay empty."


def quilting_sentence(row: Quilting) -> str:
    """Say how many stitches a spacing needs and what share of the gap it leaves at least."""
    parts = f"{whole(100 * row.gap_ratio)}{NARROW}of{NARROW}100{NARROW}parts"
    every = with_unit(whole(row.spacing_mm), "mm")
    return (
        f"{counted(row.stitches, 'stitch', 'stitches')}, one each {every}: at least {parts} of "
        "the room stay. Relative, not validated."
    )
