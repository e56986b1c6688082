"""Exhaustive search of the rhombic family by closed form."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from crena.flaps import rhombic
from crena.flaps.scars import SHARE_AT_MM
from crena.geometry.lines import shares_beyond, signed_distances_mm
from crena.geometry.rhombi import CornerLimits, constrained_rhombi, corner_points
from crena.planning.candidates import Candidates
from crena.planning.drawings import Drawing
from crena.records import Limits, Point2, Side

Floats = NDArray[np.float64]

LIMBERG = "Limberg, tilted"
MOVED_CORNER = "Limberg, lower corner moved"
DUFOURMENTEL = "Dufourmentel"
TIP_30 = "rhombic, 30-degree tip"
FREE = "rhombic, free angles"

MOST_TILT_DEG = 46.0
"""How far the long diagonal may lean from the cleft (assumed)."""

TILT_STEP_DEG = 2.0
ACUTE_STEP_DEG = 5.0
BEARINGS_DEG = (0.0, 30.0, 60.0, 90.0)
"""Directions from the anal verge along which the outline may keep its distance."""

ABOVE, BELOW = -1.0, 1.0
"""Where the flap hinges: at the cranial or at the caudal corner of the long diagonal."""

FREE_ANGLES_DEG = np.array([(b, t) for b in (0, 10, 20, 30, 40) for t in (40, 50, 60, 70)], float)
LIMBERG_DEG = np.array([(0.0, 60.0)])
TIP_30_DEG = np.array([(b, 30.0) for b in (0, 10, 20, 30)])

SHIFTS = (0.06, 0.12, 0.18, 0.24)
"""Shifts of the lower corner, over the long diagonal: 5 to 21 mm on a side of 50 mm."""


def rhombic_candidates(
    footprint: Floats, limits: Limits, anal_verge: Point2
) -> tuple[Candidates, ...]:
    """Return every rhombic closure on the grid, one set for each family.

    Parameters
    ----------
    footprint : (k, 2) float
        Hull that the outline must hold, (s, y) mm.
    limits : Limits
        The lower end and the anal verge shape the outline itself.
    anal_verge : (2,) float
        In (s, y), mm.
    """
    tilts = np.arange(-MOST_TILT_DEG, MOST_TILT_DEG + 0.1, TILT_STEP_DEG)
    acutes = np.arange(60.0, 90.1, ACUTE_STEP_DEG)
    plain = _outlines(footprint, limits, anal_verge, _shapes(acutes, tilts, (0.0,)))
    sixty = plain[plain[:, 3] == 60.0]
    moved = _outlines(
        footprint, limits, anal_verge, _shapes([60.0], np.arange(-20.0, 20.1, 5.0), SHIFTS)
    )
    dufourmentel = np.array([rhombic.dufourmentel_angles_deg(a) for a in plain[:, 3]])
    return (
        _closures(LIMBERG, sixty, LIMBERG_DEG, anal_verge),
        _closures(MOVED_CORNER, moved, LIMBERG_DEG, anal_verge),
        _closures(DUFOURMENTEL, plain, dufourmentel.reshape(-1, 1, 2), anal_verge),
        _closures(TIP_30, sixty, TIP_30_DEG, anal_verge),
        _closures(FREE, plain, FREE_ANGLES_DEG, anal_verge),
    )


def drawn(candidates: Candidates, index: int, wall_angle_deg: float, grow_mm: float) -> Drawing:
    """Draw one candidate, its sides rounded up to whole millimetres.

    Parameters
    ----------
    candidates : Candidates
        Of a rhombic family.
    index : int
        Which one.
    wall_angle_deg : float
        Lean of the excision's walls.
    grow_mm : float
        Extra inradius, when the clearance in 3-D asks for more.

    Notes
    -----
    Growing about the lowest corner keeps that corner's place, and a set that is grown
    about one of its own points holds what it held.
    """
    row = candidates.rows[index]
    quad = _whole_millimetres(corner_points(row[None, :6])[0], float(row[2]), grow_mm)
    flap = rhombic.RhombicFlap(
        donor_side=Side.RIGHT if row[6] > 0 else Side.LEFT,
        caudal_pivot=bool(row[7] == BELOW),
        elevation_deg=float(row[8]),
        tip_deg=float(row[9]),
    )
    return drawing_on(quad, flap, wall_angle_deg, moved_corner=candidates.family == MOVED_CORNER)


def drawing_on(
    quad: Floats, flap: rhombic.RhombicFlap, wall_angle_deg: float, *, moved_corner: bool
) -> Drawing:
    """Draw a flap on a four-cornered outline (4, 2), named by its family."""
    closure = rhombic.close(quad, flap)
    if moved_corner:
        closure = replace(closure, name=closure.name.replace(closure.kind.value, MOVED_CORNER, 1))
    return Drawing(
        outline=rhombic.outline_of(closure, wall_angle_deg),
        closure=closure,
        shape=rhombic.shape_of(closure),
    )


def _shapes(acutes: Floats | list[float], tilts: Floats, shifts: tuple[float, ...]) -> Floats:
    return np.array(
        [(a, t, s, b) for a in acutes for t in tilts for s in shifts for b in BEARINGS_DEG]
    )


def _outlines(footprint: Floats, limits: Limits, verge: Point2, shapes: Floats) -> Floats:
    """Return the smallest outline (m, 6) of each shape, on both sides, over all bearings."""
    both = []
    for sign in (-1, 1):
        ask = CornerLimits(
            lower_end_midline_mm=limits.lower_end_midline_mm,
            lower_end_sign=sign,
            anal_verge_s_mm=verge[0],
            anal_verge_y_mm=verge[1],
            anal_verge_mm=limits.anal_verge_mm,
        )
        turned = shapes * np.array([1.0, 1.0, sign, sign])
        rows = constrained_rhombi(footprint, np.zeros(len(footprint)), turned, ask)
        rows = rows.reshape(-1, len(BEARINGS_DEG), 6)
        inradius = np.where(np.isnan(rows[..., 2]), np.inf, rows[..., 2])
        best = rows[np.arange(len(rows)), np.argmin(inradius, axis=1)]
        both.append(best[np.isfinite(best[:, 2])])
    return np.concatenate(both)


def _closures(family: str, outlines: Floats, angles: Floats, anal_verge: Point2) -> Candidates:
    """Cross outlines with donor side, pivot and angles, and measure all of them."""
    pairs = np.broadcast_to(angles, (len(outlines), *angles.shape[-2:]))
    places = [(side, hinge) for side in Side for hinge in (ABOVE, BELOW)]
    parts = [
        _measured(outlines, pairs[:, k], place, np.asarray(anal_verge))
        for place in places
        for k in range(pairs.shape[1])
    ]
    rows = np.concatenate([p[0] for p in parts])
    measures = np.concatenate([p[1] for p in parts])
    own = np.concatenate([p[2] for p in parts])
    rows, measures = rows[own], measures[own]
    return Candidates(
        family=family,
        rows=rows,
        measures=measures,
        donor_sign=rows[:, 6].astype(np.int64),
        published=family != FREE,
    )


def _measured(
    outlines: Floats,
    angles: Floats,
    place: tuple[Side, float],
    verge: Floats,
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Return rows, measures, and whether the flap stays on the donor side."""
    side, hinge = place
    areas = 4 * outlines[:, 2] ** 2 / np.sin(np.radians(outlines[:, 3]))
    shapes = np.column_stack([areas, outlines[:, 3]])
    measures, own = flap_measures(corner_points(outlines), shapes, angles, place, verge)
    tail = np.tile([side.sign, hinge], (len(outlines), 1))
    return np.concatenate([outlines, tail, angles], axis=1), measures, own


def flap_measures(
    quads: Floats, shapes: Floats, angles: Floats, place: tuple[Side, float], verge: Floats
) -> tuple[Floats, NDArray[np.bool_]]:
    """Measure a flap on each of many four-cornered outlines.

    Parameters
    ----------
    quads : (n, 4, 2) float
        Corners cranial, left, caudal, right, mm.
    shapes : (n, 2) float
        Area (mm2) and acute angle (degrees) of each.
    angles : (n, 2) float
        Elevation and tip, degrees.
    place : (Side, float)
        Donor side, and where the flap hinges.
    verge : (2,) float
        The anal verge, mm.

    Returns
    -------
    measures : (n, 8) float
        In the order of `MEASURES`.
    own : (n,) bool
        Whether the free corners E and F lie on the donor side; a flap that reached across the
        midline would carry the cleft's own skin.
    """
    n, (side, hinge) = len(quads), place
    abcd = rhombic.lettered(quads, side, caudal_pivot=hinge == BELOW)
    ef = rhombic.flap_points(abcd, angles, np.ones((n, 2)))
    a, b, c, d = np.moveaxis(abcd, 1, 0)
    e, f = np.moveaxis(ef, 1, 0)
    scar = np.stack([c, b, a, d, e], axis=1)
    flaps = np.stack([c, d, e, f], axis=1)
    ends = [_lowest(scar), _lowest(abcd)]
    edge = {"ab": _norm(b - a), "bc": _norm(c - b), "cd": _norm(d - c), "ad": _norm(d - a)}
    limb = np.maximum(_norm(e - d), edge["cd"])
    measures = np.column_stack(
        [
            shapes[:, 0],
            _norm(f - d),
            np.minimum(*(np.abs(end[:, 0]) for end in ends)),
            np.minimum(signed_distances_mm(verge, abcd), signed_distances_mm(verge, flaps)),
            _norm(f - c) / limb,
            np.maximum(np.abs(edge["cd"] - edge["bc"]), np.abs(edge["ab"] - edge["ad"])),
            shares_beyond(scar, SHARE_AT_MM),
            np.abs(shapes[:, 1] - angles[:, 1]),
        ]
    )
    return measures, (side.sign * ef[..., 0]).min(axis=1) > 0


def _lowest(points: Floats) -> Floats:
    """Return the lowest point (n, 2) of each set (n, k, 2)."""
    return np.asarray(points[np.arange(len(points)), np.argmin(points[..., 1], axis=1)])


def _norm(v: Floats) -> Floats:
    return np.asarray(np.hypot(v[..., 0], v[..., 1]))


def _whole_millimetres(quad: Floats, inradius_mm: float, grow_mm: float) -> Floats:
    lowest = quad[np.argmin(quad[:, 1])]
    grown = lowest + (quad - lowest) * (1 + grow_mm / inradius_mm)
    side = float(_norm(grown[1] - grown[0]))
    return np.asarray(lowest + (grown - lowest) * np.ceil(side - 1e-9) / side)
