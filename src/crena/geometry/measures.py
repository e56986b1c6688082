"""Exact lengths, areas and volumes."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def polygon_area_mm2(points: ArrayLike) -> float:
    """Return the signed area of a closed polygon (n, 2); positive anticlockwise.

    >>> polygon_area_mm2([(0, 0), (4, 0), (4, 3)])
    6.0
    """
    p = np.asarray(points, dtype=float)
    p = p - p[0]
    q = np.roll(p, -1, axis=0)
    return float(np.sum(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]) / 2)


def polyline_length_mm(points: ArrayLike) -> float:
    """Return the length of an open polyline (n, d)."""
    return float(np.linalg.norm(np.diff(np.asarray(points, dtype=float), axis=0), axis=1).sum())


def lengths_along_mm(points: ArrayLike) -> Floats:
    """Return how far along a polyline each of its points lies (n,), from 0 at the first.

    >>> lengths_along_mm([(0, 0), (3, 4), (3, 6)]).tolist()
    [0.0, 5.0, 7.0]
    """
    steps = np.linalg.norm(np.diff(np.asarray(points, dtype=float), axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])


def arc_lengths_mm(chords_mm: ArrayLike, sagittas_mm: ArrayLike) -> Floats:
    """Return the lengths of circular arcs by chord c and height h.

    The radius is (c^2/4 + h^2) / 2h and the half angle 2 atan(2h / c).
    """
    c, h = np.asarray(chords_mm, dtype=float), np.asarray(sagittas_mm, dtype=float)
    return np.asarray(2 * _radii(c, h) * _half_angles(c, h))


def arc_length_mm(chord_mm: float, sagitta_mm: float) -> float:
    """Return the length of one circular arc.

    >>> round(arc_length_mm(80.0, 30.0), 2)
    107.25
    """
    return float(arc_lengths_mm(chord_mm, sagitta_mm))


def segment_areas_mm2(chords_mm: ArrayLike, sagittas_mm: ArrayLike) -> Floats:
    """Return the areas between circular arcs and their chords."""
    c, h = np.asarray(chords_mm, dtype=float), np.asarray(sagittas_mm, dtype=float)
    half = _half_angles(c, h)
    return np.asarray(_radii(c, h) ** 2 * (half - np.sin(2 * half) / 2))


def segment_area_mm2(chord_mm: float, sagitta_mm: float) -> float:
    """Return the area between one circular arc and its chord."""
    return float(segment_areas_mm2(chord_mm, sagitta_mm))


def capsule_volume_mm3(radius_mm: float, length_mm: float) -> float:
    """Return the volume of all points within a radius of a straight segment."""
    return float(np.pi * radius_mm**2 * length_mm + 4 / 3 * np.pi * radius_mm**3)


def round_cones_volume_mm3(centres: Floats, radii: Floats) -> float:
    """Return the volume of a chain of tapered tubes with half-balls at both ends.

    Exact for one straight cone up to the small lens where cones of different slope meet;
    at bends the overlap on the inside is taken to fill the gap on the outside.
    """
    steps = np.linalg.norm(np.diff(centres, axis=0), axis=1)
    a, b = radii[:-1], radii[1:]
    frusta = np.pi / 3 * steps * (a**2 + a * b + b**2)
    return float(frusta.sum() + 2 / 3 * np.pi * (radii[0] ** 3 + radii[-1] ** 3))


def cap_volume_mm3(base_radius_mm: float, height_mm: float) -> float:
    """Return the volume of a spherical cap by the radius of its base and its height."""
    return float(np.pi * height_mm / 6 * (3 * base_radius_mm**2 + height_mm**2))


def hemi_ellipsoid_volume_mm3(length_mm: float, width_mm: float, depth_mm: float) -> float:
    """Return the volume of half an ellipsoid: pi/6 length x width x depth."""
    return float(np.pi / 6 * length_mm * width_mm * depth_mm)


def flared_volume_mm3(
    area_mm2: float, inradius_mm: float, depth_mm: float, wall_angle_deg: float
) -> float:
    """Return the volume under a tangential polygon whose walls flare outward.

    Every section is the outline scaled about its inscribed circle:
    V = A (d + d^2 t / rho + d^3 t^2 / 3 rho^2), t = tan of the wall angle.
    """
    t = np.tan(np.radians(wall_angle_deg))
    linear = depth_mm**2 * t / inradius_mm
    return float(area_mm2 * (depth_mm + linear + depth_mm**3 * t**2 / (3 * inradius_mm**2)))


def cone_slope_deg(wedge_deg: float) -> float:
    """Return how steep a dog-ear stands when a wedge is closed on skin that cannot stretch.

    The sheet becomes a cone whose lines are inclined acos(1 - wedge/360) to the plane.
    """
    return float(np.degrees(np.arccos(1 - wedge_deg / 360)))


def _radii(chords: Floats, sagittas: Floats) -> Floats:
    return np.asarray((chords**2 / 4 + sagittas**2) / (2 * sagittas))


def _half_angles(chords: Floats, sagittas: Floats) -> Floats:
    return np.asarray(2 * np.arctan(2 * sagittas / chords))
