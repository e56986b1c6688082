"""Where the solver starts: flaps turned to their places, then as rigid as possible."""

import numpy as np
from numpy.typing import NDArray

from crena.mechanics._factor import Factor
from crena.mechanics._pattern import SPARE, Pattern
from crena.mechanics._plane import deformations, shape_gradients
from crena.mechanics.sheet import Sheet
from crena.mechanics.ties import Ties

Floats = NDArray[np.float64]

RIGID_STEPS = 3
"""Local and global steps that are always made; assumed, from 300 random closures (own study)."""

MOST_RIGID_STEPS = 30
"""Further steps while a triangle is still turned over; assumed."""


def transposed_mm(sheet: Sheet, ties: Ties, pattern: Pattern, factor: Factor) -> Floats:
    """Carry each flap to its place and let the rest follow as rigidly as it can.

    Parameters
    ----------
    sheet : Sheet
        Skin with open seams.
    ties : Ties
        Its joined nodes.
    pattern : Pattern
        The layout of its stiffness.
    factor : Factor
        A factor to work with; it is left with other numbers.

    Returns
    -------
    (n, 2) float
        Places with seams closed and border held, mm.

    Notes
    -----
    As-rigid-as-possible steps (Sorkine & Alexa, Symposium on Geometry Processing 2007) with
    rotations per triangle: with rotations R fixed, sum of A |G - R|^2 is least where one
    Laplacian system holds; with places fixed, R is the rotation nearest to G. The first
    rotations are those of the flaps.
    """
    gradients, areas = shape_gradients(sheet.nodes_mm, sheet.triangles)
    factor.renew(_laplacian(gradients, areas, pattern))
    places = sheet.nodes_mm[ties.first][ties.joined]
    turns = np.radians([0.0, *(m.angle_deg for m in sheet.motions)])
    angles = turns[sheet.flap]
    for step in range(MOST_RIGID_STEPS):
        strain = deformations(places, sheet.triangles, gradients) - _rotations(angles)
        places = places - spread(factor.solve(_pulls(strain, gradients, areas, pattern)), pattern)
        moved = deformations(places, sheet.triangles, gradients)
        angles = np.arctan2(moved[:, 1, 0] - moved[:, 0, 1], moved[:, 0, 0] + moved[:, 1, 1])
        if step + 1 >= RIGID_STEPS and (np.linalg.det(moved) > 0).all():
            break
    return places


def spread(numbers: Floats, pattern: Pattern) -> Floats:
    """Return for every node (n, 2) what the unknowns say; zero where it is held."""
    padded = np.concatenate([numbers[: pattern.size], np.zeros(SPARE)])
    return np.asarray(padded[pattern.node_dofs[:, None] + np.arange(2)])


def _rotations(angles: Floats) -> Floats:
    c, s = np.cos(angles), np.sin(angles)
    return np.stack([np.stack([c, -s], axis=-1), np.stack([s, c], axis=-1)], axis=-2)


def _pulls(strain: Floats, gradients: Floats, areas: Floats, pattern: Pattern) -> Floats:
    weights = areas[:, None, None] * (gradients @ np.swapaxes(strain, 1, 2))
    summed = np.bincount(pattern.element_dofs.ravel(), weights.ravel(), pattern.size + SPARE)
    return np.asarray(summed[: pattern.size], dtype=np.float64)


def _laplacian(gradients: Floats, areas: Floats, pattern: Pattern) -> Floats:
    block = areas[:, None, None] * (gradients @ np.swapaxes(gradients, 1, 2))
    whole = np.einsum("eab,ij->eaibj", block, np.eye(2)).reshape(-1, 6, 6)
    top, bottom = np.triu_indices(6)
    values = whole[:, top, bottom].ravel()
    summed = np.bincount(pattern.slots.ravel(), values, pattern.pointers[-1] + SPARE)
    return np.asarray(summed, dtype=np.float64)
