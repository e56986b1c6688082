"""Where words may stand: beside their point, clear of every line and of each other."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import cos, hypot, radians, sin

import numpy as np
from numpy.typing import NDArray

from crena.draw.inks import BLACK_WORDS, GREY_WORDS, LEADER, PEN_WORDS, Ink
from crena.draw.marks import (
    BODY_PT,
    LETTER_PT,
    SMALL_PT,
    Line,
    Mark,
    Words,
    along,
    letters_height_mm,
    words_width_mm,
)
from crena.draw.patterns import inside
from crena.records import Point2, Record

Floats = NDArray[np.float64]

_AIR_MM = 1.0
"""White kept around words, on paper."""

_SAMPLE_MM = 0.6
"""Between the points that stand for a line, on paper."""

_COST_OF_A_HIT = 3.0
_COST_OF_OVERLAP = 60.0
_COST_OF_AREA = 12.0
_COST_OF_OUTSIDE = 400.0
_COST_OF_DISTANCE = 0.5
_COST_OF_TURNING = 1.2
_NEAR_MM = 12.0
"""Lines nearer than this, on paper, push words away from themselves."""

_LEADER_FROM_MM = 4.0
"""Words that stand farther off than this, on paper, get a thin line to their point."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lettering(Record):
    """How words look."""

    ink: Ink
    size_pt: float
    bold: bool = False

    def words(self, text: str, at: Point2) -> Words:
        """Return words in this lettering."""
        return Words(at=at, text=text, ink=self.ink, size_pt=self.size_pt, bold=self.bold)


LETTERS = Lettering(ink=PEN_WORDS, size_pt=LETTER_PT, bold=True)
"""Letters at corners."""

NAMES = Lettering(ink=BLACK_WORDS, size_pt=BODY_PT)
"""Names of tracts and figures."""

REMARKS = Lettering(ink=GREY_WORDS, size_pt=SMALL_PT)
"""Names of landmarks and side remarks."""


@dataclass(slots=True)
class Layout:
    """What lies on a drawing already, so that the next words find a free place."""

    scale_ratio: float
    bounds: tuple[float, float, float, float]  #: left, bottom, right, top, in the drawing's mm
    obstacles: Floats = field(default_factory=lambda: np.empty((0, 2)))  #: (n, 2)
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)
    areas: list[Sequence[Point2]] = field(default_factory=list)  #: better left without words

    def keep_clear(self, lines: Iterable[Sequence[Point2]]) -> None:
        """Add lines that words must not touch."""
        for line in lines:
            points = np.asarray(along(line, _SAMPLE_MM / self.scale_ratio), dtype=float)
            self.obstacles = np.concatenate([self.obstacles, points])

    def is_free(self, place: Point2, room: float) -> bool:
        """Tell whether no line and no word comes nearer to a place than some room."""
        square = (place[0] - room, place[1] - room, place[0] + room, place[1] + room)
        return not _hits(self, square) and not any(_overlap(square, b) for b in self.boxes)

    def outlines(self) -> tuple[tuple[Point2, ...], ...]:
        """Return the boxes of all words so far, closed."""
        return tuple(((a, b), (c, b), (c, d), (a, d)) for a, b, c, d in self.boxes)


def words_beside(
    layout: Layout, point: Point2, text: str, lettering: Lettering, *, reach_mm: float = 0.0
) -> tuple[Mark, ...]:
    """Place words beside a point and note their place in the layout.

    Parameters
    ----------
    layout : Layout
        What is taken already; the new box is added.
    point : Point2
        What the words name.
    text : str
        One line.
    lettering : Lettering
        How the words look.
    reach_mm : float
        Radius of a sign at the point, which the words stay out of.

    Returns
    -------
    tuple of Mark
        The words, with a thin line to the point if they stand far off.
    """
    k = layout.scale_ratio
    half = _half_size(text, lettering, k)
    towards = _free_direction(layout, point)
    reach = (half[0] + reach_mm, half[1] + reach_mm)
    centre = min(_candidates(point, reach, k), key=lambda c: _cost(layout, point, c, half, towards))
    box = _box(centre, half, 0.4 / k)
    layout.boxes.append(box)
    words = lettering.words(text, centre)
    end = _nearest_on(box, point)
    length = hypot(end[0] - point[0], end[1] - point[1])
    if length * k <= _LEADER_FROM_MM + reach_mm * k:
        return (words,)
    share = reach_mm / length
    start = (point[0] + share * (end[0] - point[0]), point[1] + share * (end[1] - point[1]))
    layout.keep_clear([(start, end)])
    return (Line(points=(start, end), ink=LEADER), words)


def free_place(
    layout: Layout, outline: Sequence[Point2], size_mm: tuple[float, float]
) -> Point2 | None:
    """Return a place inside an outline where a box of words touches nothing, or none.

    Parameters
    ----------
    layout : Layout
        What is taken already.
    outline : sequence of Point2
        Closed.
    size_mm : tuple of float
        Width and height of the words on paper.

    Returns
    -------
    Point2 or None
        The middle of the box, as near to the middle of the outline as it goes.
    """
    k = layout.scale_ratio
    half = (size_mm[0] / 2 / k, size_mm[1] / 2 / k)
    corners = np.asarray(outline, dtype=float)
    middle = corners.mean(axis=0)
    found: list[tuple[float, Point2]] = []
    for x in np.arange(corners[:, 0].min(), corners[:, 0].max(), 1.0 / k):
        for y in np.arange(corners[:, 1].min(), corners[:, 1].max(), 1.0 / k):
            at = (float(x), float(y))
            box = _box(at, half, _AIR_MM / k)
            if inside(_box_corners(box), corners).all() and _fits(layout, box):
                found.append((hypot(x - middle[0], y - middle[1]), at))
    return min(found)[1] if found else None


def _half_size(text: str, lettering: Lettering, k: float) -> Point2:
    width_mm = words_width_mm(text, lettering.size_pt, bold=lettering.bold)
    return (width_mm / 2 / k, letters_height_mm(lettering.size_pt) / 2 / k)


def _candidates(point: Point2, half: Point2, k: float) -> list[Point2]:
    found = []
    for gap_mm in (1.6, 2.6, 4.0, 7.0, 11.0, 16.0, 22.0, 30.0, 40.0):
        for turn in range(0, 360, 15):
            x, y = cos(radians(turn)), sin(radians(turn))
            reach_x, reach_y = half[0] + gap_mm / k, half[1] + gap_mm / k
            found.append((point[0] + reach_x * x, point[1] + reach_y * y))
    return found


def _cost(layout: Layout, point: Point2, centre: Point2, half: Point2, towards: Point2) -> float:
    box = _box(centre, half, _AIR_MM / layout.scale_ratio)
    step = (centre[0] - point[0], centre[1] - point[1])
    length = hypot(*step) or 1.0
    end = _nearest_on(_box(centre, half, 0.0), point)
    gap_mm = hypot(end[0] - point[0], end[1] - point[1]) * layout.scale_ratio
    turning = 1.0 - (step[0] * towards[0] + step[1] * towards[1]) / length
    cost = _COST_OF_DISTANCE * gap_mm + _COST_OF_TURNING * turning
    cost += _COST_OF_A_HIT * _hits(layout, box)
    cost += _COST_OF_AREA * any(inside(centre, a)[0] for a in layout.areas)
    cost += _COST_OF_OVERLAP * sum(_overlap(box, other) for other in layout.boxes)
    return cost + _COST_OF_OUTSIDE * (not _within(box, layout.bounds))


def _free_direction(layout: Layout, point: Point2) -> Point2:
    near = layout.obstacles - point
    length = np.linalg.norm(near, axis=1)
    keep = (length > 1e-9) & (length < _NEAR_MM / layout.scale_ratio)
    if not keep.any():
        return (1.0, 0.0)
    away = -(near[keep] / length[keep][:, None]).mean(axis=0)
    size = float(np.linalg.norm(away))
    return (float(away[0] / size), float(away[1] / size)) if size > 1e-9 else (1.0, 0.0)


def _hits(layout: Layout, box: tuple[float, float, float, float]) -> int:
    p = layout.obstacles
    within = (p[:, 0] > box[0]) & (p[:, 0] < box[2]) & (p[:, 1] > box[1]) & (p[:, 1] < box[3])
    return int(within.sum())


def _fits(layout: Layout, box: tuple[float, float, float, float]) -> bool:
    return not _hits(layout, box) and not any(_overlap(box, other) for other in layout.boxes)


def _box(centre: Point2, half: Point2, air: float) -> tuple[float, float, float, float]:
    x, y = half[0] + air, half[1] + air
    return (centre[0] - x, centre[1] - y, centre[0] + x, centre[1] + y)


def _box_corners(box: tuple[float, float, float, float]) -> list[Point2]:
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    edges = [(middle[0], box[1]), (middle[0], box[3])]
    return [(box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3]), *edges]


def _nearest_on(box: tuple[float, float, float, float], point: Point2) -> Point2:
    return (
        min(max(point[0], box[0]), box[2]),
        min(max(point[1], box[1]), box[3]),
    )


def _overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _within(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] >= b[0] and a[1] >= b[1] and a[2] <= b[2] and a[3] <= b[3]
