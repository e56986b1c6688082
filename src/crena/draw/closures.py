"""One closure on the skin: as it is cut, and as it is sewn."""

from collections.abc import Iterable, Sequence

import numpy as np

from crena.draw.inks import (
    BLACK_WORDS,
    CUT,
    FLAP,
    FLAP_CUT,
    LEADER,
    SEAM,
    TAKEN_OUT,
    UNDERMINED,
)
from crena.draw.labels import LETTERS, NAMES, Layout, free_place, words_beside
from crena.draw.landmarks import COCCYX_HALF_MM, VERGE_RAYS_MM, measure_marks
from crena.draw.marks import (
    SMALL_PT,
    Dots,
    Line,
    Mark,
    Strokes,
    Words,
    circle,
    letters_height_mm,
    words_width_mm,
)
from crena.draw.patterns import DOT_STEP_MM, SMALL_DOT_STEP_MM, V_STEP_MM, grid_within, v_marks
from crena.draw.svg import Box
from crena.draw.words import pedicle_words
from crena.geometry.motions import moved
from crena.records import Closure, Flap, Point2, Polyline2, Scar
from crena.records.numbers import whole

SMALL_BELOW_RATIO = 0.6
"""Pictures smaller than this get thinner lines and closer dots."""

_MEASURE_BELOW_MM = 8.0
"""How far below the lower end of the scar its measure is drawn."""

_LEAST_MEASURE_MM = 9.0
"""Shorter measures have no room for their figure."""

_V_ROOM_MM = 1.7
"""White around a v mark, on paper."""

_LINE_STEP_MM = 4.6
"""Between the two lines of words on a flap."""


def flap_tone(closure: Closure) -> tuple[Mark, ...]:
    """Lay the flap's tone where it is raised."""
    return tuple(Line(points=flap.outline_mm, ink=FLAP, closed=True) for flap in closure.flaps)


def taken_out(
    closure: Closure, scale_ratio: float, *, without: Iterable[Sequence[Point2]] = ()
) -> tuple[Mark, ...]:
    """Dot the skin that leaves with the specimen.

    Parameters
    ----------
    closure : Closure
        Whose removed skin is dotted.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.
    without : iterable of outlines
        Where words stand.

    Returns
    -------
    tuple of Mark
        The dots.
    """
    step_mm = DOT_STEP_MM if scale_ratio >= SMALL_BELOW_RATIO else SMALL_DOT_STEP_MM
    dots = grid_within(closure.removed_mm, step_mm / scale_ratio, without=without)
    return (Dots(points=dots, ink=TAKEN_OUT),)


def cut_lines(closure: Closure) -> tuple[Mark, ...]:
    """Draw the cuts: flap cuts dashed, the outline solid over them."""
    flap_cuts = tuple(Line(points=line, ink=FLAP_CUT) for line in closure.incisions_mm)
    return (*flap_cuts, Line(points=closure.removed_mm, ink=CUT, closed=True))


def undermined_marks(closure: Closure, layout: Layout) -> tuple[Mark, ...]:
    """Mark the zone that is freed at the fascia, outside flap and specimen.

    Parameters
    ----------
    closure : Closure
        Whose zone is marked.
    layout : Layout
        The lines and words that the marks stay clear of.

    Returns
    -------
    tuple of Mark
        Small v marks.
    """
    k = layout.scale_ratio
    taken = [closure.removed_mm, *(flap.outline_mm for flap in closure.flaps), *layout.outlines()]
    places = grid_within(closure.undermined_mm, V_STEP_MM / k, without=taken)
    free = [place for place in places if layout.is_free(place, _V_ROOM_MM / k)]
    return (Strokes(lines=v_marks(free, k), ink=UNDERMINED),)


def sewn_marks(closure: Closure) -> tuple[Mark, ...]:
    """Draw the flap in its place and the seams; pull is not drawn.

    Parameters
    ----------
    closure : Closure
        As sewn, before any tissue gives.

    Returns
    -------
    tuple of Mark
        Tone and lines. One flap fills the wound between its seams, also where it must
        stretch to do so; several flaps lie where their motions carry them.
    """
    filled = [_in_place(flap) for flap in closure.flaps]
    if len(filled) == 1 and len(closure.removed_mm) > 2:
        filled = [closure.removed_mm]
    tones = tuple(Line(points=outline, ink=FLAP, closed=True) for outline in filled)
    return (*tones, *(Line(points=line, ink=SEAM) for line in closure.scar_mm))


def lower_end_measure(scar: Scar, layout: Layout) -> tuple[Mark, ...]:
    """Measure the lower end of the scar from the midline, below it.

    Parameters
    ----------
    scar : Scar
        Its figure is written as it stands in the record.
    layout : Layout
        What is taken already; the measure is added.

    Returns
    -------
    tuple of Mark
        Nothing if the end lies too near to the midline for a figure.
    """
    s, y = scar.lower_end_mm
    k = layout.scale_ratio
    if abs(s) * k < _LEAST_MEASURE_MM:
        return ()
    level = y - _MEASURE_BELOW_MM / k
    ends: tuple[Point2, Point2] = (
        ((s, level), (0.0, level)) if s < 0 else ((0.0, level), (s, level))
    )
    drop = ((s, y - 1.5 / k), (s, level - 1.5 / k))
    marks = measure_marks(*ends, whole(scar.lower_end_midline_mm), k)
    words = marks[-1]
    if isinstance(words, Words):
        half = words_width_mm(words.text, words.size_pt) / 2 / k
        rise = letters_height_mm(words.size_pt) / 2 / k
        x, height = words.at
        layout.boxes.append((x - half, height - rise, x + half, height + rise))
    layout.keep_clear([ends, drop])
    return (Line(points=drop, ink=LEADER), *marks)


def layout_of(closures: Iterable[Closure], verge: Point2, box: Box, scale_ratio: float) -> Layout:
    """Start a layout in which the lines of closures and the landmarks are taken."""
    layout = Layout(scale_ratio=scale_ratio, bounds=box)
    for closure in closures:
        layout.keep_clear([(*closure.removed_mm, closure.removed_mm[0]), *closure.incisions_mm])
        layout.keep_clear([flap.pedicle_mm for flap in closure.flaps if flap.pedicle_mm])
        layout.areas += [flap.outline_mm for flap in closure.flaps]
    ring = circle(verge, VERGE_RAYS_MM)
    half = COCCYX_HALF_MM / scale_ratio
    layout.keep_clear([((0.0, box[1]), (0.0, box[3])), (*ring, ring[0])])
    layout.keep_clear([((-half, half), (half, half), (0.0, 0.0), (-half, half))])
    return layout


def corner_letters(closure: Closure, layout: Layout) -> tuple[Mark, ...]:
    """Write each corner's letter beside it, outwards."""
    marks: list[Mark] = []
    for corner in closure.corners:
        marks += words_beside(layout, corner.at_mm, corner.name, LETTERS)
    return tuple(marks)


def flap_words(closure: Closure, layout: Layout) -> tuple[Mark, ...]:
    """Write on each flap what it is and which line must not be cut.

    Parameters
    ----------
    closure : Closure
        Whose flaps are named.
    layout : Layout
        What is taken already; the words are added.

    Returns
    -------
    tuple of Mark
        On the flap where they fit, else beside it with a thin line.
    """
    marks: list[Mark] = []
    for number, flap in enumerate(closure.flaps):
        lines = ("flap,", pedicle_words(closure, number))
        width_mm = max(words_width_mm(text, SMALL_PT) for text in lines)
        size_mm = (width_mm, letters_height_mm(SMALL_PT) + _LINE_STEP_MM)
        at = free_place(layout, flap.outline_mm, size_mm)
        if at is None:
            middle = _middle(flap.outline_mm)
            marks += words_beside(layout, middle, " ".join(lines), NAMES)
            continue
        k = layout.scale_ratio
        half = (size_mm[0] / 2 / k, size_mm[1] / 2 / k)
        layout.boxes.append((at[0] - half[0], at[1] - half[1], at[0] + half[0], at[1] + half[1]))
        for i, text in enumerate(lines):
            place = (at[0], at[1] + (0.5 - i) * _LINE_STEP_MM / k)
            marks.append(Words(at=place, text=text, ink=BLACK_WORDS, size_pt=SMALL_PT, bold=i == 1))
    return tuple(marks)


def extent(points: Iterable[Point2]) -> Box:
    """Return the box around points.

    >>> extent([(1.0, 2.0), (-3.0, 5.0)])
    (-3.0, 2.0, 1.0, 5.0)
    """
    p = np.asarray(list(points), dtype=float)
    low, high = p.min(axis=0), p.max(axis=0)
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1]))


def closure_points(closure: Closure) -> tuple[Point2, ...]:
    """Return all points that a drawing of the closure must show, as cut and as sewn."""
    lines = [closure.removed_mm, *closure.incisions_mm, *closure.scar_mm]
    for flap in closure.flaps:
        lines.append(flap.outline_mm)
        lines += [_in_place(flap)] if len(closure.flaps) > 1 else ()
    corners = tuple(corner.at_mm for corner in closure.corners)
    return (*corners, *(point for line in lines for point in line))


def plan_points(closures: Iterable[Closure], verge: Point2) -> tuple[Point2, ...]:
    """Return all points of several closures with both landmarks."""
    own = tuple(point for closure in closures for point in closure_points(closure))
    return (*own, (0.0, 0.0), *circle(verge, VERGE_RAYS_MM, 12))


def _in_place(flap: Flap) -> Polyline2:
    placed = moved(flap.motion, flap.outline_mm)
    return tuple((float(x), float(y)) for x, y in placed)


def _middle(outline: Polyline2) -> Point2:
    x, y = np.asarray(outline, dtype=float).mean(axis=0)
    return (float(x), float(y))
