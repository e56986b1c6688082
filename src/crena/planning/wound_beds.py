"""The wound of an excision as a field of depths, and what a section across shows of it.

Places are on the unrolled skin, where flaps are carried without stretch. A depth counts
square to the skin: over each triangle the depth straight down is scaled by the triangle's
area seen from above over its area on the skin, so that the volume stays exact.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.geometry.triangles import areas_mm2
from crena.geometry.unrolling import SkinMap, height_mm, roll_mm, unroll_mm
from crena.healing.filling import Bed, Filler, left_at_mm
from crena.records import Outline, Record, line2
from crena.records.fillings import FillingSection
from crena.sinus.walls import wall_sheets

Floats = NDArray[np.float64]

RINGS = 16
"""Rings of triangles from the middle of the wound to its walls."""

SLOPE_STEP_MM = 1.0
"""Either way along the skin, to tell how steep it is."""

PROFILE_STEP_MM = 0.5
"""Between the points of a section."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wound(Record):
    """An excision, ready to be filled."""

    outline: Outline
    bed: Bed
    rim: Floats  #: (n, 2) the cut in the skin, closed, (s, y)
    foot: Floats  #: (n, 2) the foot of the walls seen from the skin, closed, (s, y)
    skin: SkinMap
    floor: SkinMap


def wound_of(outline: Outline, skin: SkinMap, floor: SkinMap) -> Wound:
    """Dig an excision down to the fascia.

    Parameters
    ----------
    outline : Outline
        The cut, with the lean of its walls.
    skin, floor : SkinMap
        Top and bottom.

    Notes
    -----
    Rings of triangles from the middle to the rim, as the specimen is measured; where walls
    lean outward, one more ring from the rim to their foot, under the skin that stays.
    """
    sheets = wall_sheets(outline, skin, floor)
    top = np.concatenate([s.top[:-1] for s in sheets])
    bottom = np.concatenate([s.bottom[:-1] for s in sheets])
    rim, foot = unroll_mm(skin, top[:, :2]), unroll_mm(skin, bottom[:, :2])
    share = np.linspace(0.0, 1.0, RINGS + 1)[:, None, None]
    middle = rim.mean(axis=0)
    inner = _rings(middle + share * (rim - middle), skin, floor)
    bed = _bed(np.concatenate([inner, _undercut(inner[-1], bottom, foot)]))
    return Wound(outline=outline, bed=bed, rim=rim, foot=foot, skin=skin, floor=floor)


def depth_below_mm(skin: SkinMap, floor: SkinMap, at: Floats) -> Floats:
    """Return the depth of the fascia square to the skin at places (n, 2), (s, y), mm."""
    here = roll_mm(skin, at)
    down = here[:, 2] - height_mm(floor, here[:, :2])
    step = np.array([SLOPE_STEP_MM, 0.0])
    across = roll_mm(skin, at + step)[:, 0] - roll_mm(skin, at - step)[:, 0]
    return np.asarray(down * across / (2 * SLOPE_STEP_MM))


def section_of(wound: Wound, fillers: tuple[Filler, ...], y_mm: float) -> FillingSection:
    """Cut through a filled wound at one level, in (x, z).

    Parameters
    ----------
    wound : Wound
        The excision.
    fillers : tuple of Filler
        What is laid in; it is drawn from the skin downwards, no deeper than the floor.
    y_mm : float
        The level; brought into the cut if it lies beyond its ends.
    """
    y = float(np.clip(y_mm, wound.rim[:, 1].min() + 0.1, wound.rim[:, 1].max() - 0.1))
    s = _across(wound.rim, y)
    at = np.column_stack([s, np.full_like(s, y)])
    skin = roll_mm(wound.skin, at)
    down = skin[:, 2] - height_mm(wound.floor, skin[:, :2])
    whole, left = (left_at_mm(wound.bed, f, at) for f in ((), fillers))
    square = depth_below_mm(wound.skin, wound.floor, at)
    share = np.clip(np.nan_to_num(whole - left) / square, 0.0, 1.0)
    under = np.column_stack([skin[:, 0], skin[:, 2] - share * down])
    filled = np.concatenate([skin[:, [0, 2]], under[::-1]]) if share.any() else np.empty((0, 2))
    flare = float(np.tan(np.radians(wound.outline.wall_angle_deg)))
    floor_x = np.concatenate(
        [[skin[0, 0] - flare * down[0]], skin[:, 0], [skin[-1, 0] + flare * down[-1]]]
    )
    floor_z = height_mm(wound.floor, np.column_stack([floor_x, np.full_like(floor_x, y)]))
    floor = np.column_stack([floor_x, floor_z])
    return FillingSection(
        y_mm=y,
        cavity_mm=line2(np.concatenate([skin[:, [0, 2]], floor[::-1]])),
        filled_mm=line2(filled),
    )


def _rings(rings: Floats, skin: SkinMap, floor: SkinMap) -> Floats:
    """Return points (k, n, 5) of rings on the skin: s, y, x, y, depth straight down."""
    flat = rings.reshape(-1, 2)
    here = roll_mm(skin, flat)
    down = here[:, 2] - height_mm(floor, here[:, :2])
    return np.column_stack([flat, here[:, :2], down]).reshape(*rings.shape[:2], 5)


def _undercut(rim: Floats, bottom: Floats, foot: Floats) -> Floats:
    """Return the ring (1, n, 5) at the foot of the walls, where the depth ends."""
    if np.allclose(rim[:, 2:4], bottom[:, :2]):
        return np.empty((0, len(rim), 5))
    return np.column_stack([foot, bottom[:, :2], np.zeros(len(rim))])[None]


def _bed(rings: Floats) -> Bed:
    a, c = rings[:-1], rings[1:]
    b, d = np.roll(a, -1, axis=1), np.roll(c, -1, axis=1)
    both = [np.stack([a, c, d], axis=2), np.stack([a, d, b], axis=2)]
    triangles = np.concatenate([t.reshape(-1, 3, 5) for t in both])
    on_skin = np.abs(areas_mm2(triangles))
    triangles = triangles[on_skin > 0]
    seen = np.abs(areas_mm2(triangles[..., 2:4]))
    square = (seen / on_skin[on_skin > 0])[:, None]
    return Bed(corners_mm=triangles[..., :2], depth_mm=triangles[..., 4] * square)


def _across(rim: Floats, y: float) -> Floats:
    """Return places along a level from one edge of the cut to the other, (n,)."""
    after = np.roll(rim, -1, axis=0)
    cut = (rim[:, 1] > y) != (after[:, 1] > y)
    p, q = rim[cut], after[cut]
    s = p[:, 0] + (y - p[:, 1]) / (q[:, 1] - p[:, 1]) * (q[:, 0] - p[:, 0])
    count = max(3, round(float(s.max() - s.min()) / PROFILE_STEP_MM) + 1)
    return np.linspace(s.min(), s.max(), count)
