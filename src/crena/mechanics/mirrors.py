"""Closures from the patient's left, closed as if they came from the right.

A mesh is never its own mirror image, so that a case and its mirror image would differ by the
error of the mesh. Every closure is therefore turned to one side before it is meshed.
"""

from dataclasses import replace

from crena.mechanics.material import Skin
from crena.records import Closure, Flap, Point2, Polyline2, RigidMotion, Seam, Side


def from_the_right(closure: Closure, skins: tuple[Skin, ...]) -> tuple[Closure, tuple[Skin, ...]]:
    """Return a closure and its skins, in the mirror if the flap comes from the patient's left.

    Parameters
    ----------
    closure : Closure
        From either side.
    skins : tuple of Skin
        Their tension lines are mirrored with it.
    """
    if closure.donor_side is not Side.LEFT:
        return closure, skins
    return mirrored_closure(closure), tuple(replace(s, axis_deg=-s.axis_deg) for s in skins)


def mirrored_closure(closure: Closure) -> Closure:
    """Return the closure on the other side of the midline: s becomes -s."""
    return replace(
        closure,
        donor_side=closure.donor_side.other if closure.donor_side else None,
        points_mm={name: _point(at) for name, at in closure.points_mm.items()},
        removed_mm=_line(closure.removed_mm),
        incisions_mm=tuple(_line(cut) for cut in closure.incisions_mm),
        flaps=tuple(_flap(flap) for flap in closure.flaps),
        seams=tuple(_seam(seam) for seam in closure.seams),
        scar_mm=tuple(_line(line) for line in closure.scar_mm),
        undermined_mm=_line(closure.undermined_mm),
    )


def _flap(flap: Flap) -> Flap:
    pedicle = flap.pedicle_mm and (_point(flap.pedicle_mm[0]), _point(flap.pedicle_mm[1]))
    motion = RigidMotion(
        angle_deg=-flap.motion.angle_deg,
        pivot_mm=_point(flap.motion.pivot_mm),
        shift_mm=_point(flap.motion.shift_mm),
    )
    return replace(flap, outline_mm=_line(flap.outline_mm), pedicle_mm=pedicle, motion=motion)


def _seam(seam: Seam) -> Seam:
    return replace(seam, fixed_mm=_line(seam.fixed_mm), moved_mm=_line(seam.moved_mm))


def _line(line: Polyline2) -> Polyline2:
    return tuple(_point(point) for point in line)


def _point(point: Point2) -> Point2:
    return -point[0], point[1]
