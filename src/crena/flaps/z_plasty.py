"""Z-plasty: two triangles change places, and the line between them grows longer.

The central limb runs from A, cranial, to B; the side limbs A-C and B-D, as long as it, leave
on opposite sides at the first and the second angle. The first flap, tip A, hangs on B-C and
goes to D; the second, tip B, hangs on A-D and goes to C. No skin is removed.

On skin that does not stretch the scar is a Z again, its angles exchanged: C and D come as
near to each other as A and B were, A and B as far apart as C and D were. For equal angles a
the gain is sqrt(5 - 4 cos a).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.flaps.edges import edge_mismatch_mm
from crena.flaps.places import placed, zone_round
from crena.flaps.scars import midline_warning
from crena.geometry.measures import polygon_area_mm2
from crena.geometry.motions import best_motion, turned
from crena.records import (
    Closure,
    ClosureKind,
    Flap,
    InputError,
    Parameter,
    Polyline2,
    Record,
    Seam,
    Shape,
    Side,
    line2,
)

Floats = NDArray[np.float64]

LETTERS = ("A", "B", "C", "D")
LEAST_ANGLE_DEG, MOST_ANGLE_DEG = 30.0, 90.0
"""Range of both angles (assumed: the range for which gains are tabled)."""

FLAT_WARNING = "The gain is for skin that does not stretch; measured gains are smaller."
NARROW_WARNING = "A 30-degree Z can even shorten the line (Roggendorf 1982)."
NARROW_DEG = 40.0
"""Angles below this are warned of (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ZPlasty(Record):
    """The free measures of a Z."""

    first_side: Side  #: where the cranial side limb lies
    centre_s_mm: float  #: middle of the central limb
    centre_y_mm: float
    limb_mm: float  #: each of the three limbs
    first_angle_deg: float  #: at A
    second_angle_deg: float  #: at B
    tilt_deg: float = 0.0  #: cranial end of the central limb towards the patient's right


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


def close(z: ZPlasty) -> Closure:
    """Draw a Z whose two flaps change places.

    Parameters
    ----------
    z : ZPlasty
        Place, limb and angles.

    Returns
    -------
    Closure
        Without removed skin; all edges that are sutured are equal in length.

    Raises
    ------
    InputError
        If an angle is out of range.
    """
    _refuse_angles(z)
    a, b, c, d = corners = _corners(z)
    a_new, b_new, c_new, d_new = _landed(np.array(corners))
    first = best_motion([a, c, b], [d_new, c_new, b_new], b)
    second = best_motion([b, d, a], [c_new, d_new, a_new], a)
    scar = line2([a_new, c_new, d_new, b_new])
    return Closure(
        kind=ClosureKind.Z_PLASTY,
        name=ClosureKind.Z_PLASTY.value,
        donor_side=None,
        points_mm=dict(zip(LETTERS, corners, strict=True)),
        removed_mm=(),
        incisions_mm=((c, a, b, d),),
        flaps=(
            Flap(outline_mm=(c, a, b), pedicle_mm=(b, c), motion=first),
            Flap(outline_mm=(d, b, a), pedicle_mm=(a, d), motion=second),
        ),
        seams=(
            Seam(name="A–C", fixed_mm=(a, c), moved_mm=(a, b), moved_flap=2),
            Seam(name="B–D", fixed_mm=(b, d), moved_mm=(b, a), moved_flap=1),
            Seam(name="C–D", fixed_mm=(a, c), moved_mm=(d, b), fixed_flap=1, moved_flap=2),
        ),
        scar_mm=(scar,),
        undermined_mm=zone_round(corners),
        parameters=_parameters(z, corners),
        warnings=(*midline_warning([scar]), *_warnings(z)),
    )


def shape_of(closure: Closure) -> Shape:
    """Measure a Z: its narrower base over the limb, and how near C and D must come."""
    at = {name: np.asarray(place) for name, place in closure.points_mm.items()}
    limb_mm = np.linalg.norm(at["B"] - at["A"])
    bases_mm = [np.linalg.norm(at["C"] - at["B"]), np.linalg.norm(at["D"] - at["A"])]
    return Shape(
        edge_mismatch_mm=edge_mismatch_mm(closure),
        base_to_length_ratio=float(min(bases_mm) / limb_mm),
        donor_closure_mm=float(np.linalg.norm(at["D"] - at["C"]) - limb_mm),
        flap_area_mm2=sum(abs(polygon_area_mm2(flap.outline_mm)) for flap in closure.flaps),
        defect_area_mm2=0.0,
    )


def _corners(z: ZPlasty) -> Polyline2:
    half = z.limb_mm / 2
    first, second = np.radians([z.first_angle_deg, z.second_angle_deg])
    a, b = np.array([0.0, half]), np.array([0.0, -half])
    c = a + z.limb_mm * np.array([np.sin(first), -np.cos(first)])
    d = b + z.limb_mm * np.array([-np.sin(second), np.cos(second)])
    centre = (z.centre_s_mm, z.centre_y_mm)
    return placed([a, b, c, d], centre, z.tilt_deg, (z.first_side.sign, 1))


def _landed(corners: Floats) -> Floats:
    """Return where A, B, C, D come to lie (4, 2): the line D-B-A-C mirrored, along A-B."""
    a, b, c, d = corners
    middle = corners.mean(axis=0)
    mirrored = (np.array([d, c, b, a]) - middle) * [-1, 1]
    span, along = mirrored[1] - mirrored[0], b - a
    turn_rad = np.arctan2(along[1], along[0]) - np.arctan2(span[1], span[0])
    return np.asarray(turned(mirrored, float(np.degrees(turn_rad))) + middle)


def _refuse_angles(z: ZPlasty) -> None:
    for angle_deg in (z.first_angle_deg, z.second_angle_deg):
        if not LEAST_ANGLE_DEG <= angle_deg <= MOST_ANGLE_DEG:
            raise InputError(
                f"An angle of {angle_deg:g} degrees is out of range for a Z-plasty. "
                f"Give {LEAST_ANGLE_DEG:g} to {MOST_ANGLE_DEG:g}."
            )


def _parameters(z: ZPlasty, corners: Polyline2) -> tuple[Parameter, ...]:
    _a, _b, c, d = (np.asarray(p) for p in corners)
    gain_ratio = float(np.linalg.norm(d - c)) / z.limb_mm
    return (
        Parameter(name="limb", value=z.limb_mm, unit="mm"),
        Parameter(name="first angle", value=z.first_angle_deg, unit="degrees"),
        Parameter(name="second angle", value=z.second_angle_deg, unit="degrees"),
        Parameter(name="longer by", value=100 * (gain_ratio - 1), unit="%"),
    )


def _warnings(z: ZPlasty) -> tuple[str, ...]:
    narrow = min(z.first_angle_deg, z.second_angle_deg) < NARROW_DEG
    return (FLAT_WARNING, NARROW_WARNING) if narrow else (FLAT_WARNING,)
