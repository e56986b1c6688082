"""Points and lines as records hold them: plain tuples, in millimetres."""

from collections.abc import Iterable, Sequence

import numpy as np

Point2 = tuple[float, float]
"""(s, y): arc length across the cleft to the patient's right, and cranial."""

Point3 = tuple[float, float, float]
"""(x, y, z) in the skin frame, or (L, P, S) in the scanner's frame where the name says so."""

Polyline2 = tuple[Point2, ...]
Polyline3 = tuple[Point3, ...]


Coordinates = Sequence[float] | np.ndarray
"""The coordinates of one point, as an array or a tuple has them."""


def point2(p: Coordinates) -> Point2:
    """Return two coordinates, as an array has them, as a record's point."""
    return float(p[0]), float(p[1])


def point3(p: Coordinates) -> Point3:
    """Return three coordinates, as an array has them, as a record's point."""
    return float(p[0]), float(p[1]), float(p[2])


def line2(points: Iterable[Coordinates]) -> Polyline2:
    """Return points, as the rows of an array, as a record's line."""
    return tuple(point2(p) for p in points)
