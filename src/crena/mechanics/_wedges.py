"""Cuts along which two edges slide past each other, drawn as narrow wedges of removed skin.

Both edges of a plain cut share their nodes. A rotation flap moves along its own cut: its
edge is sutured to the other side of that cut and, before it, to the defect's base. No row of
nodes common to both sides can serve such a pair; the shares would go on without end towards
the end of the cut. So the flap's side of the cut is drawn a small part of a step inside the
flap, and the wedge between them joins the defect.
"""

from dataclasses import replace

import numpy as np

from crena.mechanics.sheet import Floats
from crena.records import Closure, Point2, Polyline2, Seam, line2

WEDGE_RATIO = 0.08
"""Width of a wedge in seam steps (assumed: several times the bow of a step on an arc)."""
TAPER_STEPS = 2.0
"""Steps over which a wedge grows to its width (assumed)."""


def parted(closure: Closure, seam_step_mm: float) -> Closure:
    """Return the closure with every sliding cut drawn as a wedge.

    Parameters
    ----------
    closure : Closure
        A cut slides if it starts on the outline, is the moved edge of a seam, and is also the
        last part of that seam's fixed edge.
    seam_step_mm : float
        Distance of neighbouring nodes, by which the wedge's width goes.
    """
    for seam in closure.seams:
        if _slides(closure, seam):
            closure = _with_wedge(closure, seam, seam_step_mm)
    return closure


def _slides(closure: Closure, seam: Seam) -> bool:
    cut = seam.moved_mm
    return (
        cut in closure.incisions_mm
        and cut[0] in closure.removed_mm
        and len(seam.fixed_mm) > len(cut)
        and seam.fixed_mm[-len(cut) :] == cut
    )


def _with_wedge(closure: Closure, seam: Seam, seam_step_mm: float) -> Closure:
    cut, ring = seam.moved_mm, closure.removed_mm
    at = ring.index(cut[0])
    before, after = ring[at - 1], ring[(at + 1) % len(ring)]
    onward = after in closure.flaps[seam.moved_flap - 1].outline_mm
    lip = _lip(cut, after if onward else before, seam_step_mm)
    if onward:
        ring = (*ring[: at + 1], *cut[1:], *lip[-2::-1], *ring[at + 1 :])
    else:
        ring = (*ring[:at], *lip[:-1], *cut[::-1], *ring[at + 1 :])
    return replace(
        closure,
        removed_mm=ring,
        incisions_mm=tuple(line for line in closure.incisions_mm if line != cut),
        seams=tuple(_on_lip(each, seam, lip) for each in closure.seams),
    )


def _lip(cut: Polyline2, corner: Point2, seam_step_mm: float) -> Polyline2:
    """Return the flap's side of a cut, its mouth moved along the outline towards a corner."""
    points = np.asarray(cut)
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    left_mm = np.concatenate([np.cumsum(steps[::-1])[::-1], [0.0]])
    share = np.minimum(left_mm / (TAPER_STEPS * seam_step_mm), 1.0)
    away = _normals(points, np.asarray(corner) - points[0])
    away[0] = (np.asarray(corner) - points[0]) / np.linalg.norm(np.asarray(corner) - points[0])
    moved = line2(points + WEDGE_RATIO * seam_step_mm * share[:, None] * away)
    return (*moved[:-1], cut[-1])


def _normals(points: Floats, towards: Floats) -> Floats:
    """Return unit normals along a line (n, 2), on the side that a direction points to."""
    heading = np.gradient(points, axis=0)
    normals = np.column_stack([-heading[:, 1], heading[:, 0]])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return np.asarray(normals * np.sign(normals[0] @ towards))


def _on_lip(seam: Seam, sliding: Seam, lip: Polyline2) -> Seam:
    """Return a seam whose edges of the flap begin or end at the lip's mouth."""
    if seam is sliding:
        return replace(seam, moved_mm=lip)
    mouth = {sliding.moved_mm[0]: lip[0]}
    fixed, moved = (
        tuple(mouth.get(p, p) for p in edge) if flap == sliding.moved_flap else edge
        for edge, flap in ((seam.fixed_mm, seam.fixed_flap), (seam.moved_mm, seam.moved_flap))
    )
    return replace(seam, fixed_mm=fixed, moved_mm=moved)
