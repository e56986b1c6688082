"""Triangular closure: a triangular defect closed by two unequal flaps that change places.

The construction is assumed: of the published technique (Mutaf 2017) only the abstract was
read, which says that the defect is made triangular and closed by two unequal flaps. Drawn
here is the clearest Z-plasty of that kind.

The defect is the triangle A-B-C, its apex C, A on the donor side. The central limb C-D leaves
the apex at the first tip angle beyond C-A; the side limb D-E, as long as it, turns back at
the second tip angle. The first flap, as a rule the smaller, tip C between C-A and C-D, hangs
on A-D. The second, tip D between D-C and D-E, hangs on C-E: it turns about C into the defect,
D to B, and the first flap takes its place, C to E. The side D-E lies on the base B-A as far
as X, and on the first flap's free edge A-C from there. The edges differ in length, since
flaps keep their area and the defect must be filled: a limb ratio of 1 shares that out.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.flaps.edges import edge_mismatch_mm
from crena.flaps.places import zone_round
from crena.flaps.scars import midline_warning
from crena.geometry.measures import polygon_area_mm2
from crena.geometry.motions import best_motion, turned
from crena.records import (
    Closure,
    ClosureKind,
    Flap,
    InputError,
    Parameter,
    Point2,
    Record,
    Seam,
    Shape,
    Side,
    line2,
)

Floats = NDArray[np.float64]

LETTERS = ("A", "B", "C", "D", "E")
LEAST_TIP_DEG, MOST_TIP_DEG = 30.0, 90.0
"""Range of both tip angles (assumed)."""
MOST_TURN_DEG = 150.0
"""Most that the second flap may turn, apex angle and first tip together (assumed)."""

ASSUMED_WARNING = (
    "Only the abstract of the published technique was read (Mutaf 2017): "
    "this construction is assumed."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnequalFlaps(Record):
    """The free measures of both flaps on a given triangle."""

    donor_side: Side
    first_tip_deg: float = 45.0
    second_tip_deg: float = 60.0
    limb_ratio: float = 1.0  #: limb over the mean of B-C and B-A-C, the edges it is sutured to


def close(triangle: ArrayLike, flaps: UnequalFlaps) -> Closure:
    """Draw two unequal flaps beside a triangular defect.

    Parameters
    ----------
    triangle : (3, 2) float
        The apex, then the corner of the base on the patient's left and that on the right, mm.
    flaps : UnequalFlaps
        Side, tips and limb.

    Returns
    -------
    Closure
        With the rigid motions nearest to the transposition.

    Raises
    ------
    InputError
        If a tip is out of range or the second flap would turn too far.
    """
    c, left, right = np.asarray(triangle, dtype=float)
    a, b = (right, left) if flaps.donor_side is Side.RIGHT else (left, right)
    _refuse_angles(a, b, c, flaps)
    d, e = _limbs(a, b, c, flaps)
    a, b, c, d, e = corners = line2([a, b, c, d, e])
    scar = ((c, b, a, e, d),)
    return Closure(
        kind=ClosureKind.TRIANGULAR,
        name=ClosureKind.TRIANGULAR.value,
        donor_side=flaps.donor_side,
        points_mm=dict(zip(LETTERS, corners, strict=True)),
        removed_mm=(a, b, c),
        incisions_mm=((c, d, e),),
        flaps=(
            Flap(
                outline_mm=(a, c, d), pedicle_mm=(a, d), motion=best_motion((a, c, d), (a, e, d), a)
            ),
            Flap(
                outline_mm=(c, d, e), pedicle_mm=(c, e), motion=best_motion((c, d, e), (c, b, e), c)
            ),
        ),
        seams=_seams(a, b, c, d, e),
        scar_mm=scar,
        undermined_mm=zone_round(corners),
        parameters=_parameters(a, b, c, flaps),
        warnings=(*midline_warning(scar), ASSUMED_WARNING),
    )


def shape_of(closure: Closure) -> Shape:
    """Measure a triangular closure: the narrower pedicle, and how near E must come to A."""
    at = {name: np.asarray(place) for name, place in closure.points_mm.items()}
    limb_mm = np.linalg.norm(at["D"] - at["C"])
    bases_mm = [np.linalg.norm(at["D"] - at["A"]), np.linalg.norm(at["E"] - at["C"])]
    free_mm = np.linalg.norm(at["C"] - at["A"])
    return Shape(
        edge_mismatch_mm=edge_mismatch_mm(closure),
        base_to_length_ratio=float(min(bases_mm) / limb_mm),
        donor_closure_mm=float(np.linalg.norm(at["E"] - at["A"]) - free_mm),
        flap_area_mm2=sum(abs(polygon_area_mm2(flap.outline_mm)) for flap in closure.flaps),
        defect_area_mm2=abs(polygon_area_mm2(closure.removed_mm)),
    )


def _limbs(a: Floats, b: Floats, c: Floats, flaps: UnequalFlaps) -> Floats:
    """Return D and E (2, 2)."""
    side, base, free = (float(np.linalg.norm(v)) for v in (b - c, a - b, a - c))
    limb = flaps.limb_ratio * (side + base + free) / 2
    sense = float(np.sign((b - c)[0] * (a - c)[1] - (b - c)[1] * (a - c)[0]))
    outward = turned(((a - c) / free)[None], sense * flaps.first_tip_deg)[0]
    back = turned(-outward[None], -sense * flaps.second_tip_deg)[0]
    d = c + limb * outward
    return np.array([d, d + limb * back])


def _seams(a: Point2, b: Point2, c: Point2, d: Point2, e: Point2) -> tuple[Seam, ...]:
    base, free = (float(np.hypot(*np.subtract(a, p))) for p in (b, c))
    share = base / (base + free)
    x = (d[0] + share * (e[0] - d[0]), d[1] + share * (e[1] - d[1]))
    return (
        Seam(name="B–C", fixed_mm=(c, b), moved_mm=(c, d), moved_flap=2),
        Seam(name="A–B", fixed_mm=(b, a), moved_mm=(d, x), moved_flap=2),
        Seam(name="A–E", fixed_mm=(a, c), moved_mm=(x, e), fixed_flap=1, moved_flap=2),
        Seam(name="donor, D–E", fixed_mm=(d, e), moved_mm=(d, c), moved_flap=1, donor=True),
    )


def _apex_deg(a: Floats, b: Floats, c: Floats) -> float:
    u, v = a - c, b - c
    return float(np.degrees(np.arccos(u @ v / np.linalg.norm(u) / np.linalg.norm(v))))


def _refuse_angles(a: Floats, b: Floats, c: Floats, flaps: UnequalFlaps) -> None:
    for tip_deg in (flaps.first_tip_deg, flaps.second_tip_deg):
        if not LEAST_TIP_DEG <= tip_deg <= MOST_TIP_DEG:
            raise InputError(
                f"A tip of {tip_deg:g} degrees is out of range. "
                f"Give {LEAST_TIP_DEG:g} to {MOST_TIP_DEG:g}."
            )
    turn_deg = _apex_deg(a, b, c) + flaps.first_tip_deg
    if turn_deg > MOST_TURN_DEG:
        raise InputError(
            f"The second flap would turn by {turn_deg:.0f} degrees. "
            f"Draw a narrower apex or first tip: {MOST_TURN_DEG:.0f} together at most."
        )


def _parameters(a: Point2, b: Point2, c: Point2, flaps: UnequalFlaps) -> tuple[Parameter, ...]:
    corners = [np.asarray(p) for p in (a, b, c)]
    apex_deg = _apex_deg(*corners)
    return (
        Parameter(name="base", value=float(np.hypot(*(corners[1] - corners[0]))), unit="mm"),
        Parameter(name="apex angle", value=apex_deg, unit="degrees"),
        Parameter(name="first tip", value=flaps.first_tip_deg, unit="degrees"),
        Parameter(name="second tip", value=flaps.second_tip_deg, unit="degrees"),
        Parameter(name="limb over its mean edge", value=flaps.limb_ratio, unit=""),
    )
