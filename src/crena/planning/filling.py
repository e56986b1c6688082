"""How well each plan fills its wound: cavity, flap carried into it, gap, and what helps."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt

from crena.geometry.lines import signed_distances_mm
from crena.geometry.triangles import areas_mm2
from crena.geometry.unrolling import skin_map
from crena.healing.filling import (
    STAYS,
    Bed,
    Filled,
    Filler,
    Gap,
    carried,
    cavity_ml,
    fill,
    gap_of,
    laid_in_ml,
    left_at_mm,
)
from crena.healing.quilting import quilting
from crena.planning.flap_places import sewn_triangles
from crena.planning.wound_beds import Wound, depth_below_mm, section_of, wound_of
from crena.records import (
    Closure,
    ClosureKind,
    Outline,
    Plan,
    Point2,
    Polyline2,
    Record,
    TractMap,
    Wall,
    line2,
)
from crena.records.fillings import Filling, FillingOption, GapMap
from crena.records.statements import NINE_OF_TEN_SDS

Floats = NDArray[np.float64]

RAISED_MM = {ClosureKind.ADVANCEMENT: 10.0}
"""Thickness of flaps that are not raised on the fascia (10 mm: Karydakis, from memory)."""

SKIN_MM = 2.5
"""Skin without fat, where edges meet and no flap is laid in (assumed)."""

FASCIA_MM = 1.0
"""What the gluteal fascia adds to a flap that takes it along (assumed)."""

FAT_REACH_MM = 15.0
"""How far fat that is turned in from the edge reaches over the floor (assumed)."""

FAT_SHARE = 0.5
"""Of the depth at the edge that is turned in; the rest stays under the skin (assumed)."""

LEAST_ML = 0.05
"""A smaller gap prints as 0 mL, and nothing is proposed against it."""

MAP_STEP_MM = 2.0
"""Between the places of the gap map."""

_PLACE_DIGITS = 6
"""Corners that many pieces share are looked up once: places equal to a nanometre."""

_SHARED_EDGE_MM = 0.5
"""A wall whose middle lies this near to a flap's own edge is that flap's."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Laid(Record):
    """A wound with what is laid in, cut in pieces, and its gap."""

    wound: Wound
    fillers: tuple[Filler, ...]
    filled: Filled
    gap: Gap


def with_filling(plans: tuple[Plan, ...], tract_map: TractMap) -> tuple[Plan, ...]:
    """Return the plans with what their flaps fill and what stays empty.

    Parameters
    ----------
    plans : tuple of Plan
        As drawn.
    tract_map : TractMap
        Skin and fascia.
    """
    known = [filling_of(p.excision.outline, p.closure, tract_map) for p in plans]
    return tuple(
        replace(plan, dead_space_ml=one.gap_ml, filling=one)
        for plan, one in zip(plans, known, strict=True)
    )


def filling_of(
    outline: Outline, closure: Closure, tract_map: TractMap, *, raised_mm: float | None = None
) -> Filling:
    """Lay the flap of one closure into its wound.

    Parameters
    ----------
    outline : Outline
        What is cut out.
    closure : Closure
        What is laid in.
    tract_map : TractMap
        Skin and fascia, each with the error of its height.
    raised_mm : float, optional
        Thickness at which the flap is raised; else the construction's own, or the whole
        depth to the fascia. No flap is thicker than the tissue that it comes from.

    Returns
    -------
    Filling
        The band of the gap comes from the error of the floor's depth under the wound alone.
    """
    skin, floor = skin_map(tract_map.skin), skin_map(tract_map.floor)
    wound = wound_of(outline, skin, floor)
    raised = RAISED_MM.get(closure.kind) if raised_mm is None else raised_mm
    laid = _laid(wound, _fillers(closure, wound, raised))
    swing = NINE_OF_TEN_SDS * float(np.hypot(tract_map.skin.sd_mm, tract_map.floor.sd_mm))
    empty_ml, cavity = gap_of(fill(wound.bed)).volume_ml, cavity_ml(wound.bed)
    filled_ml = empty_ml - laid.gap.volume_ml
    level = wound.rim[:, 1].mean() if laid.gap.deepest_at_mm is None else laid.gap.deepest_at_mm[1]
    return Filling(
        cavity_ml=cavity,
        flap_ml=filled_ml,
        spare_ml=max(laid_in_ml(laid.filled) - filled_ml, 0.0),
        gap_ml=laid.gap.volume_ml,
        gap_low_ml=gap_of(laid.filled, deeper_mm=-swing).volume_ml,
        gap_high_ml=gap_of(laid.filled, deeper_mm=swing).volume_ml,
        gap_without_flap_ml=empty_ml,
        deepest_mm=laid.gap.deepest_mm,
        deepest_at_mm=laid.gap.deepest_at_mm,
        middle_at_mm=laid.gap.middle_at_mm,
        outline_mm=line2(wound.foot),
        gap_map=_gap_map(wound.bed, laid.fillers, wound.foot),
        section=section_of(wound, laid.fillers, float(level)),
        quilting=quilting(float(np.abs(areas_mm2(wound.bed.corners_mm)).sum())),
        options=_options(closure, laid, raised),
        assumed=_assumed(closure, outline, raised),
    )


def _laid(wound: Wound, fillers: tuple[Filler, ...]) -> _Laid:
    filled = fill(wound.bed, fillers)
    return _Laid(wound=wound, fillers=fillers, filled=filled, gap=gap_of(filled))


def _fillers(
    closure: Closure, wound: Wound, raised_mm: float | None, more_mm: float = 0.0
) -> tuple[Filler, ...]:
    """Return what a closure lays in: its flaps, or the skin alone where edges just meet."""
    if not closure.seams:
        return ()
    if not closure.flaps:
        skin = _Thickness(wound=wound, most_mm=SKIN_MM, more_mm=0.0)
        return (carried(closure.removed_mm, STAYS, skin),)
    most_mm = np.inf if raised_mm is None else raised_mm
    thickness = _Thickness(wound=wound, most_mm=most_mm, more_mm=more_mm)
    places = [sewn_triangles(closure, n) for n in range(1, len(closure.flaps) + 1)]
    return tuple(
        Filler(home_mm=home, placed_mm=placed, thickness_mm=thickness) for home, placed in places
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Thickness(Record):
    """How thick tissue is where it comes from: down to the fascia, or less, or more."""

    wound: Wound
    most_mm: float
    more_mm: float

    def __call__(self, at: Floats) -> Floats:
        places, back = np.unique(at.round(_PLACE_DIGITS), axis=0, return_inverse=True)
        depth = depth_below_mm(self.wound.skin, self.wound.floor, places)
        return (np.minimum(depth, self.most_mm) + self.more_mm)[back.reshape(-1)]


def _gap_map(bed: Bed, fillers: tuple[Filler, ...], foot: Floats) -> GapMap:
    """Read the gap on a grid; beyond the cavity each place takes its nearest within."""
    low, high = foot.min(axis=0), foot.max(axis=0) + MAP_STEP_MM
    s, y = (np.arange(low[k], high[k], MAP_STEP_MM) for k in (0, 1))
    grid = np.stack(np.meshgrid(s, y), axis=-1)
    left = left_at_mm(bed, fillers, grid.reshape(-1, 2)).reshape(grid.shape[:2])
    near = distance_transform_edt(np.isnan(left), return_distances=False, return_indices=True)
    depth = np.maximum(left[tuple(near)], 0.0).round(2)
    return GapMap(
        s_mm=tuple(s.round(2).tolist()),
        y_mm=tuple(y.round(2).tolist()),
        depth_mm=tuple(tuple(row) for row in depth.tolist()),
    )


def _options(closure: Closure, laid: _Laid, raised_mm: float | None) -> tuple[FillingOption, ...]:
    """Return what the trade does when room stays empty, each taken alone."""
    if laid.gap.middle_at_mm is None or laid.gap.volume_ml < LEAST_ML:
        return ()
    found = [_more_flap(closure, laid, raised_mm)] if closure.flaps else []
    wall = _nearest_free_wall(closure, laid.wound.outline, laid.gap.middle_at_mm)
    found += [_turned_in(wall, laid)] if wall else []
    return tuple(option for option in found if option.gap_ml < laid.gap.volume_ml)


def _more_flap(closure: Closure, laid: _Laid, raised_mm: float | None) -> FillingOption:
    """Raise the flap on the fascia, or, where it is raised there, take the fascia along."""
    if raised_mm is None:
        how = f"Raise the flap under the fascia: {FASCIA_MM:g} mm more everywhere."
        thicker = _fillers(closure, laid.wound, None, FASCIA_MM)
        return _option(laid, thicker, ("fascia included", how))
    how = f"Raise the flap on the fascia, not {raised_mm:g} mm thick."
    return _option(laid, _fillers(closure, laid.wound, None), ("thicker flap", how))


def _nearest_free_wall(closure: Closure, outline: Outline, middle: Point2) -> Wall | None:
    """Return the wall nearest to the gap whose fat does not belong to a flap."""
    flaps = [np.array([flap.outline_mm]) for flap in closure.flaps]
    free = [
        wall
        for wall in outline.walls
        if all(abs(signed_distances_mm(_half_way(wall), f)[0]) > _SHARED_EDGE_MM for f in flaps)
    ]
    return min(free, key=lambda w: float(np.hypot(*(_half_way(w) - middle))), default=None)


def _turned_in(wall: Wall, laid: _Laid) -> FillingOption:
    """Turn the deep half of the fat beyond a wall in over the floor, hinged at the edge."""
    line = np.asarray(wall.line_mm, dtype=float)
    way = np.gradient(line, axis=0)
    inward = np.column_stack([-way[:, 1], way[:, 0]])
    inward /= np.linalg.norm(inward, axis=1, keepdims=True)
    strip = np.concatenate([line, (line + FAT_REACH_MM * inward)[::-1]])
    wound = laid.wound
    thick = FAT_SHARE * float(depth_below_mm(wound.skin, wound.floor, _half_way(wall)[None])[0])
    how = f"Turn in fat from wall {wall.name}: {FAT_REACH_MM:g} mm wide, {thick:.0f} mm thick."
    fat = carried(strip, STAYS, lambda at: np.full(len(at), thick))
    words = ("fat turned in from the edge", how)
    return _option(laid, (*laid.fillers, fat), words, line2(strip))


def _option(
    laid: _Laid, fillers: tuple[Filler, ...], words: tuple[str, str], outline: Polyline2 = ()
) -> FillingOption:
    better = _laid(laid.wound, fillers)
    return FillingOption(
        name=words[0],
        how=words[1],
        outline_mm=outline,
        volume_ml=laid_in_ml(better.filled) - laid_in_ml(laid.filled),
        gap_ml=better.gap.volume_ml,
    )


def _half_way(wall: Wall) -> Floats:
    """Return the middle point of a wall's line."""
    line = np.asarray(wall.line_mm, dtype=float)
    half = (len(line) - 1) / 2
    return np.asarray((line[int(np.floor(half))] + line[int(np.ceil(half))]) / 2)


def _assumed(closure: Closure, outline: Outline, raised_mm: float | None) -> tuple[str, ...]:
    if not closure.flaps:
        thick = f"The edges meet; skin alone, {SKIN_MM:g} mm, lies over the wound."
    elif raised_mm is None:
        thick = "The flap is raised on the fascia, as thick as the tissue where it comes from."
    else:
        thick = f"The flap is raised {raised_mm:g} mm thick."
    leaning = ("Room under leaning walls counts as empty.",) if outline.wall_angle_deg > 0 else ()
    return (
        thick,
        "The flap is drawn to the edges of the wound; spread over more, all of it thins.",
        "Fat stays where it is laid: what finds no room in one place does not fill another.",
        "The skin comes to lie as it lay before; sewn down to the floor, it sinks by the gap.",
        *leaning,
        "The band holds nine of ten errors of the floor's depth under the wound.",
    )
