"""Linear triangles of the plane: shape gradients and what a move does to them."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from crena.geometry.triangles import areas_mm2 as triangle_areas_mm2

Floats = NDArray[np.float64]


def _part_centres(n: int) -> Floats:
    """Return barycentric coordinates (n * n, 3) of the middles of equal parts of a triangle."""
    upright = [(3 * i + 1, 3 * j + 1) for i in range(n) for j in range(n - i)]
    turned = [(3 * i + 2, 3 * j + 2) for i in range(n - 1) for j in range(n - 1 - i)]
    ab = np.array(upright + turned) / (3 * n)
    return np.column_stack([ab, 1 - ab.sum(axis=1)])


PART_CENTRES = _part_centres(4)
"""Each triangle counts in 16 equal parts where a disc cuts it; their middles, (16, 3)."""


def shape_gradients(nodes_mm: Floats, triangles: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Return the gradients of the shape functions (m, 3, 2), per mm, and the areas (m,), mm2."""
    corners, areas = nodes_mm[triangles], areas_mm2(nodes_mm, triangles)
    opposite = np.roll(corners, -2, axis=1) - np.roll(corners, -1, axis=1)
    turned = np.stack([-opposite[..., 1], opposite[..., 0]], axis=-1)
    return turned / (2 * areas[:, None, None]), areas


def areas_mm2(nodes_mm: Floats, triangles: NDArray[np.int64]) -> Floats:
    """Return the area of each triangle (m,); below 0 if it is turned over."""
    return triangle_areas_mm2(nodes_mm[triangles])


def deformations(places_mm: Floats, triangles: NDArray[np.int64], gradients: Floats) -> Floats:
    """Return the deformation gradient of each triangle (m, 2, 2)."""
    moved: Floats = np.swapaxes(places_mm[triangles], 1, 2) @ gradients
    return moved


def cross(a: Floats, b: Floats) -> Any:
    """Return the area that two vectors (..., 2) span, with its sign."""
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
