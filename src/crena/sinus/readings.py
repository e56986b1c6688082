"""What is read off a tube or a hollow: length, depth, reach, volume."""

import numpy as np
from numpy.typing import NDArray

from crena.geometry.measures import polyline_length_mm, round_cones_volume_mm3
from crena.geometry.unrolling import SkinMap, height_mm
from crena.records import Cavity, Origin, Tract, point3
from crena.records.units import ml_from_mm3

Floats = NDArray[np.float64]


def tract_of(
    name: str,
    centre: Floats,
    radius: Floats,
    skin: SkinMap,
    *,
    origin: Origin,
    sds_mm: tuple[float, float],
) -> Tract:
    """Make a tract with its readings.

    Parameters
    ----------
    name : str
        As the surgeon calls it.
    centre : (n, 3) float
        Middle line in the skin frame, from the pit to the blind end, mm.
    radius : (n,) float
        Of the outer wall, mm.
    skin : SkinMap
        For the depth: straight down from the skin above.
    origin : Origin
        Probing, scan or both.
    sds_mm : (float, float)
        One standard deviation of position on each axis, and of length, mm.
    """
    depth = height_mm(skin, centre[:, :2]) - centre[:, 2]
    return Tract(
        name=name,
        centre_mm=tuple(point3(p) for p in centre),
        radius_mm=tuple(float(r) for r in radius),
        origin=origin,
        sd_mm=sds_mm[0],
        length_mm=polyline_length_mm(centre),
        length_sd_mm=sds_mm[1],
        depth_mm=float(depth.max()),
        lateral_reach_mm=float(np.abs(centre[:, 0]).max()),
        volume_ml=ml_from_mm3(round_cones_volume_mm3(centre, radius)),
    )


def cavity_of(
    name: str, centre: Floats, half_axes: Floats, *, origin: Origin, sd_mm: float
) -> Cavity:
    """Make a cavity from its centre (3,) and half-axes (3, 3) in the skin frame, mm."""
    volume_mm3 = 4 / 3 * np.pi * float(np.prod(np.linalg.norm(half_axes, axis=1)))
    first, second, third = (point3(a) for a in half_axes)
    return Cavity(
        name=name,
        centre_mm=point3(centre),
        half_axes_mm=(first, second, third),
        origin=origin,
        sd_mm=sd_mm,
        volume_ml=ml_from_mm3(volume_mm3),
    )
