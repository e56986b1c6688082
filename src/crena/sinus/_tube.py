"""A tube with a wall and an inflamed halo, fitted to the voxels as they were scanned."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.interpolate import BSpline, make_lsq_spline
from scipy.spatial import cKDTree

from crena.records.base import Record
from crena.sinus._descent import Lowest, Problem, descend
from crena.sinus._path import CLICK_REACH_MM, arc_mm, resampled
from crena.sinus._tissue import HALO_RANGE_MM, Look, Scene, levels_of, rough, tube_signals

Array = np.ndarray

RADIUS_RANGE_MM = (0.8, 6.0)
"""Outer radii that the fit may take; assumed: what is wider is a cavity."""

CONTROL_SPACING_MM = 6.5
"""Distance of the control points of the middle line; assumed: seven on a tract of 40 mm."""

CONTROL_RANGE = (5, 16)
"""Fewest and most control points; assumed."""

FIRST_RADII_MM = (2.0, 3.0)
"""Outer radii that a fit starts with; assumed."""

FIRST_HALO_MM = 2.0
"""Reach of the halo that a fit starts with; assumed."""

LINE_STEP_MM = 0.5
"""Distance of the points of the line that is handed back."""

ROUGH_STEPS = 30
"""Most evaluations of a fit with few samples; assumed."""

MOST_STEPS = 40
"""Most evaluations of one fit; assumed."""

CURVE_STEP_MM = 0.8
"""Distance of the vertices that the spline is drawn with while it is fitted."""

CLICK_SD_MM = 1.5
"""One standard deviation of a click's place, each axis; assumed."""

BEND_SD_MM = 0.7
"""Weak prior of the second difference of neighbouring control points; assumed."""

HOOK_MM = 3.0
"""Near an end the path may lead to a click beside the tract; assumed: twice a click's error."""

END_SHIFT_SD_MM = 0.5
"""Prior of how far an end moves across the tract; assumed."""

MOST_END_SHIFT_MM = 3.0
"""How far an end may move across the tract, each axis; assumed: twice a click's error."""

STRETCH_SD_MM = 0.35
"""Weak prior of the change of the distance between control points; assumed."""

MOST_SHIFT_MM = 5.0
"""How far the fit may move a control point from the path, each axis; assumed."""

RADIUS_CHANGE_SD = 0.35
"""Weak prior of the change of log radius from control point to control point; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedTube(Record):
    """The tube that explains the voxels best."""

    centre_mm: Array  #: (n, 3), LPS
    radius_mm: Array  #: (n,) of the outer wall
    sd_mm: float  #: of the middle line, each axis, from the curvature of the fit
    cost: float  #: mean robust misfit of a voxel


def fitted_tube(scene: Scene, paths_mm: Sequence[Array], look: Look) -> FittedTube:
    """Fit the tube to the voxels from several starts, and keep the best.

    Parameters
    ----------
    scene : Scene
        The voxels.
    paths_mm : sequence of (n, 3) float
        The paths to start from; the ends of the tube stay in the planes across the path
        through its two ends.
    look : Look
        What the tract may look like.

    Returns
    -------
    FittedTube
        The middle line about every 0.5 mm, and its outer radii.

    Notes
    -----
    The signal of a voxel is the mean of the model over its samples in the pixel and through
    the slice. The middle line is a cubic B-spline, the logarithm of the outer radius another
    on the same knots. By the envelope theorem the distance to the line changes with a control
    point as its normal component times the basis function, so one pass gives the whole
    Jacobian. The starts are fitted with few samples a voxel, the best of them with all. Other
    bright structures are outliers, which the Cauchy loss holds down; voxels beyond the planes
    across the two ends do not count.
    """
    starts = [_started(scene, path, look, r) for path in paths_mm for r in FIRST_RADII_MM]
    tried = [(start, _fitted(rough(scene), start, start.free, ROUGH_STEPS)) for start in starts]
    start, found = min(tried, key=lambda pair: pair[1].misfit)
    return _read(start, _fitted(scene, start, found.at, MOST_STEPS))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Start(Record):
    """Where a fit starts, and how its free numbers make the numbers of the model.

    The model's numbers are the control points, the log radii, the level of the surroundings
    and its gradient, lumen, wall and halo above it, and the reach of the halo. The free
    numbers leave out how far the two ends move along the tract.
    """

    free: Array  #: (p,)
    low: Array  #: (p,)
    high: Array  #: (p,)
    origin: Array  #: (4 k + 8,)
    spread: Array  #: (4 k + 8, p)
    basis: Array  #: (vertices, k) at the vertices of the drawn curve
    middle_mm: Array  #: (3,) where the level of the surroundings is taken
    look: Look
    between: Array  #: (n,) bool, which voxels of the scene lie between the end planes


def _fitted(scene: Scene, start: _Start, free: Array, steps: int) -> Lowest:
    scene = replace(
        scene,
        centres_mm=scene.centres_mm[start.between],
        signals=scene.signals[start.between],
    )

    @lru_cache(maxsize=2)
    def model(key: bytes) -> tuple[Array, Array, Array]:
        return _model(scene, start, np.frombuffer(key))

    def residuals(x: Array) -> Array:
        return np.asarray((model(x.tobytes())[0] - scene.signals) / scene.scale)

    def slopes(x: Array) -> tuple[Array, Array]:
        _, rows, chain = model(x.tobytes())
        return rows, chain / scene.scale

    problem = Problem(
        residuals=residuals,
        slopes=slopes,
        prior=_prior(start),
        start=start.free,
        low=start.low,
        high=start.high,
    )
    return descend(problem, free, steps)


def _knots(count: int) -> Array:
    return np.concatenate([np.zeros(3), np.linspace(0.0, 1.0, count - 2), np.ones(3)])


def _basis_at(places: Array, count: int) -> Array:
    return np.asarray(BSpline.design_matrix(places, _knots(count), 3).toarray())


def _started(scene: Scene, path_mm: Array, look: Look, radius_mm: float) -> _Start:
    length = float(arc_mm(path_mm)[-1])
    count = int(np.clip(round(length / CONTROL_SPACING_MM) + 1, *CONTROL_RANGE))
    straight = _unhooked(path_mm)
    controls = _controls(straight, count)
    spread = _spread(straight, count)
    levels = [scene.around, 0.0, 0.0, 0.0, *look.start, FIRST_HALO_MM]
    radii = np.full(count, np.log(radius_mm))
    free = np.concatenate([np.zeros(4), controls[1:-1].ravel(), radii, levels])
    low, high = np.full(len(free), -np.inf), np.full(len(free), np.inf)
    low[: -8 - count] = free[: -8 - count] - MOST_SHIFT_MM
    high[: -8 - count] = free[: -8 - count] + MOST_SHIFT_MM
    low[:4], high[:4] = -MOST_END_SHIFT_MM, MOST_END_SHIFT_MM
    low[-8 - count : -8], high[-8 - count : -8] = np.log(RADIUS_RANGE_MM)
    low[-4:-1], high[-4:-1] = look.bounds
    low[-1], high[-1] = HALO_RANGE_MM
    origin = np.zeros(len(spread))
    origin[:3], origin[3 * count - 3 : 3 * count] = controls[0], controls[-1]
    return _Start(
        free=free,
        low=low,
        high=high,
        origin=origin,
        spread=spread,
        basis=_basis_at(np.linspace(0.0, 1.0, max(8, int(length / CURVE_STEP_MM) + 2)), count),
        middle_mm=scene.centres_mm.mean(axis=0),
        look=look,
        between=_between(scene.centres_mm, straight),
    )


def _between(points_mm: Array, line_mm: Array) -> Array:
    """Say which points do not lie beyond the two planes across the ends of a line, (n,)."""
    line = resampled(line_mm, LINE_STEP_MM)
    nearest = cKDTree(line).query(points_mm)[1]
    before = (nearest == 0) & ((points_mm - line[0]) @ (line[1] - line[0]) < 0.0)
    last = len(line) - 1
    after = (nearest == last) & ((points_mm - line[last]) @ (line[last] - line[last - 1]) > 0.0)
    return np.asarray(~(before | after))


def _unhooked(path_mm: Array) -> Array:
    """Return the path with its ends drawn straight, up to the planes of its first and last point.

    A click beside the tract makes the path leave it near its end; a tract does not.
    """
    line = resampled(path_mm, LINE_STEP_MM)
    count = max(1, min(int(HOOK_MM / LINE_STEP_MM), len(line) // 4))
    first, last = line[count], line[-1 - count]
    start = _projected(line[0], first, first - line[min(3 * count, len(line) - 1)])
    end = _projected(line[-1], last, last - line[max(-1 - 3 * count, -len(line))])
    return np.concatenate([start[None], line[count : len(line) - count], end[None]])


def _projected(click_mm: Array, from_mm: Array, direction: Array) -> Array:
    """Return the click's foot on the line that leaves a point of the path in a direction.

    It stays within reach of the click: a path may also follow the wall of a cavity.
    """
    along = direction / np.linalg.norm(direction)
    foot = from_mm + along * max(float((click_mm - from_mm) @ along), LINE_STEP_MM)
    away = foot - click_mm
    return np.asarray(
        click_mm + away * min(1.0, CLICK_REACH_MM / max(float(np.linalg.norm(away)), 1e-9))
    )


def _controls(path_mm: Array, count: int) -> Array:
    """Return the control points of the spline that runs nearest to the path, (count, 3)."""
    line = resampled(path_mm, min(0.5, float(arc_mm(path_mm)[-1]) / (4 * count)))
    controls = make_lsq_spline(np.linspace(0.0, 1.0, len(line)), line, _knots(count), 3).c
    controls[0], controls[-1] = path_mm[0], path_mm[-1]
    return np.asarray(controls)


def _spread(straight_mm: Array, count: int) -> Array:
    """Return the matrix that makes the model's numbers of the free ones."""
    size = 4 * count + 8
    others = np.delete(np.eye(size), [0, 1, 2, *range(3 * count - 3, 3 * count)], axis=1)
    ends = np.zeros((size, 4))
    ends[:3, :2] = _across(straight_mm[1] - straight_mm[0])
    ends[3 * count - 3 : 3 * count, 2:] = _across(straight_mm[-1] - straight_mm[-2])
    return np.concatenate([ends, others], axis=1)


def _across(direction: Array) -> Array:
    """Return two unit vectors across a direction, (3, 2)."""
    return np.asarray(np.linalg.svd(direction[None])[2][1:].T)


def _prior(start: _Start) -> Array:
    """Return the rows that hold down what the voxels may leave open."""
    count = start.basis.shape[1]
    bends = np.kron(np.diff(np.eye(count), n=2, axis=0), np.eye(3))
    pieces = np.kron(np.diff(np.eye(count), n=1, axis=0), np.eye(3))
    changes = np.diff(np.eye(count), axis=0)
    return np.concatenate(
        [
            pieces @ start.spread[: 3 * count] / STRETCH_SD_MM,
            bends @ start.spread[: 3 * count] / BEND_SD_MM,
            changes @ start.spread[3 * count : 4 * count] / RADIUS_CHANGE_SD,
            np.eye(4, start.spread.shape[1]) / END_SHIFT_SD_MM,
        ]
    )


def _model(scene: Scene, start: _Start, free: Array) -> tuple[Array, Array, Array]:
    """Return the model's signals, their slopes with its numbers, and theirs with the free ones."""
    numbers = start.origin + start.spread @ free
    count = start.basis.shape[1]
    curve = start.basis @ numbers[: 3 * count].reshape(count, 3)
    radius = np.exp(start.basis @ numbers[3 * count : 4 * count])
    levels, slope = levels_of(numbers[4 * count :], scene.contrast, start.look)
    model, slopes = tube_signals(
        (scene.centres_mm, scene.samples_mm, start.middle_mm, scene.ramp_mm),
        (curve, radius, start.basis),
        levels,
    )
    chain = start.spread.copy()
    chain[4 * count :] = slope @ start.spread[4 * count :]
    return model, slopes, chain


def _read(start: _Start, found: Lowest) -> FittedTube:
    """Turn the fitted numbers into a line of equal steps, and its uncertainty."""
    numbers = start.origin + start.spread @ found.at
    count = start.basis.shape[1]
    controls = numbers[: 3 * count].reshape(count, 3)
    places = np.linspace(0.0, 1.0, 40 * count)
    arc = arc_mm(_basis_at(places, count) @ controls)
    even = np.linspace(0.0, arc[-1], max(3, int(round(arc[-1] / LINE_STEP_MM)) + 1))
    basis = _basis_at(np.interp(even, arc, places), count)
    return FittedTube(
        centre_mm=basis @ controls,
        radius_mm=np.clip(np.exp(basis @ numbers[3 * count : 4 * count]), *RADIUS_RANGE_MM),
        sd_mm=_sd_across_mm(start, found, basis),
        cost=found.misfit,
    )


def _sd_across_mm(start: _Start, found: Lowest, basis: Array) -> float:
    """Return the standard deviation of the line across itself, each axis, over its length.

    Along itself a line has no place but at its ends, and those are the clicks'.
    """
    count = start.basis.shape[1]
    numbers = start.origin + start.spread @ found.at
    tangents = np.gradient(basis @ numbers[: 3 * count].reshape(count, 3), axis=0)
    tangents /= np.linalg.norm(tangents, axis=1)[:, None]
    misfit = max(1.0, 2.0 * found.misfit)
    free = np.linalg.pinv(found.normal) * misfit
    spread = start.spread[: 3 * count].reshape(count, 3, -1)
    moved = np.einsum("vk,kap->vap", basis, spread)
    whole = np.einsum("vap,pq,vaq->v", moved, free, moved)
    along = np.einsum("va,vap->vp", tangents, moved)
    return float(np.sqrt((whole - np.einsum("vp,pq,vq->v", along, free, along)).mean() / 2.0))
