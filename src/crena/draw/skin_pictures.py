"""The skin of a closure in pictures: as cut, on its way, sutured, and how tense it is then."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from enum import StrEnum
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from crena.draw.inks import (
    BARS,
    BLACK_WORDS,
    CARRIED_GRID,
    CARRIED_MIDLINE,
    CHIP,
    EDGE_OF_CUT,
    FLAP,
    GREY_WORDS,
    PLAIN_SCAR,
    SEAM,
    SEAM_TICKS,
    SMALL_INKS,
    TENSION_HATCHES,
    TENSION_TONES,
    WEAVE,
    WRINKLE,
)
from crena.draw.labels import Layout, Lettering, words_beside
from crena.draw.landmarks import (
    HEAD,
    VERGE_RAYS_MM,
    landmark_marks,
    midline_marks,
    ruled_frame,
)
from crena.draw.marks import (
    BODY_PT,
    SMALL_PT,
    Anchor,
    Line,
    Mark,
    Strokes,
    Words,
    along,
)
from crena.draw.patterns import (
    WAVE_STEP_MM,
    hatch_between,
    inside,
    places_between,
    waves,
    within_box,
)
from crena.draw.side_marks import second_line_mm, side_marks, sides_width_mm
from crena.draw.svg import Box, svg_of
from crena.geometry.measures import lengths_along_mm, polygon_area_mm2, polyline_length_mm
from crena.records import Point2, Polyline2, PullClass, ScarWindow, SkinFilm, SkinMoment
from crena.records.shapes import point2

Floats = NDArray[np.float64]


class View(StrEnum):
    """What a picture of the sutured skin dwells on."""

    LINES = "lines"
    TENSION = "tension"


TICK_STEP_MM = {PullClass.LOW: 9.0, PullClass.MIDDLE: 5.5, PullClass.HIGH: 3.0}
"""Between the cross ticks of a seam, on the skin: closer means more pull."""

HATCH_STEPS_MM = (2.0, 2.4, 1.6, 1.1)
"""Between the hatch lines of a band of tension, on paper: closer means more."""

HATCH_TURNS_DEG = (0.0, 45.0, 135.0, 45.0)
"""How the hatch of each band lies."""

BAND_LETTERS = "WXYZ"
"""Each band's letter, from least to most tension; corners have A to F."""

STANDS_UP = "may stand up"
"""Said of skin that is wrinkled."""

LARGE_FROM_RATIO = 0.45
"""From this scale on a picture has rulers; smaller ones have a bar of 50 mm."""

PULL_WORDS = Lettering(ink=BLACK_WORDS, size_pt=SMALL_PT)

_TICK_HALF_MM = 1.3
_LETTER_ROOM_MM = 2.0
_BAR_MM = 50.0
_HEAD_ROOM_MM = 5.0
_FOOT_ROOM_MM = 10.6
_RULERS_MM = (13.0, 13.0)
_RIGHT_MM = 3.0


def moment_picture(
    film: SkinFilm,
    moment: SkinMoment,
    *,
    scale_ratio: float,
    view: View = View.LINES,
    anal_verge_mm: Point2 | None = None,
) -> tuple[bytes, float]:
    """Draw the skin at one moment in true proportion.

    Parameters
    ----------
    film : SkinFilm
        Says which part of the skin is shown.
    moment : SkinMoment
        One of its moments.
    scale_ratio : float
        Millimetres in the picture for one millimetre of skin.
    view : View
        Lines that were drawn on the skin, or its tension.
    anal_verge_mm : Point2, optional
        Where the verge lay before the operation, on the skin; left out beyond the picture.

    Returns
    -------
    tuple
        SVG with midline, coccyx tip, head, both sides and a ruler in mm, and its width in mm.
    """
    k, box = scale_ratio, (*film.low_mm, *film.high_mm)
    layout = Layout(scale_ratio=k, bounds=box)
    layout.keep_clear([((0.0, box[1]), (0.0, box[3])), *(one.line_mm for one in moment.scar)])
    drawn = _tension(moment, layout) if view is View.TENSION else _lines(moment, layout)
    verge = (0.0, -np.inf) if anal_verge_mm is None else anal_verge_mm
    marks = (
        *(_in_box(mark, box) for mark in drawn),
        *midline_marks(box[1], box[3]),
        *_landmarks(verge, box, k),
        *_words(moment, view, layout),
    )
    frame, around = _framed(box, k)
    shown = "tension when sutured" if view is View.TENSION else moment.name
    svg = svg_of((*(_fitting(mark, k) for mark in marks), *around), frame,
                 f"The skin, {shown}; head upwards", scale_ratio=k)  # fmt: skip
    return svg, (frame[2] - frame[0]) * k


def picture_size_mm(film: SkinFilm, scale_ratio: float) -> tuple[float, float]:
    """Return width and height that `moment_picture` takes on paper, mm."""
    frame, _ = _framed((*film.low_mm, *film.high_mm), scale_ratio)
    return (frame[2] - frame[0]) * scale_ratio, (frame[3] - frame[1]) * scale_ratio


def tension_marks(rings: Sequence[Polyline2], band: int, scale_ratio: float) -> tuple[Mark, ...]:
    """Return tone and hatch of a band of tension.

    Parameters
    ----------
    rings : sequence of rings
        Round the area, holes the other way round.
    band : int
        0 for the least tension.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.

    Returns
    -------
    tuple of Mark
        Tone first.
    """
    hatch = hatch_between(rings, HATCH_STEPS_MM[band] / scale_ratio, HATCH_TURNS_DEG[band])
    return (
        Strokes(lines=tuple(rings), ink=TENSION_TONES[band]),
        Strokes(lines=hatch, ink=TENSION_HATCHES[band]),
    )


def seam_marks(line: Polyline2, pull: PullClass, scale_ratio: float) -> tuple[Line, Strokes]:
    """Return a seam with the cross ticks of its pull."""
    ticks = seam_ticks(line, pull, scale_ratio)
    return Line(points=line, ink=SEAM), Strokes(lines=ticks, ink=SEAM_TICKS)


def seam_ticks(
    line: Polyline2, pull: PullClass, scale_ratio: float
) -> tuple[tuple[Point2, Point2], ...]:
    """Return short lines across a seam, evenly spread, at least one.

    Parameters
    ----------
    line : Polyline2
        A stretch of scar.
    pull : PullClass
        How hard it is pulled at: says how far the ticks are apart.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.

    Returns
    -------
    tuple of lines
        Each of two points.

    Examples
    --------
    >>> len(seam_ticks(((0.0, 0.0), (27.0, 0.0)), PullClass.LOW, 1.0))
    3
    """
    points, half_mm = np.array(line), _TICK_HALF_MM / scale_ratio
    lengths = lengths_along_mm(points)
    count = max(1, round(float(lengths[-1]) / TICK_STEP_MM[pull]))
    found: list[tuple[Point2, Point2]] = []
    for at in (np.arange(count) + 0.5) / count * lengths[-1]:
        i = int(np.searchsorted(lengths, at)) - 1
        way = (points[i + 1] - points[i]) / (lengths[i + 1] - lengths[i])
        middle, across = points[i] + (at - lengths[i]) * way, half_mm * np.array([-way[1], way[0]])
        found.append((point2(middle - across), point2(middle + across)))
    return tuple(found)


def scar_stretches(windows: Iterable[ScarWindow]) -> tuple[ScarWindow, ...]:
    """Return the scar with neighbouring windows of one class and seam joined."""
    joined = []
    for _, group in groupby(windows, key=lambda one: (one.seam, one.pull)):
        run = tuple(group)
        line = (*run[0].line_mm, *(point for one in run[1:] for point in one.line_mm[1:]))
        joined.append(replace(run[0], line_mm=line))
    return tuple(joined)


def _lines(moment: SkinMoment, layout: Layout) -> list[Mark]:
    """Return flaps, carried lines and edges or seams, lowest first."""
    moving = moment.turned_fraction > 0
    marks: list[Mark] = [Line(points=flap, ink=FLAP, closed=True) for flap in moment.flaps_mm]
    marks += [
        Strokes(lines=moment.grid_mm, ink=CARRIED_GRID),
        Strokes(lines=moment.weave_mm, ink=WEAVE if moving else CARRIED_GRID),
        Strokes(lines=moment.midline_mm, ink=CARRIED_MIDLINE),
        Strokes(lines=moment.edges_mm, ink=EDGE_OF_CUT),
    ]
    for one in scar_stretches(moment.scar):
        line, ticks = seam_marks(one.line_mm, one.pull, layout.scale_ratio)
        layout.keep_clear(ticks.lines)
        marks += [line, ticks]
    return marks


def _tension(moment: SkinMoment, layout: Layout) -> list[Mark]:
    """Return bands of tension, wrinkles and the scar, lowest first."""
    k = layout.scale_ratio
    marks: list[Mark] = []
    for number, band in enumerate(moment.tension):
        marks += tension_marks(band.rings_mm, number, k)
    folds = waves(places_between(moment.wrinkles_mm, WAVE_STEP_MM / k), k)
    marks += [
        Strokes(lines=tuple((*ring, ring[0]) for ring in moment.wrinkles_mm), ink=WRINKLE),
        Strokes(lines=folds, ink=WRINKLE),
        Strokes(lines=tuple(one.line_mm for one in moment.scar), ink=PLAIN_SCAR),
    ]
    layout.keep_clear((*moment.wrinkles_mm, *folds))
    return marks


def _words(moment: SkinMoment, view: View, layout: Layout) -> list[Mark]:
    """Return pull words, or what the bands and folds are, on white chips."""
    marks: list[Mark] = []
    if view is View.LINES:
        for one in sorted(scar_stretches(moment.scar), key=_length_mm, reverse=True):
            at = _middle(np.array(one.line_mm))
            marks += words_beside(layout, at, f"{one.pull} pull", PULL_WORDS)
    else:
        for ring in moment.wrinkles_mm:
            marks += words_beside(layout, _middle(np.array(ring)), STANDS_UP, PULL_WORDS)
        for number, band in enumerate(moment.tension):
            marks += _band_letters(band.rings_mm, BAND_LETTERS[number], layout)
    chips = [Line(points=box, ink=CHIP, closed=True) for box in layout.outlines()]
    return [*chips, *marks]


def _band_letters(rings: Sequence[Polyline2], letter: str, layout: Layout) -> list[Mark]:
    """Write a band's letter where each of its areas is widest, if there is room."""
    k = layout.scale_ratio
    marks: list[Mark] = []
    room = _LETTER_ROOM_MM / k
    places = np.array(places_between(rings, 1.0 / k)).reshape(-1, 2)
    walls = np.array([p for ring in rings for p in along((*ring, ring[0]), 1.0 / k)])
    for ring in (one for one in rings if polygon_area_mm2(one) > 0):
        own = places[inside(places, ring)] if len(places) else places
        free = [
            (_room(p, walls, layout), point2(p)) for p in own if layout.is_free(point2(p), room)
        ]
        if not free:
            continue
        widest, (x, y) = max(free)
        if widest < room:
            continue
        layout.boxes.append((x - room, y - room, x + room, y + room))
        marks.append(Words(at=(x, y), text=letter, ink=BLACK_WORDS, bold=True))
    return marks


def _room(place: Floats, walls: Floats, layout: Layout) -> float:
    taken = np.concatenate([walls, layout.obstacles])
    return float(np.linalg.norm(taken - place, axis=1).min())


def _middle(line: Floats) -> Point2:
    lengths = lengths_along_mm(line)
    x, y = (float(np.interp(lengths[-1] / 2, lengths, along)) for along in line.T)
    return (x, y)


def _length_mm(window: ScarWindow) -> float:
    return polyline_length_mm(window.line_mm)


def _in_box(mark: Mark, box: Box) -> Mark:
    """Return a mark whose open lines end at the box; areas stay as they are."""
    if isinstance(mark, Strokes) and mark.ink.fill is None:
        return replace(mark, lines=tuple(p for line in mark.lines for p in within_box(line, box)))
    return mark


def _fitting(mark: Mark, k: float) -> Mark:
    if k >= LARGE_FROM_RATIO:
        return mark
    return replace(mark, ink=SMALL_INKS.get(mark.ink, mark.ink))


def _landmarks(verge: Point2, box: Box, k: float) -> tuple[Mark, ...]:
    """Return coccyx tip and anal verge, as far as they lie in the picture."""
    triangle, *ring = landmark_marks(verge, k)
    seen = box[0] <= verge[0] <= box[2] and box[1] + VERGE_RAYS_MM <= verge[1] <= box[3]
    return (triangle, *ring) if seen else (triangle,)


def _framed(box: Box, k: float) -> tuple[Box, tuple[Mark, ...]]:
    """Return what the picture takes with its rulers, and the rulers, head and sides."""
    if k < LARGE_FROM_RATIO:
        return _with_bar(box, k)
    frame = (
        box[0] - _RULERS_MM[0] / k, box[1] - _RULERS_MM[1] / k,
        box[2] + _RIGHT_MM / k, box[3] + _HEAD_ROOM_MM / k,
    )  # fmt: skip
    frame, _ = _wide_enough(frame, BODY_PT, k)
    _, *rulers = ruled_frame(box, k)
    edge = Line(
        points=((box[0], box[3]), (box[2], box[3]), (box[2], box[1]), (box[0], box[1])),
        ink=BARS, closed=True,
    )  # fmt: skip
    sides = side_marks((frame[0], frame[2]), box[1] - 10.4 / k, k, BODY_PT, bold=True)
    return frame, (edge, *rulers, _head(box, BODY_PT, k), *sides)


def _with_bar(box: Box, k: float) -> tuple[Box, tuple[Mark, ...]]:
    frame = (
        box[0] - 0.4 / k, box[1] - _FOOT_ROOM_MM / k,
        box[2] + 0.4 / k, box[3] + _HEAD_ROOM_MM / k,
    )  # fmt: skip
    frame, second_mm = _wide_enough(frame, SMALL_PT, k)
    low, start = box[1] - (9.4 + second_mm) / k, frame[0] + 0.4 / k
    ticks = tuple(
        ((start + i, low), (start + i, low + (1.6 if i % 50 == 0 else 1.0) / k))
        for i in range(0, round(_BAR_MM) + 1, 10)
    )
    bar = Strokes(lines=(((start, low), (start + _BAR_MM, low)), *ticks), ink=BARS)
    note = Words(
        at=(start + _BAR_MM + 1.4 / k, low + 0.9 / k), text="50\u00a0mm", ink=GREY_WORDS,
        size_pt=SMALL_PT, anchor=Anchor.START,
    )  # fmt: skip
    sides = side_marks((frame[0], frame[2]), box[1] - 3.0 / k, k, SMALL_PT, bold=True)
    return frame, (bar, note, _head(box, SMALL_PT, k), *sides)


def _wide_enough(frame: Box, size_pt: float, k: float) -> tuple[Box, float]:
    """Widen a frame until both sides fit in words under it; return what a second line takes."""
    width_mm = (frame[2] - frame[0]) * k
    words_mm = sides_width_mm(width_mm, size_pt, bold=True)
    second_mm = second_line_mm(width_mm, size_pt, bold=True)
    lacking = max(0.0, words_mm - width_mm) / k / 2
    return (frame[0] - lacking, frame[1] - second_mm / k, frame[2] + lacking, frame[3]), second_mm


def _head(box: Box, size_pt: float, k: float) -> Words:
    return Words(at=(0.0, box[3] + 2.8 / k), text=HEAD, ink=BLACK_WORDS, size_pt=size_pt, bold=True)
