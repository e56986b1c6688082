"""Marks: the few things that every drawing is made of, in millimetres, y upwards.

A drawing is a tuple of marks. The same marks are written as SVG and as DXF, so that no file
can show what another does not.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import pairwise
from math import cos, hypot, radians, sin
from pathlib import Path
from threading import Lock

import matplotlib
from matplotlib.ft2font import FT2Font

from crena.draw.inks import Ink
from crena.draw.tongues import said
from crena.records import Point2, Record
from crena.records.units import POINTS_PER_MM

SMALL_PT = 8.0
"""Smallest print on any sheet."""

BODY_PT = 9.0
"""Words beside a drawing."""

LETTER_PT = 11.0
"""Letters at the corners."""

FONT_FAMILY = "DejaVu Sans"
"""The sans that comes with matplotlib."""

FONT_FOLDER = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
"""Where that font lies."""

_REFERENCE_PT = 100.0
"""Size at which letters are measured."""

_FREETYPE_UNIT = 65536.0
"""FreeType gives advances in 65536ths of a point."""

_FONT_IN_USE = Lock()
"""An open font serves one thread at a time; two at once would write over each other's memory."""


class Anchor(StrEnum):
    """Which part of the words lies at their point; values are those of SVG."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line(Record):
    """A line, or an area if it is closed and its ink has a fill."""

    points: tuple[Point2, ...]
    ink: Ink
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Strokes(Record):
    """Many short lines that belong together: ticks, hatch, small v marks."""

    lines: tuple[tuple[Point2, ...], ...]
    ink: Ink


@dataclass(frozen=True, slots=True, kw_only=True)
class Dots(Record):
    """Many dots that belong together, as wide as their ink."""

    points: tuple[Point2, ...]
    ink: Ink


@dataclass(frozen=True, slots=True, kw_only=True)
class Words(Record):
    """One line of words; the point lies on the middle of their height."""

    at: Point2
    text: str
    ink: Ink
    size_pt: float = BODY_PT
    bold: bool = False
    anchor: Anchor = Anchor.MIDDLE
    turn_deg: float = 0.0  #: anticlockwise


Mark = Line | Strokes | Dots | Words
"""Anything that a drawing may hold."""


def words_width_mm(text: str, size_pt: float, *, bold: bool = False) -> float:
    """Return how wide words print, in the language of the sheet.

    Parameters
    ----------
    text : str
        One line.
    size_pt : float
        Size of the letters in printer's points.
    bold : bool
        Whether the bold cut is used.

    Returns
    -------
    float
        Width in mm.

    Examples
    --------
    >>> words_width_mm("HEAD", 9.0) < words_width_mm("HEAD", 9.0, bold=True)
    True
    """
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return sum(_advance_em(letter, name) for letter in said(text)) * size_pt / POINTS_PER_MM


def letters_height_mm(size_pt: float) -> float:
    """Return the height of capitals: 0.73 of the size in DejaVu Sans.

    >>> round(letters_height_mm(11.0), 1)
    2.8
    """
    return 0.73 * size_pt / POINTS_PER_MM


def circle(centre: Point2, radius_mm: float, count: int = 48) -> tuple[Point2, ...]:
    """Return a circle as a closed polygon, first point not repeated.

    >>> len(circle((0.0, 0.0), 5.0, 12))
    12
    """
    turns = (radians(360.0 * i / count) for i in range(count))
    return tuple((centre[0] + radius_mm * cos(t), centre[1] + radius_mm * sin(t)) for t in turns)


def along(points: Sequence[Point2], step_mm: float) -> tuple[Point2, ...]:
    """Return points no more than a step apart along a line, its corners included.

    >>> along(((0.0, 0.0), (2.0, 0.0)), 1.0)
    ((0.0, 0.0), (1.0, 0.0), (2.0, 0.0))
    """
    found: list[Point2] = list(points[:1])
    for p, q in pairwise(points):
        count = max(1, round(hypot(q[0] - p[0], q[1] - p[1]) / step_mm + 0.499))
        found += [
            (p[0] + (q[0] - p[0]) * i / count, p[1] + (q[1] - p[1]) * i / count)
            for i in range(1, count + 1)
        ]
    return tuple(found)


def shifted(marks: Iterable[Mark], by_mm: Point2) -> tuple[Mark, ...]:
    """Return the same marks, shifted.

    >>> word = Words(at=(1.0, 2.0), text="A", ink=Ink(layer="TEXT"))
    >>> shifted([word], (10.0, 0.0))[0].at
    (11.0, 2.0)
    """
    return tuple(_shifted_one(mark, by_mm) for mark in marks)


def _shifted_one(mark: Mark, by_mm: Point2) -> Mark:
    def carried(points: Iterable[Point2]) -> tuple[Point2, ...]:
        return tuple((x + by_mm[0], y + by_mm[1]) for x, y in points)

    if isinstance(mark, Line):
        return Line(points=carried(mark.points), ink=mark.ink, closed=mark.closed)
    if isinstance(mark, Strokes):
        return Strokes(lines=tuple(carried(line) for line in mark.lines), ink=mark.ink)
    if isinstance(mark, Dots):
        return Dots(points=carried(mark.points), ink=mark.ink)
    return Words(
        at=carried([mark.at])[0], text=mark.text, ink=mark.ink, size_pt=mark.size_pt,
        bold=mark.bold, anchor=mark.anchor, turn_deg=mark.turn_deg,
    )  # fmt: skip


@cache
def _advance_em(letter: str, font_name: str) -> float:
    with _FONT_IN_USE:
        glyph = _font(font_name).load_char(ord(letter))
    return float(glyph.linearHoriAdvance) / _FREETYPE_UNIT / _REFERENCE_PT


@cache
def _font(name: str) -> FT2Font:
    font = FT2Font(str(FONT_FOLDER / name))
    font.set_size(_REFERENCE_PT, 72.0)
    return font
