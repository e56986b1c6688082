"""Reading a scan at points of the patient, and the cheapest path through it."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numba import njit
from scipy.ndimage import (
    binary_opening,
    distance_transform_edt,
    gaussian_filter,
    label,
    map_coordinates,
    shift,
)
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from crena.records.base import Record
from crena.records.errors import ScanError
from crena.records.scans import Volume
from crena.records.shapes import Point3

Array = np.ndarray

BLOCK_STEP_MM = 1.0
"""Edge of the cubes that a path is searched on; assumed: below the thinnest tract's width."""

DETOUR_MM = 8.0
"""How much longer than the straight line a leg of the path may at least be; assumed."""

DETOUR_RATIO = 1.5
"""How many times the straight line a leg of the path may be; assumed: more than a half circle
over its chord needs a way point."""

CLICK_REACH_MM = 2.5
"""Radius round a click in which the tract's signal is looked for; assumed: a click is off by
about 1.5 mm."""

CHEAPEST_FRACTION = 0.04
"""Cost of the best voxel against the worst; assumed: keeps the path from wandering for free."""

WALL_RADII_MM = (1.5, 2.25, 3.0)
"""Distances from the middle at which the wall of a dark lumen is looked for; assumed."""

BETTER_DIRECTIONS = 9
"""How many of the thirteen directions must see a wall on both sides; assumed: all that are
not within 45 degrees of the tract."""

AIR_FRACTION = 0.5
"""Share of the surroundings' signal below which a cube may be air: half the step at the skin."""

AIR_OPENING_MM = 1.5
"""Radius of the ball that must fit into air: it leaves out cortical bone and dark lumens."""

PIT_TO_AIR_MM = 5.0
"""Air begins no farther than this from a pit that is clicked on the skin; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Block(Record):
    """Part of a scan on cubes that are aligned with L, P and S."""

    values: Array  #: (n_l, n_p, n_s)
    scanned: Array  #: (n_l, n_p, n_s) bool, False outside the scan
    first_lps_mm: Array  #: (3,) centre of cube (0, 0, 0)
    step_mm: float


def spacing_mm(volume: Volume) -> Array:
    """Return the distances between columns, rows and slices, (3,) mm."""
    return np.asarray(np.linalg.norm(volume.affine[:3, :3], axis=0))


def to_voxels(volume: Volume, points_lps_mm: Array) -> Array:
    """Return the fractional (k, j, i) of points, (n, 3)."""
    ijk = (points_lps_mm - volume.affine[:3, 3]) @ np.linalg.inv(volume.affine[:3, :3]).T
    return np.asarray(ijk[..., ::-1])


def to_lps_mm(volume: Volume, kji: Array) -> Array:
    """Return where fractional (k, j, i) lie in the patient, (n, 3) mm."""
    return np.asarray(kji[..., ::-1] @ volume.affine[:3, :3].T + volume.affine[:3, 3])


def is_scanned(volume: Volume, points_lps_mm: Array) -> Array:
    """Say of each point whether it lies inside the block of voxels, (n,) bool."""
    kji = to_voxels(volume, points_lps_mm)
    last = np.array(volume.voxels.shape) - 0.5
    return np.asarray(((kji >= -0.5) & (kji <= last)).all(axis=-1))


def signals(volume: Volume, points_lps_mm: Array) -> Array:
    """Return the linearly interpolated signal at points; beyond the edge, the edge's value."""
    kji = np.moveaxis(to_voxels(volume, points_lps_mm), -1, 0)
    return np.asarray(map_coordinates(volume.voxels, kji, order=1, mode="nearest", output=float))


def check_clicks(volume: Volume, name: str, points: Sequence[Point3]) -> None:
    """Refuse clicks that lie outside the scan.

    Parameters
    ----------
    volume : Volume
        The series that was clicked on.
    name : str
        What was clicked, for the sentence.
    points : sequence of (L, P, S)
        The clicks, mm.

    Raises
    ------
    ScanError
        If a click lies outside the voxels of the series.
    """
    outside = ~is_scanned(volume, np.array(points, float))
    if outside.any():
        raise ScanError(
            f"{int(outside.sum())} of the {len(points)} points clicked for {name} lie outside "
            "the scan. Click them again on this series."
        )


def block_around(volume: Volume, points_lps_mm: Array, margin_mm: float, step_mm: float) -> Block:
    """Resample the box round some points to cubes.

    The cubes are centred on the box, so that a mirrored scan gives the mirrored block.
    """
    low, high = points_lps_mm.min(axis=0) - margin_mm, points_lps_mm.max(axis=0) + margin_mm
    counts = np.ceil((high - low) / step_mm).astype(int) + 1
    first = (low + high) / 2 - (counts - 1) / 2 * step_mm
    points = np.moveaxis(np.indices(tuple(counts)), 0, -1) * step_mm + first
    return Block(
        values=signals(volume, points),
        scanned=is_scanned(volume, points),
        first_lps_mm=first,
        step_mm=step_mm,
    )


def cube_centres_mm(block: Block) -> Array:
    """Return the centres of a block's cubes, (n_l, n_p, n_s, 3) mm, LPS."""
    shape = block.values.shape
    return np.asarray(np.moveaxis(np.indices(shape), 0, -1) * block.step_mm + block.first_lps_mm)


def bright_cost(block: Block, stops_lps_mm: Array) -> Array:
    """Return a cost for every cube that is low inside a bright tract."""
    return _cost(gaussian_filter(block.values, 0.5 / block.step_mm), block, stops_lps_mm)


def dark_cost(block: Block, stops_lps_mm: Array) -> Array:
    """Return a cost for every cube that is low in the middle of a bright wall.

    A cube lies in the middle of a dark lumen when opposite cubes at the wall's distance are
    both brighter than it is; the best distance and the better directions count, since along
    the lumen there is no wall.
    """
    values = gaussian_filter(block.values, 0.5 / block.step_mm)
    around = float(np.median(values[block.scanned]))
    walls = np.max(
        [_both_sides(values, radius / block.step_mm) for radius in WALL_RADII_MM], axis=0
    )
    middle = np.maximum(walls - around, 0.0) - np.maximum(values - around, 0.0)
    return _cost(gaussian_filter(middle, 0.5 / block.step_mm), block, stops_lps_mm)


def _both_sides(values: Array, steps: float) -> Array:
    """Return the lower of two opposite values, as the mean of the better directions."""
    lower = []
    for direction in product((-1.0, 0.0, 1.0), repeat=3):
        if direction > (0.0, 0.0, 0.0):
            away = np.array(direction) * steps / np.linalg.norm(direction)
            lower.append(
                np.minimum(*(shift(values, s * away, order=1, mode="nearest") for s in (1.0, -1.0)))
            )
    return np.asarray(np.sort(lower, axis=0)[-BETTER_DIRECTIONS:].mean(axis=0))


def depth_under_air_mm(block: Block, at_lps_mm: Array, reach_mm: float) -> Array:
    """Return how deep each cube lies under the air near a point.

    Parameters
    ----------
    block : Block
        The part of the scan.
    at_lps_mm : (3,) float
        A click on the skin, or a point under it.
    reach_mm : float
        Air begins no farther from the point than this.

    Returns
    -------
    (n_l, n_p, n_s) float
        Distance to the nearest cube of air, mm; infinite when there is none near the point.
    """
    low = (block.values < AIR_FRACTION * np.median(block.values[block.scanned])) & block.scanned
    width = 2 * int(np.ceil(AIR_OPENING_MM / block.step_mm)) + 1
    pieces, _ = label(binary_opening(low, structure=_ball(width)))
    near = np.linalg.norm(cube_centres_mm(block) - at_lps_mm, axis=-1) <= reach_mm
    air = np.isin(pieces, np.unique(pieces[near & (pieces > 0)]))
    if not air.any():
        return np.full(air.shape, np.inf)
    return np.asarray(distance_transform_edt(~air, sampling=block.step_mm))


def block_value(block: Block, values: Array, points_lps_mm: Array) -> Array:
    """Return what some array on the block's cubes says at the cubes nearest to points, (n,)."""
    at = np.rint((points_lps_mm - block.first_lps_mm) / block.step_mm).astype(int)
    return np.asarray(values[tuple(np.clip(at, 0, np.array(values.shape) - 1).T)])


def cheapest_path(block: Block, cost: Array, stops_lps_mm: Array) -> Array:
    """Find the cheapest way through the stops, in their order.

    Parameters
    ----------
    block : Block
        The part of the scan that is searched.
    cost : (n_l, n_p, n_s) float
        Cost per mm of each cube, positive.
    stops_lps_mm : (n, 3) float
        Where the path starts, passes and ends, n >= 2.

    Returns
    -------
    (m, 3) float
        The centres of the cubes on the path, with the first and the last stop themselves.
    """
    legs = [
        _leg(block, cost, stops_lps_mm[i], stops_lps_mm[i + 1])
        for i in range(len(stops_lps_mm) - 1)
    ]
    joined = [legs[0], *(leg[1:] for leg in legs[1:])]
    return np.concatenate([stops_lps_mm[:1], *joined, stops_lps_mm[-1:]])


def resampled(line_mm: Array, step_mm: float) -> Array:
    """Return a polyline's points at equal arc length, about a step apart.

    >>> resampled(np.array([[0.0, 0, 0], [3, 0, 0], [3, 1, 0]]), 2.0).tolist()
    [[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [3.0, 1.0, 0.0]]
    """
    arc = arc_mm(line_mm)
    count = max(2, int(round(arc[-1] / step_mm)) + 1)
    wanted = np.linspace(0.0, arc[-1], count)
    return np.stack([np.interp(wanted, arc, line_mm[:, axis]) for axis in range(3)], axis=1)


def arc_mm(line_mm: Array) -> Array:
    """Return the arc length from the start to each point of a polyline, (n,) mm."""
    pieces = np.linalg.norm(np.diff(line_mm, axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(pieces)])


def _cost(values: Array, block: Block, stops_lps_mm: Array) -> Array:
    """Turn signals into a cost: 1 at the surroundings' level, little at the tract's."""
    around = float(np.median(values[block.scanned]))
    near = [
        values[np.linalg.norm(cube_centres_mm(block) - s, axis=-1) <= CLICK_REACH_MM]
        for s in stops_lps_mm
    ]
    tract = max(float(np.median([part.max() for part in near])), around + 1e-6)
    height = np.clip((values - around) / (tract - around), 0.0, 1.0)
    cost = CHEAPEST_FRACTION + (1.0 - CHEAPEST_FRACTION) * (1.0 - height) ** 2
    return np.asarray(cost)


def _leg(block: Block, cost: Array, start_mm: Array, end_mm: Array) -> Array:
    centres = cube_centres_mm(block)
    chord = float(np.linalg.norm(end_mm - start_mm))
    detour = np.linalg.norm(centres - start_mm, axis=-1) + np.linalg.norm(centres - end_mm, axis=-1)
    allowed = block.scanned & (detour <= max(chord + DETOUR_MM, DETOUR_RATIO * chord))
    places = np.argwhere(allowed)
    nodes = np.full(np.array(allowed.shape) + 2, -1, np.int32)
    nodes[tuple(places.T + 1)] = np.arange(len(places), dtype=np.int32)
    starts, ends, lengths = _edges(nodes, places, cost, block.step_mm)
    graph = csr_array((lengths, ends, starts))
    ways = centres[allowed]
    source, goal = (int(np.argmin(np.linalg.norm(ways - p, axis=1))) for p in (start_mm, end_mm))
    before = dijkstra(graph, indices=source, return_predecessors=True)[1]
    chain = [goal]
    while chain[-1] != source and before[chain[-1]] >= 0:
        chain.append(int(before[chain[-1]]))
    return np.asarray(ways[chain[::-1]])


@njit(cache=True, nogil=True)
def _edges(
    nodes: Array, places: Array, cost: Array, step_mm: float
) -> tuple[Array, Array, Array]:  # pragma: no cover - compiled
    """Join every allowed cube to its 26 neighbours, as rows of a sparse matrix.

    ``nodes`` has a border of -1, so that no neighbour lies outside it.
    """
    starts = np.zeros(len(places) + 1, np.int32)
    ends = np.empty(26 * len(places), np.int32)
    lengths = np.empty(26 * len(places))
    filled = 0
    for n in range(len(places)):
        i, j, k = places[n]
        for m in range(27):
            a, b, c = i + m // 9 - 1, j + m // 3 % 3 - 1, k + m % 3 - 1
            other = nodes[a + 1, b + 1, c + 1]
            if other >= 0 and m != 13:
                away = np.sqrt((a - i) ** 2 + (b - j) ** 2 + (c - k) ** 2)
                ends[filled] = other
                lengths[filled] = step_mm * away * 0.5 * (cost[i, j, k] + cost[a, b, c])
                filled += 1
        starts[n + 1] = filled
    return starts, ends[:filled], lengths[:filled]


def _ball(width: int) -> Array:
    offsets = np.indices((width,) * 3) - (width - 1) / 2
    return np.asarray((offsets**2).sum(axis=0) <= (width / 2) ** 2)
