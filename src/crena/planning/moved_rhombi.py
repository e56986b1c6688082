"""A rhombic plan moved by its handles: each keeps what its construction is held to.

The ends of the long diagonal turn and size the cut about the opposite end. The ends of the
short one open the acute angle where the construction leaves it free; where it is fixed they
turn and size as well. E turns the first limb, F the second: a Limberg or Dufourmentel flap
becomes one of free angles by it, and is called so.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from crena.flaps import rhombic
from crena.flaps.rhombic import RhombicFlap, dufourmentel_angles_deg
from crena.geometry.rhombi import ACUTE_RANGE_DEG, Rhombus, corner_points, row_of
from crena.planning.drawings import Drawing
from crena.planning.rhombic_search import (
    DUFOURMENTEL,
    FREE,
    LIMBERG,
    MOVED_CORNER,
    TIP_30,
    drawing_on,
)
from crena.records import (
    Closure,
    ClosureKind,
    HandleAct,
    HandlePoint,
    InputError,
    MoveKind,
    Point2,
    Record,
)

Floats = NDArray[np.float64]

CENTRE = "centre"
"""Name of the handle that carries everything."""

SIDE_RANGE_MM = (15.0, 120.0)
LEAN_RANGE_DEG = (-60.0, 60.0)
RAISE_RANGE_DEG = (0.0, 45.0)
RAISE_30_RANGE_DEG = (0.0, 30.0)
TIP_RANGE_DEG = (30.0, 75.0)
SHIFT_RANGE_RATIO = (-0.3, 0.3)
"""What can be drawn by hand (assumed; acute angle and 30-degree flap as in the search)."""

FAMILIES = {
    ClosureKind.LIMBERG: LIMBERG,
    ClosureKind.DUFOURMENTEL: DUFOURMENTEL,
    ClosureKind.RHOMBIC_30: TIP_30,
    ClosureKind.RHOMBIC: FREE,
}

ENDS = {"cranial": "caudal", "caudal": "cranial", "left": "right", "right": "left"}
"""Each corner of the cut and the one opposite to it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedRhombus(Record):
    """The free measures of one rhombic plan."""

    rhombus: Rhombus
    flap: RhombicFlap
    family: str

    @property
    def free_acute(self) -> bool:
        """Tell whether the construction leaves the acute angle free."""
        return self.family in (DUFOURMENTEL, FREE)


def rhombus_of(closure: Closure) -> MovedRhombus:
    """Read the free measures of a rhombic closure off its corners."""
    at, known = closure.points_mm, {p.name: p.value for p in closure.parameters}
    assert closure.donor_side is not None
    caudal_pivot = at["C"][1] < at["A"][1]
    flap = RhombicFlap(
        donor_side=closure.donor_side,
        caudal_pivot=caudal_pivot,
        elevation_deg=known["elevation of the first limb"],
        tip_deg=known["tip angle"],
    )
    left, right = sorted((at["B"], at["D"]))
    ends = (at["A"], at["C"]) if caudal_pivot else (at["C"], at["A"])
    moved = closure.name.startswith(MOVED_CORNER)
    return MovedRhombus(
        rhombus=_rhombus(*(np.array(p) for p in (*ends, left, right))),
        flap=flap,
        family=MOVED_CORNER if moved else FAMILIES[closure.kind],
    )


def drawing_of(plan: MovedRhombus, wall_angle_deg: float) -> Drawing:
    """Draw a moved rhombic plan.

    Raises
    ------
    InputError
        If it cannot be drawn: one sentence with the measure and its range.
    """
    _refuse_odd(plan)
    drawing = drawing_on(
        corner_points(row_of(plan.rhombus))[0],
        plan.flap,
        wall_angle_deg,
        moved_corner=plan.family == MOVED_CORNER,
    )
    _refuse_across(drawing.closure)
    return drawing


def handles(plan: MovedRhombus, closure: Closure) -> tuple[HandlePoint, ...]:
    """Return the points that can be moved, and what each does."""
    acts = {letter: _act(plan, place) for letter, place in _places(plan).items()}
    acts |= {"E": HandleAct.RAISE, "F": HandleAct.TIP}
    corners = [
        HandlePoint(name=name, at_mm=at, act=acts[name]) for name, at in closure.points_mm.items()
    ]
    middle = (plan.rhombus.centre_s_mm, plan.rhombus.centre_y_mm)
    return (*corners, HandlePoint(name=CENTRE, at_mm=middle, act=HandleAct.CARRY))


def placed(plan: MovedRhombus, name: str, to_mm: Point2) -> MovedRhombus:
    """Return a plan with one handle at another place, as near as its construction allows."""
    if name == CENTRE:
        centre = {"centre_s_mm": to_mm[0], "centre_y_mm": to_mm[1]}
        return replace(plan, rhombus=replace(plan.rhombus, **centre))
    if name in ("E", "F"):
        return _limb_turned(plan, name, np.array(to_mm))
    place = _places(plan).get(name)
    if place is None:
        raise InputError(f"This plan has no handle {name[:20]!r}. Take one of its corners.")
    act, to = _act(plan, place), np.array(to_mm)
    if act is HandleAct.SHIFT:
        return _shifted(plan, to)
    if act is HandleAct.WIDEN:
        return _widened(plan, to)
    return _turned(plan, place, to)


def changed(plan: MovedRhombus, kind: MoveKind) -> MovedRhombus:
    """Return a plan with its flap from elsewhere, or mirrored."""
    flap, rhombus = plan.flap, plan.rhombus
    other_side = replace(flap, donor_side=flap.donor_side.other)
    if kind is MoveKind.OTHER_SIDE:
        return replace(plan, flap=other_side)
    if kind is MoveKind.OTHER_HINGE:
        return replace(plan, flap=replace(flap, caudal_pivot=not flap.caudal_pivot))
    mirrored = replace(
        rhombus,
        centre_s_mm=-rhombus.centre_s_mm,
        tilt_deg=-rhombus.tilt_deg,
        shift_ratio=-rhombus.shift_ratio,
    )
    return replace(plan, rhombus=mirrored, flap=other_side)


def grown(plan: MovedRhombus, grow_mm: float) -> MovedRhombus:
    """Return a plan with every wall further out, its centre kept, sides in whole millimetres."""
    rhombus = plan.rhombus
    side = rhombus.side_mm * (1 + grow_mm / rhombus.inradius_mm)
    share = max(float(np.ceil(side - 1e-9)), 1.0) / rhombus.side_mm
    return replace(plan, rhombus=replace(rhombus, inradius_mm=share * rhombus.inradius_mm))


def _rhombus(cranial: Floats, caudal: Floats, left: Floats, right: Floats) -> Rhombus:
    centre, short = (left + right) / 2, float(np.linalg.norm(right - left)) / 2
    long = float(np.linalg.norm(cranial - centre))
    up, across = (cranial - centre) / long, (right - left) / (2 * short)
    shift = float((caudal - (centre - long * up)) @ across) / (2 * long)
    return _on_diagonals(centre, long * up, short, shift)


def _on_diagonals(centre: Floats, upper_half: Floats, short: float, shift: float) -> Rhombus:
    """Return the rhombus of a centre, the upper half of its long diagonal, and half the short."""
    long = float(np.hypot(*upper_half))
    half = np.arctan2(short, long)
    return Rhombus(
        centre_s_mm=float(centre[0]),
        centre_y_mm=float(centre[1]),
        inradius_mm=float(long * np.sin(half)),
        acute_deg=float(np.degrees(2 * half)),
        tilt_deg=float(np.degrees(np.arctan2(upper_half[0], upper_half[1]))),
        shift_ratio=shift,
    )


def _places(plan: MovedRhombus) -> dict[str, str]:
    """Return for the letters A to D which corner of the cut each names."""
    quad = np.arange(4.0)[None, :, None].repeat(2, axis=2)
    order = rhombic.lettered(quad, plan.flap.donor_side, caudal_pivot=plan.flap.caudal_pivot)
    names = ("cranial", "left", "caudal", "right")
    return {letter: names[int(n)] for letter, n in zip("ABCD", order[0, :, 0], strict=True)}


def _act(plan: MovedRhombus, place: str) -> HandleAct:
    if plan.family == MOVED_CORNER and place == "caudal":
        return HandleAct.SHIFT
    if plan.free_acute and place in ("left", "right"):
        return HandleAct.WIDEN
    return HandleAct.TURN_AND_SIZE


def _plain_corners(rhombus: Rhombus) -> dict[str, Floats]:
    """Return the corners before the caudal one is shifted."""
    quad = corner_points(row_of(replace(rhombus, shift_ratio=0.0)))[0]
    return dict(zip(("cranial", "left", "caudal", "right"), quad, strict=True))


def _turned(plan: MovedRhombus, place: str, to: Floats) -> MovedRhombus:
    """Turn and size the cut: the opposite corner stays, and so does the acute angle."""
    rhombus, corners = plan.rhombus, _plain_corners(plan.rhombus)
    stays, slope = corners[ENDS[place]], float(np.tan(np.radians(rhombus.acute_deg / 2)))
    if place == "caudal" and rhombus.shift_ratio:
        to = to + corners["caudal"] - corner_points(row_of(rhombus))[0, 2]
    half = (to - stays) / 2
    if place in ("left", "right"):
        to_right = half if place == "right" else -half
        upper = np.array([-to_right[1], to_right[0]]) / slope
    else:
        upper = half if place == "cranial" else -half
    short = slope * float(np.hypot(*upper))
    moved = _on_diagonals((to + stays) / 2, upper, short, rhombus.shift_ratio)
    return replace(plan, rhombus=replace(moved, acute_deg=rhombus.acute_deg))


def _widened(plan: MovedRhombus, to: Floats) -> MovedRhombus:
    """Open or close the acute angle: the long diagonal stays."""
    rhombus, corners = plan.rhombus, _plain_corners(plan.rhombus)
    centre = (corners["left"] + corners["right"]) / 2
    across = (corners["right"] - corners["left"]) / np.linalg.norm(
        corners["right"] - corners["left"]
    )
    short = abs(float((to - centre) @ across))
    moved = _on_diagonals(centre, corners["cranial"] - centre, short, rhombus.shift_ratio)
    if plan.family != DUFOURMENTEL:
        return replace(plan, rhombus=moved)
    elevation, tip = dufourmentel_angles_deg(moved.acute_deg)
    return replace(
        plan, rhombus=moved, flap=replace(plan.flap, elevation_deg=elevation, tip_deg=tip)
    )


def _shifted(plan: MovedRhombus, to: Floats) -> MovedRhombus:
    """Move the caudal corner along the short diagonal."""
    corners = _plain_corners(plan.rhombus)
    across = corners["right"] - corners["left"]
    long = float(np.linalg.norm(corners["cranial"] - corners["caudal"]))
    shift = float((to - corners["caudal"]) @ across / np.linalg.norm(across)) / long
    return replace(plan, rhombus=replace(plan.rhombus, shift_ratio=shift))


def _limb_turned(plan: MovedRhombus, name: str, to: Floats) -> MovedRhombus:
    """Turn the first limb towards a place, or the second."""
    flap = plan.flap
    quad = corner_points(row_of(plan.rhombus))
    abcd = rhombic.lettered(quad, flap.donor_side, caudal_pivot=flap.caudal_pivot)
    a, b, _c, d = abcd[0]
    across = (d - b) / np.linalg.norm(d - b)
    up = a - d - (a - d) @ across * across
    up /= np.linalg.norm(up)
    if name == "E":
        turned = replace(flap, elevation_deg=_angle_deg(to - d, across, up))
    else:
        angles = np.array([[flap.elevation_deg, flap.tip_deg]])
        e = rhombic.flap_points(abcd, angles, np.ones((1, 2)))[0, 0]
        turned = replace(flap, tip_deg=_angle_deg(e - to, across, up) - flap.elevation_deg)
    keeps = plan.family == FREE or (plan.family == TIP_30 and name == "E")
    return replace(plan, flap=turned, family=plan.family if keeps else FREE)


def _angle_deg(way: Floats, across: Floats, up: Floats) -> float:
    return float(np.degrees(np.arctan2(way @ up, way @ across)))


def _refuse_odd(plan: MovedRhombus) -> None:
    """Refuse what could not be cut, or is no member of the family any more."""
    rhombus, flap = plan.rhombus, plan.flap
    raise_deg = RAISE_30_RANGE_DEG if plan.family == TIP_30 else RAISE_RANGE_DEG
    _within("The side", rhombus.side_mm, SIDE_RANGE_MM, " mm")
    _within("The acute angle", rhombus.acute_deg, ACUTE_RANGE_DEG, "°")
    _within("The lean from the midline", rhombus.tilt_deg, LEAN_RANGE_DEG, "°")
    _within("The shift of the lower corner", rhombus.shift_ratio, SHIFT_RANGE_RATIO, " diagonals")
    _within("The angle of the first limb", flap.elevation_deg, raise_deg, "°")
    _within("The tip angle", flap.tip_deg, TIP_RANGE_DEG, "°")


def _within(what: str, value: float, limits: tuple[float, float], unit: str) -> None:
    low, high = limits
    if not low - 1e-6 <= value <= high + 1e-6:
        raise InputError(
            f"{what} would be {value:.1f}{unit}; {low:g} to {high:g}{unit} can be drawn."
        )


def _refuse_across(closure: Closure) -> None:
    """Refuse a flap that reaches across the midline: it would carry the cleft's own skin."""
    assert closure.donor_side is not None
    for name in ("E", "F"):
        across_mm = -closure.donor_side.sign * closure.points_mm[name][0]
        if across_mm >= 0:
            raise InputError(
                f"Corner {name} of the flap would lie {across_mm:.0f} mm across the midline; a "
                f"flap from the {closure.donor_side} stays on that side."
            )
