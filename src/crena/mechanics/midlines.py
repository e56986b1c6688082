"""The scar and the three midlines once the skin has given.

The sagittal reference, x = 0, does not move. The material midline is the skin that lay on
x = 0: it goes where that skin goes, flaps included, and is broken where skin was cut or
removed. The cleft floor is a line that the caller gives; the deep tissue holds it, so that
it is taken not to move.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.mechanics.closed import ClosureState, converged_mm
from crena.mechanics.nearness import crossings, least_mm, share_within
from crena.mechanics.readings import scar_lines_mm
from crena.records import InputError, Point2, Polyline2, Record, ScarFromLine
from crena.records.shapes import line2, point2

Floats = NDArray[np.float64]
Lines = tuple[Polyline2, ...]

NEAR_MM = 10.0
"""Distance within which the scar's share is stated."""


LOW_MM = 10.0
"""Ends of seams this little above the lowest point count as lower ends too; assumed, so that
the donor's corner, drawn down by its closure, hides no end of the scar beside the midline."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Midlines(Record):
    """The scar against the three midlines, after closure."""

    sagittal: ScarFromLine
    material: ScarFromLine | None  #: None if no skin lay on the midline
    floor: ScarFromLine
    material_mm: Lines  #: where the old midline skin lies, caudal to cranial
    floor_mm: Polyline2
    lower_end_at_mm: Point2  #: the scar's lower end, as the sagittal reference has it


def midlines(state: ClosureState, floor_mm: Polyline2 = ()) -> Midlines:
    """Measure the scar of a closed wound from the three midlines.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    floor_mm : Polyline2
        The cleft's floor before the cut, in (s, y); without it, the sagittal reference.

    Returns
    -------
    Midlines
        Distances in the plane of the unrolled skin.

    Raises
    ------
    CrenaError
        If the closure did not converge, has no seam, or the floor is not a line.

    Notes
    -----
    Assumed: outside the removed skin the deep tissue holds the cleft's floor where it was;
    within it, where nothing holds it any more, the floor is taken to run as it did. A scar
    over the old floor is then never called clear of it.
    """
    scars = scar_lines_mm(state)
    lines = tuple(line2(line) for line in scars.values())
    if not lines:
        raise InputError("This closure has no seam, so no scar. Choose one that is sutured.")
    defect = tuple(line2(scars[s.name]) for s in state.sheet.seams if not s.donor) or lines
    floor = _sound_floor(floor_mm) or _sagittal(lines)
    material = material_midline_mm(state)
    return Midlines(
        sagittal=_scar_from(lines, defect, (_sagittal(lines),)),
        material=_scar_from(lines, defect, material) if material else None,
        floor=_scar_from(lines, defect, (floor,)),
        material_mm=material,
        floor_mm=floor,
        lower_end_at_mm=_lower_end(lines, defect, (_sagittal(lines),)),
    )


def material_midline_mm(state: ClosureState) -> Lines:
    """Return where the skin that lay on x = 0 lies after closure.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.

    Returns
    -------
    tuple of Polyline2
        Pieces from caudal to cranial, as they lay before; a cut or a removed part ends a
        piece. Where x = 0 runs along a cut, the piece is its edge on the patient's left.

    Raises
    ------
    CrenaError
        If the closure did not converge.

    Notes
    -----
    Each triangle carries its part of the line by its own linear map. A node on x = 0 counts
    as right of it. The line enters a triangle, anticlockwise, by the edge that leads from
    left to right and leaves by the one that leads back, so that triangles chain by their
    edges and no place is compared with another.
    """
    after, nodes = converged_mm(state), state.sheet.nodes_mm
    ways = _ways(state.sheet.triangles, nodes[:, 0] >= 0)
    before = {edge: _on_edge(edge, nodes[:, 0], nodes) for pair in ways.items() for edge in pair}
    chains = sorted(_chains(ways), key=lambda chain: float(before[chain[0]][1]))
    pieces = [_without_repeats([_on_edge(e, nodes[:, 0], after) for e in c]) for c in chains]
    return tuple(line2(piece) for piece in pieces if len(piece) > 1)


Edge = tuple[int, int]  #: (node left of the line, node right of it)


def _ways(triangles: NDArray[np.int64], right: NDArray[np.bool_]) -> dict[Edge, Edge]:
    """Return the edge by which the line leaves, for each edge by which it enters a triangle."""
    mixed = triangles[right[triangles].any(axis=1) & ~right[triangles].all(axis=1)]
    ways = {}
    for corners in mixed.tolist():
        edges = list(zip(corners, corners[1:] + corners[:1], strict=True))
        enter = next((a, b) for a, b in edges if not right[a] and right[b])
        leave = next((b, a) for a, b in edges if right[a] and not right[b])
        ways[enter] = leave
    return ways


def _chains(ways: dict[Edge, Edge]) -> list[list[Edge]]:
    chains = []
    for first in ways.keys() - set(ways.values()):
        chain = [first]
        while chain[-1] in ways:
            chain.append(ways[chain[-1]])
        chains.append(chain)
    return chains


def _on_edge(edge: Edge, x: Floats, places: Floats) -> Floats:
    """Return where the skin at x = 0 of an edge lies among places."""
    left, right = edge
    share = x[left] / (x[left] - x[right])
    return np.asarray((1 - share) * places[left] + share * places[right])


def _without_repeats(points: list[Floats]) -> Floats:
    line = np.stack(points)
    new = np.concatenate([[True], (line[1:] != line[:-1]).any(axis=1)])
    return np.asarray(line[new])


def _scar_from(scar: Lines, defect: Lines, line: Lines) -> ScarFromLine:
    return ScarFromLine(
        least_mm=least_mm(scar, line),
        lower_end_mm=_off(_lower_end(scar, defect, line), line),
        within_10mm_ratio=share_within(scar, line, NEAR_MM),
        crossings=crossings(scar, line),
    )


def _lower_end(scar: Lines, defect: Lines, line: Lines) -> Point2:
    """Return the lower end of the scar: of all that may be called so, the nearest to the line.

    Its lowest point, that of the defect's part, and every end of a seam hardly higher.
    """
    lows = [
        min((p for part in parts for p in part), key=lambda p: p[1]) for parts in (scar, defect)
    ]
    height = min(p[1] for p in lows) + LOW_MM
    ends = [p for part in scar for p in (part[0], part[-1]) if p[1] <= height]
    return point2(min(lows + ends, key=lambda p: _off(p, line)))


def _off(point: ArrayLike, line: Lines) -> float:
    at = point2(np.asarray(point))
    return least_mm(((at, at),), line)


def _sagittal(scar: Lines) -> Polyline2:
    """Return the sagittal reference along the whole height of a scar."""
    heights = [y for line in scar for _, y in line]
    return (0.0, min(heights)), (0.0, max(heights))


def _sound_floor(floor_mm: Polyline2) -> Polyline2:
    if floor_mm and (len(floor_mm) < 2 or not np.isfinite(np.asarray(floor_mm)).all()):
        raise InputError("The cleft's floor is not a line. Give at least two points in mm.")
    return floor_mm
