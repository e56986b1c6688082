"""Where a drawing lies on a card: fitted or at true size, with head, both sides and a ruler."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from crena.draw.closures import extent
from crena.draw.inks import BARS, BLACK_WORDS
from crena.draw.landmarks import (
    BAR_MM,
    bar_across,
    head_place_mm,
    orientation_marks,
)
from crena.draw.marks import (
    SMALL_PT,
    Anchor,
    Mark,
    Strokes,
    Words,
    along,
)
from crena.draw.plan_pictures import RULER_MM
from crena.draw.svg import Box, group_of, number
from crena.draw.tongues import said
from crena.draw.words import with_unit
from crena.records import Point2, Record

TRUE_SIZE = 1.0
"""One millimetre on paper for one of skin."""

_TOP_MM = 9.0
_FOOT_MM = 7.0
_EDGE_MM = 8.5
"""White round the drawing, for letters and threads."""

_RULER_UP_MM = 1.0
_STEP_MM = 0.25
_TICK_MM = 1.6


@dataclass(frozen=True, slots=True, kw_only=True)
class Place(Record):
    """The part of the skin that is shown, and how large."""

    box: Box  #: mm of skin
    scale_ratio: float  #: millimetres on paper for one of skin

    @property
    def width_mm(self) -> float:
        """Return the width on paper."""
        return (self.box[2] - self.box[0]) * self.scale_ratio


def place_of(points: Iterable[Point2], size_mm: tuple[float, float]) -> Place:
    """Fit points into a size, at true size where they go in.

    Parameters
    ----------
    points : iterable of Point2
        All that must be seen.
    size_mm : tuple of float
        Width, which is filled, and greatest height on paper, furniture included.

    Returns
    -------
    Place
        The points in its middle.

    Examples
    --------
    >>> place_of([(0.0, 0.0), (50.0, 40.0)], (182.0, 150.0)).scale_ratio
    1.0
    """
    left, bottom, right, top = extent(points)
    width, height = max(right - left, 1.0), max(top - bottom, 1.0)
    room = (size_mm[0] - 2 * _EDGE_MM, size_mm[1] - 2 * _EDGE_MM - _TOP_MM - _FOOT_MM)
    k = min(TRUE_SIZE, room[0] / width, room[1] / height)
    middle, half, edge = (left + right) / 2, size_mm[0] / 2 / k, _EDGE_MM / k
    return Place(box=(middle - half, bottom - edge, middle + half, top + edge), scale_ratio=k)


def middle_of(line: Sequence[Point2]) -> Point2:
    """Return the point half way along a line, within half a millimetre.

    >>> middle_of([(0.0, 0.0), (8.0, 0.0), (8.0, 2.0)])
    (5.0, 0.0)
    """
    points = along(line, _STEP_MM)
    return points[len(points) // 2]


def framed_svg(marks: Sequence[Mark], place: Place, title: str) -> bytes:
    """Write a drawing with HEAD and both sides over it and a ruler under it.

    Parameters
    ----------
    marks : sequence of Mark
        In mm of skin.
    place : Place
        Where they lie.
    title : str
        What the drawing shows, for people who cannot see it.

    Returns
    -------
    bytes
        SVG in mm of paper; at true size the ruler is the 100 mm bar by which a print is
        checked.
    """
    k, box = place.scale_ratio, place.box
    width = place.width_mm
    high = (box[3] - box[1]) * k + _FOOT_MM
    frame = (0.0, 0.0, width, high + _TOP_MM - 4.0)
    furniture = (
        *orientation_marks(frame, head_place_mm((0.0, width), -place.box[0] * k)),
        *_ruler(k),
    )
    whole_mm = high + _TOP_MM
    drawing = group_of(marks, (box[0], box[3] + _TOP_MM / k), k)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" '
        f'height="{number(whole_mm)}mm" viewBox="0 0 {number(width)} {number(whole_mm)}" '
        f'role="img"><title>{escape(said(title))}</title>{drawing}'
        f"{group_of(furniture, (0.0, whole_mm))}</svg>\n"
    ).encode()


def _ruler(k: float) -> tuple[Mark, ...]:
    """Draw 100 mm at true size; smaller drawings get 50 mm of skin in tens."""
    start, y = 0.5, _RULER_UP_MM
    if k == TRUE_SIZE:
        return (*bar_across((start, y)), _figure(start + BAR_MM, round(BAR_MM)))
    ticks = tuple(
        ((start + i * k, y), (start + i * k, y + _TICK_MM))
        for i in range(0, round(RULER_MM) + 1, 10)
    )
    line = ((start, y), (start + RULER_MM * k, y))
    return (
        Strokes(lines=(line, *ticks), ink=BARS),
        _figure(start + RULER_MM * k, round(RULER_MM)),
    )


def _figure(x: float, length_mm: int) -> Words:
    return Words(
        at=(x + 1.6, _RULER_UP_MM + 1.0), text=with_unit(length_mm, "mm"), ink=BLACK_WORDS,
        size_pt=SMALL_PT, anchor=Anchor.START,
    )  # fmt: skip
