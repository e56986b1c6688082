"""Support functions: how far a set reaches in a direction.

The support of a tapered tube is the larger support of its two end balls, so a polyline
with radii needs only its vertices. Directions are angles in radians from +x (or +s),
anticlockwise.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import ConvexHull, QhullError

Floats = NDArray[np.float64]


def support_mm(centres: Floats, radii: Floats, theta: ArrayLike) -> Floats:
    """Return the support of discs in each direction.

    Parameters
    ----------
    centres : (n, 2) float
        Centres, mm.
    radii : (n,) float
        Radii, mm; 0 for points.
    theta : (k,) float
        Directions, radians.

    Returns
    -------
    (k,) float
        The largest reach along each direction, mm from the origin.
    """
    theta = np.atleast_1d(np.asarray(theta, dtype=float))
    reach = np.column_stack([np.cos(theta), np.sin(theta)]) @ centres.T + radii
    return np.asarray(reach.max(axis=1))


def width_mm(centres: Floats, radii: Floats, theta: ArrayLike) -> Floats:
    """Return the width of discs in each direction: both supports together, mm."""
    theta = np.atleast_1d(np.asarray(theta, dtype=float))
    return support_mm(centres, radii, theta) + support_mm(centres, radii, theta + np.pi)


def walled_radii_mm(
    radii: Floats, depths: Floats, margin_mm: float, wall_angle_deg: float
) -> Floats:
    """Return the reach at the skin that balls at depth ask of a sloping wall.

    A wall that leaves the skin line outward at the angle a to the vertical clears a ball
    of radius r at depth d by m when its skin line lies (r + m) / cos a - d tan a from the
    ball's centre.

    Parameters
    ----------
    radii, depths : (n,) float
        Of the balls, mm; depth below the skin.
    margin_mm : float
        What must stay free, mm.
    wall_angle_deg : float
        0 for a wall straight down.
    """
    slope = np.radians(wall_angle_deg)
    return np.asarray((radii + margin_mm) / np.cos(slope) - depths * np.tan(slope))


def ellipsoid_support_mm(
    centre: Floats, half_axes: Floats, margin_mm: float, wall_angle_deg: float, theta: ArrayLike
) -> Floats:
    """Return the reach at the skin that an ellipsoid asks of a sloping wall.

    Parameters
    ----------
    centre : (3,) float
        mm; depth is -z.
    half_axes : (3, 3) float
        Three perpendicular half-axes as rows, mm.
    margin_mm, wall_angle_deg : float
        As in `walled_radii_mm`.
    theta : (k,) float
        Directions, radians.
    """
    slope = np.radians(wall_angle_deg)
    theta = np.atleast_1d(np.asarray(theta, dtype=float))
    outward = np.column_stack(
        [
            np.cos(theta) * np.cos(slope),
            np.sin(theta) * np.cos(slope),
            np.full_like(theta, np.sin(slope)),
        ]
    )
    reach = outward @ centre + np.linalg.norm(outward @ half_axes.T, axis=1)
    return np.asarray((reach + margin_mm) / np.cos(slope))


def circumscribed_points(centres: Floats, radii: Floats, sides: int) -> Floats:
    """Return the corners (n * sides, 2) of polygons drawn round discs; never inside them."""
    turn = 2 * np.pi * np.arange(sides) / sides
    spokes = np.column_stack([np.cos(turn), np.sin(turn)]) / np.cos(np.pi / sides)
    return np.asarray((centres[:, None, :] + radii[:, None, None] * spokes).reshape(-1, 2))


def hull_points(points: Floats) -> Floats:
    """Return the corners (k, 2) of the convex hull, anticlockwise; all points if flat."""
    try:
        return np.asarray(points[ConvexHull(points).vertices])
    except QhullError:
        return np.unique(points, axis=0)


def voxel_corners(centres: Floats, edges_mm: Floats) -> Floats:
    """Return the eight corners of each voxel; hulls of centres alone would under-read.

    Parameters
    ----------
    centres : (n, 3) float
        Voxel centres, mm.
    edges_mm : (3, 3) float
        The three edge vectors of a voxel as rows, mm.
    """
    signs = np.array(np.meshgrid([-0.5, 0.5], [-0.5, 0.5], [-0.5, 0.5])).reshape(3, -1).T
    return np.asarray((centres[:, None, :] + signs @ edges_mm).reshape(-1, 3))


def sphere_points(level: int) -> Floats:
    """Return points whose hull holds the unit ball: a subdivided icosahedron, grown to fit.

    Parameters
    ----------
    level : int
        Times that each face is split in four; 3 gives 642 points, 0.5 % outside the ball.
    """
    points, faces = _icosahedron()
    for _ in range(level):
        corners = points[faces]
        middles = (corners + np.roll(corners, -1, axis=1)) / 2
        new = np.concatenate([points, middles.reshape(-1, 3)])
        first = len(points) + 3 * np.arange(len(faces))
        ab, bc, ca = first, first + 1, first + 2
        a, b, c = faces.T
        faces = np.concatenate(
            [np.column_stack(f) for f in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))]
        )
        unit = new / np.linalg.norm(new, axis=1, keepdims=True)
        points, index = np.unique(unit.round(12), axis=0, return_inverse=True)
        faces = index.reshape(-1)[faces]
    corners = points[faces]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    inscribed = np.abs(np.einsum("ij,ij->i", normals, corners[:, 0])).min()
    return np.asarray(points / inscribed)


def _icosahedron() -> tuple[Floats, NDArray[np.int64]]:
    golden = (1 + np.sqrt(5)) / 2
    short = np.array([(0, a, b * golden) for a in (-1, 1) for b in (-1, 1)])
    points = np.concatenate([np.roll(short, k, axis=1) for k in range(3)])
    return points / np.linalg.norm(points[0]), np.asarray(ConvexHull(points).simplices, np.int64)
