"""The only place where one unit becomes another."""

MM3_PER_ML = 1000.0
"""Cubic millimetres in one millilitre."""

MG_PER_ML_PER_PERCENT = 10.0
"""A solution of 1 % holds 10 mg in each mL."""

N_PER_MM2_PER_KPA = 1e-3
"""One kPa is a thousandth of a newton on each square millimetre."""

POINTS_PER_MM = 72 / 25.4
"""Printer's points in one millimetre: an inch is 72 points and 25.4 mm."""


def ml_from_mm3(volume_mm3: float) -> float:
    """Return a volume in mL.

    >>> ml_from_mm3(1500.0)
    1.5
    """
    return volume_mm3 / MM3_PER_ML


def dose_mg_per_kg(volume_ml: float, concentration_percent: float, weight_kg: float) -> float:
    """Return the dose of a dissolved substance per body weight.

    >>> round(dose_mg_per_kg(2.0, 1.0, 70.0), 3)
    0.286
    """
    return volume_ml * concentration_percent * MG_PER_ML_PER_PERCENT / weight_kg
