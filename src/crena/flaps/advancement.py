"""Asymmetric advancement: a lens with both poles off the midline, on the same side.

The medial edge is undermined and advanced across the midline to the lateral edge. The
scar comes to lie on the chord of the poles only if the medial edge bears its full share of
the closure; how much it really bears depends on undermining and is not assumed here: the
record says what the scar would do if both edges gave way alike.
"""

import numpy as np
from numpy.typing import NDArray

from crena.geometry.lenses import Lens, arc_points
from crena.geometry.measures import arc_length_mm
from crena.records import (
    Closure,
    ClosureKind,
    Corner,
    Flap,
    Outline,
    OutlineKind,
    Parameter,
    RigidMotion,
    Seam,
    Shape,
    Side,
    Wall,
    line2,
    point2,
)

Floats = NDArray[np.float64]

UNDERMINED_MM = 20.0
"""Width of the medial flap that is freed (20 mm: Karydakis 1992, from memory)."""

STEP_MM = 2.0


def close(lens: Lens, pole_side: Side) -> Closure:
    """Draw the advancement of the medial edge to the lateral one.

    Parameters
    ----------
    lens : Lens
        The outline; both poles on `pole_side` of the midline.
    pole_side : Side
        Where the scar is to lie; the flap comes from the other side.

    Returns
    -------
    Closure
        Its scar is the chord of the poles.
    """
    cranial, caudal = np.asarray(lens.cranial_pole_mm), np.asarray(lens.caudal_pole_mm)
    left = arc_points(cranial, caudal, lens.left_sagitta_mm, STEP_MM)
    right = arc_points(caudal, cranial, lens.right_sagitta_mm, STEP_MM)[::-1]
    medial, lateral = (left, right) if pole_side is Side.RIGHT else (right, left)
    outline = np.concatenate([left[:-1], right[::-1][:-1]])
    height = lens.left_sagitta_mm + lens.right_sagitta_mm
    strip = np.concatenate([medial, (medial - [pole_side.sign * UNDERMINED_MM, 0])[::-1]])
    return Closure(
        kind=ClosureKind.ADVANCEMENT,
        name=ClosureKind.ADVANCEMENT.value,
        donor_side=pole_side.other,
        points_mm={
            "A": point2(cranial),
            "C": point2(caudal),
            "M": point2(medial[len(medial) // 2]),
            "L": point2(lateral[len(lateral) // 2]),
        },
        removed_mm=line2(outline),
        incisions_mm=(),
        flaps=(_advanced(strip, medial, pole_side, height),),
        seams=(Seam(name="A–C", fixed_mm=line2(lateral), moved_mm=line2(medial), moved_flap=1),),
        scar_mm=((point2(cranial), point2(caudal)),),
        undermined_mm=line2(strip),
        parameters=(
            Parameter(name="length", value=lens.length_mm, unit="mm"),
            Parameter(name="medial edge advances", value=height, unit="mm"),
        ),
        warnings=(_if_shared_alike(medial, lateral),),
    )


def outline_of(lens: Lens, pole_side: Side, wall_angle_deg: float) -> Outline:
    """Return the excision's outline: a medial and a lateral wall, both arcs."""
    cranial, caudal = np.asarray(lens.cranial_pole_mm), np.asarray(lens.caudal_pole_mm)
    left = arc_points(cranial, caudal, lens.left_sagitta_mm, STEP_MM)
    right = arc_points(caudal, cranial, lens.right_sagitta_mm, STEP_MM)
    names = ("medial", "lateral") if pole_side is Side.RIGHT else ("lateral", "medial")
    return Outline(
        kind=OutlineKind.ASYMMETRIC_LENS,
        corners=(
            Corner(name="A", at_mm=point2(cranial)),
            Corner(name="C", at_mm=point2(caudal)),
        ),
        walls=(
            Wall(name=names[0], line_mm=line2(left)),
            Wall(name=names[1], line_mm=line2(right)),
        ),
        wall_angle_deg=wall_angle_deg,
    )


def shape_of(closure: Closure, lens: Lens) -> Shape:
    """Measure an advancement: the medial edge is longer than the lateral and must be eased."""
    arcs = [arc_length_mm(lens.length_mm, max(h, 1e-9)) for h in _sagittas(lens)]
    return Shape(
        edge_mismatch_mm=abs(arcs[0] - arcs[1]),
        base_to_length_ratio=lens.length_mm / UNDERMINED_MM,
        donor_closure_mm=sum(_sagittas(lens)),
        flap_area_mm2=UNDERMINED_MM * lens.length_mm,
        defect_area_mm2=lens.area_mm2,
    )


def _sagittas(lens: Lens) -> tuple[float, float]:
    return lens.left_sagitta_mm, lens.right_sagitta_mm


def _advanced(strip: Floats, medial: Floats, pole_side: Side, height: float) -> Flap:
    far_top, far_bottom = strip[-1], strip[len(medial)]
    return Flap(
        outline_mm=line2(strip),
        pedicle_mm=(point2(far_top), point2(far_bottom)),
        motion=RigidMotion(
            angle_deg=0.0,
            pivot_mm=point2(medial[len(medial) // 2]),
            shift_mm=(pole_side.sign * height, 0.0),
        ),
    )


def _if_shared_alike(medial: Floats, lateral: Floats) -> str:
    nearest = np.abs(_middle(medial) + _middle(lateral))[0] / 2
    return (
        "The scar lies on the line of the poles only if the medial edge is freed and advanced; "
        f"if both edges give way alike, its middle comes to {nearest:.0f} mm from the midline."
    )


def _middle(arc: Floats) -> Floats:
    """Return the point half-way along an arc whose points are evenly spaced."""
    half = (len(arc) - 1) / 2
    return np.asarray((arc[int(np.floor(half))] + arc[int(np.ceil(half))]) / 2)
