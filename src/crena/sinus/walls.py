"""The walls and the floor of an excision, as triangles in 3-D."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from crena.geometry.unrolling import SkinMap, height_mm, roll_mm
from crena.records import InputError, Outline, Record

Floats = NDArray[np.float64]

FOOT_ROUNDS = 4
"""Times that a wall's foot is moved to the floor under it; the floor is nearly level."""

STEP_MM = 1.5
"""Greatest width of one strip of wall."""

SAME_RATIO = 1e-9
"""A wall so little longer than whole strips has no strip more: sides are whole millimetres."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WallSheet(Record):
    """One wall: its upper edge on the skin and its lower edge on the floor."""

    name: str
    top: Floats  #: (n, 3) mm, anticlockwise
    bottom: Floats  #: (n, 3) mm


def wall_sheets(outline: Outline, skin: SkinMap, floor: SkinMap) -> tuple[WallSheet, ...]:
    """Drop every wall from the skin to the floor, leaning outward by the wall angle.

    Raises
    ------
    InputError
        If the fascia lies above the skin anywhere along the outline.
    """
    lean = float(np.tan(np.radians(outline.wall_angle_deg)))
    tops = [roll_mm(skin, _dense(np.array(wall.line_mm))) for wall in outline.walls]
    outwards = [_outward(top) for top in tops]
    sheets = []
    for n, (wall, top) in enumerate(zip(outline.walls, tops, strict=True)):
        way = outwards[n].copy()
        way[0] = _mitred(outwards[n - 1][-1], outwards[n][0])
        way[-1] = _mitred(outwards[n][-1], outwards[(n + 1) % len(tops)][0])
        sheets.append(WallSheet(name=wall.name, top=top, bottom=_foot(top, lean * way, floor)))
    return tuple(sheets)


def sheet_triangles(sheet: WallSheet) -> Floats:
    """Return the triangles (m, 3, 3) of one wall."""
    a, b = sheet.top[:-1], sheet.top[1:]
    c, d = sheet.bottom[:-1], sheet.bottom[1:]
    return np.concatenate([np.stack([a, c, d], axis=1), np.stack([a, d, b], axis=1)])


def surface_triangles(surface: SkinMap, low: Floats, high: Floats) -> Floats:
    """Return the triangles (m, 3, 3) of a height map within a box of (x, y)."""
    i, j = _span(surface.x_mm, low[0], high[0]), _span(surface.y_mm, low[1], high[1])
    x, y = np.meshgrid(surface.x_mm[i], surface.y_mm[j])
    grid = np.stack([x, y, surface.z_mm[np.ix_(j, i)]], axis=-1)
    a, b, c, d = grid[:-1, :-1], grid[:-1, 1:], grid[1:, :-1], grid[1:, 1:]
    both = [np.stack([a, b, d], axis=2), np.stack([a, d, c], axis=2)]
    return np.concatenate([t.reshape(-1, 3, 3) for t in both])


def _span(grid: Floats, low: float, high: float) -> NDArray[np.int64]:
    """Return the grid lines that enclose a range, at least two."""
    first = int(np.clip(np.searchsorted(grid, low) - 1, 0, len(grid) - 2))
    last = int(np.clip(np.searchsorted(grid, high), first + 1, len(grid) - 1))
    return np.arange(first, last + 1)


def _outward(top: Floats) -> Floats:
    along = np.gradient(top[:, :2], axis=0)
    outward = np.column_stack([along[:, 1], -along[:, 0]])
    return np.asarray(outward / np.linalg.norm(outward, axis=1, keepdims=True))


def _mitred(before: Floats, after: Floats) -> Floats:
    """Return the way of the corner at which two walls meet: both lean by one."""
    return np.asarray((before + after) / (1 + before @ after))


def _foot(top: Floats, way: Floats, floor: SkinMap) -> Floats:
    """Return where each point of the skin line meets the floor, going down along its way."""
    foot = top[:, :2]
    for _ in range(FOOT_ROUNDS):
        drop = top[:, 2] - height_mm(floor, foot)
        foot = top[:, :2] + drop[:, None] * way
    if not (drop > 0).all():
        raise InputError(
            f"The fascia lies {-drop.min():.0f} mm above the skin within the cut. Check the depth "
            "of the cleft and of the fascia."
        )
    return np.column_stack([foot, height_mm(floor, foot)])


def _dense(line: Floats) -> Floats:
    lengths = np.linalg.norm(np.diff(line, axis=0), axis=1)
    at = np.concatenate([[0.0], np.cumsum(lengths)])
    every = np.linspace(0, at[-1], int(np.ceil(at[-1] / STEP_MM - SAME_RATIO)) + 1)
    both = np.unique(np.concatenate([every, at]))
    return np.column_stack([np.interp(both, at, line[:, 0]), np.interp(both, at, line[:, 1])])
