"""What a closed wound feels: the readings that settle as the mesh is refined.

Line sums, window forces from interpolated traction and means over discs; never the
largest stretch or the force on one node, which grow without bound at corners. All
positions are those after closure; every figure refuses a closure that did not converge.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from crena.mechanics._kernels import node_forces
from crena.mechanics._places import (
    CornerPlace,
    SeamPlaces,
    corners_of,
    lengths_at_nodes_mm,
    places_of,
)
from crena.mechanics._plane import (
    PART_CENTRES,
    areas_mm2,
    cross,
    deformations,
    shape_gradients,
)
from crena.mechanics.closed import ClosureState, converged_mm
from crena.mechanics.material import law_numbers, principal_stretches
from crena.records import InputError, Point2, Record

Floats = NDArray[np.float64]
Truths = NDArray[np.bool_]

DISC_RADIUS_MM = 10.0
"""Radius of the disc for mean stretch; assumed: at 5 mm the mean still moves with the mesh."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamForce(Record):
    """What the sutures of one seam carry between its ends."""

    name: str
    donor: bool
    length_mm: float  #: after closure
    line_n: float  #: sum of the magnitudes, without the ends


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerForce(Record):
    """What the stitch at an end of one or more seams carries; uncertain on any mesh."""

    seams: tuple[str, ...]
    donor: bool  #: the donor seam ends here
    at_mm: Point2
    force_n: float  #: half the sum of the pulls that meet


@dataclass(frozen=True, slots=True, kw_only=True)
class SutureForces(Record):
    """All sutures of a closed wound."""

    seams: tuple[SeamForce, ...]
    corners: tuple[CornerForce, ...]
    total_n: float
    donor_line_share_ratio: float | None  #: donor line over the total; None without a donor
    donor_share_ratio: float | None  #: with the corner where the donor line ends


def suture_forces(state: ClosureState) -> SutureForces:
    """Return the force on every seam, on its corners, and the donor's share.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.

    Returns
    -------
    SutureForces
        Magnitudes in N; ties carry compression as well as tension.

    Raises
    ------
    CrenaError
        If the closure did not converge.

    Notes
    -----
    The force of a pair is what its moved side pulls with before the two are joined: inner
    forces and the hold of the fascia. The donor's share is given in two ways, for its line
    alone and with the corner at its end; no way is agreed on.
    """
    forces = open_forces_n(state)
    seams = tuple(_seam_force(state, line, forces) for line in places_of(state.sheet))
    corners = tuple(_corner_force(state, corner, forces) for corner in corners_of(state.sheet))
    total = sum(s.line_n for s in seams) + sum(c.force_n for c in corners)
    donor = sum(s.line_n for s in seams if s.donor)
    ends = sum(c.force_n for c in corners if c.donor)
    known = total > 0 and any(s.donor for s in seams)
    return SutureForces(
        seams=seams, corners=corners, total_n=total,
        donor_line_share_ratio=donor / total if known else None,
        donor_share_ratio=(donor + ends) / total if known else None,
    )  # fmt: skip


def window_forces_n(state: ClosureState, seam: str, spacing_mm: float) -> Floats:
    """Return what each stitch of a seam carries, from interpolated traction.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    seam : str
        Name of the seam.
    spacing_mm : float
        Wanted distance of stitches; the seam is cut into equal windows nearest to it.

    Returns
    -------
    (k,) float
        Magnitude of the traction summed over each window, N, in the order of the seam.

    Raises
    ------
    CrenaError
        If the closure did not converge, there is no such seam, or the spacing is not above 0.

    Notes
    -----
    Traction at a node is its force over the length of seam that belongs to it, and runs
    straight from node to node, so that all windows together carry what all nodes carry. At
    a pivot, where nothing is sutured, it is that of the next node.
    """
    if not spacing_mm > 0:
        raise InputError(f"A stitch spacing of {spacing_mm:g} mm is none. Give more than 0.")
    after = converged_mm(state)
    lines = places_of(state.sheet)
    line = next((each for each in lines if each.name == seam), None)
    if line is None:
        raise InputError(f"There is no seam {seam}. Choose one of the closure's seams.")
    along, traction = _traction(line, open_forces_n(state), after, lines)
    windows = max(1, round(float(along[-1]) / spacing_mm))
    bounds = np.linspace(0.0, along[-1], windows + 1)
    at = np.union1d(along, bounds)
    values = np.stack([np.interp(at, along, traction[:, axis]) for axis in range(2)], axis=1)
    pieces = 0.5 * (values[1:] + values[:-1]) * np.diff(at)[:, None]
    sums = np.concatenate([[[0.0, 0.0]], np.cumsum(pieces, axis=0)])[np.searchsorted(at, bounds)]
    return np.asarray(np.linalg.norm(np.diff(sums, axis=0), axis=1))


def open_forces_n(state: ClosureState) -> Floats:
    """Return the force at every node of the open mesh (n, 2), N; joined ones cancel.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    """
    after, sheet, stretch = converged_mm(state), state.sheet, _stretch(state)
    gradients, areas = shape_gradients(sheet.nodes_mm, sheet.triangles)
    volumes = state.skin.thickness_mm * areas / np.linalg.det(stretch)
    share = np.where(sheet.undermined, 0.0, areas / 3) * state.skin.foundation_n_per_mm3
    hold = np.bincount(sheet.triangles.ravel(), np.repeat(share, 3), len(after))
    body = (np.ascontiguousarray(sheet.triangles), gradients @ stretch, volumes)
    held = (hold, np.ascontiguousarray(sheet.nodes_mm))
    return np.asarray(node_forces(after, body, held, law_numbers(state.skin)))


def scar_lines_mm(state: ClosureState) -> dict[str, Floats]:
    """Return where each seam lies after closure, (k, 2) by name, in the order of the seam.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    """
    after = converged_mm(state)
    return {line.name: after[line.first] for line in places_of(state.sheet)}


def disc_mean_stretch_ratio(
    state: ClosureState, centre_mm: ArrayLike, radius_mm: float = DISC_RADIUS_MM
) -> float:
    """Return the mean of the larger stretch in a disc, over the skin before the operation.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    centre_mm : (2,) float
        Centre of the disc, after closure.
    radius_mm : float
        Radius of the disc.

    Returns
    -------
    float
        1 where the skin is as it was; weighted by area after closure.

    Raises
    ------
    CrenaError
        If the closure did not converge, or no skin lies in the disc.
    """
    after = converged_mm(state)
    inside = _share_inside(after[state.sheet.triangles], centre_mm, radius_mm)
    weights = areas_mm2(after, state.sheet.triangles) * inside
    if not weights.sum() > 0:
        raise InputError("No skin lies in this disc. Choose a centre on the sheet.")
    gradients, _ = shape_gradients(state.sheet.nodes_mm, state.sheet.triangles)
    long, _ = principal_stretches(deformations(after, state.sheet.triangles, gradients))
    return float((weights * long).sum() / weights.sum())


def wrinkled_area_mm2(
    state: ClosureState, centre_mm: ArrayLike | None = None, radius_mm: float = DISC_RADIUS_MM
) -> float:
    """Return how much skin carries no tension in some direction, where dog-ears may form.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    centre_mm : (2,) float, optional
        Count only near this point after closure; without it, everywhere.
    radius_mm : float
        How near.

    Returns
    -------
    float
        Area before the operation, mm2. A flat model knows no folds out of the plane: the
        area says where they may be, not how high.
    """
    after = converged_mm(state)
    _, areas = shape_gradients(state.sheet.nodes_mm, state.sheet.triangles)
    counted = areas * is_wrinkled(state)
    if centre_mm is not None:
        counted = counted * _share_inside(after[state.sheet.triangles], centre_mm, radius_mm)
    return float(counted.sum())


def is_wrinkled(state: ClosureState) -> Truths:
    """Say of each triangle (m,) whether it is wrinkled or slack.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    """
    after, sheet = converged_mm(state), state.sheet
    gradients, _ = shape_gradients(sheet.nodes_mm, sheet.triangles)
    stretched = deformations(after, sheet.triangles, gradients) @ _stretch(state)
    long, short = principal_stretches(stretched)
    return np.asarray(long * short**2 < 1)


def areal_balance_mm2(state: ClosureState) -> float:
    """Return the area of all skin after closure less the area that its border encloses.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.

    Returns
    -------
    float
        Nought if every gap is closed and nothing overlaps; minus the gap that was left.
    """
    after = converged_mm(state)
    ring = after[state.sheet.border]
    enclosed = 0.5 * float(cross(ring, np.roll(ring, -1, axis=0)).sum())
    return float(areas_mm2(after, state.sheet.triangles).sum()) - enclosed


def _seam_force(state: ClosureState, line: SeamPlaces, forces: Floats) -> SeamForce:
    after = converged_mm(state)[line.first]
    pulls = np.linalg.norm(line.moved_sums(forces), axis=1)
    return SeamForce(
        name=line.name, donor=line.donor, line_n=float(pulls[1:-1].sum()),
        length_mm=float(np.linalg.norm(np.diff(after, axis=0), axis=1).sum()),
    )  # fmt: skip


def _corner_force(state: ClosureState, corner: CornerPlace, forces: Floats) -> CornerForce:
    at = converged_mm(state)[corner.nodes[0]]
    pulls = np.linalg.norm(forces[corner.nodes], axis=1)
    return CornerForce(
        seams=corner.seams, donor=corner.donor, at_mm=(float(at[0]), float(at[1])),
        force_n=float(pulls.sum() / 2),
    )  # fmt: skip


def _traction(
    line: SeamPlaces, forces: Floats, after: Floats, lines: tuple[SeamPlaces, ...]
) -> tuple[Floats, Floats]:
    """Return arc length after closure (k,), mm, and traction on the moved side (k, 2), N/mm."""
    steps = np.linalg.norm(np.diff(after[line.first], axis=0), axis=1)
    length = line.moved_sums(lengths_at_nodes_mm(lines, after)[:, None])
    traction = line.moved_sums(forces) / length
    if line.pivots[0]:
        traction[0] = traction[1]
    if line.pivots[-1]:
        traction[-1] = traction[-2]
    return np.concatenate([[0.0], np.cumsum(steps)]), traction


def _stretch(state: ClosureState) -> Floats:
    if state.prestretch is None:
        raise InputError("This closure has no prestretch. Close the wound again.")
    return state.prestretch


def _share_inside(corners: Floats, centre_mm: ArrayLike, radius_mm: float) -> Floats:
    """Return how much of each triangle (m, 3, 2) lies in a disc (m,)."""
    points = np.einsum("pk,ekd->epd", PART_CENTRES, corners)
    distance = np.linalg.norm(points - np.asarray(centre_mm, dtype=float), axis=2)
    return np.asarray((distance <= radius_mm).mean(axis=1))
