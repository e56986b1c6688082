"""The edges that a closure sutures to each other: how far they differ in length."""

from crena.geometry.measures import polyline_length_mm
from crena.records import Closure


def edge_mismatch_mm(closure: Closure) -> float:
    """Return the largest difference in length of two edges that are sutured."""
    return max(
        abs(polyline_length_mm(seam.fixed_mm) - polyline_length_mm(seam.moved_mm))
        for seam in closure.seams
    )
