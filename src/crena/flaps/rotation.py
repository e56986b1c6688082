"""Unilateral rotation flap: a sector turns into a triangular defect beside it.

Drawn upright with the donor side to the right: the defect is the triangle A-B-C with its base
A-B on a circle and its apex C below, on the radius of the base's middle. The cut goes on from
B along the circle to D. The flap B-C-D hangs on the line C-D and turns about the circle's
centre until B lies on A; C, which lies above the centre, is held where it is and the skin gives
there. Its arc, B-D, is sutured to the base and the arc's
outer edge, A-B-D, which is longer by the base: the difference is eased along the arc.

The rule that the arc be at least four bases long is from memory; for a quarter of a circle it
gives the radius 8 b / pi. No back-cut and no triangle at the arc's end are drawn.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.flaps.edges import edge_mismatch_mm
from crena.flaps.places import placed, zone_round
from crena.flaps.scars import midline_warning
from crena.geometry.measures import polygon_area_mm2, polyline_length_mm
from crena.records import (
    Closure,
    ClosureKind,
    Flap,
    InputError,
    Parameter,
    Point2,
    Polyline2,
    Record,
    RigidMotion,
    Seam,
    Shape,
    Side,
)

Floats = NDArray[np.float64]

ARC_BASES = 4.0
"""Least length of the arc in bases of the defect (memory)."""
LEAST_ARC_DEG, MOST_ARC_DEG = 45.0, 180.0
STEP_MM = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RotationFlap(Record):
    """The free measures of a rotation flap."""

    donor_side: Side
    base_cranial: bool  #: the defect's base is its cranial side; else its caudal
    centre_s_mm: float  #: middle of the defect's base
    centre_y_mm: float
    base_mm: float  #: of the defect, along the circle
    height_mm: float  #: of the defect, from its base to its apex
    radius_mm: float
    arc_deg: float
    tilt_deg: float = 0.0  #: cranial end towards the patient's right


def radius_by_rule_mm(base_mm: float, arc_deg: float) -> float:
    """Return the radius of an arc that is four bases long.

    >>> round(radius_by_rule_mm(40.0, 90.0), 1)
    101.9
    """
    return float(ARC_BASES * base_mm / np.radians(arc_deg))


def close(flap: RotationFlap) -> Closure:
    """Draw the rotation of a sector into the defect beside it.

    Parameters
    ----------
    flap : RotationFlap
        Place and measures.

    Returns
    -------
    Closure
        With the turn about the circle's centre that brings B to A.

    Raises
    ------
    InputError
        If the arc is out of range, or the apex lies beyond the circle's centre.
    """
    _refuse_measures(flap)
    base, arc = _on_circle(flap, -1, 0), _on_circle(flap, 0, 1)
    c, centre = _placed(flap, np.array([(0.0, -flap.height_mm), (0.0, -flap.radius_mm)]))
    a, b, d = base[0], arc[0], arc[-1]
    scar = (c, *base[:-1], *arc)
    return Closure(
        kind=ClosureKind.ROTATION,
        name=f"{ClosureKind.ROTATION.value}, arc of {flap.arc_deg:.0f} degrees",
        donor_side=flap.donor_side,
        points_mm={"A": a, "B": b, "C": c, "D": d},
        removed_mm=(*base[:-1], b, c),
        incisions_mm=(arc,),
        flaps=(Flap(outline_mm=(c, *arc), pedicle_mm=(c, d), motion=_turn(flap, centre)),),
        seams=(
            Seam(name="A–C", fixed_mm=(c, a), moved_mm=(c, b), moved_flap=1),
            Seam(name="A–B–D", fixed_mm=(*base[:-1], *arc), moved_mm=arc, moved_flap=1),
        ),
        scar_mm=(scar,),
        undermined_mm=zone_round(arc),
        parameters=_parameters(flap),
        warnings=(*midline_warning([scar]), *_warnings(flap)),
    )


def shape_of(closure: Closure) -> Shape:
    """Measure a rotation flap: its arc must be eased by the base, which it closes."""
    at = {name: np.asarray(place) for name, place in closure.points_mm.items()}
    (arc,) = closure.incisions_mm
    return Shape(
        edge_mismatch_mm=edge_mismatch_mm(closure),
        base_to_length_ratio=float(np.linalg.norm(at["D"] - at["C"]) / polyline_length_mm(arc)),
        donor_closure_mm=float(np.linalg.norm(at["B"] - at["A"])),
        flap_area_mm2=abs(polygon_area_mm2(closure.flaps[0].outline_mm)),
        defect_area_mm2=abs(polygon_area_mm2(closure.removed_mm)),
    )


def _on_circle(flap: RotationFlap, start: int, end: int) -> Polyline2:
    """Return the circle from A (-1) to B (0) or from B to D (1), a point every step or so."""
    half = flap.base_mm / flap.radius_mm / 2
    bounds = {-1: -half, 0: half, 1: half + np.radians(flap.arc_deg)}
    length_mm = (bounds[end] - bounds[start]) * flap.radius_mm
    angle = np.linspace(bounds[start], bounds[end], max(3, round(length_mm / STEP_MM) + 1))
    drawn = flap.radius_mm * np.column_stack([np.sin(angle), np.cos(angle) - 1])
    return _placed(flap, drawn)


def _placed(flap: RotationFlap, drawn: Floats) -> Polyline2:
    centre = (flap.centre_s_mm, flap.centre_y_mm)
    signs = (flap.donor_side.sign, 1 if flap.base_cranial else -1)
    return placed(drawn, centre, flap.tilt_deg, signs)


def _turn(flap: RotationFlap, centre: Point2) -> RigidMotion:
    sense = flap.donor_side.sign * (1 if flap.base_cranial else -1)
    return RigidMotion(
        angle_deg=sense * float(np.degrees(flap.base_mm / flap.radius_mm)), pivot_mm=centre
    )


def _refuse_measures(flap: RotationFlap) -> None:
    if not LEAST_ARC_DEG <= flap.arc_deg <= MOST_ARC_DEG:
        raise InputError(
            f"An arc of {flap.arc_deg:g} degrees is out of range. "
            f"Give {LEAST_ARC_DEG:g} to {MOST_ARC_DEG:g}."
        )
    if flap.height_mm > flap.radius_mm or flap.base_mm > flap.radius_mm:
        raise InputError(
            f"A radius of {flap.radius_mm:.0f} mm is too short for this defect. "
            f"Give at least {max(flap.height_mm, flap.base_mm):.0f} mm."
        )


def _parameters(flap: RotationFlap) -> tuple[Parameter, ...]:
    arc_mm = flap.radius_mm * float(np.radians(flap.arc_deg))
    return (
        Parameter(name="base", value=flap.base_mm, unit="mm"),
        Parameter(name="height", value=flap.height_mm, unit="mm"),
        Parameter(name="radius", value=flap.radius_mm, unit="mm"),
        Parameter(name="arc angle", value=flap.arc_deg, unit="degrees"),
        Parameter(name="arc length", value=arc_mm, unit="mm"),
        Parameter(name="arc in bases", value=arc_mm / flap.base_mm, unit=""),
    )


def _warnings(flap: RotationFlap) -> tuple[str, ...]:
    arc_mm = flap.radius_mm * float(np.radians(flap.arc_deg))
    eased = f"The outer edge is {flap.base_mm:.0f} mm longer than the flap's: ease it in."
    if arc_mm >= ARC_BASES * flap.base_mm * (1 - 1e-9):
        return (eased,)
    return (
        eased,
        f"The arc of {arc_mm:.0f} mm is shorter than {ARC_BASES:.0f} bases of the defect, "
        f"{ARC_BASES * flap.base_mm:.0f} mm (rule from memory).",
    )
