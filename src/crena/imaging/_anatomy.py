"""The region as implicit functions: skin, muscle, bone, anal canal, vessels.

All lengths are in the *body frame*, mm: origin on the midline skin over the tip of the
coccyx, x to the patient's right, y cranial, z out of the body. Every dimension here is
invented for the phantom (assumed) and chosen to be plausible for an adult.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.spatial import cKDTree

Array = NDArray[np.float64]
"""Where the truth is worked out; rendering passes float32 through the same functions."""

SKIN_THICKNESS_MM = 2.0
"""Thickness of epidermis and dermis together (assumed)."""

CORTEX_MM = 1.6
"""Thickness of the dark shell of sacrum and coccyx (assumed)."""

FASCIA_MM = 1.0
"""Thickness of the dark sheet on the gluteal muscle (assumed)."""

BONE_DEPTH_MM = 27.0
"""From the midline skin to the back face of sacrum and coccyx (assumed)."""

ANAL_VERGE_Y_MM = -42.0
"""Where the anal verge lies, caudal of the tip of the coccyx (assumed)."""

SACRAL_CREST_Y_MM = 58.0
"""Where the sacral crest is felt through the skin (assumed)."""

_RIDGE_MM, _RIDGE_Y_MM, _RIDGE_WIDTH_MM = 14.0, -25.0, 70.0
_FLANK_RADIUS_MM = 140.0
_CLEFT_SHALLOW_MM, _CLEFT_EXTRA_MM = 5.0, 17.0
_CLEFT_FADE_Y_MM, _CLEFT_FADE_WIDTH_MM = 10.0, 35.0
_CLEFT_WIDTH_MM = 14.0
_MUSCLE_DEPTH_MM, _MUSCLE_THICKNESS_MM = 22.5, 34.0

_CANAL_YZ_MM = ((-43.0, -6.0), (-36.0, -22.0), (-24.0, -42.0), (-4.0, -56.0), (40.0, -64.0))
_CANAL_YZ_END_MM = (95.0, -60.0)

_ISCHIUM_MM = ((52.0, -58.0, -62.0), (70.0, 40.0, -82.0))
_ISCHIUM_RADIUS_MM = 13.0

VESSELS_MM = (
    ((34.0, -60.0, -10.0), (46.0, 5.0, -6.0), 1.6),
    ((-38.0, 80.0, -16.0), (-52.0, 10.0, -4.0), 1.4),
    ((12.0, 80.0, -60.0), (7.0, 0.0, -46.0), 1.8),
    ((-30.0, 70.0, -44.0), (-44.0, -20.0, -40.0), 2.0),
)
"""Straight vessels that may be taken for tracts: (from, to, radius)."""


def skin_height_mm(x_mm: Array, y_mm: Array) -> Array:
    """Return the height of the skin over the plane z = 0: cheeks, flanks and the cleft."""
    return _envelope(x_mm, y_mm) - _cleft_depth(y_mm) * np.exp(-((x_mm / _CLEFT_WIDTH_MM) ** 2))


def skin_slope(x_mm: Array, y_mm: Array) -> tuple[Array, Array]:
    """Return the slopes of the skin's height along x and along y."""
    valley = np.exp(-((x_mm / _CLEFT_WIDTH_MM) ** 2))
    fade = np.tanh((y_mm - _CLEFT_FADE_Y_MM) / _CLEFT_FADE_WIDTH_MM)
    deepening = -0.5 * _CLEFT_EXTRA_MM / _CLEFT_FADE_WIDTH_MM * (1.0 - fade**2)
    along_x = -x_mm / _FLANK_RADIUS_MM
    along_x = along_x + _cleft_depth(y_mm) * valley * 2.0 * x_mm / _CLEFT_WIDTH_MM**2
    along_y = -2.0 * (y_mm - _RIDGE_Y_MM) / _RIDGE_WIDTH_MM**2 * _ridge(y_mm)
    return along_x, along_y - deepening * valley


def skin_depth_mm(x_mm: Array, y_mm: Array, z_mm: Array) -> Array:
    """Return the depth under the skin along its normal, to first order; negative in air."""
    along_x, along_y = skin_slope(x_mm, y_mm)
    return (skin_height_mm(x_mm, y_mm) - z_mm) / np.sqrt(1.0 + along_x**2 + along_y**2)


def muscle_distance_mm(x_mm: Array, y_mm: Array, z_mm: Array) -> Array:
    """Return the distance to the surface of the gluteal muscles, negative inside them."""
    across = np.abs(x_mm)
    edge = 15.0 + 16.0 * rise_ratio(-y_mm - 12.0, 7.0)
    level = _envelope(x_mm, y_mm) - _MUSCLE_DEPTH_MM
    droop = 6.0 * np.exp(-(((across - edge) / 11.0) ** 2))
    taper = 12.0 * np.exp(-(((across - edge) / 16.0) ** 2))
    slab = _smooth_max(z_mm - level + droop, level - _MUSCLE_THICKNESS_MM + taper - z_mm, 6.0)
    return _smooth_max(slab, edge - across, 12.0)


def bone_distance_mm(x_mm: Array, y_mm: Array, z_mm: Array) -> Array:
    """Return the distance to sacrum, coccyx and both ischia, negative inside them."""
    half_width = 8.0 + 34.0 * rise_ratio(y_mm - 52.0, 9.0) + 0.8 * np.cos(y_mm * 0.42)
    crest = 1.6 * np.exp(-((x_mm / 4.0) ** 2)) * rise_ratio(y_mm - 46.0, 5.0)
    back = skin_height_mm(0.0 * y_mm, y_mm) - BONE_DEPTH_MM - x_mm**2 / 120.0 + crest
    thickness = 9.0 + 17.0 * rise_ratio(y_mm - 44.0, 12.0) + 0.7 * np.cos(y_mm * 0.42)
    slab = _smooth_max(z_mm - back, back - thickness - z_mm, 4.0)
    spine = _smooth_max(_smooth_max(slab, np.abs(x_mm) - half_width, 6.0), -y_mm, 8.0)
    sided = (np.abs(x_mm), y_mm, z_mm)
    return np.minimum(spine, _segment_distance(sided, *_ISCHIUM_MM) - _ISCHIUM_RADIUS_MM)


def vessel_distance_mm(x_mm: Array, y_mm: Array, z_mm: Array) -> Array:
    """Return the distance to the nearest vessel wall, negative inside."""
    nearest = np.full_like(x_mm, np.inf)
    for start, stop, radius_mm in VESSELS_MM:
        away = _segment_distance((x_mm, y_mm, z_mm), start, stop) - radius_mm
        nearest = np.minimum(nearest, away)
    return nearest


@dataclass(frozen=True, slots=True)
class Canal:
    """The middle line of anal canal and rectum, ready to be asked for distances."""

    tree: cKDTree
    along_mm: Array  #: (n,) arc length from the verge


def anal_canal() -> Canal:
    """Return the middle line of anal canal and rectum, from the verge inwards."""
    knots = np.array([(0.0, y, z) for y, z in (*_CANAL_YZ_MM, _CANAL_YZ_END_MM)])
    spline = CubicSpline(np.arange(len(knots)), knots)
    points = spline(np.linspace(0.0, len(knots) - 1.0, 600))
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    return Canal(cKDTree(points), np.concatenate([[0.0], np.cumsum(steps)]))


def rise_ratio(value_mm: Array, width_mm: float) -> Array:
    """Return a smooth step from 0 to 1 about zero, about four widths wide."""
    return 0.5 * (1.0 + np.tanh(value_mm / width_mm))


def _envelope(x_mm: Array, y_mm: Array) -> Array:
    return _ridge(y_mm) - x_mm**2 / (2.0 * _FLANK_RADIUS_MM) - _FLOOR_AT_ORIGIN_MM


def _ridge(y_mm: Array) -> Array:
    return _RIDGE_MM * np.exp(-(((y_mm - _RIDGE_Y_MM) / _RIDGE_WIDTH_MM) ** 2))


def _cleft_depth(y_mm: Array) -> Array:
    fade = np.tanh((y_mm - _CLEFT_FADE_Y_MM) / _CLEFT_FADE_WIDTH_MM)
    return _CLEFT_SHALLOW_MM + 0.5 * _CLEFT_EXTRA_MM * (1.0 - fade)


def _smooth_max(a: Array, b: Array, width_mm: float) -> Array:
    blend = np.maximum(width_mm - np.abs(a - b), 0.0) / width_mm
    return np.maximum(a, b) + 0.25 * width_mm * blend**2


def _segment_distance(
    at: tuple[Array, Array, Array],
    start: tuple[float, float, float],
    stop: tuple[float, float, float],
) -> Array:
    way = [b - a for a, b in zip(start, stop, strict=True)]
    off = [p - a for p, a in zip(at, start, strict=True)]
    square = sum(w * w for w in way)
    share = (off[0] * way[0] + off[1] * way[1] + off[2] * way[2]) / square
    share = np.clip(share, 0.0, 1.0)
    gaps = [o - share * w for o, w in zip(off, way, strict=True)]
    return np.sqrt(gaps[0] ** 2 + gaps[1] ** 2 + gaps[2] ** 2)


_FLOOR_AT_ORIGIN_MM = float((_ridge(np.zeros(1)) - _cleft_depth(np.zeros(1)))[0])
"""Height of the cleft floor over the coccyx tip, taken off so that the skin passes zero."""
