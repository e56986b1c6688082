"""How much dye the tracts can hold: a ceiling for the syringe, never an aim.

Dye fills the lumen. Its radius is the outer radius less the wall, and uncertain by one error
that all tracts and hollows share; their volume falls as that error grows, so that a quantile
of the volume is the volume at the quantile of the error, exactly.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import floor

import numpy as np
from numpy.typing import NDArray

from crena.geometry.balls import Balls, balls_of, within_balls
from crena.geometry.measures import lengths_along_mm, round_cones_volume_mm3
from crena.records import Cavity, InputError, Record, Tract
from crena.records.units import ml_from_mm3

Floats = NDArray[np.float64]
Inside = Callable[[Floats], NDArray[np.bool_]]

WALL_MM = 1.0
"""Between lumen and outer wall (assumed)."""

RADIUS_SD_MM = 0.3
"""One standard deviation of a lumen's radius (assumed)."""

TENTH_SDS = 1.2815515655446004
"""The lower and the upper tenth of a normal error lie this many standard deviations out."""

STOP_SHARE = 0.8
"""Of the lower tenth of the volume: dye stops there (assumed)."""

SAMPLE_MM = 0.4
"""Spacing of the points that tell how much of a tract lies within a hollow or another tract."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DyeVolume(Record):
    """What the lumen holds, and where the syringe stops."""

    low_ml: float  #: nine of ten times it is more
    middle_ml: float
    high_ml: float  #: nine of ten times it is less
    stop_at_ml: float  #: with what the cannula holds
    words: str


def dye_volume(
    tracts: Sequence[Tract],
    cavities: Sequence[Cavity],
    *,
    wall_mm: float = WALL_MM,
    radius_sd_mm: float = RADIUS_SD_MM,
    cannula_ml: float = 0.0,
) -> DyeVolume:
    """Return the volume of the lumen with its spread, and the volume to stop at.

    Parameters
    ----------
    tracts, cavities : sequences
        By their outer walls, as mapped; what lies in two of them counts once.
    wall_mm, radius_sd_mm : float
        Thickness of the wall, and the shared error of the lumen's radius.
    cannula_ml : float
        What the cannula holds, if it is not filled beforehand.

    Raises
    ------
    InputError
        If there is nothing to fill, or a figure is negative.

    Notes
    -----
    A tract is a chain of tapered tubes with round ends, a hollow an ellipsoid.

    Examples
    --------
    >>> from crena.records import Origin
    >>> straight = Tract(
    ...     name="T1", centre_mm=((0, 0, 0), (0, 40, 0)), radius_mm=(2.5, 2.5),
    ...     origin=Origin.PROBING, sd_mm=1, length_mm=40, length_sd_mm=1, depth_mm=5,
    ...     lateral_reach_mm=0, volume_ml=0.3)
    >>> held = dye_volume([straight], [])
    >>> round(held.low_ml, 3), round(held.middle_ml, 3), round(held.high_ml, 3)
    (0.162, 0.297, 0.474)
    """
    _refuse_nothing(tracts, cavities)
    _refuse_negative(wall_mm, radius_sd_mm, cannula_ml)
    low, middle, high = (
        _lumen_ml(tracts, cavities, wall_mm + sds * radius_sd_mm)
        for sds in (TENTH_SDS, 0.0, -TENTH_SDS)
    )
    stop_at = STOP_SHARE * low + cannula_ml
    return DyeVolume(
        low_ml=low, middle_ml=middle, high_ml=high, stop_at_ml=stop_at, words=_words(stop_at)
    )


def _words(stop_at_ml: float) -> str:
    """Say where to stop, rounded down to the syringe's tenth."""
    tenths = floor(10 * stop_at_ml + 1e-9)
    figure = f"Stop at {tenths / 10:g} mL" if tenths else "Give less than 0.1 mL"
    return (
        f"{figure}, sooner when dye shows at a pit or the plunger resists. This is a ceiling, "
        "not an aim: never press to reach it."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lumen:
    """A hollow body: its volume, the box it lies in, and whether it holds a point."""

    volume_mm3: float
    box_mm: Floats  #: (2, 3), lower and upper corner
    holds: Inside


def _lumen_ml(tracts: Sequence[Tract], cavities: Sequence[Cavity], less_mm: float) -> float:
    """Return the volume of all bodies together, each made thinner by `less_mm` all round."""
    bodies = [_hollow(c, less_mm) for c in cavities] + [_tube(t, less_mm) for t in tracts]
    shares = [_share_outside(body, bodies[:i]) for i, body in enumerate(bodies)]
    return ml_from_mm3(sum(b.volume_mm3 * s for b, s in zip(bodies, shares, strict=True)))


def _tube(tract: Tract, less_mm: float) -> _Lumen:
    centres = np.array(tract.centre_mm, dtype=float)
    radii = np.maximum(np.array(tract.radius_mm) - less_mm, 0.0)
    balls = _balls(centres, radii)
    return _Lumen(
        volume_mm3=round_cones_volume_mm3(centres, radii),
        box_mm=np.array([(centres.T - radii).min(axis=1), (centres.T + radii).max(axis=1)]),
        holds=lambda points: within_balls(points, balls),
    )


def _hollow(cavity: Cavity, less_mm: float) -> _Lumen:
    centre, axes = np.array(cavity.centre_mm), np.array(cavity.half_axes_mm, dtype=float)
    lengths = np.linalg.norm(axes, axis=1)
    thin = np.maximum(lengths - less_mm, 0.0)
    turn = axes / lengths[:, None]
    reach = np.sqrt(((turn * thin[:, None]) ** 2).sum(axis=0))

    def holds(points: Floats) -> NDArray[np.bool_]:
        across = (points - centre) @ turn.T / np.maximum(thin, np.finfo(float).tiny)
        return np.asarray((across**2).sum(axis=1) <= 1)

    return _Lumen(
        volume_mm3=4 / 3 * np.pi * float(thin.prod()),
        box_mm=np.array([centre - reach, centre + reach]),
        holds=holds,
    )


def _balls(centres: Floats, radii: Floats) -> Balls:
    """Return balls close enough along a tube to stand for it."""
    along = lengths_along_mm(centres)
    at = np.union1d(along, np.arange(0.0, along[-1], SAMPLE_MM / 2))
    between = np.stack([np.interp(at, along, centres[:, k]) for k in range(3)], axis=1)
    return balls_of(between, np.interp(at, along, radii))


def _share_outside(body: _Lumen, others: Sequence[_Lumen]) -> float:
    """Return which share of a body lies in none of the others."""
    low, high = body.box_mm
    near = [o for o in others if (o.box_mm[0] < high).all() and (low < o.box_mm[1]).all()]
    if not near:
        return 1.0
    steps = [np.arange(a + SAMPLE_MM / 2, b, SAMPLE_MM) for a, b in zip(low, high, strict=True)]
    grid = np.stack(np.meshgrid(*steps, indexing="ij"), axis=-1).reshape(-1, 3)
    own = grid[body.holds(grid)]
    taken = np.any([other.holds(own) for other in near], axis=0)
    return 1.0 - float(taken.mean()) if len(own) else 1.0


def _refuse_nothing(tracts: Sequence[Tract], cavities: Sequence[Cavity]) -> None:
    if not tracts and not cavities:
        raise InputError("There is no tract and no cavity to fill. Map the disease first.")


def _refuse_negative(wall_mm: float, radius_sd_mm: float, cannula_ml: float) -> None:
    if not all(figure >= 0 for figure in (wall_mm, radius_sd_mm, cannula_ml)):
        raise InputError("Wall, error of the radius and cannula must be 0 or more. Correct them.")
