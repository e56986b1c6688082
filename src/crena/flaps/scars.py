"""The ideal scar of any closure, measured from the midline and the anal verge."""

from collections.abc import Iterable

import numpy as np

from crena.geometry.lines import (
    distance_to_lines_mm,
    least_midline_mm,
    midline_crossings,
    share_beyond,
)
from crena.geometry.measures import polyline_length_mm
from crena.records import Closure, Point2, Polyline2, Scar
from crena.records.statements import NINE_OF_TEN_SDS

SHARE_AT_MM = 10.0
"""Distance off the midline beyond which the scar's share is stated."""

RISK_MM, ADVISED_MM = 11.0, 20.0
"""Distances of the lower end from the midline: Kaplan 2017."""

ROUNDING_MM = 1e-6


def measure_scar(closure: Closure, anal_verge: Point2, marking_sd_mm: float) -> Scar:
    """Measure where the seams come to lie before any tissue gives.

    Parameters
    ----------
    closure : Closure
        With its ideal scar.
    anal_verge : (2,) float
        In (s, y), mm.
    marking_sd_mm : float
        Error of marking, for the band of the lower end.
    """
    lines = closure.scar_mm
    lowest = _lower_end(closure)
    off = abs(lowest[0])
    swing = NINE_OF_TEN_SDS * marking_sd_mm
    return Scar(
        polyline_mm=lines[0],
        branches_mm=lines[1:],
        length_mm=sum(polyline_length_mm(line) for line in lines),
        least_midline_mm=least_midline_mm(lines),
        lower_end_mm=lowest,
        lower_end_midline_mm=off,
        lower_end_low_mm=max(off - swing, 0.0),
        lower_end_high_mm=off + swing,
        lower_end_anal_verge_mm=distance_to_lines_mm(anal_verge, lines),
        share_beyond_10mm=share_beyond(lines, SHARE_AT_MM),
        midline_crossings=midline_crossings(lines),
    )


def scar_warnings(scar: Scar) -> tuple[str, ...]:
    """Say what is published of a lower end as near to the midline as this one.

    Notes
    -----
    Kaplan 2017: after a Limberg flap a distal scar up to 11 mm off the midline went with
    recurrence (sensitivity 72 %, specificity 95 %); at least 20 mm are advised.
    """
    off_mm = scar.lower_end_midline_mm
    if off_mm >= ADVISED_MM - ROUNDING_MM:
        return ()
    if off_mm <= RISK_MM + ROUNDING_MM:
        risk = f"up to {RISK_MM:.0f} mm went with recurrence"
    else:
        risk = f"at least {ADVISED_MM:.0f} mm are advised"
    return (f"The lower end lies {off_mm:.0f} mm off the midline; {risk} (Kaplan 2017).",)


def midline_warning(lines: Iterable[Polyline2]) -> tuple[str, ...]:
    """Say how often the lines of a scar meet the midline; nothing if they do not."""
    crossings = midline_crossings(lines)
    if not crossings:
        return ()
    times = "once" if crossings == 1 else f"{crossings} times"
    return (f"The scar meets the midline {times}.",)


def _lower_end(closure: Closure) -> Point2:
    """Return the scar's lower end: of its lowest point and the defect's, the more medial."""
    points = np.concatenate([np.asarray(line) for line in closure.scar_mm])
    corners = np.array([c.at_mm for c in closure.corners[:4]])
    defect = points[(points[:, None] == corners).all(axis=2).any(axis=1)]
    ends = [_lowest(points), _lowest(defect)]
    return min(ends, key=lambda p: abs(p[0]))


def _lowest(points: np.ndarray) -> Point2:
    s, y = points[np.argmin(points[:, 1])]
    return float(s), float(y)
