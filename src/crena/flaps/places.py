"""Where a construction lies on the skin, and how much skin round it is freed."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike

from crena.geometry.motions import turned
from crena.geometry.supports import circumscribed_points, hull_points
from crena.records import Point2, Polyline2, line2

UNDERMINED_MM = 20.0
"""Width freed at the fascia round the donor edges (common practice, no source)."""


def placed(
    drawn: ArrayLike, centre: Point2, tilt_deg: float, signs: tuple[int, int] = (1, 1)
) -> Polyline2:
    """Lay points that were drawn upright about the origin on the skin.

    Parameters
    ----------
    drawn : (n, 2) float
        x towards the donor side, y cranial, mm.
    centre : (2,) float
        Where the origin comes to lie, (s, y), mm.
    tilt_deg : float
        How far the cranial end is turned towards the patient's right.
    signs : (int, int)
        -1 mirrors that axis before the points are turned.

    Examples
    --------
    >>> placed([(3.0, 1.0)], (10.0, 0.0), 0.0, (-1, 1))
    ((7.0, 1.0),)
    """
    return line2(turned(np.asarray(drawn, dtype=float) * signs, -tilt_deg) + centre)


def zone_round(points: Iterable[Point2]) -> Polyline2:
    """Return the zone that is undermined round points: the hull of discs about them."""
    at = np.array(list(points))
    return line2(hull_points(circumscribed_points(at, np.full(len(at), UNDERMINED_MM), 16)))
