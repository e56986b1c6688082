"""Two comparators that are never proposed: midline fusiform closure, and leaving open."""

import numpy as np
from numpy.typing import NDArray

from crena.geometry.lenses import Fusiform, arc_points
from crena.records import (
    Closure,
    ClosureKind,
    Corner,
    Outline,
    OutlineKind,
    Parameter,
    Point2,
    Seam,
    Shape,
    Wall,
    line2,
    point2,
)

Floats = NDArray[np.float64]

MIDLINE_WARNING = (
    "Midline closure is obsolete (German S3 guideline, 2020 update). Recurrence after it: "
    "67.9 % at 240 months, 53.3–82.4 (Stauffer 2018, abstract)."
)
OPEN_WARNING = (
    "Leaving open is safe and slow (German S3 guideline, 2020 update); recurrence against "
    "closure RR 0.60, 0.42–0.87 (Al-Khamis 2010), healing takes weeks to months."
)
STEP_MM = 2.0


def close(fusiform: Fusiform) -> Closure:
    """Draw the fusiform sutured edge to edge on its long axis."""
    cranial, caudal, right, left = _arcs(fusiform)
    return Closure(
        kind=ClosureKind.MIDLINE,
        name=ClosureKind.MIDLINE.value,
        donor_side=None,
        points_mm={"A": cranial, "C": caudal},
        removed_mm=line2(np.concatenate([left[:-1], right[:-1]])),
        incisions_mm=(),
        flaps=(),
        seams=(Seam(name="A–C", fixed_mm=line2(left), moved_mm=line2(right[::-1])),),
        scar_mm=((cranial, caudal),),
        undermined_mm=(),
        parameters=(Parameter(name="length", value=fusiform.length_mm, unit="mm"),),
        warnings=(MIDLINE_WARNING,),
    )


def leave_open(fusiform: Fusiform) -> Closure:
    """Draw the same wound left open; its scar will lie where the wound was."""
    cranial, caudal, right, left = _arcs(fusiform)
    return Closure(
        kind=ClosureKind.OPEN,
        name=ClosureKind.OPEN.value,
        donor_side=None,
        points_mm={"A": cranial, "C": caudal},
        removed_mm=line2(np.concatenate([left[:-1], right[:-1]])),
        incisions_mm=(),
        flaps=(),
        seams=(),
        scar_mm=((cranial, caudal),),
        undermined_mm=(),
        parameters=(Parameter(name="length", value=fusiform.length_mm, unit="mm"),),
        warnings=(OPEN_WARNING,),
    )


def outline_of(fusiform: Fusiform, wall_angle_deg: float) -> Outline:
    """Return the excision's outline: two equal arcs."""
    cranial, caudal, right, left = _arcs(fusiform)
    return Outline(
        kind=OutlineKind.FUSIFORM,
        corners=(Corner(name="A", at_mm=cranial), Corner(name="C", at_mm=caudal)),
        walls=(
            Wall(name="patient's left", line_mm=line2(left)),
            Wall(name="patient's right", line_mm=line2(right)),
        ),
        wall_angle_deg=wall_angle_deg,
    )


def shape_of(fusiform: Fusiform) -> Shape:
    """Measure a fusiform closure: its edges are alike and must meet across its width."""
    return Shape(
        edge_mismatch_mm=0.0,
        base_to_length_ratio=None,
        donor_closure_mm=fusiform.length_mm / fusiform.aspect_ratio,
        flap_area_mm2=0.0,
        defect_area_mm2=fusiform.area_mm2,
    )


def _arcs(fusiform: Fusiform) -> tuple[Point2, Point2, Floats, Floats]:
    t = np.radians(fusiform.tilt_deg)
    centre = np.array([fusiform.centre_s_mm, fusiform.centre_y_mm])
    pole = fusiform.length_mm / 2 * np.array([np.sin(t), np.cos(t)])
    height = fusiform.length_mm / fusiform.aspect_ratio / 2
    right = arc_points(centre - pole, centre + pole, height, STEP_MM)
    left = arc_points(centre + pole, centre - pole, height, STEP_MM)
    return point2(centre + pole), point2(centre - pole), right, left
