"""The invented disease of the phantom: three pits, two tracts, a cavity, a lone spot.

Body frame, mm, as in the anatomy. The scenario is our own and always the same; only the
look of the tracts changes.
"""

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.spatial import cKDTree

from crena.geometry.measures import lengths_along_mm
from crena.imaging._anatomy import Array, skin_height_mm

WALL_MM = 1.0
"""Thickness of the wall of tracts and cavity (assumed)."""

STEP_MM = 0.25
"""Arc length between the samples of a tract's middle line."""

PIT_Y_MM = (10.0, 22.0, 35.0)
"""Where the pits lie in the midline, cranial of the coccyx tip (assumed)."""

GAP_MM = (17.0, 23.0)
"""Between these arc lengths a collapsed tract has no lumen (assumed)."""

_GAP_EDGE_MM = 1.0
_BLIND_PIT_DEPTH_MM = 3.5

_T1_KNOTS_MM = (
    (0.0, 22.0, 0.0),
    (0.3, 22.4, 5.5),
    (-2.0, 26.0, 11.0),
    (-5.5, 34.5, 14.0),
    (-12.5, 45.5, 16.0),
)
"""(x, y, depth under the skin) of the long tract."""

_T2_KNOTS_MM = ((0.0, 35.0, 0.0), (0.9, 35.6, 4.0), (3.6, 37.8, 7.4), (6.5, 40.6, 9.6))
"""(x, y, depth under the skin) of the short tract."""

_CAVITY_AXES = ((-0.70, 0.70, -0.14), (0.70, 0.714, 0.07))
_CAVITY_HALF_MM = (7.0, 5.5, 4.5)
_SPOT_MM, _SPOT_RADIUS_MM = (-12.5, 27.0, 11.0), 2.0


@dataclass(frozen=True, slots=True)
class Tube:
    """A tract or a pit: its middle line and its two radii."""

    name: str
    centre_mm: Array  #: (n, 3)
    outer_mm: Array  #: (n,) lumen and wall
    lumen_mm: Array  #: (n,) negative where there is no lumen


@dataclass(frozen=True, slots=True)
class Disease:
    """All that is diseased, in the body frame, with a search tree over the tubes."""

    tubes: tuple[Tube, ...]
    pits_mm: Array  #: (3, 3)
    cavity_centre_mm: Array  #: (3,)
    cavity_axes: Array  #: (3, 3) rows are unit vectors
    cavity_half_mm: Array  #: (3,) to the outer face of the wall
    spot_centre_mm: Array  #: (3,)
    spot_radius_mm: float
    tree: cKDTree
    outer_mm: Array  #: (m,) of all samples in the tree
    lumen_mm: Array  #: (m,)


def scenario(gap_mm: tuple[float, float] | None) -> Disease:
    """Lay out the disease.

    Parameters
    ----------
    gap_mm : (from, to) or None
        Arc lengths between which the long tract has no lumen.

    Returns
    -------
    Disease
        Pits, tubes, cavity and spot in the body frame.
    """
    tubes = (_long_tract(gap_mm), _short_tract(), _blind_pit())
    centre = tubes[0].centre_mm[-1]
    return Disease(
        tubes=tubes,
        pits_mm=_under_skin(np.array([(0.0, y, 0.0) for y in PIT_Y_MM])),
        cavity_centre_mm=centre,
        cavity_axes=_cavity_axes(),
        cavity_half_mm=np.array(_CAVITY_HALF_MM),
        spot_centre_mm=_under_skin(np.array([_SPOT_MM]))[0],
        spot_radius_mm=_SPOT_RADIUS_MM,
        tree=cKDTree(np.concatenate([tube.centre_mm for tube in tubes])),
        outer_mm=np.concatenate([tube.outer_mm for tube in tubes]),
        lumen_mm=np.concatenate([tube.lumen_mm for tube in tubes]),
    )


def disease_distance_mm(disease: Disease, points_mm: Array) -> tuple[Array, Array, Array]:
    """Return signed distances to the outer wall, to the lumen, and to the lone spot.

    Parameters
    ----------
    disease : Disease
        What to measure from.
    points_mm : (n, 3) float
        Points in the body frame.

    Returns
    -------
    outer, lumen, spot : (n,) float
        Negative inside; the spot has no wall.
    """
    away, nearest = disease.tree.query(points_mm)
    local = (points_mm - disease.cavity_centre_mm) @ disease.cavity_axes.T
    outer = np.minimum(
        away - disease.outer_mm[nearest], _ellipsoid_distance(local, disease.cavity_half_mm)
    )
    lumen = np.minimum(
        away - disease.lumen_mm[nearest],
        _ellipsoid_distance(local, disease.cavity_half_mm - WALL_MM),
    )
    spot = np.linalg.norm(points_mm - disease.spot_centre_mm, axis=1) - disease.spot_radius_mm
    return outer, lumen, spot


def _long_tract(gap_mm: tuple[float, float] | None) -> Tube:
    centre = _resampled(_T1_KNOTS_MM)
    share = np.linspace(0.0, 1.0, len(centre))
    lumen = 1.0 + 1.5 * share
    if gap_mm is not None:
        along = share * STEP_MM * (len(centre) - 1)
        outside = np.maximum(gap_mm[0] - along, along - gap_mm[1])
        lumen = lumen * np.clip(outside / _GAP_EDGE_MM, 0.0, 1.0)
    return Tube("T1", centre, lumen + WALL_MM, _none_where_shut(lumen))


def _short_tract() -> Tube:
    centre = _resampled(_T2_KNOTS_MM)
    lumen = np.full(len(centre), 1.2)
    return Tube("T2", centre, lumen + WALL_MM, lumen)


def _blind_pit() -> Tube:
    y = PIT_Y_MM[0]
    centre = _resampled(((0.0, y, 0.0), (0.0, y, 0.5 * _BLIND_PIT_DEPTH_MM), (0.0, y, 3.5)))
    lumen = np.full(len(centre), 0.7)
    return Tube("blind pit", centre, lumen + 0.5 * WALL_MM, lumen)


def _none_where_shut(lumen_mm: Array) -> Array:
    return np.where(lumen_mm > 0.0, lumen_mm, -WALL_MM)


def _resampled(knots_mm: tuple[tuple[float, float, float], ...]) -> Array:
    knots = _under_skin(np.array(knots_mm))
    steps = np.linalg.norm(np.diff(knots, axis=0), axis=1)
    spline = CubicSpline(np.concatenate([[0.0], np.cumsum(steps)]), knots)
    fine = spline(np.linspace(0.0, steps.sum(), 4001))
    along = lengths_along_mm(fine)
    even = np.linspace(0.0, along[-1], int(round(along[-1] / STEP_MM)) + 1)
    return np.stack([np.interp(even, along, fine[:, axis]) for axis in range(3)], axis=1)


def _under_skin(at_depth_mm: Array) -> Array:
    x, y, depth = at_depth_mm.T
    return np.stack([x, y, skin_height_mm(x, y) - depth], axis=1)


def _cavity_axes() -> Array:
    rough = np.array(_CAVITY_AXES)
    first = rough[0] / np.linalg.norm(rough[0])
    second = rough[1] - first * (rough[1] @ first)
    second = second / np.linalg.norm(second)
    return np.stack([first, second, np.cross(first, second)])


def _ellipsoid_distance(local_mm: Array, half_mm: Array) -> Array:
    """Return the first-order distance to an ellipsoid, exact on its surface."""
    value = np.linalg.norm(local_mm / half_mm, axis=1)
    slope = np.linalg.norm(local_mm / half_mm**2, axis=1)
    near_middle = slope < 1e-6
    distance = value * (value - 1.0) / np.where(near_middle, 1.0, slope)
    return np.where(near_middle, -np.min(half_mm), distance)
