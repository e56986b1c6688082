"""The specimen as it lay on the patient: outline, letters, walls and marking threads."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, radians, sin

from crena.draw.card_frames import TRUE_SIZE, framed_svg, middle_of, place_of
from crena.draw.inks import BLACK, CUT, Ink
from crena.draw.labels import LETTERS, NAMES, REMARKS, Layout, words_beside
from crena.draw.marks import Line, Mark, Strokes
from crena.draw.words import counted
from crena.records import Corner, Excision, Outline, Point2, Record, Side

THREAD = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.45)
"""A thread sewn through a corner to mark it."""

_THREAD_MM = 5.0
_THREADS_APART_DEG = 26.0
_SIDEWAYS_MM = 5.0
"""Nearer than this across, a corner lies below another, not beside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedCorner(Record):
    """A corner of the specimen with its marking threads."""

    corner: Corner
    threads: int
    lies: str  #: where, in words


def marked_corners(outline: Outline) -> tuple[MarkedCorner, ...]:
    """Choose the corners that are marked with threads: one towards the head, one beside it.

    Parameters
    ----------
    outline : Outline
        With its lettered corners.

    Returns
    -------
    tuple of MarkedCorner
        One thread at the corner nearest the head, two at the one that lies farthest to a
        side of it; with the skin towards the viewer nothing can then be mistaken.
    """
    if not outline.corners:
        return ()
    head = max(outline.corners, key=lambda c: c.at_mm[1])
    others = [corner for corner in outline.corners if corner is not head]
    marked = [MarkedCorner(corner=head, threads=1, lies="towards the head")]
    if others:
        aside = max(others, key=lambda c: (_across_mm(c, head), -c.at_mm[1]))
        marked.append(MarkedCorner(corner=aside, threads=2, lies=_lies(aside, head)))
    return tuple(marked)


def thread_words(marked: MarkedCorner) -> str:
    """Say how a corner is marked and where it lies.

    >>> corner = Corner(name="A", at_mm=(0.0, 60.0))
    >>> thread_words(MarkedCorner(corner=corner, threads=1, lies="towards the head"))
    '1\\xa0thread at corner A, towards the head'
    """
    count = counted(marked.threads, "thread", "threads")
    return f"{count} at corner {marked.corner.name}, {marked.lies}"


def specimen_picture(
    excision: Excision, size_mm: tuple[float, float]
) -> tuple[bytes, float, float]:
    """Draw the outline of the specimen as seen on the skin.

    Parameters
    ----------
    excision : Excision
        Whose outline is drawn.
    size_mm : tuple of float
        Width, and greatest height on paper.

    Returns
    -------
    tuple
        SVG, its width in mm, and millimetres on paper for one of skin: 1 is true size.
    """
    outline = excision.outline
    middle = _middle(excision.outline_mm)
    threads = [_threads(each, middle) for each in marked_corners(outline)]
    place = place_of(excision.outline_mm, size_mm)
    layout = Layout(scale_ratio=place.scale_ratio, bounds=place.box)
    rim = (*excision.outline_mm, excision.outline_mm[0])
    layout.keep_clear([rim, *(line for lines in threads for line in lines)])
    names: list[Mark] = []
    for corner in outline.corners:
        names += words_beside(layout, corner.at_mm, corner.name, LETTERS)
    for each, lines in zip(marked_corners(outline), threads, strict=True):
        count = counted(each.threads, "thread", "threads")
        names += words_beside(layout, lines[-1][-1], count, REMARKS)
    for wall in outline.walls:
        names += words_beside(layout, middle_of(wall.line_mm), f"wall {wall.name}", NAMES)
    marks = (
        Line(points=excision.outline_mm, ink=CUT, closed=True),
        *(Strokes(lines=lines, ink=THREAD) for lines in threads),
        *names,
    )
    size = "at true size" if place.scale_ratio == TRUE_SIZE else "smaller than it is"
    title = f"Outline of the specimen, {size}, skin towards you, head upwards"
    return framed_svg(marks, place, title), place.width_mm, place.scale_ratio


def _threads(marked: MarkedCorner, middle: Point2) -> tuple[tuple[Point2, ...], ...]:
    """Draw threads that leave a corner outwards."""
    x, y = marked.corner.at_mm
    outwards = atan2(y - middle[1], x - middle[0])
    first = -(marked.threads - 1) / 2
    turns = [outwards + radians((first + i) * _THREADS_APART_DEG) for i in range(marked.threads)]
    return tuple(((x, y), (x + _THREAD_MM * cos(t), y + _THREAD_MM * sin(t))) for t in turns)


def _lies(corner: Corner, head: Corner) -> str:
    across = corner.at_mm[0] - head.at_mm[0]
    if abs(across) < _SIDEWAYS_MM:
        return "towards the feet"
    return f"towards the {Side.RIGHT if across > 0 else Side.LEFT}"


def _across_mm(corner: Corner, head: Corner) -> float:
    return abs(corner.at_mm[0] - head.at_mm[0])


def _middle(outline: Sequence[Point2]) -> Point2:
    count = len(outline)
    return sum(x for x, _ in outline) / count, sum(y for _, y in outline) / count
