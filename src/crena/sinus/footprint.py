"""The footprint: what the outline on the skin must hold so that every wall keeps its margin.

Each ball of the disease asks for a disc in the (x, y) plane; its corners are carried to
the unrolled skin. An outline that holds their hull keeps the margin in 3-D for straight
walls, because the map between the plane and the skin is one to one.
"""

import numpy as np
from numpy.typing import NDArray

from crena.geometry.supports import circumscribed_points, hull_points, walled_radii_mm
from crena.geometry.unrolling import SkinMap, height_mm, unroll_mm
from crena.sinus.parts import Part

Floats = NDArray[np.float64]

SIDES = 32
"""Corners of the polygon round each disc; its sides lie 0.5 % outside, never inside."""


def footprint(
    parts: tuple[Part, ...], skin: SkinMap, margin_mm: float, wall_angle_deg: float
) -> Floats:
    """Return the corners (k, 2) of the hull that the outline must hold, in (s, y).

    Parameters
    ----------
    parts : tuple of Part
        The disease.
    skin : SkinMap
        The skin over it.
    margin_mm : float
        To stay free round every part, mm.
    wall_angle_deg : float
        Lean of the walls; 0 straight down.
    """
    points = np.concatenate([p.points for p in parts])
    radii = np.concatenate([p.radii for p in parts])
    depths = height_mm(skin, points[:, :2]) - points[:, 2]
    reach = np.maximum(walled_radii_mm(radii, depths, margin_mm, wall_angle_deg), 0.0)
    corners = circumscribed_points(points[:, :2], reach, SIDES)
    return hull_points(unroll_mm(skin, corners))
