"""The skin as a height map in the skin frame, read from a scan."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import (
    binary_dilation,
    gaussian_filter,
    gaussian_filter1d,
    median_filter,
    uniform_filter1d,
)

from crena.geometry.frames import to_lps_mm as frame_to_lps_mm
from crena.records.base import Record
from crena.records.errors import ScanError
from crena.records.scans import SkinFrame, Volume
from crena.records.sides import Origin
from crena.records.tracts import Surface
from crena.sinus._path import is_scanned, signals, spacing_mm

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

RAY_STEP_MM = 0.4
"""Distance of the samples on a ray; assumed: below a pixel."""

HEIGHT_RANGE_MM = (-45.0, 45.0)
"""Heights over the frame's origin between which the skin is looked for; assumed."""

SMOOTHING_MM = 0.6
"""Smoothing along the rays and across them before the step is found; assumed."""

TISSUE_RUN_MM = 4.0
"""Thickness of what ends the air: skin and fat, not a spot of noise; assumed."""

AIR_FRACTION = 0.35
"""Share of the tissue's signal that a ray must pass to have met tissue; assumed."""

PEAK_REACH_MM = 3.0
"""How far behind the step the signal of the skin is looked for; assumed."""

LEVEL_SMOOTHING_MM = 6.0
"""Smoothing of the half-maximum level over the map: the coil shades slowly; assumed."""

MEDIAN_NODES = 5
"""Width of the neighbourhood that a height is compared with; assumed."""

OUTLIER_MM = 2.0
"""A height this far from the median of its neighbours is a hole, and is filled; assumed."""

LEAST_COVER_FRACTION = 0.95
"""Share of the rays of each row and column of the map that must meet skin; assumed."""

JUMP_OVER_MM = 4.5
"""Way along the midline over which a jump of the skin is looked for: more than a slice."""

MOST_JUMP_MM = 6.0
"""Change of the midline's height over that way that no open cleft makes; assumed."""

MOST_OFF_LANDMARK_MM = 6.0
"""The skin read over the coccyx tip lies no farther from the clicked skin there; assumed."""

HEIGHT_SMOOTHING_MM = 0.75
"""Smoothing of the map at the end; assumed: it moves a cleft's floor by under 0.1 mm."""

LEAST_ROWS = 8
"""Fewest rows and columns that are called a map; assumed."""

SKIN_SD_MM = 0.4
"""One standard deviation of the height when pixels are fine; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadSkin(Record):
    """The skin of a scan, and how much of it was not read but filled from its neighbours."""

    surface: Surface
    filled_fraction: float
    notes: tuple[str, ...] = ()


def read_skin(
    volume: Volume,
    frame: SkinFrame,
    *,
    across_mm: tuple[float, float] = (-70.0, 70.0),
    along_mm: tuple[float, float] = (-60.0, 90.0),
    step_mm: float = 1.5,
) -> ReadSkin:
    """Read the skin, and say how much of it had to be filled.

    Parameters
    ----------
    volume : Volume
        The series.
    frame : SkinFrame
        Where the skin frame lies in the scanner.
    across_mm, along_mm : (low, high) float
        The part of the skin that is wanted, mm.
    step_mm : float
        Distance of the grid's lines.

    Returns
    -------
    ReadSkin
        The surface, the share of filled heights, and a note when there are any.

    Raises
    ------
    ScanError
        If the series shows too little skin, or the cleft seems to be closed by skin on skin:
        the midline jumps, or lies far above the clicked skin over the coccyx tip.

    Notes
    -----
    Along each ray from outside, the first run of tissue gives the step, and the half-maximum
    between the air and the skin behind it gives the place. On a straight edge a half-maximum
    moves neither with the coil's shading nor with smoothing.
    """
    x = np.arange(across_mm[0], across_mm[1] + 1e-9, step_mm)
    y = np.arange(along_mm[0], along_mm[1] + 1e-9, step_mm)
    rays, heights = _rays(volume, frame, (x, y))
    z, known = _heights(rays, heights, step_mm)
    rows, columns = _covered(known)
    z, known, y, x = z[rows, columns], known[rows, columns], y[rows], x[columns]
    known &= ~_stray(z, known)
    z = gaussian_filter(_filled(z, known), HEIGHT_SMOOTHING_MM / step_mm, mode="nearest")
    _refuse_closed_cleft(z, (x, y))
    filled = float(1.0 - known.mean())
    return ReadSkin(
        surface=Surface(
            x_mm=tuple(float(v) for v in x),
            y_mm=tuple(float(v) for v in y),
            z_mm=tuple(tuple(float(v) for v in row) for row in z),
            origin=Origin.SCAN,
            sd_mm=max(SKIN_SD_MM, float(spacing_mm(volume)[:2].max()) / 2.0),
        ),
        filled_fraction=filled,
        notes=_notes(filled),
    )


def _rays(volume: Volume, frame: SkinFrame, grid: tuple[Array, Array]) -> tuple[Array, Array]:
    """Return the signals on the rays from outside inwards, (m, n, k), NaN outside the scan."""
    heights = np.arange(HEIGHT_RANGE_MM[1], HEIGHT_RANGE_MM[0], -RAY_STEP_MM)
    grid_y, grid_x, grid_z = np.meshgrid(grid[1], grid[0], heights, indexing="ij")
    points = frame_to_lps_mm(frame, np.stack([grid_x, grid_y, grid_z], -1).reshape(-1, 3))
    rays = signals(volume, points)
    rays[~is_scanned(volume, points)] = np.nan
    return rays.reshape(grid_x.shape), heights


def _heights(rays: Array, heights: Array, step_mm: float) -> tuple[Array, Mask]:
    """Return the height of the skin on every ray, (m, n), and whether it was read."""
    scanned = np.isfinite(rays)
    if not scanned.any():
        raise ScanError(
            "The scan does not reach the skin round the coccyx. "
            "Choose the series that shows the skin of the cleft."
        )
    air, tissue = np.percentile(rays[scanned], [10.0, 75.0])
    smooth = gaussian_filter1d(np.where(scanned, rays, air), SMOOTHING_MM / RAY_STEP_MM, axis=2)
    first = _first_tissue(smooth, air + AIR_FRACTION * (tissue - air))
    index = np.arange(rays.shape[2])
    behind = (index >= first[..., None]) & (index <= first[..., None] + _samples(PEAK_REACH_MM))
    peak = np.where(behind, smooth, -np.inf)
    top = np.clip(peak.argmax(axis=2), 2, len(heights) - 1)
    met = (first > _samples(PEAK_REACH_MM)) & np.isfinite(peak.max(axis=2))
    half = _half_level(peak.max(axis=2), met, (float(air), step_mm))
    below = (smooth < half[..., None]) & (index < top[..., None])
    last = np.clip(len(index) - 1 - below[..., ::-1].argmax(axis=2), 0, len(index) - 2)
    outside, inside = (
        np.take_along_axis(smooth, (last + k)[..., None], axis=2)[..., 0] for k in (0, 1)
    )
    part = np.clip((half - outside) / np.maximum(inside - outside, 1e-9), 0.0, 1.0)
    above = np.take_along_axis(
        scanned, np.maximum(last - _samples(PEAK_REACH_MM), 0)[..., None], axis=2
    )[..., 0]
    return heights[last] - part * RAY_STEP_MM, met & above & below.any(axis=2)


def _samples(length_mm: float) -> int:
    return int(round(length_mm / RAY_STEP_MM))


def _first_tissue(smooth: Array, level: float) -> NDArray[np.intp]:
    """Return where on each ray the first run of tissue begins; 0 where there is none."""
    run = _samples(TISSUE_RUN_MM)
    ahead = uniform_filter1d(smooth, run, axis=2, origin=-((run - 1) // 2), mode="nearest")
    return np.asarray(((ahead > level) & (smooth > level)).argmax(axis=2))


def _half_level(peak: Array, met: Mask, scale: tuple[float, float]) -> Array:
    """Return the level half way from the air to the skin, smoothed over the map."""
    air, step_mm = scale
    weight = met.astype(float)
    sd = LEVEL_SMOOTHING_MM / step_mm
    total = gaussian_filter(np.where(met, peak, 0.0), sd)
    mean = total / np.maximum(gaussian_filter(weight, sd), 1e-6)
    return np.asarray(air + 0.5 * (mean - air))


def _covered(known: Mask) -> tuple[slice, slice]:
    """Return the rectangle whose outer rows and columns are nearly all read."""
    low, high = [0, 0], list(known.shape)
    while True:
        part = known[low[0] : high[0], low[1] : high[1]]
        if min(part.shape) < LEAST_ROWS:
            raise ScanError(
                f"Only {part.shape[1]} by {part.shape[0]} points of the skin could be read. "
                "Choose a series that shows the skin of the cleft and the air behind it."
            )
        edges = [part[0].mean(), part[:, 0].mean(), part[-1].mean(), part[:, -1].mean()]
        worst = int(np.argmin(edges))
        if edges[worst] >= LEAST_COVER_FRACTION:
            return slice(low[0], high[0]), slice(low[1], high[1])
        side = low if worst < 2 else high
        side[worst % 2] += 1 if worst < 2 else -1


def _stray(z: Array, known: Mask) -> Mask:
    """Say which heights, and which beside them, stand out from all that is around them."""
    around = median_filter(np.where(known, z, np.median(z[known])), MEDIAN_NODES)
    return np.asarray(binary_dilation(np.abs(z - around) > OUTLIER_MM, np.ones((3, 3))))


def _filled(z: Array, known: Mask) -> Array:
    """Fill holes with the mean of what was read around them, wider and wider."""
    filled, open_ = np.where(known, z, 0.0), ~known
    sd = 1.0
    while open_.any():
        weight = gaussian_filter(known.astype(float), sd)
        mean = gaussian_filter(np.where(known, z, 0.0), sd) / np.maximum(weight, 1e-12)
        ready = open_ & (weight > 0.05)
        filled[ready] = mean[ready]
        open_, sd = open_ & ~ready, 2.0 * sd
    return np.asarray(filled)


def _refuse_closed_cleft(z: Array, grid: tuple[Array, Array]) -> None:
    x, y = grid
    midline = np.median(z[:, np.argsort(np.abs(x))[:3]], axis=1)
    apart = max(1, int(round(JUMP_OVER_MM / (y[1] - y[0]))))
    jump = np.abs(midline[apart:] - midline[:-apart])
    if jump.max(initial=0.0) > MOST_JUMP_MM:
        raise ScanError(
            f"The skin of the midline jumps by {jump.max():.0f} mm at "
            f"y = {y[int(jump.argmax())]:.0f} mm: skin on skin may close the cleft. "
            "Use a series with the buttocks apart, or enter the skin by hand."
        )
    covers = x[0] <= 0.0 <= x[-1] and y[0] <= 0.0 <= y[-1]
    off = float(midline[np.argmin(np.abs(y))]) if covers else 0.0
    if abs(off) > MOST_OFF_LANDMARK_MM:
        raise ScanError(
            f"The skin over the coccyx tip is read {abs(off):.0f} mm away from where it is "
            "clicked. Click it again; if it is right, skin on skin closes the cleft."
        )


def _notes(filled: float) -> tuple[str, ...]:
    if filled == 0.0:
        return ()
    return (f"{filled:.1%} of the skin's heights were filled from their neighbours.",)
