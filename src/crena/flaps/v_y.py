"""Unilateral V-Y advancement: an island triangle moves into a defect beside its base.

Drawn upright with the donor side to the right: the defect is the rectangle A-B-C-D, A and B
on the far edge, A cranial; its width is A-B and its gap A-D. The island C-D-E stands on the
edge C-D, its apex E at the height h = width times ratio, so its apex angle is 2 atan(w / 2h):
28.1 degrees at a ratio of 2, 22.6 at 2.5. The island advances by the gap g: D-C comes to A-B.
Each limb of the V, sqrt(h^2 + w^2/4) long, is then sutured to the defect's short side and the
limb's other edge as far as F or G, which lie g before E; what is left, F-E and G-E, is closed
as the stem of the Y. All edges are equal in length.

The island is cut round and lives through the fat and muscle below: it has no uncut base on
the skin. The rule of the height is from memory.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from crena.flaps.edges import edge_mismatch_mm
from crena.flaps.places import placed, zone_round
from crena.flaps.scars import midline_warning
from crena.geometry.measures import polygon_area_mm2
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

LETTERS = ("A", "B", "C", "D", "E", "F", "G")

ISLAND_WARNING = (
    "The island lives through what lies below it: leave its deep side attached, "
    "and free the skin round it only."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class IslandFlap(Record):
    """The free measures of a V-Y advancement."""

    donor_side: Side
    centre_s_mm: float  #: middle of the defect
    centre_y_mm: float
    width_mm: float  #: of the defect and of the island's base
    gap_mm: float  #: of the defect, from its far edge to the base
    height_ratio: float = 2.0  #: island's height over its width; 2 to 2.5 (memory)
    tilt_deg: float = 0.0  #: cranial end towards the patient's right


def apex_angle_deg(height_ratio: float) -> float:
    """Return the angle at the island's apex for its height in widths.

    >>> round(apex_angle_deg(2.0), 1), round(apex_angle_deg(2.5), 1)
    (28.1, 22.6)
    """
    return float(np.degrees(2 * np.arctan(0.5 / height_ratio)))


def close(flap: IslandFlap) -> Closure:
    """Draw the advancement of an island into the defect beside it.

    Parameters
    ----------
    flap : IslandFlap
        Place and measures.

    Returns
    -------
    Closure
        Its island moves by the gap without turning; its scar is a Y.

    Raises
    ------
    InputError
        If a limb is not longer than the gap: nothing of the V would be left.
    """
    _refuse_short_limb(flap)
    a, b, c, d, e, f, g = _corners(flap)
    zone = zone_round((e, f, g))
    return Closure(
        kind=ClosureKind.V_Y,
        name=ClosureKind.V_Y.value,
        donor_side=flap.donor_side,
        points_mm=dict(zip(LETTERS, (a, b, c, d, e, f, g), strict=True)),
        removed_mm=(a, b, c, d),
        incisions_mm=((d, e, c),),
        flaps=(Flap(outline_mm=(c, d, e), pedicle_mm=None, motion=_advance(a, d)),),
        seams=(
            Seam(name="A–B", fixed_mm=(a, b), moved_mm=(d, c), moved_flap=1),
            Seam(name="A–D–F", fixed_mm=(a, d, f), moved_mm=(d, e), moved_flap=1),
            Seam(name="B–C–G", fixed_mm=(b, c, g), moved_mm=(c, e), moved_flap=1),
            Seam(name="stem, F–E", fixed_mm=(f, e), moved_mm=(g, e), donor=True),
        ),
        scar_mm=_scar(flap),
        undermined_mm=zone,
        parameters=_parameters(flap),
        warnings=(*midline_warning(_scar(flap)), ISLAND_WARNING),
    )


def shape_of(closure: Closure) -> Shape:
    """Measure a V-Y advancement: no pedicle on the skin, the stem's edges F and G to join."""
    at = {name: np.asarray(place) for name, place in closure.points_mm.items()}
    return Shape(
        edge_mismatch_mm=edge_mismatch_mm(closure),
        base_to_length_ratio=None,
        donor_closure_mm=float(np.linalg.norm(at["F"] - at["G"])),
        flap_area_mm2=abs(polygon_area_mm2(closure.flaps[0].outline_mm)),
        defect_area_mm2=abs(polygon_area_mm2(closure.removed_mm)),
    )


def _corners(flap: IslandFlap) -> Polyline2:
    half, far, near = flap.width_mm / 2, -flap.gap_mm / 2, flap.gap_mm / 2
    apex = np.array([near + flap.height_ratio * flap.width_mm, 0.0])
    limb = np.array([apex[0] - near, half])
    before = limb * flap.gap_mm / np.linalg.norm(limb)
    drawn = [(far, half), (far, -half), (near, -half), (near, half), apex]
    return _placed(flap, [*drawn, apex + before * [-1, 1], apex - before])


def _scar(flap: IslandFlap) -> tuple[Polyline2, ...]:
    """Return the V round the island in its new place, and the stem."""
    half, far = flap.width_mm / 2, -flap.gap_mm / 2
    landed = far + flap.height_ratio * flap.width_mm
    v = [(landed, 0.0), (far, half), (far, -half), (landed, 0.0)]
    return _placed(flap, v), _placed(flap, [(landed, 0.0), (landed + flap.gap_mm, 0.0)])


def _placed(flap: IslandFlap, drawn: ArrayLike) -> Polyline2:
    centre = (flap.centre_s_mm, flap.centre_y_mm)
    return placed(drawn, centre, flap.tilt_deg, (flap.donor_side.sign, 1))


def _advance(far: Point2, near: Point2) -> RigidMotion:
    shift = (far[0] - near[0], far[1] - near[1])
    return RigidMotion(angle_deg=0.0, pivot_mm=near, shift_mm=shift)


def _refuse_short_limb(flap: IslandFlap) -> None:
    if not (flap.width_mm > 0 and flap.gap_mm > 0 and flap.height_ratio > 0):
        raise InputError("Width, gap and height of an island must be above 0. Draw it again.")
    limb_mm = flap.width_mm * float(np.hypot(flap.height_ratio, 0.5))
    if limb_mm <= flap.gap_mm:
        raise InputError(
            f"The island's limb of {limb_mm:.0f} mm is no longer than the gap of "
            f"{flap.gap_mm:.0f} mm. Draw a higher island."
        )


def _parameters(flap: IslandFlap) -> tuple[Parameter, ...]:
    angle_deg = apex_angle_deg(flap.height_ratio)
    limb_mm = flap.width_mm * float(np.hypot(flap.height_ratio, 0.5))
    return (
        Parameter(name="width", value=flap.width_mm, unit="mm"),
        Parameter(name="gap", value=flap.gap_mm, unit="mm"),
        Parameter(name="height", value=flap.height_ratio * flap.width_mm, unit="mm"),
        Parameter(name="apex angle", value=angle_deg, unit="degrees"),
        Parameter(name="limb", value=limb_mm, unit="mm"),
        Parameter(name="stem", value=flap.gap_mm, unit="mm"),
    )
