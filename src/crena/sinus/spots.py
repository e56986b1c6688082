"""What else is bright near the tracts, and how thin a branch the series could show."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects, gaussian_filter, label
from scipy.spatial import cKDTree

from crena.records.base import Record
from crena.records.scans import Volume
from crena.records.shapes import Point3
from crena.sinus._path import (
    Block,
    block_around,
    cube_centres_mm,
    depth_under_air_mm,
    spacing_mm,
)
from crena.sinus.trace import AIR_REACH_MM, SKIN_MM, TracedCavity, TracedTract

Array = np.ndarray

STEP_MM = 0.75
"""Edge of the cubes that spots are looked for on; assumed: below half a small spot."""

SMOOTHING_MM = 0.7
"""Smoothing against noise before the threshold; assumed."""

BRIGHT_FRACTION = 0.5
"""A spot rises above the surroundings by this share of the disease's own rise: half-maximum."""

NOISE_SDS = 6.0
"""A spot rises above the surroundings by at least this many sds of their smoothed signal,
assumed: texture of fat and muscle counts as noise here."""

DISEASE_PERCENTILE = 75.0
"""Percentile of the signal inside tracts and cavities that stands for the disease; assumed."""

JOINED_MM = 1.0
"""Bright cubes this near to a traced wall are the disease itself; assumed: a pixel and some."""

LEAST_VOLUME_MM3 = 4.0
"""Smallest bright piece that is called a spot: a ball of 1 mm radius; assumed."""

LONGEST_MM = 14.0
"""A bright piece longer than this is a vessel, a bowel or a sheet, and no spot; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnconnectedSpot(Record):
    """A bright place near the disease that is joined to none of it."""

    centre_lps_mm: Point3
    radius_mm: float  #: of the ball of the same volume, at half-maximum
    gap_mm: float  #: from its edge to the outer wall of the nearest tract or cavity


def unconnected_spots(
    volume: Volume,
    tracts: Sequence[TracedTract],
    cavities: Sequence[TracedCavity] = (),
    *,
    within_mm: float = 10.0,
) -> tuple[UnconnectedSpot, ...]:
    """Find bright places near the disease that are joined to none of it.

    They are shown to the surgeon, and never merged with a tract or dropped.

    Parameters
    ----------
    volume : Volume
        The series.
    tracts, cavities : sequence
        What is traced on it.
    within_mm : float
        Greatest gap between a spot and the nearest outer wall.

    Returns
    -------
    tuple of UnconnectedSpot
        The nearest first.

    Notes
    -----
    A spot is a piece of tissue below the skin that is brighter than half-way from its
    surroundings to the disease, at least a ball of 1 mm radius and at most 14 mm long, with
    all of it inside the searched box. So a spot thinner than about a slice, or fainter than
    half the disease, is not found; a short piece of vessel near a tract is. A piece that
    reaches the skin is joined to it, as a pit is, and no spot.
    """
    if not tracts and not cavities:
        return ()
    balls, radii = _balls(tracts, cavities)
    block = block_around(volume, balls, within_mm + float(radii.max()) + 2.0, STEP_MM)
    values = gaussian_filter(block.values, SMOOTHING_MM / STEP_MM)
    gaps = _gaps_mm(block, balls, radii, within_mm)
    depth = depth_under_air_mm(block, balls[0], AIR_REACH_MM)
    flesh = block.scanned & (depth > SKIN_MM)
    pieces = _pieces((values > _level(values, gaps, flesh)) & flesh, depth)
    found = [
        _spot(block, pieces == n, gaps)
        for n, box in enumerate(find_objects(pieces), start=1)
        if box is not None and _is_small(pieces[box] == n, box, pieces.shape)
    ]
    near = [spot for spot in found if JOINED_MM < spot.gap_mm <= within_mm]
    return tuple(sorted(near, key=lambda spot: spot.gap_mm))


def smallest_branch_mm(volume: Volume) -> float:
    """Return the width of the thinnest branch that the series could show.

    Parameters
    ----------
    volume : Volume
        The series.

    Returns
    -------
    float
        Twice the coarsest of pixel, slice thickness and slice distance, mm.

    Notes
    -----
    Derived: a branch thinner than two samples may fall between them, or be averaged away
    within a slice, whichever way it runs.

    Examples
    --------
    >>> volume = Volume(
    ...     voxels=np.zeros((2, 2, 2)), affine=np.diag([0.6, 0.7, 3.3, 1.0]),
    ...     slice_thickness_mm=3.0, frame_of_reference_uid="1", series_uid="2", prone=True,
    ... )
    >>> smallest_branch_mm(volume)
    6.6
    """
    return 2.0 * max(float(spacing_mm(volume).max()), volume.slice_thickness_mm)


def _balls(tracts: Sequence[TracedTract], cavities: Sequence[TracedCavity]) -> tuple[Array, Array]:
    """Return balls that fill tracts and cavities: middles, (n, 3), and radii, (n,)."""
    lines = [(tract.centre_lps_mm, tract.radius_mm) for tract in tracts]
    hollows = [_cavity_balls(cavity) for cavity in cavities]
    middles, radii = zip(*lines, *hollows, strict=True)
    return np.concatenate(middles), np.concatenate(radii)


def _cavity_balls(cavity: TracedCavity) -> tuple[Array, Array]:
    """Return balls along the long axis of a cavity from focus to focus.

    With half-axes a > c, the ball at t along the long axis that just touches the ellipsoid of
    revolution from inside has the radius c sqrt(1 - t^2 / (a^2 - c^2)). The middle half-axis
    is taken for c: gaps may be short by the difference of the two shorter ones.
    """
    lengths = np.linalg.norm(cavity.half_axes_lps_mm, axis=1)
    long, mid = float(lengths.max()), float(np.sort(lengths)[1])
    focus = np.sqrt(max(long**2 - mid**2, 1e-9))
    share = np.linspace(-0.99, 0.99, 31)
    axis = cavity.half_axes_lps_mm[int(lengths.argmax())] / long
    return cavity.centre_lps_mm + np.outer(share * focus, axis), mid * np.sqrt(1.0 - share**2)


def _gaps_mm(block: Block, balls: Array, radii: Array, within_mm: float) -> Array:
    """Return the gap between each cube and the nearest wall; infinite when far."""
    centres = cube_centres_mm(block).reshape(-1, 3)
    gaps = np.full(block.values.shape, np.inf)
    for radius in np.unique(np.ceil(radii)):
        some = np.ceil(radii) == radius
        reach = within_mm + radius + 3.0
        tree = cKDTree(balls[some])
        away, index = tree.query(centres, distance_upper_bound=reach, workers=-1)
        near = np.isfinite(away)
        gap = np.full(len(away), np.inf)
        gap[near] = away[near] - radii[some][index[near]]
        gaps = np.minimum(gaps, gap.reshape(gaps.shape))
    return gaps


def _level(values: Array, gaps: Array, flesh: Array) -> float:
    """Return the signal above which a cube may belong to a spot."""
    around = values[flesh & np.isfinite(gaps) & (gaps > JOINED_MM)]
    inside = values[(gaps < 0.0) & flesh]
    middle = float(np.median(around)) if around.size else 0.0
    spread = float(np.median(np.abs(around - middle))) / 0.6745 if around.size else 0.0
    rise = float(np.percentile(inside, DISEASE_PERCENTILE)) - middle if inside.size else 0.0
    return middle + max(BRIGHT_FRACTION * rise, NOISE_SDS * spread, 1e-6)


def _pieces(bright: Array, depth: Array) -> NDArray[np.int32]:
    """Number the bright pieces that do not reach the skin: what does is skin, or a pit."""
    pieces, _ = label(bright, structure=np.ones((3, 3, 3)))
    at_skin = np.unique(pieces[depth <= SKIN_MM + 1.5 * STEP_MM])
    return np.where(np.isin(pieces, at_skin), 0, pieces)


def _is_small(piece: Array, box: tuple[slice, ...], shape: tuple[int, ...]) -> bool:
    """Say whether a piece is as small as a spot and lies wholly inside the block."""
    ends = np.array([(part.start, part.stop) for part in box])
    inside = bool((ends[:, 0] > 0).all() and (ends[:, 1] < np.array(shape)).all())
    long = float((ends[:, 1] - ends[:, 0]).max()) * STEP_MM
    return inside and long <= LONGEST_MM and float(piece.sum()) * STEP_MM**3 >= LEAST_VOLUME_MM3


def _spot(block: Block, piece: Array, gaps: Array) -> UnconnectedSpot:
    first, second, third = (float(v) for v in cube_centres_mm(block)[piece].mean(axis=0))
    return UnconnectedSpot(
        centre_lps_mm=(first, second, third),
        radius_mm=float((0.75 * piece.sum() * STEP_MM**3 / np.pi) ** (1.0 / 3.0)),
        gap_mm=float(gaps[piece].min()) - STEP_MM / 2.0,
    )
