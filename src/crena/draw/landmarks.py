"""What every drawing carries: midline, coccyx tip, anal verge, head and side marks, rulers."""

from math import cos, radians, sin

from crena.draw.inks import (
    BARS,
    BLACK_WORDS,
    GREY_WORDS,
    GRID_LINE,
    LANDMARK,
    LANDMARK_SOLID,
    MEASURE,
    MIDLINE,
    TICK,
)
from crena.draw.marks import (
    BODY_PT,
    SMALL_PT,
    Anchor,
    Line,
    Mark,
    Strokes,
    Words,
    circle,
    words_width_mm,
)
from crena.draw.svg import Box
from crena.draw.tongues import in_two_lines
from crena.draw.words import with_unit
from crena.records import Point2, Side

BAR_MM = 100.0
"""Length of the bars by which a print is checked."""

VERGE_RING_MM = 5.0
"""Radius of the ring that stands for the anal verge; a sign, not its size (assumed)."""

VERGE_RAYS_MM = 7.0
"""How far the rays of that ring reach."""

COCCYX_HALF_MM = 2.2
"""Half the width of the triangle at the coccyx tip, on paper."""

HEAD = "HEAD"
"""The mark towards the patient's head, in words."""

SIDES_APART_MM = 3.0
"""White between HEAD and the words for a side."""

_LINE_MM = 3.8
"""From line to line where a side takes two."""

_TICKS_MM = {10: 3.2, 5: 2.2, 1: 1.3}
"""Length of a ruler's ticks by the step that they mark."""


def midline_marks(bottom_mm: float, top_mm: float) -> tuple[Mark, ...]:
    """Draw the midline, which never moves."""
    return (Line(points=((0.0, top_mm), (0.0, bottom_mm)), ink=MIDLINE),)


def landmark_marks(anal_verge_mm: Point2, scale_ratio: float) -> tuple[Mark, ...]:
    """Draw coccyx tip (triangle at the origin) and anal verge (rayed ring).

    Parameters
    ----------
    anal_verge_mm : Point2
        Where the ring stands.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.

    Returns
    -------
    tuple of Mark
        Both signs.
    """
    half = COCCYX_HALF_MM / max(scale_ratio, 0.45)
    triangle = ((-half, half), (half, half), (0.0, 0.0))
    x, y = anal_verge_mm
    rays = []
    for turn in range(0, 360, 30):
        way = (cos(radians(turn)), sin(radians(turn)))
        rays.append(
            (
                (x + VERGE_RING_MM * way[0], y + VERGE_RING_MM * way[1]),
                (x + VERGE_RAYS_MM * way[0], y + VERGE_RAYS_MM * way[1]),
            )
        )
    return (
        Line(points=triangle, ink=LANDMARK_SOLID, closed=True),
        Line(points=circle(anal_verge_mm, VERGE_RING_MM), ink=LANDMARK, closed=True),
        Strokes(lines=tuple(rays), ink=LANDMARK),
    )


def orientation_marks(box: Box, head_at_mm: float) -> tuple[Mark, ...]:
    """Write HEAD and both sides of the patient along the upper edge of a box, at true size.

    Sides that have no room beside HEAD take two lines, the upper one beside the arrow.

    Parameters
    ----------
    box : Box
        The drawing's place; the words hang below its upper edge.
    head_at_mm : float
        Where across the midline lies.

    Returns
    -------
    tuple of Mark
        Words in full, with an arrow towards the head.
    """
    left, _, right, top = box
    y = top - 2.2
    words = [(head_at_mm, y, HEAD, Anchor.MIDDLE)]
    for side, x, anchor in ((Side.LEFT, left, Anchor.START), (Side.RIGHT, right, Anchor.END)):
        lines = side_lines(side, right - left)
        words += [(x, y + up * _LINE_MM, text, anchor) for up, text in enumerate(lines[::-1])]
    arrow = ((head_at_mm - 1.5, top + 0.6), (head_at_mm + 1.5, top + 0.6), (head_at_mm, top + 3.4))
    return (
        Line(points=arrow, ink=LANDMARK_SOLID, closed=True),
        *(
            Words(at=(x, y), text=text, ink=BLACK_WORDS, size_pt=BODY_PT, bold=True, anchor=anchor)
            for x, y, text, anchor in words
        ),
    )


def side_lines(side: Side, width_mm: float) -> tuple[str, ...]:
    """Return a side in capitals, in two lines where both sides and HEAD need more than a width.

    >>> side_lines(Side.LEFT, 90.0)
    ("PATIENT'S LEFT",)
    """
    everything = (HEAD, *map(side_capitals, Side))
    needed_mm = sum(words_width_mm(words, BODY_PT, bold=True) for words in everything)
    if needed_mm + 2 * SIDES_APART_MM <= width_mm:
        return (side_capitals(side),)
    return in_two_lines(side_capitals(side))


def head_place_mm(ends: tuple[float, float], wanted_mm: float) -> float:
    """Return where HEAD stands between both sides: where it is wanted, clear of their words.

    Parameters
    ----------
    ends : tuple of float
        Left and right end of the line of words, mm of paper.
    wanted_mm : float
        Where the midline lies.

    Returns
    -------
    float
        Middle of the word.
    """
    lines = (line for side in Side for line in side_lines(side, ends[1] - ends[0]))
    side_mm = max(words_width_mm(line, BODY_PT, bold=True) for line in lines)
    clear = side_mm + words_width_mm(HEAD, BODY_PT, bold=True) / 2 + SIDES_APART_MM
    return min(max(wanted_mm, ends[0] + clear), ends[1] - clear)


def side_capitals(side: Side) -> str:
    """Return a side in capitals, in full words.

    >>> side_capitals(Side.LEFT)
    "PATIENT'S LEFT"
    """
    return side.value.upper()


def bar_across(start: Point2, length_mm: float = BAR_MM) -> tuple[Mark, ...]:
    """Draw a bar to the right with ticks of 1, 5 and 10 mm upwards."""
    x, y = start
    ticks = tuple(((x + i, y), (x + i, y + _tick_mm(i))) for i in range(round(length_mm) + 1))
    return (Line(points=((x, y), (x + length_mm, y)), ink=BARS), Strokes(lines=ticks, ink=BARS))


def bar_along(start: Point2, length_mm: float = BAR_MM) -> tuple[Mark, ...]:
    """Draw a bar upwards with ticks of 1, 5 and 10 mm to the left."""
    x, y = start
    ticks = tuple(((x, y + i), (x - _tick_mm(i), y + i)) for i in range(round(length_mm) + 1))
    return (Line(points=((x, y), (x, y + length_mm)), ink=BARS), Strokes(lines=ticks, ink=BARS))


def measure_marks(
    start: Point2, end: Point2, length_mm: int, scale_ratio: float
) -> tuple[Mark, ...]:
    """Draw a measure across: a thin line with oblique ticks, the length on top.

    Parameters
    ----------
    start : Point2
        One end.
    end : Point2
        The other end, at the same height.
    length_mm : int
        The figure that is written.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.

    Returns
    -------
    tuple of Mark
        Line, ticks and words.
    """
    half = 0.9 / scale_ratio
    ticks = tuple(((x - half, y - half), (x + half, y + half)) for x, y in (start, end))
    middle = ((start[0] + end[0]) / 2, start[1] + 2.6 / scale_ratio)
    words = Words(at=middle, text=with_unit(length_mm, "mm"), ink=BLACK_WORDS, size_pt=BODY_PT)
    return (Line(points=(start, end), ink=MEASURE), Strokes(lines=ticks, ink=MEASURE), words)


def ruled_frame(box: Box, scale_ratio: float) -> tuple[Mark, ...]:
    """Draw the 10 mm grid of a box with rulers on its left and lower edge.

    Parameters
    ----------
    box : Box
        Left, bottom, right, top; whole tens of mm.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.

    Returns
    -------
    tuple of Mark
        Grid, ticks of 1, 5 and 10 mm, numbers each 20 mm from midline and coccyx tip.
    """
    left, bottom, right, top = (round(v) for v in box)
    k = scale_ratio
    across, up = range(left, right + 1), range(bottom, top + 1)
    grid = [_line(x, bottom, x, top) for x in across if x % 10 == 0]
    grid += [_line(left, y, right, y) for y in up if y % 10 == 0]
    ticks = [_line(x, bottom, x, bottom - _tick_mm(x) / k) for x in across]
    ticks += [_line(left, y, left - _tick_mm(y) / k, y) for y in up]
    low, aside = bottom - 5.4 / k, left - 4.4 / k
    numbers = [_number((x, low), abs(x), Anchor.MIDDLE) for x in across if x % 20 == 0]
    numbers += [_number((aside, y), y, Anchor.END) for y in up if y % 20 == 0]
    return (
        Strokes(lines=tuple(grid), ink=GRID_LINE),
        Strokes(lines=tuple(ticks), ink=TICK),
        *numbers,
    )


def _line(x0: float, y0: float, x1: float, y1: float) -> tuple[Point2, Point2]:
    return ((float(x0), float(y0)), (float(x1), float(y1)))


def _number(at: Point2, value: int, anchor: Anchor) -> Words:
    text = f"{value}".replace("-", "\u2212")
    return Words(at=at, text=text, ink=GREY_WORDS, size_pt=SMALL_PT, anchor=anchor)


def _tick_mm(step: int) -> float:
    return next(length for each, length in _TICKS_MM.items() if step % each == 0)
