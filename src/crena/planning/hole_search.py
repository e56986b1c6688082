"""Closures of a hole just as it is cut: no more skin is taken."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from crena.flaps import rhombic
from crena.geometry.lenses import Lens
from crena.geometry.lines import signed_distances_mm
from crena.geometry.measures import polygon_area_mm2
from crena.planning import advancement_search
from crena.planning.candidates import ROUNDING, Candidates, picked
from crena.planning.drawings import Drawing
from crena.planning.rhombic_search import (
    ABOVE,
    BELOW,
    FREE_ANGLES_DEG,
    LIMBERG_DEG,
    TIP_30_DEG,
    flap_measures,
)
from crena.planning.wounds import Wound
from crena.records import ClosureKind, Point2, Side

Floats = NDArray[np.float64]

AS_IT_IS = "on the hole as it is"

LIMBERG = f"Limberg, {AS_IT_IS}"
DUFOURMENTEL = f"Dufourmentel, {AS_IT_IS}"
TIP_30 = f"rhombic, 30-degree tip, {AS_IT_IS}"
FREE = f"rhombic, free angles, {AS_IT_IS}"
FLAPS = {
    LIMBERG: ClosureKind.LIMBERG,
    DUFOURMENTEL: ClosureKind.DUFOURMENTEL,
    TIP_30: ClosureKind.RHOMBIC_30,
    FREE: ClosureKind.RHOMBIC,
}
"""Families of flaps, and what the trade calls a flap of these angles."""

PLANNED = {f"{kind}, as planned": kind for kind in ClosureKind}
"""The closure that was planned, by its kind: a family of one."""

QUAD = slice(10, 18)
"""Columns of a row that hold the hole's corners; those before are as in the rhombic family."""

NEAR_SIXTY_DEG = 10.0
"""A hole whose acute angle is this near to 60 degrees takes a flap drawn for 60 (assumed)."""


def hole_candidates(wound: Wound, footprint: Floats, anal_verge: Point2) -> tuple[Candidates, ...]:
    """Return every closure of a hole that needs no further cut round it.

    Parameters
    ----------
    wound : Wound
        As it is.
    footprint : (k, 2) float
        What the outline must hold; nothing is returned while some of it lies outside of the hole.
    anal_verge : (2,) float
        In (s, y), mm.
    """
    if furthest_outside_mm(footprint, wound.outline_mm) > ROUNDING:
        return ()
    verge = np.asarray(anal_verge)
    planned = f"{wound.planned.kind}, as planned"
    if wound.lens is not None:
        rows = _lens_rows(wound.lens)
        return (advancement_search.candidates_of(planned, rows, anal_verge),)
    acute_deg = _acute_deg(wound.corners_mm)
    angles = {DUFOURMENTEL: np.array([rhombic.dufourmentel_angles_deg(acute_deg)])}
    if abs(acute_deg - 60) <= NEAR_SIXTY_DEG:
        angles = {LIMBERG: LIMBERG_DEG, **angles, TIP_30: TIP_30_DEG}
    angles[FREE] = FREE_ANGLES_DEG
    others = [_flaps(f, wound.corners_mm, pairs, verge) for f, pairs in angles.items()]
    return (_as_planned(planned, wound, verge), *others)


def drawn(candidates: Candidates, index: int, wall_angle_deg: float, grow_mm: float) -> Drawing:
    """Draw one flap on the hole, grown only where the clearance in 3-D asks for more."""
    row = candidates.rows[index]
    quad = row[QUAD].reshape(4, 2)
    lowest = quad[np.argmin(quad[:, 1])]
    flap = rhombic.RhombicFlap(
        donor_side=Side.RIGHT if row[6] > 0 else Side.LEFT,
        caudal_pivot=bool(row[7] == BELOW),
        elevation_deg=float(row[8]),
        tip_deg=float(row[9]),
    )
    closure = rhombic.close(lowest + (quad - lowest) * (1 + grow_mm / row[2]), flap)
    kind, plain = (FLAPS | PLANNED)[candidates.family], closure.kind
    named = closure.name.replace(plain.value, candidates.family, 1)
    closure = replace(closure, kind=kind, name=named, warnings=_warnings(closure.warnings, kind))
    return Drawing(
        outline=rhombic.outline_of(closure, wall_angle_deg),
        closure=closure,
        shape=rhombic.shape_of(closure),
    )


def furthest_outside_mm(points: Floats, outline_mm: Floats) -> float:
    """Return how far the furthest of some points (k, 2) lies outside of an outline (n, 2)."""
    away = [float(signed_distances_mm(p, outline_mm[None])[0]) for p in points]
    return max(0.0, *away)


def same_flap(one: tuple[Candidates, int], other: tuple[Candidates, int]) -> bool:
    """Tell whether two candidates of the hole as it is are the same drawing."""
    rows = [family.rows[index] for family, index in (one, other)]
    return len(rows[0]) == len(rows[1]) and bool(np.allclose(*rows))


def _as_planned(family: str, wound: Wound, verge: Floats) -> Candidates:
    """Return the planned flap alone: its side, its hinge and its angles, on the real hole."""
    closure = wound.planned
    of = {each.name: each.value for each in closure.parameters}
    angles = np.array([[of["elevation of the first limb"], of["tip angle"]]])
    every = _flaps(family, wound.corners_mm, angles, verge)
    below = closure.points_mm["C"][1] < closure.points_mm["A"][1]
    hinge = BELOW if below else ABOVE
    side = closure.donor_side.sign if closure.donor_side else 0
    return picked(every, (every.donor_sign == side) & (every.rows[:, 7] == hinge))


def _lens_rows(lens: Lens) -> Floats:
    """Return the row of an advancement whose edges are those of the hole."""
    poles = (*lens.cranial_pole_mm, *lens.caudal_pole_mm)
    side = 1.0 if lens.caudal_pole_mm[0] > 0 else -1.0
    return np.array([[*poles, lens.left_sagitta_mm, lens.right_sagitta_mm, side]])


def _acute_deg(quad: Floats) -> float:
    """Return the mean of the angles at both ends of the long diagonal."""
    cranial, left, caudal, right = quad
    angles = []
    for end in (cranial, caudal):
        u, v = left - end, right - end
        cosine = u @ v / np.linalg.norm(u) / np.linalg.norm(v)
        angles.append(np.degrees(np.arccos(cosine)))
    return float(np.mean(angles))


def _flaps(family: str, quad: Floats, angles: Floats, verge: Floats) -> Candidates:
    """Cross one hole with donor side, pivot and angles, and measure all of them."""
    n = len(angles)
    area, edges = polygon_area_mm2(quad), np.roll(quad, -1, axis=0) - quad
    inradius = 2 * area / np.linalg.norm(edges, axis=1).sum()
    own_shape = np.array([*quad.mean(axis=0), inradius, _acute_deg(quad), 0.0, 0.0])
    quads, shapes = np.tile(quad, (n, 1, 1)), np.tile([area, own_shape[3]], (n, 1))
    rows, measures = [], []
    for side in Side:
        for hinge in (ABOVE, BELOW):
            found, own = flap_measures(quads, shapes, angles, (side, hinge), verge)
            head = np.tile([*own_shape, side.sign, hinge], (n, 1))
            rows.append(np.concatenate([head, angles, quads.reshape(n, 8)], axis=1)[own])
            measures.append(found[own])
    all_rows = np.concatenate(rows)
    return Candidates(
        family=family,
        rows=all_rows,
        measures=np.concatenate(measures),
        donor_sign=all_rows[:, 6].astype(np.int64),
        published=(FLAPS | PLANNED)[family] is not ClosureKind.RHOMBIC,
    )


def _warnings(found: tuple[str, ...], kind: ClosureKind) -> tuple[str, ...]:
    """Drop the warning against free angles from a flap whose angles the trade uses."""
    if kind is ClosureKind.RHOMBIC:
        return found
    return tuple(each for each in found if not each.startswith("Free angles"))
