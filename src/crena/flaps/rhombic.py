"""The rhombic family: one construction with free angles and limbs.

Corners as the trade letters them: C is the pivot of the flap, A lies opposite, D on the
donor side, B away from it. The first limb runs from D to E, raised by the elevation above
the extension of the short diagonal B-D; the second from E to F, the tip angle between
them. The flap C-D-E-F stays attached at C-F and turns into the defect: D comes to B, E to
A, F to D. The first limb is as long as A-B and the second as A-D, times their ratios.

| member          | acute    | elevation  | tip        | source                              |
|-----------------|----------|------------|------------|-------------------------------------|
| Limberg         | 60       | 0          | 60         | 60/120 rule: Sciegienka 2022        |
| Dufourmentel    | 60 to 90 | 45 - a/4   | 45 + a/4   | rule from memory; Lister & Gibson   |
|                 |          |            |            | 1972 describe the flap              |
| 30-degree tip   | 60       | 0 to 30    | 30         | Sciegienka 2022; elevation from     |
|                 |          |            |            | memory                              |
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.flaps.edges import edge_mismatch_mm
from crena.flaps.places import zone_round
from crena.flaps.scars import midline_warning
from crena.geometry import motions
from crena.geometry.measures import polygon_area_mm2
from crena.records import (
    Closure,
    ClosureKind,
    Flap,
    Outline,
    OutlineKind,
    Parameter,
    Point2,
    Polyline2,
    Record,
    Seam,
    Shape,
    Side,
    Wall,
    point2,
)

Floats = NDArray[np.float64]

LETTERS = ("A", "B", "C", "D", "E", "F")


@dataclass(frozen=True, slots=True, kw_only=True)
class RhombicFlap(Record):
    """The free measures of one flap on a given rhombus."""

    donor_side: Side
    caudal_pivot: bool  #: the flap hangs at the rhombus's caudal corner; else at its cranial
    elevation_deg: float
    tip_deg: float
    first_ratio: float = 1.0
    second_ratio: float = 1.0


def dufourmentel_angles_deg(acute_deg: float) -> tuple[float, float]:
    """Return elevation and tip of the Dufourmentel flap for an acute angle.

    >>> dufourmentel_angles_deg(75.0)
    (26.25, 63.75)
    """
    return 45 - acute_deg / 4, 45 + acute_deg / 4


def lettered(quads: Floats, donor_side: Side, *, caudal_pivot: bool) -> Floats:
    """Reorder corners cranial, left, caudal, right (n, 4, 2) to A, B, C, D of the flap."""
    cranial, left, caudal, right = np.moveaxis(quads, 1, 0)
    pivot, far = (caudal, cranial) if caudal_pivot else (cranial, caudal)
    donor, away = (right, left) if donor_side is Side.RIGHT else (left, right)
    return np.stack([far, away, pivot, donor], axis=1)


def flap_points(abcd: Floats, angles: Floats, ratios: Floats) -> Floats:
    """Return E and F of many flaps.

    Parameters
    ----------
    abcd : (n, 4, 2) float
        Lettered corners, mm.
    angles : (n, 2) float
        Elevation and tip, degrees.
    ratios : (n, 2) float
        First limb over A-B, second limb over A-D.

    Returns
    -------
    (n, 2, 2) float
        E and F, mm.
    """
    a, b, _c, d = np.moveaxis(abcd, 1, 0)
    across = (d - b) / np.linalg.norm(d - b, axis=1, keepdims=True)
    towards_a = a - d - ((a - d) * across).sum(axis=1, keepdims=True) * across
    up = towards_a / np.linalg.norm(towards_a, axis=1, keepdims=True)
    first = ratios[:, :1] * np.linalg.norm(b - a, axis=1, keepdims=True)
    second = ratios[:, 1:] * np.linalg.norm(d - a, axis=1, keepdims=True)
    e = d + first * _direction(across, up, angles[:, 0])
    f = e - second * _direction(across, up, angles.sum(axis=1))
    return np.stack([e, f], axis=1)


def close(quad: Floats, flap: RhombicFlap) -> Closure:
    """Draw one rhombic flap on a four-cornered outline.

    Parameters
    ----------
    quad : (4, 2) float
        Corners cranial, left, caudal, right, mm in (s, y).
    flap : RhombicFlap
        Side, pivot, angles and limbs.

    Returns
    -------
    Closure
        With the rigid motion nearest to the transposition; exact for a Limberg flap.
    """
    abcd = lettered(quad[None], flap.donor_side, caudal_pivot=flap.caudal_pivot)
    angles = np.array([[flap.elevation_deg, flap.tip_deg]])
    ef = flap_points(abcd, angles, np.array([[flap.first_ratio, flap.second_ratio]]))
    a, b, c, d, e, f = (point2(p) for p in np.concatenate([abcd[0], ef[0]]))
    motion = motions.best_motion([c, d, e, f], [c, b, a, d], c)
    acute_deg = _angle_deg(a, b, d)
    kind = kind_of(acute_deg, flap)
    return Closure(
        kind=kind,
        name=_name(kind, flap),
        donor_side=flap.donor_side,
        points_mm=dict(zip(LETTERS, (a, b, c, d, e, f), strict=True)),
        removed_mm=(a, b, c, d),
        incisions_mm=((d, e, f),),
        flaps=(Flap(outline_mm=(c, d, e, f), pedicle_mm=(c, f), motion=motion),),
        seams=(
            Seam(name="A–B", fixed_mm=(a, b), moved_mm=(e, d), moved_flap=1),
            Seam(name="B–C", fixed_mm=(b, c), moved_mm=(d, c), moved_flap=1),
            Seam(name="A–D", fixed_mm=(a, d), moved_mm=(e, f), moved_flap=1),
            Seam(name="donor, D–E", fixed_mm=(d, e), moved_mm=(f, e), donor=True),
        ),
        scar_mm=((c, b, a, d, e),),
        undermined_mm=zone_round((d, e, f)),
        parameters=_parameters(acute_deg, flap, a, b),
        warnings=_warnings(kind, (c, b, a, d, e)),
    )


def shape_of(closure: Closure) -> Shape:
    """Measure a rhombic closure: edges, pedicle, donor closure, areas."""
    at = {name: np.asarray(place) for name, place in closure.points_mm.items()}
    limb = max(np.linalg.norm(at["E"] - at["D"]), np.linalg.norm(at["C"] - at["D"]))
    return Shape(
        edge_mismatch_mm=edge_mismatch_mm(closure),
        base_to_length_ratio=float(np.linalg.norm(at["F"] - at["C"]) / limb),
        donor_closure_mm=float(np.linalg.norm(at["F"] - at["D"])),
        flap_area_mm2=abs(polygon_area_mm2(closure.flaps[0].outline_mm)),
        defect_area_mm2=abs(polygon_area_mm2(closure.removed_mm)),
    )


def outline_of(closure: Closure, wall_angle_deg: float) -> Outline:
    """Return the excision's outline with its walls named by the flap's letters."""
    corners = closure.corners[:4]
    if polygon_area_mm2([c.at_mm for c in corners]) < 0:
        corners = corners[::-1]
    following = (*corners[1:], corners[0])
    return Outline(
        kind=OutlineKind.RHOMBUS,
        corners=corners,
        walls=tuple(
            Wall(name="–".join(sorted((p.name, q.name))), line_mm=(p.at_mm, q.at_mm))
            for p, q in zip(corners, following, strict=True)
        ),
        wall_angle_deg=wall_angle_deg,
    )


def kind_of(acute_deg: float, flap: RhombicFlap) -> ClosureKind:
    """Name the member of the family that the measures give."""
    equal_limbs = flap.first_ratio == flap.second_ratio == 1.0
    angles = np.array([flap.elevation_deg, flap.tip_deg])
    if equal_limbs and np.allclose([acute_deg, *angles], [60, 0, 60], atol=0.1):
        return ClosureKind.LIMBERG
    if equal_limbs and np.allclose(angles, dufourmentel_angles_deg(acute_deg), atol=0.1):
        return ClosureKind.DUFOURMENTEL
    if abs(flap.tip_deg - 30) < 0.1 and abs(acute_deg - 60) < 0.1 and flap.elevation_deg <= 30:
        return ClosureKind.RHOMBIC_30
    return ClosureKind.RHOMBIC


def _direction(across: Floats, up: Floats, angle_deg: Floats) -> Floats:
    angle = np.radians(angle_deg)[:, None]
    return np.asarray(np.cos(angle) * across + np.sin(angle) * up)


def _angle_deg(at: Point2, p: Point2, q: Point2) -> float:
    u, v = np.subtract(p, at), np.subtract(q, at)
    return float(np.degrees(np.arccos(u @ v / np.linalg.norm(u) / np.linalg.norm(v))))


def _name(kind: ClosureKind, flap: RhombicFlap) -> str:
    return f"{kind.value}, hinged {'below' if flap.caudal_pivot else 'above'}"


def _parameters(acute_deg: float, flap: RhombicFlap, a: Point2, b: Point2) -> tuple[Parameter, ...]:
    return (
        Parameter(name="side", value=float(np.hypot(*np.subtract(a, b))), unit="mm"),
        Parameter(name="acute angle", value=acute_deg, unit="degrees"),
        Parameter(name="elevation of the first limb", value=flap.elevation_deg, unit="degrees"),
        Parameter(name="tip angle", value=flap.tip_deg, unit="degrees"),
        Parameter(name="tip too narrow by", value=acute_deg - flap.tip_deg, unit="degrees"),
    )


def _warnings(kind: ClosureKind, scar: Polyline2) -> tuple[str, ...]:
    crossings = midline_warning([scar])
    if kind is not ClosureKind.RHOMBIC:
        return crossings
    return (*crossings, "Free angles: no published series stands behind exactly this drawing.")
