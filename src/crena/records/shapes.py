"""Points and lines as records hold them: plain tuples, in millimetres."""

Point2 = tuple[float, float]
"""(s, y): arc length across the cleft to the patient's right, and cranial."""

Point3 = tuple[float, float, float]
"""(x, y, z) in the skin frame, or (L, P, S) in the scanner's frame where the name says so."""

Polyline2 = tuple[Point2, ...]
Polyline3 = tuple[Point3, ...]
