"""Z-plasty: gain in length and turn of the central limb, on skin that does not stretch."""

import numpy as np


def length_gain_ratio(angle_deg: float) -> float:
    """Return new over old length of the central limb: sqrt(5 - 4 cos a).

    Measured gains are smaller; a 30-degree Z can even shorten (Roggendorf 1982).

    >>> round(length_gain_ratio(60.0), 4)
    1.7321
    """
    return float(np.sqrt(5 - 4 * np.cos(np.radians(angle_deg))))


def central_turn_deg(angle_deg: float) -> float:
    """Return by how much the central limb turns.

    >>> round(central_turn_deg(60.0), 6)
    90.0
    """
    cosine = np.cos(np.radians(angle_deg))
    return float(180 - np.degrees(np.arccos((1 - 2 * cosine) / length_gain_ratio(angle_deg))))
