"""Clearance in 3-D of every part from every wall, and the chance that it is real."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ndtr
from scipy.stats import qmc

from crena.geometry.distances import cloud_gaps_mm, tube_gaps_mm
from crena.geometry.lines import signed_distances_mm
from crena.geometry.unrolling import SkinMap, height_mm
from crena.records import ChanceClear, Clearance, Record, point3
from crena.sinus.parts import Part
from crena.sinus.walls import WallSheet, sheet_triangles, surface_triangles

Floats = NDArray[np.float64]

SOBOL_POINTS = 1024
"""Errors that a chance is taken over; a power of two."""

NEAR_FACETS = 24
"""Facets of one wall that can become the nearest when the map is off by a few mm."""

FLOOR_REACH_MM = 12.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WallGap(Record):
    """One part against one wall: gaps of the near facets, and which way they lie."""

    part: str
    wall: str
    gaps: Floats  #: (f,) mm, ascending; below 0 where they overlap, or the part lies outside
    normals: Floats  #: (f, 3) unit, from the part to the facet
    at: Floats  #: (3,) mm, on the part's middle line, where the least gap is
    sd_mm: float


def wall_gaps(parts: tuple[Part, ...], sheets: Sequence[WallSheet]) -> tuple[WallGap, ...]:
    """Measure every part against every wall; of a part that lies outside, the nearest is below 0.

    A wall that touches a part has a gap below 0 anyway. One that does not has the whole part
    on one side, so that the place of one of its points says on which.
    """
    triangles = [(sheet.name, sheet_triangles(sheet)) for sheet in sheets]
    top = np.concatenate([sheet.top[:-1] for sheet in sheets])
    bottom = np.concatenate([sheet.bottom[:-1] for sheet in sheets])
    gaps: list[WallGap] = []
    for part in parts:
        found = [_wall_gap(part, name, each) for name, each in triangles]
        nearest = min(range(len(found)), key=lambda n: float(found[n].gaps[0]))
        if found[nearest].gaps[0] >= 0 and not _is_between(found[nearest].at, top, bottom):
            found[nearest] = _outside(found[nearest])
        gaps += found
    return tuple(gaps)


def floor_gaps_mm(parts: tuple[Part, ...], floor: SkinMap) -> dict[str, float]:
    """Return the gap of every part to the fascia under it, mm; it depends on no outline."""
    return {part.name: _floor_gap(part, floor) for part in parts}


def clearances(gaps: tuple[WallGap, ...], floor_gaps: dict[str, float]) -> tuple[Clearance, ...]:
    """Return one clearance for each part, naming the wall that binds."""
    found = []
    for part, floor_mm in floor_gaps.items():
        nearest = min((g for g in gaps if g.part == part), key=lambda g: float(g.gaps[0]))
        found.append(
            Clearance(
                part=part,
                wall=nearest.wall,
                least_mm=float(nearest.gaps[0]),
                floor_mm=floor_mm,
                at_mm=point3(nearest.at),
            )
        )
    return tuple(found)


def chance_clear(
    gaps: tuple[WallGap, ...],
    at_least_mm: float,
    shared_sd_mm: float,
    rng: np.random.Generator,
) -> ChanceClear:
    """Return the chance that the true clearance from all walls is at least a distance.

    As `chance_among`, over errors that are drawn here.
    """
    return chance_among(gaps, at_least_mm, shared_sd_mm, shared_errors(rng))


def chance_among(
    gaps: tuple[WallGap, ...], at_least_mm: float, shared_sd_mm: float, errors: Floats
) -> ChanceClear:
    """Return the chance that the true clearance is at least a distance, among given errors.

    The fascia is left out: no outline moves it, and it is stated apart.

    Parameters
    ----------
    gaps : tuple of WallGap
        From `wall_gaps`.
    at_least_mm : float
        The clearance asked for.
    shared_sd_mm : float
        Error that moves the whole map, each axis, mm.
    errors : (k, 3) float
        From `shared_errors`.

    Notes
    -----
    P = E over the shared shift d of the product over walls and parts of
    Phi((s - n.d) / sd): the shared error by Sobol points, each part's own error in
    closed form and taken as independent from wall to wall. The gap to a convex facet is
    convex in d, so its linear form never promises more than there is.
    """
    widths = {scale: _slacks(gaps, errors * shared_sd_mm * scale) for scale in (1.0, 1.25, 0.75)}
    own = np.array([max(g.sd_mm, 1e-6) for g in gaps])
    chance = {scale: _chance(slack, own * scale, at_least_mm) for scale, slack in widths.items()}
    return ChanceClear(
        at_least_mm=at_least_mm,
        chance=chance[1.0],
        chance_low=min(chance.values()),
        chance_high=max(chance.values()),
        quantile05_mm=_quantile(widths[1.0], own, 0.95),
    )


def shared_errors(rng: np.random.Generator, points: int = SOBOL_POINTS) -> Floats:
    """Return standard normal errors (points, 3) of the whole map, as scrambled Sobol points."""
    engine = qmc.Sobol(3, scramble=True, rng=rng)
    return np.asarray(qmc.MultivariateNormalQMC(mean=np.zeros(3), engine=engine).random(points))


def _wall_gap(part: Part, wall: str, triangles: Floats) -> WallGap:
    measure = (
        tube_gaps_mm(part.points, part.radii, triangles, NEAR_FACETS)
        if part.chain
        else (cloud_gaps_mm(part.points, triangles))
    )
    near = measure[np.argsort(measure[:, 0], kind="stable")[:NEAR_FACETS]]
    step = near[:, 4:7] - near[:, 1:4]
    length = np.linalg.norm(step, axis=1, keepdims=True)
    return WallGap(
        part=part.name,
        wall=wall,
        gaps=near[:, 0],
        normals=step / np.where(length > 1e-9, length, 1.0),
        at=near[0, 1:4],
        sd_mm=part.sd_mm,
    )


def _is_between(at: Floats, top: Floats, bottom: Floats) -> bool:
    """Tell whether a place (3,) lies within the ring of walls (n, 3) at its own height."""
    drop = top[:, 2] - bottom[:, 2]
    share = np.clip((top[:, 2] - at[2]) / np.where(drop > 0, drop, 1.0), 0.0, 1.0)[:, None]
    ring = top[:, :2] + share * (bottom[:, :2] - top[:, :2])
    return bool(signed_distances_mm(at[:2], ring[None])[0] < 0)


def _outside(gap: WallGap) -> WallGap:
    """Return a gap with the other sign: the part lies beyond this wall."""
    return replace(gap, gaps=-gap.gaps[:1], normals=-gap.normals[:1])


def _floor_gap(part: Part, floor: SkinMap) -> float:
    """Return the gap of a part to the fascia; negative by how deep it reaches below it."""
    below = height_mm(floor, part.points[:, :2]) - (part.points[:, 2] - part.radii)
    if below.max() > 0:
        return -float(below.max())
    low = part.points[:, :2].min(axis=0) - FLOOR_REACH_MM
    high = part.points[:, :2].max(axis=0) + FLOOR_REACH_MM
    triangles = surface_triangles(floor, low, high)
    measure = tube_gaps_mm if part.chain else (lambda p, _r, t: cloud_gaps_mm(p, t))
    return float(measure(part.points, part.radii, triangles)[:, 0].min())


def _slacks(gaps: tuple[WallGap, ...], shifts: Floats) -> Floats:
    """Return the least gap (n, g) of each part and wall under each shift."""
    return np.column_stack([(g.gaps - shifts @ g.normals.T).min(axis=1) for g in gaps])


def _chance(slacks: Floats, own: Floats, at_least_mm: float) -> float:
    return float(ndtr((slacks - at_least_mm) / own).prod(axis=1).mean())


def _quantile(slacks: Floats, own: Floats, share: float) -> float:
    low, high = float(slacks.min() - 8 * own.max()), float(slacks.max())
    return float(brentq(lambda c: _chance(slacks, own, c) - share, low, high, xtol=1e-6))
