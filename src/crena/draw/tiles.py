"""How a true-size drawing is parted on several sheets, and how they find together again."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from crena.draw.inks import BLACK_WORDS, CROSS, INDEX_CUT, INDEX_FLAP_CUT, MEASURE
from crena.draw.marks import BODY_PT, Line, Mark, Strokes, Words
from crena.draw.svg import Box
from crena.records import Closure, Point2, Record

LEAST_OVERLAP_MM = 15.0
"""Skin that two neighbouring sheets both show, at least."""

_ARM_MM = 4.0
"""Half the width of an overlap cross."""

_LETTERS = "PQSTUVWXYZ"
"""Letters of overlap crosses: none that a corner uses, none that could be read as a side."""

_SHARES = (0.25, 0.75)
"""Where along a shared edge its crosses stand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile(Record):
    """One sheet's part of the skin."""

    number: int  #: from 1, row by row from the head
    box: Box


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling(Record):
    """All sheets of one drawing."""

    tiles: tuple[Tile, ...]
    columns: int
    rows: int
    crosses: tuple[tuple[str, Point2], ...]


def tiling_of(box: Box, room_mm: tuple[float, float]) -> Tiling:
    """Part a drawing on as few sheets as it needs.

    Parameters
    ----------
    box : Box
        What must be shown.
    room_mm : tuple of float
        Width and height that one sheet has for the drawing.

    Returns
    -------
    Tiling
        Sheets that overlap by `LEAST_OVERLAP_MM` or more, with lettered crosses that lie on
        both sheets of every shared edge.

    Examples
    --------
    >>> tiling = tiling_of((0.0, 0.0, 300.0, 100.0), (170.0, 200.0))
    >>> [tile.box[0] for tile in tiling.tiles], tiling.crosses[0]
    ([-12.5, 142.5], ('P', (150.0, 0.0)))
    """
    lefts = _starts(box[0], box[2], room_mm[0])
    bottoms = _starts(box[1], box[3], room_mm[1])[::-1]
    tiles = tuple(
        Tile(
            number=row * len(lefts) + column + 1,
            box=(left, bottom, left + room_mm[0], bottom + room_mm[1]),
        )
        for row, bottom in enumerate(bottoms)
        for column, left in enumerate(lefts)
    )
    places = _places(lefts, bottoms, room_mm)
    crosses = tuple((_letter(i), place) for i, place in enumerate(places))
    return Tiling(tiles=tiles, columns=len(lefts), rows=len(bottoms), crosses=crosses)


def cross_marks(tiling: Tiling, tile: Tile) -> tuple[Mark, ...]:
    """Draw the overlap crosses that lie on a sheet, each with its letter.

    Parameters
    ----------
    tiling : Tiling
        With all crosses.
    tile : Tile
        The sheet.

    Returns
    -------
    tuple of Mark
        In mm of skin.
    """
    marks: list[Mark] = []
    left, bottom, right, top = tile.box
    for letter, (x, y) in tiling.crosses:
        if not (left < x < right and bottom < y < top):
            continue
        arms = (((x - _ARM_MM, y), (x + _ARM_MM, y)), ((x, y - _ARM_MM), (x, y + _ARM_MM)))
        marks.append(Strokes(lines=arms, ink=CROSS))
        at = (x + 2.6, y + 2.6)
        marks.append(Words(at=at, text=letter, ink=BLACK_WORDS, size_pt=BODY_PT))
    return tuple(marks)


def index_marks(
    tiling: Tiling, closure: Closure, scale_ratio: float
) -> tuple[tuple[Mark, ...], Box]:
    """Draw the small index of sheets: where each lies, with the cuts.

    Parameters
    ----------
    tiling : Tiling
        All sheets.
    closure : Closure
        Whose cuts are shown.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.

    Returns
    -------
    tuple
        Marks and the box that they fill, in mm of skin.
    """
    marks: list[Mark] = [Line(points=closure.removed_mm, ink=INDEX_CUT, closed=True)]
    marks += [Line(points=line, ink=INDEX_FLAP_CUT) for line in closure.incisions_mm]
    for tile in tiling.tiles:
        left, bottom, right, top = tile.box
        frame = ((left, bottom), (right, bottom), (right, top), (left, top))
        marks.append(Line(points=frame, ink=MEASURE, closed=True))
        at = (left + 3.0 / scale_ratio, top - 2.6 / scale_ratio)
        marks.append(Words(at=at, text=f"{tile.number}", ink=BLACK_WORDS, bold=True))
    boxes = [tile.box for tile in tiling.tiles]
    edge = 0.3 / scale_ratio
    return tuple(marks), (
        min(b[0] for b in boxes) - edge,
        min(b[1] for b in boxes) - edge,
        max(b[2] for b in boxes) + edge,
        max(b[3] for b in boxes) + edge,
    )


def _starts(low: float, high: float, room_mm: float) -> list[float]:
    """Return the lower edges of the sheets, evenly overlapping, about the drawing's middle."""
    count = max(1, ceil((high - low - LEAST_OVERLAP_MM) / (room_mm - LEAST_OVERLAP_MM)))
    step = room_mm - LEAST_OVERLAP_MM
    first = (low + high - (count - 1) * step - room_mm) / 2
    return [first + i * step for i in range(count)]


def _places(lefts: Sequence[float], bottoms: Sequence[float], room: Point2) -> list[Point2]:
    half = LEAST_OVERLAP_MM / 2
    upright = [
        (left + half, bottom + share * room[1])
        for left in lefts[1:] for bottom in bottoms for share in _SHARES
    ]  # fmt: skip
    level = [
        (left + share * room[0], bottom + half)
        for bottom in bottoms[:-1] for left in lefts for share in _SHARES
    ]  # fmt: skip
    return [*upright, *level]


def _letter(number: int) -> str:
    turn, place = divmod(number, len(_LETTERS))
    return _LETTERS[place] + (f"{turn + 1}" if turn else "")
