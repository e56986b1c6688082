"""An asymmetric advancement moved by its handles: ends and bulges, each by itself."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from crena.flaps import advancement
from crena.geometry.lenses import Lens
from crena.planning.advancement_search import LEAST_ASPECT, LEAST_SAGITTA_MM
from crena.planning.drawings import Drawing
from crena.planning.moved_rhombi import CENTRE
from crena.records import (
    Closure,
    HandleAct,
    HandlePoint,
    InputError,
    MoveKind,
    Point2,
    Record,
    Side,
    point2,
)

Floats = NDArray[np.float64]

LENGTH_RANGE_MM = (30.0, 200.0)
"""Between the ends, by hand (assumed)."""

DIGITS = 9
"""A bulge read off a drawing is as it was drawn, without the noise of arithmetic."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedLens(Record):
    """The free measures of one advancement."""

    lens: Lens
    pole_side: Side


def lens_of(closure: Closure) -> MovedLens:
    """Read the free measures of an advancement off its corners."""
    assert closure.donor_side is not None
    side = closure.donor_side.other
    a, c = (np.array(closure.points_mm[name]) for name in "AC")
    medial, lateral = (_sagitta_mm(a, c, np.array(closure.points_mm[n])) for n in "ML")
    left, right = (medial, lateral) if side is Side.RIGHT else (lateral, medial)
    lens = Lens(
        cranial_pole_mm=point2(a),
        caudal_pole_mm=point2(c),
        left_sagitta_mm=left,
        right_sagitta_mm=right,
    )
    return MovedLens(lens=lens, pole_side=side)


def drawing_of(plan: MovedLens, wall_angle_deg: float) -> Drawing:
    """Draw a moved advancement.

    Raises
    ------
    InputError
        If it cannot be drawn: one sentence with the measure and its range.
    """
    _refuse_odd(plan)
    closure = advancement.close(plan.lens, plan.pole_side)
    return Drawing(
        outline=advancement.outline_of(plan.lens, plan.pole_side, wall_angle_deg),
        closure=closure,
        shape=advancement.shape_of(closure, plan.lens),
    )


def handles(plan: MovedLens) -> tuple[HandlePoint, ...]:
    """Return the points that can be moved, and what each does."""
    a, c, lens = _pole(plan, "A"), _pole(plan, "C"), plan.lens
    middle, across = (a + c) / 2, _across(a, c)
    left, right = middle - lens.left_sagitta_mm * across, middle + lens.right_sagitta_mm * across
    medial, lateral = (left, right) if plan.pole_side is Side.RIGHT else (right, left)
    points = (
        ("A", a, HandleAct.POLE),
        ("C", c, HandleAct.POLE),
        ("M", medial, HandleAct.BULGE),
        ("L", lateral, HandleAct.BULGE),
        (CENTRE, middle, HandleAct.CARRY),
    )
    return tuple(HandlePoint(name=name, at_mm=point2(at), act=act) for name, at, act in points)


def placed(plan: MovedLens, name: str, to_mm: Point2) -> MovedLens:
    """Return a plan with one handle at another place, as near as its construction allows."""
    lens, to = plan.lens, np.array(to_mm)
    if name == "A":
        return replace(plan, lens=replace(lens, cranial_pole_mm=point2(to)))
    if name == "C":
        return replace(plan, lens=replace(lens, caudal_pole_mm=point2(to)))
    a, c = _pole(plan, "A"), _pole(plan, "C")
    if name == CENTRE:
        step = to - (a + c) / 2
        ends = point2(a + step), point2(c + step)
        return replace(plan, lens=replace(lens, cranial_pole_mm=ends[0], caudal_pole_mm=ends[1]))
    if name not in ("M", "L"):
        raise InputError(f"This plan has no handle {name[:20]!r}. Take one of its ends or edges.")
    to_right = float(_across(a, c) @ (to - a))
    is_left = (name == "M") == (plan.pole_side is Side.RIGHT)
    if is_left:
        return replace(plan, lens=replace(lens, left_sagitta_mm=-to_right))
    return replace(plan, lens=replace(lens, right_sagitta_mm=to_right))


def changed(plan: MovedLens, _: MoveKind) -> MovedLens:
    """Return an advancement mirrored: nothing else can be done to it as a whole."""
    lens = plan.lens
    mirrored = Lens(
        cranial_pole_mm=(-lens.cranial_pole_mm[0], lens.cranial_pole_mm[1]),
        caudal_pole_mm=(-lens.caudal_pole_mm[0], lens.caudal_pole_mm[1]),
        left_sagitta_mm=lens.right_sagitta_mm,
        right_sagitta_mm=lens.left_sagitta_mm,
    )
    return MovedLens(lens=mirrored, pole_side=plan.pole_side.other)


def grown(plan: MovedLens, grow_mm: float) -> MovedLens:
    """Return a plan with edges further out, bulges in whole millimetres, as planning grows it."""
    lens, stretch = plan.lens, np.array([0.0, 2 * grow_mm])
    return replace(
        plan,
        lens=Lens(
            cranial_pole_mm=point2(np.add(lens.cranial_pole_mm, stretch)),
            caudal_pole_mm=point2(np.subtract(lens.caudal_pole_mm, stretch)),
            left_sagitta_mm=float(np.ceil(lens.left_sagitta_mm + grow_mm - 1e-9)),
            right_sagitta_mm=float(np.ceil(lens.right_sagitta_mm + grow_mm - 1e-9)),
        ),
    )


def _pole(plan: MovedLens, name: str) -> Floats:
    lens = plan.lens
    return np.array(lens.cranial_pole_mm if name == "A" else lens.caudal_pole_mm)


def _across(a: Floats, c: Floats) -> Floats:
    """Return the unit vector across the line of the ends, towards the patient's right."""
    down = (c - a) / np.linalg.norm(c - a)
    return np.array([-down[1], down[0]])


def _sagitta_mm(a: Floats, c: Floats, at: Floats) -> float:
    """Return the height of the arc through a, c and a third point."""
    half, off = float(np.linalg.norm(c - a)) / 2, at - (a + c) / 2
    height = abs(float(_across(a, c) @ off))
    along = float((c - a) @ off) / (2 * half)
    below = (half**2 - along**2 - height**2) / (2 * height)
    return round(float(np.hypot(half, below)) - below, DIGITS)


def _refuse_odd(plan: MovedLens) -> None:
    lens, side = plan.lens, plan.pole_side
    _refuse_ends(plan)
    for name, bulge_mm in (("left", lens.left_sagitta_mm), ("right", lens.right_sagitta_mm)):
        if bulge_mm < LEAST_SAGITTA_MM - 1e-6:
            raise InputError(
                f"The edge on the patient's {name} would bulge by {bulge_mm:.1f} mm; at least "
                f"{LEAST_SAGITTA_MM:g} mm, so that it is an arc."
            )
    aspect = lens.length_mm / (lens.left_sagitta_mm + lens.right_sagitta_mm)
    if aspect < LEAST_ASPECT - 1e-6:
        raise InputError(
            f"The cut would be {aspect:.1f} times as long as wide; at least {LEAST_ASPECT:g}. "
            f"Make it narrower, or move an end of it on the {side} out."
        )


def _refuse_ends(plan: MovedLens) -> None:
    lens, side = plan.lens, plan.pole_side
    low, high = LENGTH_RANGE_MM
    if not low <= lens.length_mm <= high or lens.cranial_pole_mm[1] <= lens.caudal_pole_mm[1]:
        raise InputError(
            f"The ends would lie {lens.length_mm:.0f} mm apart; {low:g} to {high:g} mm can be "
            "drawn, the upper end above the lower."
        )
    for name, pole in (("upper", lens.cranial_pole_mm), ("lower", lens.caudal_pole_mm)):
        if side.sign * pole[0] <= 0:
            raise InputError(
                f"The {name} end would lie {abs(pole[0]):.0f} mm across the midline; both ends of "
                f"this cut lie on the {side}."
            )
