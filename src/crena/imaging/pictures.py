"""A series as it is looked at: a block of small numbers, its views, and a first window."""

from itertools import permutations
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import binary_dilation, gaussian_filter, label

from crena.records import ScanPicture, SignalWindow, SliceView, ViewName, Volume, VoxelAxis, Way

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Numbers = NDArray[np.int16]

LARGEST = 32000
"""Signals beyond it are scaled down."""

FEWEST_GREYS = 255
"""Signals that all lie below it are scaled up."""

AIR_FRACTION = 0.15
"""Share of the way from air to tissue below which a smoothed voxel may be air (assumed)."""

AIR_PERCENTILE, TISSUE_PERCENTILE = 10.0, 75.0
WINDOW_PERCENTILES = (0.5, 99.5)
"""The first window leaves out so little of the body at both ends (assumed)."""

SMOOTHING_PIXELS = 1.0
RIM_PIXELS = 2
"""So far the smoothing hides air beside the skin."""

WAYS: Final = (
    (Way.LEFT, Way.RIGHT),
    (Way.BACK, Way.FRONT),
    (Way.HEAD, Way.FEET),
)
"""Where L, P and S of the scanner's frame point, and where they come from."""

VIEWS: Final = (
    (ViewName.ACROSS, 2, (0, Way.RIGHT), (1, Way.FRONT)),
    (ViewName.SIDE, 0, (1, Way.BACK), (2, Way.FEET)),
    (ViewName.BEHIND, 1, (0, Way.RIGHT), (2, Way.FEET)),
)
"""Each view: the axis of L, P, S that it looks along, then what lies right and at the bottom."""

AXES: Final = (VoxelAxis.COLUMN, VoxelAxis.ROW, VoxelAxis.SLICE)

ORDERS: Final = tuple(permutations(range(3)))


def picture_of(volume: Volume, voxels_sha256: str) -> tuple[ScanPicture, Numbers]:
    """Return a series as it is shown.

    Parameters
    ----------
    volume : Volume
        The series.
    voxels_sha256 : str
        Its name in the code of plans.

    Returns
    -------
    ScanPicture
        Its views and the window to begin with.
    (k, j, i) int16
        The numbers that are drawn, from 0; air outside of the body is -1 minus its number.
    """
    numbers = _numbers(volume.voxels)
    air = _air(volume.voxels)
    body = numbers[~air]
    low, high = np.percentile(body, WINDOW_PERCENTILES) if body.size else (0, 1)
    slices, rows, columns = numbers.shape
    picture = ScanPicture(
        series_uid=volume.series_uid,
        voxels_sha256=voxels_sha256,
        slices=slices,
        rows=rows,
        columns=columns,
        window=SignalWindow(low=int(low), high=max(int(high), int(low) + 1)),
        widest=SignalWindow(low=int(body.min(initial=0)), high=int(body.max(initial=1))),
        tilt_deg=_tilt_deg(volume.affine),
        affine_mm=tuple(tuple(float(v) for v in row) for row in volume.affine),
        thickness_mm=volume.slice_thickness_mm,
        prone=volume.prone,
        views=_views(volume.affine, (columns, rows, slices)),
        notes=volume.notes,
    )
    return picture, np.where(air, -1 - numbers, numbers).astype("<i2")


def _numbers(voxels: NDArray[np.float32]) -> Numbers:
    """Return the signals as whole numbers from 0; scaled only where they do not fit."""
    raised = voxels - min(0.0, float(voxels.min()))
    largest = float(raised.max())
    scale = LARGEST / largest if largest > LARGEST or 0 < largest < FEWEST_GREYS else 1.0
    return np.asarray(np.rint(raised * scale).astype(np.int16))


def _air(voxels: NDArray[np.float32]) -> Mask:
    """Say which voxels are air that reaches the edge of a picture, up to the skin."""
    smooth = gaussian_filter(voxels, (0.0, SMOOTHING_PIXELS, SMOOTHING_PIXELS))
    air, tissue = np.percentile(voxels, (AIR_PERCENTILE, TISSUE_PERCENTILE))
    outside = _at_the_edge(smooth < air + AIR_FRACTION * (tissue - air))
    outside = ~_largest(~outside)
    rim = binary_dilation(outside, np.ones((1, 3, 3)), iterations=RIM_PIXELS)
    return np.asarray(outside | (rim & (voxels < (air + tissue) / 2)))


def _at_the_edge(dark: Mask) -> Mask:
    parts, _ = label(dark)
    edges = (parts[:, 0], parts[:, -1], parts[:, :, 0], parts[:, :, -1])
    reached = np.unique(np.concatenate([edge.ravel() for edge in edges]))
    return np.asarray(np.isin(parts, reached[reached > 0]))


def _largest(mask: Mask) -> Mask:
    parts, count = label(mask)
    if count == 0:
        return mask
    return np.asarray(parts == 1 + int(np.bincount(parts.ravel())[1:].argmax()))


def _views(affine: Array, counts: tuple[int, int, int]) -> tuple[SliceView, ...]:
    """Return the three ways of cutting the block; counts are of columns, rows and slices."""
    voxel_of, steps_mm = _nearest(affine), np.linalg.norm(affine[:3, :3], axis=0)
    return tuple(
        _view(name, (through, across, down), voxel_of, (affine, steps_mm, counts))
        for name, through, across, down in VIEWS
    )


def _view(
    name: ViewName,
    looked: tuple[int, tuple[int, Way], tuple[int, Way]],
    voxel_of: list[int],
    block: tuple[Array, Array, tuple[int, int, int]],
) -> SliceView:
    through, (across, right), (down, bottom) = looked
    affine, steps_mm, counts = block
    x, y, z = voxel_of[across], voxel_of[down], voxel_of[through]
    return SliceView(
        name=name,
        across=AXES[x],
        down=AXES[y],
        through=AXES[z],
        across_turned=_runs_to(affine, x, across) is not right,
        down_turned=_runs_to(affine, y, down) is not bottom,
        through_turned=_runs_to(affine, z, through) is not WAYS[through][0],
        columns=counts[x],
        rows=counts[y],
        slices=counts[z],
        column_mm=float(steps_mm[x]),
        row_mm=float(steps_mm[y]),
        step_mm=float(steps_mm[z]),
        left=_other(right),
        right=right,
        top=_other(bottom),
        bottom=bottom,
        towards=WAYS[through][0],
        as_scanned=AXES[z] is VoxelAxis.SLICE,
    )


def _nearest(affine: Array) -> list[int]:
    """Return for L, P and S which voxel index runs nearest to it; each is taken once."""
    cosines = _cosines(affine)
    return list(max(ORDERS, key=lambda order: float(cosines[np.arange(3), list(order)].sum())))


def _cosines(affine: Array) -> Array:
    """Return of which part of its length each voxel index runs along L, P and S."""
    return np.asarray(np.abs(affine[:3, :3] / np.linalg.norm(affine[:3, :3], axis=0)))


def _runs_to(affine: Array, voxel: int, axis: int) -> Way:
    return WAYS[axis][0] if affine[axis, voxel] > 0 else WAYS[axis][1]


def _other(way: Way) -> Way:
    pair = next(pair for pair in WAYS if way in pair)
    return pair[1] if way is pair[0] else pair[0]


def _tilt_deg(affine: Array) -> float:
    least = float(_cosines(affine)[range(3), _nearest(affine)].min())
    return float(np.degrees(np.arccos(min(1.0, least))))
