"""An ellipsoid with a wall and an inflamed halo, fitted to the voxels as they were scanned."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numba import njit

from crena.records.base import Record
from crena.sinus._descent import Lowest, Problem, descend
from crena.sinus._tissue import HALO_RANGE_MM, Look, Scene, levels_of, rough, tissue

Array = np.ndarray

HALF_AXIS_RANGE_MM = (2.0, 14.0)
"""Outer half-axes that the fit may take; assumed: what is thinner is a tract."""

FIRST_HALF_AXES_MM = (4.0, 7.0)
"""Outer radii of the balls that a fit starts with; assumed."""

MOST_SHIFT_MM = 6.0
"""How far the middle may lie from the click, each axis; assumed."""

FIRST_HALO_MM = 2.0
"""Reach of the halo that a fit starts with; assumed."""

ROUGH_STEPS = 40
"""Most steps of a fit with few samples; assumed."""

MOST_STEPS = 30
"""Most steps of a fit with all samples; assumed."""

OPENING_PASSES = 3
"""How often tracts that open into the cavity are looked for, and the cavity fitted anew."""

MOST_OPENINGS = 3
"""Most tracts that open into one cavity; assumed."""

OPENING_RIM_MM = 4.0
"""How far beyond the wall an opening shows as a bright way out; assumed."""

OPENING_CONE_DEG = 20.0
"""Half the angle of the cone in which the way out is looked for; assumed."""

OPENING_LEAST = 1.2
"""Mean excess in that cone, in noise units, that makes it an opening; assumed."""

ODDEST = 6.0
"""Excess of one voxel, in noise units, above which it says no more; assumed."""

OPENING_RADIUS_MM = 4.0
"""Radius of the cylinder that is left out of the fit along an opening; assumed."""

OPENING_INTO_MM = 2.0
"""How far inside the wall that cylinder begins; assumed."""

FAR_MM = 1000.0
"""A radius that stands for the flat edge which a cavity's wall is to a sample."""

PAIRS = np.array([[0, 0], [1, 1], [2, 2], [0, 1], [0, 2], [1, 2]])
"""Which entries of the shape the six numbers are."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedHollow(Record):
    """The ellipsoid that explains the voxels best."""

    centre_mm: Array  #: (3,), LPS
    half_axes_mm: Array  #: (3, 3), one half-axis of the outer wall a row, longest first
    sd_mm: float  #: of a half-axis and of the centre, each axis, from the curvature of the fit
    cost: float  #: mean robust misfit of a voxel


def fitted_hollow(scene: Scene, click_mm: Array, looks: Sequence[Look]) -> FittedHollow:
    """Fit the ellipsoid to the voxels from a small and from a large ball, and keep the best.

    Parameters
    ----------
    scene : Scene
        The voxels.
    click_mm : (3,) float
        A point near the middle, LPS.
    looks : sequence of Look
        What the cavity may look like.

    Returns
    -------
    FittedHollow
        The outer wall.

    Notes
    -----
    The distance to the ellipsoid is the first-order one, exact on its surface: with
    v = |M x| and g = |M M x|, M the symmetric matrix that makes the unit ball of it, it is
    v (v - 1) / g. Tracts
    that open into it show as bright ways out of its wall, and are left out of the fit.
    """
    coarse = rough(scene)
    tried = [
        (look, _fitted(coarse, look, (_start(scene, look, radius), click_mm), ROUGH_STEPS))
        for look in looks
        for radius in FIRST_HALF_AXES_MM
    ]
    look, best = min(tried, key=lambda pair: pair[1].misfit)
    for _ in range(OPENING_PASSES):
        closed = _part(coarse, _closed(coarse, look, (best.at, click_mm)))
        best = _fitted(closed, look, (best.at, click_mm), ROUGH_STEPS)
    closed = _part(scene, _closed(coarse, look, (best.at, click_mm)))
    return _read(click_mm, _fitted(closed, look, (best.at, click_mm), MOST_STEPS))


def _part(scene: Scene, kept: Array) -> Scene:
    return replace(scene, centres_mm=scene.centres_mm[kept], signals=scene.signals[kept])


def _closed(scene: Scene, look: Look, fit: tuple[Array, Array]) -> Array:
    """Say which voxels lie in no tract that opens into the cavity, (n,)."""
    x, click = fit
    shape, away = _shape(x), scene.centres_mm - click - x[:3]
    unit = away / np.maximum(np.linalg.norm(away, axis=1), 1e-9)[:, None]
    surface = np.linalg.norm(away, axis=1) / np.linalg.norm(away @ shape, axis=1)
    beyond = np.linalg.norm(away, axis=1) - surface
    bright = (scene.signals - _model(scene, look, click, x)[0]) / scene.scale
    kept = np.ones(len(away), bool)
    for _ in range(MOST_OPENINGS):
        rim = kept & (beyond > 0.0) & (beyond < OPENING_RIM_MM)
        odd = np.clip(bright * rim, 0.0, ODDEST)
        cone = unit[rim] @ unit[rim].T > np.cos(np.radians(OPENING_CONE_DEG))
        mean = (cone @ odd[rim]) / np.maximum(cone.sum(axis=1), 1)
        if not rim.any() or mean.max() < OPENING_LEAST:
            break
        way = unit[rim][int(mean.argmax())]
        along = away @ way
        across = np.linalg.norm(away - along[:, None] * way, axis=1)
        starts = 1.0 / float(np.linalg.norm(shape @ way)) - OPENING_INTO_MM
        kept &= ~((across < OPENING_RADIUS_MM) & (along > starts))
    return kept


def _start(scene: Scene, look: Look, radius_mm: float) -> Array:
    """Return the shift of the middle, the six numbers of the ellipsoid, and the levels."""
    levels = [scene.around, 0.0, 0.0, 0.0, *look.start, FIRST_HALO_MM]
    return np.array([0.0] * 3 + [1.0 / radius_mm] * 3 + [0.0] * 3 + levels)


def _fitted(scene: Scene, look: Look, start: tuple[Array, Array], steps: int) -> Lowest:
    free, click = start
    least, most = 1.0 / HALF_AXIS_RANGE_MM[1], 1.0 / HALF_AXIS_RANGE_MM[0]
    skew = (most - least) / 2.0
    low, high = np.full(17, -np.inf), np.full(17, np.inf)
    low[:3], high[:3] = -MOST_SHIFT_MM, MOST_SHIFT_MM
    low[3:9], high[3:9] = [least] * 3 + [-skew] * 3, [most] * 3 + [skew] * 3
    low[13:16], high[13:16] = look.bounds
    low[16], high[16] = HALO_RANGE_MM

    @lru_cache(maxsize=2)
    def model(key: bytes) -> tuple[Array, Array, Array]:
        return _model(scene, look, click, np.frombuffer(key))

    def residuals(x: Array) -> Array:
        return np.asarray((model(x.tobytes())[0] - scene.signals) / scene.scale)

    def slopes(x: Array) -> tuple[Array, Array]:
        _, rows, chain = model(x.tobytes())
        return rows, chain / scene.scale

    problem = Problem(
        residuals=residuals,
        slopes=slopes,
        prior=np.zeros((1, 17)),
        start=free,
        low=low,
        high=high,
    )
    return descend(problem, free, steps)


def _model(scene: Scene, look: Look, click: Array, x: Array) -> tuple[Array, Array, Array]:
    """Return the model's signals, their slopes with its numbers, and theirs with the free ones."""
    levels, slope = levels_of(x[9:17], scene.contrast, look)
    voxels = (scene.centres_mm, scene.samples_mm, click, scene.ramp_mm)
    model, slopes = _signals(voxels, (click + x[:3], _shape(x)), levels)
    chain = np.eye(17)
    chain[9:, 9:] = slope
    return model, slopes, chain


def _shape(x: Array) -> Array:
    """Return the symmetric matrix that turns the ellipsoid into the unit ball, (3, 3) per mm."""
    return np.array([[x[3], x[6], x[7]], [x[6], x[4], x[8]], [x[7], x[8], x[5]]])


def _read(click: Array, found: Lowest) -> FittedHollow:
    sizes, axes = np.linalg.eigh(_shape(found.at))
    lengths = 1.0 / np.maximum(np.abs(sizes), 1.0 / (2.0 * HALF_AXIS_RANGE_MM[1]))
    order = np.argsort(-lengths)
    misfit = max(1.0, 2.0 * found.misfit)
    variance = np.diag(np.linalg.pinv(found.normal)) * misfit
    half_axis_variance = variance[3:6] * float(np.mean(lengths**2)) ** 2
    return FittedHollow(
        centre_mm=click + found.at[:3],
        half_axes_mm=(axes.T * lengths[:, None])[order],
        sd_mm=float(np.sqrt(np.concatenate([variance[:3], half_axis_variance]).mean())),
        cost=found.misfit,
    )


@njit(cache=True, nogil=True)
def _signals(
    voxels: tuple[Array, Array, Array, float], hollow: tuple[Array, Array], levels: Array
) -> tuple[Array, Array]:  # pragma: no cover - compiled
    """Return the model's signal of every voxel, and its slopes with all numbers."""
    centres, samples, middle, ramp = voxels
    centre, shape = hollow
    model, jacobian = np.zeros(len(centres)), np.zeros((len(centres), 17))
    slopes, moves, share = np.zeros(4), np.zeros(9), 1.0 / len(samples)
    point, work = np.zeros(3), np.zeros((3, 3))
    for v in range(len(centres)):
        row = jacobian[v]
        row[9] = 1.0
        row[10:13] = centres[v] - middle
        model[v] = levels[0] + (levels[1:4] * row[10:13]).sum()
        for m in range(len(samples)):
            for a in range(3):
                point[a] = centres[v, a] + samples[m, a] - centre[a]
            outside = _outside(point, shape, moves, work)
            signal, slope = tissue(FAR_MM + outside, FAR_MM, levels, ramp, slopes)
            model[v] += share * signal
            for a in range(4):
                row[13 + a] += share * slopes[a]
            for a in range(9):
                row[a] -= share * slope * moves[a]
    return model, jacobian


@njit(cache=True, nogil=True)
def _outside(
    point: Array, shape: Array, moves: Array, work: Array
) -> float:  # pragma: no cover - compiled
    """Return how far outside the ellipsoid a point lies; ``moves`` takes the slopes.

    With M the shape, u = M x and w = M u, the distance is v (v - 1) / g, v = |u|, g = |w|. The
    slopes are those with the middle and with M's entries as ``PAIRS`` names them.
    """
    u, w, mw = work[0], work[1], work[2]
    _times(shape, point, u)
    _times(shape, u, w)
    _times(shape, w, mw)
    v = max(np.sqrt(u[0] ** 2 + u[1] ** 2 + u[2] ** 2), 1e-6)
    g = max(np.sqrt(w[0] ** 2 + w[1] ** 2 + w[2] ** 2), 1e-6)
    with_v, with_g = (2.0 * v - 1.0) / (g * v), v * (v - 1.0) / g**3
    for a in range(3):
        turned = shape[a, 0] * mw[0] + shape[a, 1] * mw[1] + shape[a, 2] * mw[2]
        moves[a] = with_g * turned - with_v * w[a]
    for n in range(6):
        r, s = PAIRS[n]
        both = 0.5 if r == s else 1.0
        du = u[r] * point[s] + u[s] * point[r]
        dw = w[r] * u[s] + w[s] * u[r] + mw[r] * point[s] + mw[s] * point[r]
        moves[3 + n] = both * (with_v * du - with_g * dw)
    return float(v * (v - 1.0) / g)


@njit(cache=True, nogil=True)
def _times(matrix: Array, vector: Array, product: Array) -> None:  # pragma: no cover - compiled
    for a in range(3):
        product[a] = matrix[a, 0] * vector[0] + matrix[a, 1] * vector[1] + matrix[a, 2] * vector[2]
