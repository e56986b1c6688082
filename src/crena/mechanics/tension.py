"""Where the sutured skin is tense, and where it is wrinkled: fields and their outlines."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from crena.mechanics._carried import traced
from crena.mechanics._plane import PART_CENTRES, areas_mm2, deformations, shape_gradients
from crena.mechanics.closed import ClosureState, converged_mm
from crena.mechanics.material import energy_kpa
from crena.mechanics.readings import DISC_RADIUS_MM, is_wrinkled
from crena.records import InputError, Polyline2, TensionBand
from crena.records.units import N_PER_MM2_PER_KPA

Floats = NDArray[np.float64]

TENSION_RATIOS = (0.8, 1.25, 2.0, 4.0)
"""Where one band of tension ends and the next begins, in tensions at rest; assumed. Between
the first two the skin counts as unchanged and has no band."""

WRINKLE_RADIUS_MM = 5.0
"""Skin is drawn as wrinkled where it is in more than half of such a disc; assumed."""

FIELD_STEP_MM = 3.0
"""Between the points at which the means over discs are taken."""

_COMPLEX_STEP = 1e-30
"""A derivative by a step into the imaginary loses no digits."""


def tensions_n_per_mm(state: ClosureState) -> Floats:
    """Return the tension that each triangle carries once the wound is sutured.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.

    Returns
    -------
    (m, 2, 2) float
        Symmetric, N per mm of skin as it lies then.

    Notes
    -----
    T = h P F^T / det F, h the stress-free thickness and P = dW/dF by complex steps.
    """
    after, sheet = converged_mm(state), state.sheet
    if state.prestretch is None:
        raise InputError("This closure has no prestretch. Close the wound again.")
    gradients, _ = shape_gradients(sheet.nodes_mm, sheet.triangles)
    f = deformations(after, sheet.triangles, gradients) @ state.prestretch
    p = np.empty_like(f)
    for i, j in np.ndindex(2, 2):
        trial = f.astype(complex)
        trial[:, i, j] += _COMPLEX_STEP * 1j
        p[:, i, j] = energy_kpa(trial, state.skin).imag / _COMPLEX_STEP
    thickness = state.skin.thickness_mm / np.linalg.det(f)
    return np.asarray(thickness[:, None, None] * (p @ np.swapaxes(f, 1, 2)) * N_PER_MM2_PER_KPA)


def tension_bands(state: ClosureState, box: Floats) -> tuple[TensionBand, ...]:
    """Return where the largest tension in any direction is less or more than it was at rest.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    box : (2, 2) float
        Lower left and upper right corner of what is looked at, mm.

    Returns
    -------
    tuple of TensionBand
        From least to most, each tension the mean over a disc; none for skin without tension.
    """
    at_rest = max(state.skin.tension_along_n_per_mm, state.skin.tension_across_n_per_mm)
    if at_rest == 0:
        return ()
    xx, xy, _, yy = _disc_means(
        state, tensions_n_per_mm(state).reshape(-1, 4).T, box, DISC_RADIUS_MM
    )
    ratio = ((xx + yy) / 2 + np.hypot((xx - yy) / 2, xy)) / at_rest
    least, *lows = TENSION_RATIOS
    bands = [TensionBand(low_ratio=0.0, high_ratio=least, rings_mm=_rings(least - ratio, box))]
    for low, high in zip(lows, [*lows[1:], None], strict=True):
        holes = _rings(ratio - high, box) if high else ()
        rings = (*_rings(ratio - low, box), *(ring[::-1] for ring in holes))
        bands.append(TensionBand(low_ratio=low, high_ratio=high, rings_mm=rings))
    return tuple(bands)


def wrinkle_rings(state: ClosureState, box: Floats) -> tuple[Polyline2, ...]:
    """Return rings round skin that is mostly wrinkled or slack.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    box : (2, 2) float
        Lower left and upper right corner of what is looked at, mm.
    """
    wrinkled = is_wrinkled(state)[None].astype(np.float64)
    return _rings(_disc_means(state, wrinkled, box, WRINKLE_RADIUS_MM)[0] - 0.5, box)


def _disc_means(state: ClosureState, values: Floats, box: Floats, radius_mm: float) -> Floats:
    """Return the means over discs (d, y, x) of what the triangles hold (d, m), by area."""
    after, triangles = converged_mm(state), state.sheet.triangles
    parts = np.einsum("pa,ead->epd", PART_CENTRES, after[triangles])
    owner, area = np.indices(parts.shape[:2])[0].ravel(), areas_mm2(after, triangles)
    points = np.stack(np.meshgrid(*_axes(box)), axis=-1)
    near = KDTree(parts.reshape(-1, 2)).query_ball_point(points, radius_mm).ravel()
    disc = np.repeat(np.arange(len(near)), [len(each) for each in near])
    triangle = owner[np.concatenate([np.array(each, dtype=np.int64) for each in near])]
    held = np.bincount(disc, area[triangle], len(near))
    sums = [np.bincount(disc, area[triangle] * one[triangle], len(near)) for one in values]
    means = np.divide(sums, held, out=np.zeros((len(values), len(near))), where=held > 0)
    return means.reshape(-1, *points.shape[:2])


def _rings(field: Floats, box: Floats) -> tuple[Polyline2, ...]:
    """Return closed lines round where a field (y, x) is above 0, anticlockwise."""
    values = np.pad(field, 1, constant_values=-1.0)
    x, y = np.meshgrid(*(np.pad(axis, 1, mode="edge") for axis in _axes(box)))
    index = np.arange(values.size).reshape(values.shape)
    a, b, c, d = index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]
    halves = [np.stack(each, axis=-1).reshape(-1, 3) for each in ((a, b, c), (a, c, d))]
    lines = traced(values.ravel(), np.concatenate(halves))
    return tuple(line.at(np.column_stack([x.ravel(), y.ravel()]))[:-1] for line in lines)


def _axes(box: Floats) -> list[Floats]:
    counts = np.ceil((box[1] - box[0]) / FIELD_STEP_MM).astype(int) + 1
    return [np.linspace(a, b, int(n)) for a, b, n in zip(*box, counts, strict=True)]
