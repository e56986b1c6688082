"""The skin in pictures: as cut, while the flaps turn, and sutured.

Only the sutured skin is computed. The moments before it are drawn, not computed: every
triangle turns evenly to its place and takes on its strain evenly, and the skin between
follows as rigidly as it can (as-rigid-as-possible interpolation, Alexa, Cohen-Or & Levin,
SIGGRAPH 2000).
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components
from scipy.sparse.linalg import splu

from crena.geometry.measures import lengths_along_mm
from crena.mechanics._carried import Carried, chains_of, traced
from crena.mechanics._plane import deformations, shape_gradients
from crena.mechanics.closed import ClosureState, converged_mm
from crena.mechanics.material import Skin
from crena.mechanics.mesh import mesh_closure
from crena.mechanics.pulls import SEAM_STEP_MM, SHEET_MM
from crena.mechanics.readings import DISC_RADIUS_MM, scar_lines_mm, window_forces_n
from crena.mechanics.sheet import Sheet
from crena.mechanics.solver import close_wound
from crena.mechanics.tension import tension_bands, wrinkle_rings
from crena.records import (
    Closure,
    Flap,
    InputError,
    Polyline2,
    PullClass,
    ScarWindow,
    SkinFilm,
    SkinMoment,
    line2,
    point2,
)

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]
Truths = NDArray[np.bool_]

STEPS = {"as cut": 0.0, "a third of the way": 1 / 3, "two thirds of the way": 2 / 3, "sutured": 1.0}
"""The moments, and how far the flaps are on their way."""

FINE_STEPS = {
    "as cut": 0.0, "a sixth of the way": 1 / 6, "a third of the way": 1 / 3,
    "half of the way": 1 / 2, "two thirds of the way": 2 / 3, "five sixths of the way": 5 / 6,
    "sutured": 1.0,
}  # fmt: skip
"""The same in smaller steps, to be played."""

GRID_MM = 10.0
"""Between the lines drawn on the skin before the cut."""

WINDOW_MM = 15.0
"""Wanted length of scar for one class of pull; assumed: shorter ones show the mesh at corners."""

AROUND_MM = 15.0
"""Skin that is shown round everything that moves; assumed."""

_OUTLINE_STEP_MM = 2.5
_ASIDE_MM = 1e-6
"""Lines are drawn this far beside their place, so that none runs along an edge of the mesh."""

_OWN_BONUS = 0.05
"""On a cut, a flap's triangle is preferred to one across by this barycentric margin."""


def film_closure(closure: Closure, skin: Skin, *, steps: Mapping[str, float] = STEPS) -> SkinFilm:
    """Mesh a closure, suture it on one skin, and film it.

    Parameters
    ----------
    closure : Closure
        Any construction with seams.
    skin : Skin
        One guess.
    steps : mapping
        Name of each moment to the share of its way that a flap has gone, from 0 to 1.

    Raises
    ------
    CrenaError
        If the closure cannot be meshed or did not converge; the sentence says why.
    """
    sheet = mesh_closure(closure, seam_step_mm=SEAM_STEP_MM, sheet_mm=SHEET_MM)
    return film_state(closure, close_wound(sheet, skin), steps=steps)


def film_state(
    closure: Closure, state: ClosureState, *, steps: Mapping[str, float] = STEPS
) -> SkinFilm:
    """Return the moments of a closure that was computed.

    Parameters
    ----------
    closure : Closure
        Whose sheet was sutured.
    state : ClosureState
        A closure that converged.
    steps : mapping
        As for `film_closure`.

    Returns
    -------
    SkinFilm
        As cut, steps that are drawn and not computed, and sutured.

    Raises
    ------
    CrenaError
        If the closure did not converge; the sentence is the solver's reason. Also if the
        wound is left open.
    """
    sheet = state.sheet
    if not sheet.seams:
        raise InputError("This wound is left open: there is nothing to film. Choose a closure.")
    places = [in_between_mm(state, fraction) for fraction in steps.values()]
    drawn = {
        "flaps": [_outline(flap, sheet, n) for n, flap in enumerate(closure.flaps, start=1)],
        "edges": _raw_edges(sheet, sheet.flap >= 0),
        "free": _raw_edges(sheet, sheet.flap > 0),
    }
    box = _box([one.at(at) for at in places for one in (*drawn["flaps"], *drawn["edges"])], sheet)
    drawn |= _on_skin(sheet, box)
    *before, last = (_moment(drawn, *step) for step in zip(steps.items(), places, strict=True))
    sutured = replace(
        last, computed=True, edges_mm=(), free_edges_mm=(), scar=_scar(state),
        tension=tension_bands(state, box), wrinkles_mm=wrinkle_rings(state, box),
    )  # fmt: skip
    return SkinFilm(
        moments=(*before, sutured), low_mm=point2(box[0]), high_mm=point2(box[1]),
        window_mm=WINDOW_MM, disc_radius_mm=DISC_RADIUS_MM,
    )  # fmt: skip


def in_between_mm(state: ClosureState, fraction: float) -> Floats:
    """Return where the nodes lie when the flaps have gone part of their way; drawn only.

    Parameters
    ----------
    state : ClosureState
        A closure that converged.
    fraction : float
        0 as cut, 1 sutured.

    Returns
    -------
    (n, 2) float
        Places, mm.

    Notes
    -----
    With F = R(t) S in each triangle, the places whose gradients are nearest, by area, to
    R(fraction t) (I + fraction (S - I)); the border and the middle of each island go straight.
    """
    after, sheet = converged_mm(state), state.sheet
    gradients, areas = shape_gradients(sheet.nodes_mm, sheet.triangles)
    whole = deformations(after, sheet.triangles, gradients)
    turn = np.arctan2(whole[:, 1, 0] - whole[:, 0, 1], whole[:, 0, 0] + whole[:, 1, 1])
    strain = np.swapaxes(_rotations(turn), 1, 2) @ whole - np.eye(2)
    wanted = _rotations(fraction * turn) @ (np.eye(2) + fraction * strain)
    slopes = _slopes(sheet, gradients)
    weighted = slopes.T @ sparse.diags_array(np.repeat(areas, 2))
    matrix, load = weighted @ slopes, weighted @ np.swapaxes(wanted, 1, 2).reshape(-1, 2)
    places = sheet.nodes_mm + fraction * (after - sheet.nodes_mm)
    held = _held(sheet)
    free = np.setdiff1d(np.arange(len(places)), held)
    load = load[free] - matrix[free][:, held] @ places[held]
    places[free] = splu(matrix[free][:, free].tocsc()).solve(load)
    return places


def _on_skin(sheet: Sheet, box: Floats) -> dict[str, list[Carried]]:
    """Return the lines that are drawn on the skin before the cut."""
    middles = sheet.nodes_mm[sheet.triangles].mean(axis=1)
    near = ((middles > box[0] - AROUND_MM) & (middles < box[1] + AROUND_MM)).all(axis=1)
    return {
        "grid": _grid(sheet, near & (sheet.flap == 0)),
        "weave": _grid(sheet, near & (sheet.flap > 0)),
        "midline": traced(sheet.nodes_mm[:, 0] - _ASIDE_MM, sheet.triangles[near]),
    }


def _moment(drawn: dict[str, list[Carried]], step: tuple[str, float], at: Floats) -> SkinMoment:
    lines = {name: tuple(one.at(at) for one in each) for name, each in drawn.items()}
    return SkinMoment(
        name=step[0], turned_fraction=step[1], computed=False, flaps_mm=lines["flaps"],
        edges_mm=lines["edges"], free_edges_mm=lines["free"], grid_mm=lines["grid"],
        weave_mm=lines["weave"], midline_mm=lines["midline"],
    )  # fmt: skip


def _box(lines: Sequence[Polyline2], sheet: Sheet) -> Floats:
    """Return the corners (2, 2) of what is shown, in whole lines of the grid.

    All that moves, and some skin round it.
    """
    points = np.array([point for line in lines for point in line])
    low, high = points.min(axis=0) - AROUND_MM, points.max(axis=0) + AROUND_MM
    nodes = sheet.nodes_mm / GRID_MM
    first = np.maximum(np.floor(low / GRID_MM), np.ceil(nodes.min(axis=0)))
    last = np.minimum(np.ceil(high / GRID_MM), np.floor(nodes.max(axis=0)))
    return GRID_MM * np.array([first, last])


def _grid(sheet: Sheet, chosen: Truths) -> list[Carried]:
    lines: list[Carried] = []
    for along in sheet.nodes_mm.T:
        first, last = np.ceil(along.min() / GRID_MM), np.floor(along.max() / GRID_MM)
        for number in np.arange(first, last + 1):
            lines += traced(along - number * GRID_MM - _ASIDE_MM, sheet.triangles[chosen])
    return lines


def _raw_edges(sheet: Sheet, chosen: Truths) -> list[Carried]:
    """Return the lines along cuts on which the chosen triangles lie; rings end as they began."""
    starts, ends = sheet.triangles.ravel(), np.roll(sheet.triangles, -1, axis=1).ravel()
    size = len(sheet.nodes_mm)
    raw = ~np.isin(starts * size + ends, ends * size + starts) & np.repeat(chosen, 3)
    lines = [line[:, None] for line in chains_of(starts[raw], ends[raw])]
    cuts = [line for line in lines if not np.isin(line, sheet.border).any()]
    return [Carried(nodes=line, weights=np.ones(line.shape)) for line in cuts]


def _outline(flap: Flap, sheet: Sheet, number: int) -> Carried:
    """Return the outline of a flap, each point in the triangle that it moves with."""
    points = _sampled(np.array([*flap.outline_mm, flap.outline_mm[0]]))
    gradients, _ = shape_gradients(sheet.nodes_mm, sheet.triangles)
    away = points[:, None] - sheet.nodes_mm[sheet.triangles].mean(axis=1)
    weights = 1 / 3 + np.einsum("ead,ked->kea", gradients, away)
    seat = (weights.min(axis=2) + _OWN_BONUS * (sheet.flap == number)).argmax(axis=1)
    return Carried(nodes=sheet.triangles[seat], weights=weights[np.arange(len(points)), seat])


def _sampled(line: Floats) -> Floats:
    along = lengths_along_mm(line)
    return _points_at(line, np.union1d(along, np.arange(0.0, along[-1], _OUTLINE_STEP_MM))[:-1])


def _points_at(line: Floats, at: Floats) -> Floats:
    return np.column_stack([np.interp(at, lengths_along_mm(line), along) for along in line.T])


def _held(sheet: Sheet) -> Indices:
    """Return the nodes whose way is set: the border, and one in the middle of each island."""
    starts, ends = sheet.triangles.ravel(), np.roll(sheet.triangles, -1, axis=1).ravel()
    size = len(sheet.nodes_mm)
    links = sparse.coo_array((np.ones(len(starts)), (starts, ends)), (size, size))
    count, part = connected_components(links, directed=False)
    held = [*sheet.border]
    for number in np.setdiff1d(np.arange(count), part[sheet.border]):
        own = np.flatnonzero(part == number)
        off = sheet.nodes_mm[own] - sheet.nodes_mm[own].mean(axis=0)
        held.append(own[np.linalg.norm(off, axis=1).argmin()])
    return np.array(held)


def _rotations(angles: Floats) -> Floats:
    c, s = np.cos(angles), np.sin(angles)
    return np.stack([np.stack([c, -s], axis=-1), np.stack([s, c], axis=-1)], axis=-2)


def _slopes(sheet: Sheet, gradients: Floats) -> sparse.csr_array:
    """Return the matrix (2m, n) from node values to their slopes in every triangle."""
    count = len(sheet.triangles)
    rows = np.broadcast_to(np.arange(2 * count).reshape(count, 1, 2), gradients.shape)
    columns = np.broadcast_to(sheet.triangles[:, :, None], gradients.shape)
    places = (rows.ravel(), columns.ravel())
    return sparse.csr_array((gradients.ravel(), places), (2 * count, len(sheet.nodes_mm)))


def _scar(state: ClosureState) -> tuple[ScarWindow, ...]:
    """Cut the scar into windows and class each by thirds of the hardest pull per mm."""
    windows = []
    lines = scar_lines_mm(state)
    for seam in state.sheet.seams:
        forces = window_forces_n(state, seam.name, WINDOW_MM)
        length = lengths_along_mm(lines[seam.name])[-1] / len(forces)
        parts = _cut(lines[seam.name], len(forces))
        windows += [(seam, *each) for each in zip(parts, forces / length, strict=True)]
    thirds = np.array([1, 2]) / 3 * max(pull for _, _, pull in windows)
    classes = tuple(PullClass)
    return tuple(
        ScarWindow(
            seam=seam.name, donor=seam.donor, line_mm=line,
            pull=classes[int(np.searchsorted(thirds, pull))],
        )
        for seam, line, pull in windows
    )  # fmt: skip


def _cut(line: Floats, count: int) -> list[Polyline2]:
    """Cut a line into equal lengths."""
    along = lengths_along_mm(line)
    bounds = np.linspace(0.0, along[-1], count + 1)
    at = np.union1d(along, bounds)
    ends = np.searchsorted(at, bounds)
    return [line2(_points_at(line, at)[i : j + 1]) for i, j in pairwise(ends)]
