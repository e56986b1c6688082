"""Signal of every tissue, averaged over voxels, with coil shading and noise."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from crena.imaging._anatomy import (
    CORTEX_MM,
    FASCIA_MM,
    SKIN_THICKNESS_MM,
    Canal,
    anal_canal,
    bone_distance_mm,
    muscle_distance_mm,
    rise_ratio,
    skin_depth_mm,
    vessel_distance_mm,
)
from crena.imaging._disease import Disease, disease_distance_mm

Array = NDArray[Any]
"""float32 for all that is as long as the voxels, float64 for the grid."""

Progress = Callable[[float, str], None]
"""Called with the share done, 0 to 1, and what is being done."""

FLUID_SIGNAL = 780.0
"""Signal of fluid, the unit of the noise ratio; all signals are arbitrary units (assumed)."""

_SKIN, _FAT, _MUSCLE, _FASCIA = 270.0, 150.0, 215.0, 70.0
_CORTEX, _MARROW, _DISC, _VESSEL = 40.0, 250.0, 130.0, 560.0
_MUCOSA, _INNER_RING, _OUTER_RING, _STOOL = 470.0, 310.0, 120.0, 60.0
_HALO_DECAY_MM = 2.0
_SPINE_HALF_WIDTH_MM = 45.0
_HALO_REACH_MM = 12.0
_IN_PLANE, _THROUGH = 2, 5
_CHUNK = 60_000


@dataclass(frozen=True, slots=True)
class Inks:
    """Signals of the tract's lumen, of its wall, and of the inflamed halo at the wall."""

    lumen: float
    wall: float
    halo: float


@dataclass(frozen=True, slots=True)
class Grid:
    """The voxel grid in the body frame."""

    shape: tuple[int, int, int]  #: slices, rows, columns
    origin_mm: Array  #: (3,) centre of the first voxel
    steps_mm: Array  #: (3, 3) rows: to the next column, row, slice
    thickness_mm: float


@dataclass(frozen=True, slots=True)
class Scene:
    """All that has a signal."""

    disease: Disease
    canal: Canal
    inks: Inks


def scene(disease: Disease, inks: Inks) -> Scene:
    """Put disease and anatomy together."""
    return Scene(disease, anal_canal(), inks)


def rendered(
    what: Scene, grid: Grid, *, noise_ratio: float, seed: int, progress: Progress | None
) -> Array:
    """Render the scene on a grid, slice by slice.

    Parameters
    ----------
    what : Scene
        Anatomy and disease.
    grid : Grid
        Where the voxels lie in the body frame.
    noise_ratio : float
        Standard deviation of each noise channel over the signal of fluid.
    seed : int
        Seed of the noise; each slice draws from its own stream.
    progress : callable or None
        Told the share done after each slice.

    Returns
    -------
    (slices, rows, columns) float32
        Whole-numbered signals, as a scanner stores them.
    """
    n_slices = grid.shape[0]
    voxels = np.empty(grid.shape, dtype=np.float32)
    for k in range(n_slices):
        clean = _slice(what, grid, k)
        rng = np.random.default_rng([seed, k])
        voxels[k] = np.rint(_rician(clean, noise_ratio * FLUID_SIGNAL, rng))
        if progress is not None:
            progress((k + 1) / n_slices, "rendering the phantom")
    return voxels


def _slice(what: Scene, grid: Grid, k: int) -> Array:
    points = _centres(grid, k)
    signal, edge = _tissue(what, points)
    near = np.flatnonzero(edge < _reach_mm(grid))
    offsets = _offsets(grid)
    for start in range(0, len(near), _CHUNK // len(offsets)):
        some = near[start : start + _CHUNK // len(offsets)]
        fine = (points[some, None, :] + offsets[None, :, :]).reshape(-1, 3)
        signal[some] = _tissue(what, fine)[0].reshape(len(some), -1).mean(axis=1)
    return (signal * _coil(points)).reshape(grid.shape[1:])


def _centres(grid: Grid, k: int) -> Array:
    _, rows, columns = grid.shape
    j, i = np.meshgrid(np.arange(rows), np.arange(columns), indexing="ij")
    index = np.stack([i.ravel(), j.ravel(), np.full(i.size, k)], axis=1)
    centres: Array = (grid.origin_mm + index @ grid.steps_mm).astype(np.float32)
    return centres


def _offsets(grid: Grid) -> Array:
    """Return sub-sample offsets that fill the pixel and the slice's own thickness."""
    plane = (np.arange(_IN_PLANE) + 0.5) / _IN_PLANE - 0.5
    spacing_mm = float(np.linalg.norm(grid.steps_mm[2]))
    through = ((np.arange(_THROUGH) + 0.5) / _THROUGH - 0.5) * grid.thickness_mm / spacing_mm
    index = np.stack(np.meshgrid(plane, plane, through, indexing="ij"), axis=-1).reshape(-1, 3)
    offsets: Array = (index @ grid.steps_mm).astype(np.float32)
    return offsets


def _reach_mm(grid: Grid) -> float:
    column, row, step = np.linalg.norm(grid.steps_mm, axis=1)
    through = max(step, grid.thickness_mm)
    return float(0.5 * np.sqrt(column**2 + row**2 + through**2))


def _tissue(what: Scene, points: Array) -> tuple[Array, Array]:
    """Return the signal at points and their distance to the nearest sharp border."""
    depth = skin_depth_mm(*points.T)
    signal = np.zeros(len(points), dtype=np.float32)
    edge = np.abs(depth)
    inside = np.flatnonzero(depth > 0.0)
    signal[inside], inner_edge = _body(what, points[inside], depth[inside])
    edge[inside] = np.minimum(edge[inside], inner_edge)
    return signal, edge


def _body(what: Scene, points: Array, depth: Array) -> tuple[Array, Array]:
    x, y, z = points.T
    signal = _fat(x, y, z)
    edges = [
        np.abs(depth - SKIN_THICKNESS_MM),
        _paint_muscle(signal, points),
        _paint_bone(signal, points),
        _paint_vessels(signal, points),
    ]
    _paint_canal(signal, points, what.canal)
    signal[depth < SKIN_THICKNESS_MM] = _SKIN
    edges.append(_paint_disease(signal, points, what))
    return signal, np.minimum.reduce(edges)


def _fat(x: Array, y: Array, z: Array) -> Array:
    lobules = np.sin(x / 4.7 + 0.8 * np.sin(y / 6.1)) * np.sin(z / 3.9 + 0.7 * np.sin(y / 8.3))
    return _FAT * (1.0 + 0.07 * lobules)


def _paint_muscle(signal: Array, points: Array) -> Array:
    x, y, z = points.T
    away = muscle_distance_mm(x, y, z)
    inside = away < 0.0
    strands = np.sin((np.abs(x) * 0.7 + y * 0.6) / 1.9 + np.sin(z / 5.0))
    signal[inside] = (_MUSCLE * (1.0 + 0.05 * strands))[inside]
    signal[(away >= 0.0) & (away < FASCIA_MM)] = _FASCIA
    return np.minimum(np.abs(away), np.abs(away - FASCIA_MM))


def _paint_bone(signal: Array, points: Array) -> Array:
    x, y, z = points.T
    away = bone_distance_mm(x, y, z)
    discs = rise_ratio(np.cos(y * 0.42) - 0.92, 0.04) * (np.abs(x) < _SPINE_HALF_WIDTH_MM)
    marrow = _MARROW + (_DISC - _MARROW) * discs
    signal[away < 0.0] = _CORTEX
    deep = away < -CORTEX_MM
    signal[deep] = marrow[deep]
    return np.minimum(np.abs(away), np.abs(away + CORTEX_MM))


def _paint_vessels(signal: Array, points: Array) -> Array:
    away = vessel_distance_mm(*points.T)
    signal[away < 0.0] = _VESSEL
    return np.abs(away)


def _paint_canal(signal: Array, points: Array, canal: Canal) -> None:
    reach = np.flatnonzero((np.abs(points[:, 0]) < 20.0) & (points[:, 2] < 0.0))
    radius, nearest = canal.tree.query(points[reach], distance_upper_bound=20.0)
    hit = np.isfinite(radius)
    reach, radius = reach[hit], radius[hit].astype(np.float32)
    along = canal.along_mm[nearest[hit]].astype(np.float32)
    rectum = rise_ratio(along - 48.0, 7.0)
    ring = rise_ratio(along - 4.0, 3.0) * (1.0 - rectum)
    layers = _canal_layers(signal[reach], radius, ring, rectum)
    signal[reach] = layers


def _canal_layers(signal: Array, radius: Array, ring: Array, rectum: Array) -> Array:
    """Return the signal from outside inwards: outer ring, inner ring, mucosa, lumen."""
    layers = (
        (11.0 - radius, ring, _OUTER_RING),
        (7.5 + 5.5 * rectum - radius, np.maximum(ring, rectum), _INNER_RING),
        (4.8 + 6.0 * rectum - radius, np.maximum(ring, rectum), _MUCOSA),
        (1.4 + 7.5 * rectum - radius, np.maximum(ring, rectum), _STOOL),
    )
    for within, weight, value in layers:
        share = rise_ratio(within, 0.5) * weight
        signal = signal + share * (value - signal)
    return signal


def _paint_disease(signal: Array, points: Array, what: Scene) -> Array:
    edge = np.full(len(points), np.inf, dtype=np.float32)
    near = _near_disease(points, what.disease)
    outer, lumen, spot = disease_distance_mm(what.disease, points[near])
    halo = what.inks.halo * np.exp(-np.maximum(outer, 0.0) / _HALO_DECAY_MM)
    local = signal[near] + halo
    local[outer < 0.0] = what.inks.wall
    local[lumen < 0.0] = what.inks.lumen
    local[spot < 0.0] = 0.8 * FLUID_SIGNAL
    signal[near] = local
    edge[near] = np.minimum.reduce([np.abs(outer), np.abs(lumen), np.abs(spot)])
    return edge


def _near_disease(points: Array, disease: Disease) -> Array:
    samples = np.concatenate([disease.tree.data, [disease.spot_centre_mm]])
    low = samples.min(axis=0) - _HALO_REACH_MM
    high = samples.max(axis=0) + _HALO_REACH_MM
    return np.flatnonzero(np.all((points > low) & (points < high), axis=1))


def _coil(points: Array) -> Array:
    """Return the shading of a surface coil under the patient: brighter towards the skin."""
    x, y, z = points.T
    shading: Array = 1.08 + 0.0022 * z + 0.0004 * x - 0.000012 * (y - 10.0) ** 2
    return shading


def _rician(clean: Array, sd: float, rng: np.random.Generator) -> Array:
    real = clean + sd * rng.standard_normal(clean.shape, dtype=np.float32)
    imaginary = sd * rng.standard_normal(clean.shape, dtype=np.float32)
    magnitude: Array = np.hypot(real, imaginary)
    return magnitude
