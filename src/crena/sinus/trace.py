"""Tracts and cavities, read from a scan between the surgeon's clicks."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from crena.records.base import Record
from crena.records.errors import ScanError
from crena.records.scans import CavityClicks, TractClicks, Volume
from crena.sinus._hollow import HALF_AXIS_RANGE_MM, FittedHollow, fitted_hollow
from crena.sinus._path import (
    BLOCK_STEP_MM,
    PIT_TO_AIR_MM,
    arc_mm,
    block_around,
    block_value,
    bright_cost,
    cheapest_path,
    check_clicks,
    dark_cost,
    depth_under_air_mm,
)
from crena.sinus._tissue import BRIGHT, DARK, Scene, scene_around
from crena.sinus._tube import CLICK_SD_MM, FittedTube, fitted_tube
from crena.sinus.doors import line_of

Array = np.ndarray
Progress = Callable[[float, str], None]
"""Told how much is done, 0 to 1, and what is being done."""

ROI_MARGIN_MM = 12.0
"""How far beyond the clicks a tract is searched; assumed."""

SKIN_MM = 3.0
"""Depth under the air above which voxels are skin, and no tube is fitted to them; assumed."""

SHORTEST_TRACT_MM = 4.0
"""Clicks closer than this make no tract; assumed: twice the error of a click and more."""

MODEL_SD_MM = 0.3
"""Error of the middle line that the fit itself cannot see; assumed."""

NEARLY_EQUAL_RATIO = 1.01
"""Misfit of the worse polarity over the better below which both are called possible; assumed."""

CAVITY_REACH_MM = 12.5
"""How far from the click voxels of a cavity are fitted; assumed."""

AIR_REACH_MM = 30.0
"""Air this near a cavity is the air over its skin; assumed."""

CAVITY_MODEL_SD_MM = 0.5
"""Error of a cavity that the fit cannot see: none is quite an ellipsoid; assumed."""


class Polarity(StrEnum):
    """Whether the lumen holds fluid and is bright, or is dark within a bright wall."""

    BRIGHT = "bright lumen"
    DARK = "dark lumen, bright wall"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TracedTract(Record):
    """A tract as the scan shows it between two clicks, from the pit to the blind end."""

    name: str
    centre_lps_mm: Array  #: (n, 3), about every 0.5 mm
    radius_mm: Array  #: (n,) of the *outer* wall
    polarity: Polarity
    sd_mm: float  #: one standard deviation of position, each axis, between the ends
    end_sd_mm: float  #: the same along the tract at its two ends, which the clicks decide
    length_mm: float
    length_sd_mm: float
    cost: float  #: mean Cauchy misfit of a voxel; about 0.35 is noise alone
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TracedCavity(Record):
    """A cavity as the scan shows it: the ellipsoid of its outer wall."""

    name: str
    centre_lps_mm: Array  #: (3,)
    half_axes_lps_mm: Array  #: (3, 3), one perpendicular half-axis a row, longest first
    sd_mm: float
    notes: tuple[str, ...] = ()


def trace_tract(
    volume: Volume,
    clicks: TractClicks,
    *,
    polarity: Polarity | None = None,
    progress: Progress | None = None,
) -> TracedTract:
    """Trace one tract between its clicks.

    Parameters
    ----------
    volume : Volume
        The series, as it was scanned.
    clicks : TractClicks
        The pit, the blind end, and way points in order from the pit.
    polarity : Polarity, optional
        What the lumen looks like; both are tried, and the better fit kept, when not given.
    progress : callable, optional
        Told how much is done and what is being done.

    Returns
    -------
    TracedTract
        The middle line and the radius of the outer wall.

    Raises
    ------
    ScanError
        If a click lies outside the scan, or the two ends are too close for a tract.

    Notes
    -----
    The cheapest path through the clicks, on the signal and on the signal with dark lumens
    filled, is the start of a tube with a wall and a halo, fitted to the native voxels with the
    slice profile in the model. The two ends lie in the planes across the path at the clicks:
    the clicks decide the length, and no scan can do better there than half a slice.
    """
    tell = progress or _silent
    stops = _stops(volume, clicks)
    tell(0.0, f"Finding the way of {clicks.name}")
    paths, scene = _paths_and_scene(volume, stops)
    tell(0.4, f"Fitting a tube to {clicks.name}")
    wanted = tuple(Polarity) if polarity is None else (polarity,)
    tubes = {each: _best_tube(scene, paths, each) for each in wanted}
    best = min(tubes, key=lambda each: tubes[each].cost)
    tell(1.0, f"{clicks.name} is traced")
    return _tract(volume, clicks.name, best, tubes)


def trace_cavity(
    volume: Volume, clicks: CavityClicks, *, progress: Progress | None = None
) -> TracedCavity:
    """Trace the cavity round a click as an ellipsoid.

    Parameters
    ----------
    volume : Volume
        The series, as it was scanned.
    clicks : CavityClicks
        A point near the middle of the cavity.
    progress : callable, optional
        Told how much is done and what is being done.

    Returns
    -------
    TracedCavity
        The ellipsoid of the outer wall.

    Raises
    ------
    ScanError
        If the click lies outside the scan, or nothing round it stands out.
    """
    tell = progress or _silent
    check_clicks(volume, clicks.name, [clicks.middle_lps_mm])
    tell(0.0, f"Measuring {clicks.name}")
    middle = np.array(clicks.middle_lps_mm, float)
    scene = _cavity_scene(volume, middle)
    hollow = fitted_hollow(scene, middle, (BRIGHT, DARK))
    tell(1.0, f"{clicks.name} is measured")
    return TracedCavity(
        name=clicks.name,
        centre_lps_mm=hollow.centre_mm,
        half_axes_lps_mm=hollow.half_axes_mm,
        sd_mm=float(np.hypot(hollow.sd_mm, CAVITY_MODEL_SD_MM)),
        notes=_cavity_notes(hollow, clicks.name),
    )


def _silent(done: float, what: str) -> None:
    """Tell nobody."""


def _stops(volume: Volume, clicks: TractClicks) -> Array:
    points = line_of(clicks)
    check_clicks(volume, clicks.name, points)
    stops = np.array(points, float)
    length = float(arc_mm(stops)[-1])
    if length < SHORTEST_TRACT_MM:
        raise ScanError(
            f"The clicks of {clicks.name} lie only {length:.1f} mm apart. "
            "Click the pit and the blind end."
        )
    return stops


def _paths_and_scene(volume: Volume, stops: Array) -> tuple[list[Array], Scene]:
    block = block_around(volume, stops, ROI_MARGIN_MM, BLOCK_STEP_MM)
    depth = depth_under_air_mm(block, stops[0], PIT_TO_AIR_MM)
    costs = [
        np.where(depth > 0, c, 1.0) for c in (bright_cost(block, stops), dark_cost(block, stops))
    ]
    paths = [cheapest_path(block, cost, stops) for cost in costs]

    def is_flesh(points: Array) -> Array:
        return block_value(block, depth, points) > SKIN_MM

    return paths, scene_around(volume, paths, is_flesh)


def _best_tube(scene: Scene, paths: list[Array], polarity: Polarity) -> FittedTube:
    """Fit one polarity from both paths, and keep the better."""
    look = BRIGHT if polarity is Polarity.BRIGHT else DARK
    return fitted_tube(scene, paths, look)


def _tract(
    volume: Volume, name: str, best: Polarity, tubes: dict[Polarity, FittedTube]
) -> TracedTract:
    tube = tubes[best]
    end_sd = max(CLICK_SD_MM, volume.slice_thickness_mm / 2)
    return TracedTract(
        name=name,
        centre_lps_mm=tube.centre_mm,
        radius_mm=tube.radius_mm,
        polarity=best,
        sd_mm=float(np.hypot(tube.sd_mm, MODEL_SD_MM)),
        end_sd_mm=end_sd,
        length_mm=float(arc_mm(tube.centre_mm)[-1]),
        length_sd_mm=float(np.sqrt(2.0) * end_sd),
        cost=tube.cost,
        notes=_tract_notes(volume, name, tubes),
    )


def _tract_notes(volume: Volume, name: str, tubes: dict[Polarity, FittedTube]) -> tuple[str, ...]:
    costs = sorted(tube.cost for tube in tubes.values())
    notes = [
        f"The length of {name} is decided by the clicks at its two ends, and no better than half "
        f"a slice ({volume.slice_thickness_mm / 2:.1f} mm) there."
    ]
    if len(costs) > 1 and costs[1] < NEARLY_EQUAL_RATIO * costs[0]:
        notes.append(
            f"A bright and a dark lumen explain {name} nearly equally well. "
            "Look at its line on the slices."
        )
    return tuple(notes)


def _cavity_scene(volume: Volume, middle: Array) -> Scene:
    block = block_around(volume, middle[None], CAVITY_REACH_MM + ROI_MARGIN_MM, BLOCK_STEP_MM)
    depth = depth_under_air_mm(block, middle, AIR_REACH_MM)

    def is_flesh(points: Array) -> Array:
        return block_value(block, depth, points) > SKIN_MM

    return scene_around(volume, [middle[None]], is_flesh, CAVITY_REACH_MM)


def _cavity_notes(hollow: FittedHollow, name: str) -> tuple[str, ...]:
    lengths = np.linalg.norm(hollow.half_axes_mm, axis=1)
    if lengths[0] < 0.98 * HALF_AXIS_RANGE_MM[1]:
        return ()
    return (
        f"{name} is longer than {2 * HALF_AXIS_RANGE_MM[1]:.0f} mm, the longest that is read as "
        "one cavity. Trace it as a tract, or click its parts.",
    )
