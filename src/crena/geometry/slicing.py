"""Where bodies and sheets are cut by the slices of a scan, in the picture of a slice.

The picture's frame has its origin at the centre of the first pixel of slice 0; x runs right,
y down, both as drawn, z from slice to slice, all in mm.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from contourpy import contour_generator
from numpy.typing import ArrayLike, NDArray

from crena.records import SliceView, VoxelAxis
from crena.records.shapes import Polyline2, line2

Floats = NDArray[np.float64]

STEP_MM = 0.4
"""Distance of the points at which a cut is looked for: finer than a pixel."""

ELLIPSE_POINTS = 32


class Solid(NamedTuple):
    """A body under a closed skin of triangles."""

    points: Floats  #: (n, 3) mm
    triangles: NDArray[np.int64]  #: (m, 3), points by number, all turned the same way


INDEX = {VoxelAxis.COLUMN: 0, VoxelAxis.ROW: 1, VoxelAxis.SLICE: 2}


def to_voxels(affine: ArrayLike, points_lps_mm: ArrayLike) -> Floats:
    """Carry points (n, 3) from LPS mm to fractional voxel numbers (i, j, k)."""
    block = np.asarray(affine, dtype=float)
    moved = np.asarray(points_lps_mm, dtype=float) - block[:3, 3]
    return np.asarray(moved @ np.linalg.inv(block[:3, :3]).T)


def from_voxels(affine: ArrayLike, voxels: ArrayLike) -> Floats:
    """Carry fractional voxel numbers (i, j, k), (n, 3), to LPS mm."""
    block = np.asarray(affine, dtype=float)
    return np.asarray(np.asarray(voxels, dtype=float) @ block[:3, :3].T + block[:3, 3])


def to_picture_mm(view: SliceView, affine: ArrayLike, points_lps_mm: ArrayLike) -> Floats:
    """Carry points (n, 3) from LPS mm to the frame of a view's picture, mm."""
    voxels = to_voxels(affine, points_lps_mm)
    sides = (
        (view.across, view.across_turned, view.columns, view.column_mm),
        (view.down, view.down_turned, view.rows, view.row_mm),
        (view.through, view.through_turned, view.slices, view.step_mm),
    )
    columns = []
    for axis, turned, count, size_mm in sides:
        numbers = voxels[:, INDEX[axis]]
        columns.append(size_mm * (count - 1 - numbers if turned else numbers))
    return np.stack(columns, axis=1)


def cut_balls(centres_mm: Floats, radii_mm: ArrayLike, height_mm: float) -> tuple[Polyline2, ...]:
    """Return the outlines of what a plane z = height cuts out of a chain of balls.

    Parameters
    ----------
    centres_mm : (n, 3) float
        In a picture's frame, near enough to each other for the chain to be smooth.
    radii_mm : (n,) float
        Of the balls.
    height_mm : float
        Where the plane lies.

    Returns
    -------
    tuple of closed lines
        None if the plane passes by.
    """
    over = np.asarray(radii_mm, dtype=float) ** 2 - (centres_mm[:, 2] - height_mm) ** 2
    cut = over > 0
    if not cut.any():
        return ()
    middles, radii = centres_mm[cut, :2], np.sqrt(over[cut])
    x, y = (_grid(middles[:, axis], float(radii.max())) for axis in (0, 1))
    away = np.hypot(x[:, None] - middles[:, 0], 0)
    inside = np.full((len(y), len(x)), -np.inf)
    for (_, v), radius, across in zip(middles, radii, away.T, strict=True):
        distance = np.hypot(across[None, :], (y - v)[:, None])
        np.maximum(inside, radius - distance, out=inside)
    lines = contour_generator(x, y, inside).lines(0.0)
    return tuple(line2(np.asarray(line)) for line in lines if len(line) > 2)


def cut_ellipsoid(centre_mm: Floats, half_axes_mm: Floats, height_mm: float) -> Polyline2:
    """Return the outline of what a plane z = height cuts out of an ellipsoid; empty if nothing.

    Parameters
    ----------
    centre_mm : (3,) float
        In a picture's frame.
    half_axes_mm : (3, 3) float
        One half-axis a row.
    height_mm : float
        Where the plane lies.

    Notes
    -----
    With p = c + A u, |u| <= 1, the plane is n u = height - c_z where n is the z row of A: a
    circle in u, carried back by A.
    """
    A = np.asarray(half_axes_mm, dtype=float).T
    n, d = A[2], height_mm - float(centre_mm[2])
    length = float(np.linalg.norm(n))
    if abs(d) >= length:
        return ()
    middle = d * n / length**2
    radius = np.sqrt(1.0 - (d / length) ** 2)
    first, second = np.linalg.svd(n[None, :])[2][1:]
    angle = np.linspace(0.0, 2.0 * np.pi, ELLIPSE_POINTS, endpoint=False)
    u = middle + radius * (np.cos(angle)[:, None] * first + np.sin(angle)[:, None] * second)
    return line2((np.asarray(centre_mm) + u @ A.T)[:, :2])


def cut_solid(solid: Solid, height_mm: float) -> tuple[Polyline2, ...]:
    """Return the outlines of what a plane z = height cuts out of a body.

    Parameters
    ----------
    solid : Solid
        In a picture's frame; each edge belongs to two triangles that run it opposite ways.
    height_mm : float
        Where the plane lies.

    Returns
    -------
    tuple of closed lines
        None if the plane passes by.

    Notes
    -----
    Of a triangle that the plane crosses, one edge leads up through it and one down. The edge
    that leads down leads up in the neighbour: so the outline goes on from triangle to triangle,
    whatever the rounding.
    """
    above = solid.points[:, 2] > height_mm
    corners = solid.triangles[above[solid.triangles].any(1) & ~above[solid.triangles].all(1)]
    ahead = np.roll(corners, -1, axis=1)
    ups = _edges(corners, ahead, ~above[corners] & above[ahead])
    downs = _edges(ahead, corners, above[corners] & ~above[ahead])
    following = dict(zip(ups, downs, strict=True))
    return tuple(_crossings(solid.points, loop, height_mm) for loop in _loops(following))


def ring_solid(rings_mm: Floats) -> Solid:
    """Return the body whose skin runs from ring to ring.

    Parameters
    ----------
    rings_mm : (r, n, 3) float
        Of n points each; the first and the last ring are one point n times, so that nothing
        stays open.
    """
    points = rings_mm.reshape(-1, 3)
    numbers = np.arange(len(points)).reshape(rings_mm.shape[:2])
    a, c = numbers[:-1], numbers[1:]
    b, d = np.roll(a, -1, axis=1), np.roll(c, -1, axis=1)
    both = [np.stack([a, c, d], axis=2), np.stack([a, d, b], axis=2)]
    return Solid(points=points, triangles=np.concatenate([t.reshape(-1, 3) for t in both]))


def ellipsoid_within(centre_mm: Floats, half_axes_mm: Floats, distance_mm: float) -> Solid:
    """Return all that lies within a distance of an ellipsoid, as a body.

    Parameters
    ----------
    centre_mm : (3,) float
        Of the ellipsoid.
    half_axes_mm : (3, 3) float
        One half-axis a row.
    distance_mm : float
        From its surface outwards.

    Notes
    -----
    The surface is c + A u with |u| = 1, its normal runs along A^-T u. An ellipsoid with longer
    half-axes would lie too near where the surface is flat between them.
    """
    A = np.asarray(half_axes_mm, dtype=float).T
    u = _sphere_rings()
    normals = u @ np.linalg.inv(A)
    normals /= np.linalg.norm(normals, axis=-1, keepdims=True)
    return ring_solid(np.asarray(centre_mm) + u @ A.T + distance_mm * normals)


def _sphere_rings() -> Floats:
    """Return unit vectors (r, n, 3) ring by ring from pole to pole."""
    down = np.linspace(0.0, np.pi, ELLIPSE_POINTS + 1)[:, None]
    round_ = np.linspace(0.0, 2 * np.pi, 2 * ELLIPSE_POINTS, endpoint=False)[None, :]
    z = np.cos(down) + 0 * round_
    return np.stack([np.sin(down) * np.cos(round_), np.sin(down) * np.sin(round_), z], axis=-1)


def cut_sheet(grid_mm: Floats, height_mm: float) -> tuple[Polyline2, ...]:
    """Return the lines along which a plane z = height meets a sheet.

    Parameters
    ----------
    grid_mm : (m, n, 3) float
        Points of the sheet in a picture's frame, row by row.
    height_mm : float
        Where the plane lies.
    """
    x, y, z = np.moveaxis(grid_mm, -1, 0)
    lines = contour_generator(x, y, z).lines(height_mm)
    return tuple(line2(np.asarray(line)) for line in lines if len(line) > 1)


Edge = tuple[int, int]
"""Two points of a solid by number: from below the plane to above it."""


def _edges(
    starts: NDArray[np.int64], ends: NDArray[np.int64], which: NDArray[np.bool_]
) -> list[Edge]:
    return list(zip(starts[which].tolist(), ends[which].tolist(), strict=True))


def _loops(following: dict[Edge, Edge]) -> Iterator[list[Edge]]:
    """Walk from edge to edge until each loop is closed; what was walked is taken out."""
    while following:
        edge = next(iter(following))
        loop = []
        while edge in following:
            loop.append(edge)
            edge = following.pop(edge)
        yield loop


def _crossings(points: Floats, loop: list[Edge], height_mm: float) -> Polyline2:
    low, high = points[[edge[0] for edge in loop]], points[[edge[1] for edge in loop]]
    share = (height_mm - low[:, 2:]) / (high[:, 2:] - low[:, 2:])
    return line2((low + share * (high - low))[:, :2])


def _grid(middles: Floats, radius_mm: float) -> Floats:
    low, high = middles.min() - radius_mm - STEP_MM, middles.max() + radius_mm + STEP_MM
    return np.linspace(low, high, int(np.ceil((high - low) / STEP_MM)) + 1)
