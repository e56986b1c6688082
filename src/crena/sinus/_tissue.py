"""What a tract or a cavity looks like in a voxel, and the voxels that it is fitted to."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numba import njit
from scipy.spatial import cKDTree

from crena.records.base import Record
from crena.records.scans import Volume
from crena.sinus._path import resampled, spacing_mm, to_lps_mm, to_voxels

Array = np.ndarray

WALL_MM = 1.0
"""Thickness of a tract's wall; assumed."""

REACH_MM = 7.0
"""How far from the path voxels are fitted; assumed: the widest tract, its halo, and some fat."""

SLICE_SAMPLES = 5
"""Samples through a slice."""

PIXEL_SAMPLES = 2
"""Samples along a row and along a column of a pixel."""

LEAST_MISFIT_FRACTION = 0.03
"""Least scale of a residual against the contrast: no tract is quite the model; assumed."""

HALO_RANGE_MM = (0.7, 4.0)
"""Distance over which the halo may fall to 1/e; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Look(Record):
    """What a kind of tract may look like: levels above the surroundings, and their bounds.

    The first level is the brightest part's, as a fraction of the scene's contrast; the other
    two are fractions of the first. Without bounds, wall and halo may change places.
    """

    lumen_first: bool  #: the levels are lumen, wall, halo; else wall, lumen, halo
    bounds: Array  #: (2, 3) lowest and highest
    start: Array  #: (3,)


BRIGHT = Look(
    lumen_first=True,
    bounds=np.array([[0.25, 0.15, 0.0], [4.0, 0.7, 0.45]]),
    start=np.array([1.0, 0.45, 0.2]),
)
"""A lumen full of fluid; assumed."""

DARK = Look(
    lumen_first=False,
    bounds=np.array([[0.25, -1.0, 0.0], [4.0, 0.3, 0.5]]),
    start=np.array([1.0, -0.2, 0.2]),
)
"""An empty lumen, or one with hair, in a bright wall; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene(Record):
    """The voxels round a tract that the tube is fitted to."""

    centres_mm: Array  #: (n, 3), LPS
    signals: Array  #: (n,)
    samples_mm: Array  #: (m, 3) offsets of the samples that a voxel averages
    ramp_mm: float  #: width over which an edge between two tissues is drawn
    scale: float  #: signal of one residual unit
    around: float  #: level of the surroundings
    contrast: float  #: how far the brightest part stands above them


def scene_around(
    volume: Volume,
    paths_mm: Sequence[Array],
    is_flesh: Callable[[Array], Array],
    reach_mm: float = REACH_MM,
) -> Scene:
    """Collect the voxels that lie within reach of any of the paths.

    Parameters
    ----------
    volume : Volume
        The series.
    paths_mm : sequence of (n, 3) float
        The paths, LPS.
    is_flesh : callable
        Says of points, (n, 3), which lie below air and skin; only those are fitted.
    reach_mm : float
        How far from the paths voxels are taken.

    Returns
    -------
    Scene
        Their places, signals, noise and contrast.
    """
    line = np.concatenate([resampled(path, 1.0) if len(path) > 1 else path for path in paths_mm])
    kji = _voxels_in_box(volume, line, reach_mm)
    centres = to_lps_mm(volume, kji.astype(float))
    near = np.isfinite(cKDTree(line).query(centres, distance_upper_bound=reach_mm)[0])
    near &= is_flesh(centres)
    kji, centres = kji[near], centres[near]
    values = volume.voxels[tuple(kji.T)].astype(float)
    around, top = np.percentile(values, [35.0, 97.0])
    contrast = max(float(top - around), 1e-6)
    return Scene(
        centres_mm=centres,
        signals=values,
        samples_mm=_samples_mm(volume),
        ramp_mm=max(0.5, 0.5 * float(spacing_mm(volume)[:2].max())),
        scale=max(_noise(volume, kji), LEAST_MISFIT_FRACTION * contrast),
        around=float(around),
        contrast=contrast,
    )


def rough(scene: Scene) -> Scene:
    """Return the scene with one sample a pixel, for a first fit."""
    samples = scene.samples_mm.reshape(PIXEL_SAMPLES**2, SLICE_SAMPLES, 3).mean(axis=0)
    return replace(scene, samples_mm=samples)


def levels_of(numbers: Array, contrast: float, look: Look) -> tuple[Array, Array]:
    """Turn the first level and its fractions into lumen, wall and halo, with the slopes."""
    levels, slope = numbers.copy(), np.eye(8)
    first, second = (4, 5) if look.lumen_first else (5, 4)
    peak = contrast * numbers[4]
    levels[first], levels[second], levels[6] = peak, peak * numbers[5], peak * numbers[6]
    slope[4:7, 4:7] = 0.0
    slope[first, 4], slope[second, 4], slope[6, 4] = contrast * np.array([1.0, *numbers[5:7]])
    slope[second, 5], slope[6, 6] = peak, peak
    return levels, slope


@njit(cache=True, nogil=True)
def _step(inside_mm: float, ramp_mm: float) -> tuple[float, float]:  # pragma: no cover
    """Return how much of a sample lies inside an edge, and its slope."""
    part = min(max(inside_mm / ramp_mm + 0.5, 0.0), 1.0)
    return part * part * (3.0 - 2.0 * part), 6.0 * part * (1.0 - part) / ramp_mm


@njit(cache=True, nogil=True)
def _nearest(point: Array, curve: Array, near: int) -> tuple[int, float]:  # pragma: no cover
    """Return the piece of the curve that is nearest to a point, and where on it."""
    best, piece, place = 1e30, 0, 0.0
    for i in range(max(0, near - 3), min(len(curve) - 1, near + 3)):
        along, square, from_start = 0.0, 0.0, 0.0
        for a in range(3):
            edge = curve[i + 1, a] - curve[i, a]
            along += edge * (point[a] - curve[i, a])
            square += edge * edge
        share = min(max(along / square, 0.0), 1.0)
        for a in range(3):
            away = point[a] - curve[i, a] - share * (curve[i + 1, a] - curve[i, a])
            from_start += away * away
        if from_start < best:
            best, piece, place = from_start, i, share
    return piece, place


@njit(cache=True, nogil=True)
def _nearest_vertex(point: Array, curve: Array) -> int:  # pragma: no cover - compiled
    best, vertex = 1e30, 0
    for i in range(len(curve)):
        square = 0.0
        for a in range(3):
            square += (point[a] - curve[i, a]) ** 2
        if square < best:
            best, vertex = square, i
    return vertex


@njit(cache=True, nogil=True)
def tissue(
    distance: float, radius: float, levels: Array, ramp: float, slopes: Array
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return the signal above the surroundings, and its slope with the radius.

    ``slopes`` takes the slopes with lumen, wall, halo and the halo's reach.
    """
    lumen, lumen_slope = _step(radius - WALL_MM - distance, ramp)
    outer, outer_slope = _step(radius - distance, ramp)
    beyond = max(distance - radius, 0.0)
    fade = np.exp(-beyond / levels[7])
    slopes[0], slopes[1], slopes[2] = lumen, outer - lumen, fade * (1.0 - outer)
    slopes[3] = levels[6] * slopes[2] * beyond / levels[7] ** 2
    signal = levels[4] * slopes[0] + levels[5] * slopes[1] + levels[6] * slopes[2]
    slope = levels[4] * lumen_slope + levels[5] * (outer_slope - lumen_slope)
    slope -= levels[6] * fade * outer_slope
    if beyond > 0.0:
        slope += levels[6] * slopes[2] / levels[7]
    return signal, slope


@njit(cache=True, nogil=True)
def tube_signals(
    voxels: tuple[Array, Array, Array, float], tube: tuple[Array, Array, Array], levels: Array
) -> tuple[Array, Array]:  # pragma: no cover - compiled
    """Return the model's signal of every voxel, and its slopes with all numbers."""
    centres, samples, middle, ramp = voxels
    curve, radius, basis = tube
    last = 4 * basis.shape[1]
    model, jacobian = np.zeros(len(centres)), np.zeros((len(centres), last + 8))
    slopes, point, normal, share = np.zeros(4), np.zeros(3), np.zeros(3), 1.0 / len(samples)
    for v in range(len(centres)):
        near = _nearest_vertex(centres[v], curve)
        row = jacobian[v]
        row[last] = 1.0
        row[last + 1 : last + 4] = centres[v] - middle
        model[v] = levels[0] + (levels[1:4] * row[last + 1 : last + 4]).sum()
        for m in range(len(samples)):
            for a in range(3):
                point[a] = centres[v, a] + samples[m, a]
            piece, place = _nearest(point, curve, near)
            distance = _away(point, curve, piece, place, normal)
            wide = (1.0 - place) * radius[piece] + place * radius[piece + 1]
            signal, slope = tissue(distance, wide, levels, ramp, slopes)
            model[v] += share * signal
            for a in range(4):
                row[last + 4 + a] += share * slopes[a]
            if slope != 0.0:
                _spread_slope(row, basis, (piece, place), share * slope, (wide, normal))
    return model, jacobian


@njit(cache=True, nogil=True)
def _away(
    point: Array, curve: Array, piece: int, place: float, normal: Array
) -> float:  # pragma: no cover - compiled
    """Return the distance of a point from its foot on the curve; ``normal`` takes the way."""
    square = 0.0
    for a in range(3):
        normal[a] = point[a] - (1.0 - place) * curve[piece, a] - place * curve[piece + 1, a]
        square += normal[a] * normal[a]
    distance = max(np.sqrt(square), 1e-9)
    for a in range(3):
        normal[a] /= distance
    return float(distance)


@njit(cache=True, nogil=True)
def _spread_slope(
    row: Array, basis: Array, at: tuple[int, float], slope: float, foot: tuple[float, Array]
) -> None:  # pragma: no cover - compiled
    """Add one sample's slope with the radius to the slopes with control points and log radii."""
    piece, place = at
    wide, normal = foot
    count = basis.shape[1]
    for b in range(count):
        weight = slope * ((1.0 - place) * basis[piece, b] + place * basis[piece + 1, b])
        if weight != 0.0:
            row[3 * count + b] += weight * wide
            for a in range(3):
                row[3 * b + a] += weight * normal[a]


def _voxels_in_box(volume: Volume, line_mm: Array, reach_mm: float) -> Array:
    corners = np.stack(
        np.meshgrid(*np.stack([line_mm.min(0) - reach_mm, line_mm.max(0) + reach_mm]).T), axis=-1
    ).reshape(-1, 3)
    kji = to_voxels(volume, corners)
    low = np.clip(np.floor(kji.min(0)).astype(int), 0, None)
    high = np.minimum(np.ceil(kji.max(0)).astype(int) + 1, volume.voxels.shape)
    return np.asarray(np.indices(tuple(high - low)).reshape(3, -1).T + low)


def _samples_mm(volume: Volume) -> Array:
    """Return the samples of a voxel: over the pixel, and through the thickness of the slice."""
    column, row, slice_ = volume.affine[:3, 0], volume.affine[:3, 1], volume.affine[:3, 2]
    across = slice_ / np.linalg.norm(slice_) * volume.slice_thickness_mm
    pixel = (np.arange(PIXEL_SAMPLES) + 0.5) / PIXEL_SAMPLES - 0.5
    through = (np.arange(SLICE_SAMPLES) + 0.5) / SLICE_SAMPLES - 0.5
    steps = np.stack(np.meshgrid(pixel, pixel, through), axis=-1).reshape(-1, 3)
    return np.asarray(steps @ np.stack([column, row, across]))


def _noise(volume: Volume, kji: Array) -> float:
    """Return the noise from second differences along the rows, by their median."""
    k, j, i = kji.T
    i = np.clip(i, 1, volume.voxels.shape[2] - 2)
    at = volume.voxels[k, j, i].astype(float)
    sides = volume.voxels[k, j, i - 1].astype(float) + volume.voxels[k, j, i + 1]
    return float(np.median(np.abs(2.0 * at - sides)) / 0.6745 / np.sqrt(6.0))
