"""From an outline on the skin to a measured excision."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.geometry.measures import polygon_area_mm2
from crena.geometry.unrolling import SkinMap, skin_map
from crena.records import (
    Excision,
    Limits,
    Outline,
    Precision,
    Record,
    TractMap,
)
from crena.records.statements import NINE_OF_TEN_SDS
from crena.records.units import ml_from_mm3
from crena.sinus.clearance import (
    chance_among,
    clearances,
    floor_gaps_mm,
    shared_errors,
    wall_gaps,
)
from crena.sinus.parts import Part, parts_of
from crena.sinus.specimen import specimen
from crena.sinus.walls import wall_sheets

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Field(Record):
    """The disease and its surroundings, made ready once for many excisions."""

    parts: tuple[Part, ...]
    skin: SkinMap
    floor: SkinMap
    surface_sd_mm: float  #: of the distance from skin to floor
    shared_sd_mm: float  #: of the whole map against the marks on the skin, each axis
    floor_gaps: dict[str, float]  #: of each part to the fascia, mm


def field_of(tract_map: TractMap, precision: Precision) -> Field:
    """Make a map ready to be excised."""
    parts, floor = parts_of(tract_map), skin_map(tract_map.floor)
    return Field(
        parts=parts,
        skin=skin_map(tract_map.skin),
        floor=floor,
        surface_sd_mm=float(np.hypot(tract_map.skin.sd_mm, tract_map.floor.sd_mm)),
        shared_sd_mm=float(np.hypot(tract_map.registration_sd_mm, precision.marking_sd_mm)),
        floor_gaps=floor_gaps_mm(parts, floor),
    )


def excise(outline: Outline, field: Field, limits: Limits, rng: np.random.Generator) -> Excision:
    """Measure one excision in 3-D, as `excise_among`, over errors that are drawn here."""
    return excise_among(outline, field, limits, shared_errors(rng))


def excise_among(outline: Outline, field: Field, limits: Limits, errors: Floats) -> Excision:
    """Measure one excision in 3-D.

    Parameters
    ----------
    outline : Outline
        On the unrolled skin.
    field : Field
        From `field_of`.
    limits : Limits
        For the margin and the clearance asked for.
    errors : (k, 3) float
        Of the whole map, for the chance of being clear; from `shared_errors`.

    Returns
    -------
    Excision
        The band of its volume comes from the error of skin and floor height alone.
    """
    sheets = wall_sheets(outline, field.skin, field.floor)
    gaps = wall_gaps(field.parts, sheets)
    found = clearances(gaps, field.floor_gaps)
    taken = specimen(sheets, field.skin, field.floor, field.parts, limits.drawn_margin_mm)
    swing_ml = ml_from_mm3(NINE_OF_TEN_SDS * field.surface_sd_mm * taken.floor_area_mm2)
    line = outline_line(outline)
    least_wall = min(c.least_mm for c in found)
    return Excision(
        outline=outline,
        outline_mm=line,
        area_mm2=polygon_area_mm2(line),
        depth_mm=taken.depth_mm,
        volume_ml=taken.volume_ml,
        volume_low_ml=max(taken.volume_ml - swing_ml, 0.0),
        volume_high_ml=taken.volume_ml + swing_ml,
        healthy_ml=taken.healthy_ml,
        least_clearance_mm=min(least_wall, *(c.floor_mm for c in found)),
        least_wall_clearance_mm=least_wall,
        clearances=found,
        chance_clear=chance_among(gaps, limits.least_clearance_mm, field.shared_sd_mm, errors),
    )


def outline_line(outline: Outline) -> tuple[tuple[float, float], ...]:
    """Return all walls in one closed line; the first point is not repeated."""
    return tuple(p for wall in outline.walls for p in wall.line_mm[:-1])
