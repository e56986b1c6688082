"""One closure for the theatre: letters and pedicle as cut, the order of sewing as sewn."""

from collections.abc import Sequence
from math import dist

from crena.draw.card_frames import Place, framed_svg, middle_of, place_of
from crena.draw.card_heads import closure_side
from crena.draw.closures import (
    closure_points,
    corner_letters,
    cut_lines,
    flap_tone,
    flap_words,
    sewn_marks,
    taken_out,
)
from crena.draw.inks import BLACK_WORDS, LANDMARK_SOLID
from crena.draw.labels import REMARKS, Layout, Lettering, words_beside
from crena.draw.landmarks import COCCYX_HALF_MM, midline_marks
from crena.draw.marks import LETTER_PT, Line, Mark, along
from crena.draw.plan_pictures import Stage
from crena.records import Closure, Point2, Seam

ORDER = Lettering(ink=BLACK_WORDS, size_pt=LETTER_PT, bold=True)
"""Figures that say which seam is sewn first."""

_STEP_MM = 0.5


def theatre_picture(
    closure: Closure, stage: Stage, order: Sequence[str], size_mm: tuple[float, float]
) -> tuple[bytes, float]:
    """Draw a closure as cut or as sewn.

    Parameters
    ----------
    closure : Closure
        What is drawn.
    stage : Stage
        As cut: letters, flap and what must not be cut. As sewn: a figure at each seam.
    order : sequence of str
        Names of the seams in the order in which they are sewn.
    size_mm : tuple of float
        Width, and greatest height on paper.

    Returns
    -------
    tuple
        SVG, and its width in mm.
    """
    place = place_of((*closure_points(closure), (0.0, 0.0)), size_mm)
    layout = _layout(closure, place, stage)
    own = _sewn(closure, order, layout) if stage is Stage.SEWN else _cut(closure, layout)
    triangle = _triangle(place.scale_ratio)
    marks = (
        *own,
        *midline_marks(place.box[1], place.box[3]),
        Line(points=triangle, ink=LANDMARK_SOLID, closed=True),
        *words_beside(layout, (0.0, 1.0), "Coccyx tip", REMARKS),
    )
    title = f"{stage}; {closure_side(closure)}; head upwards"
    return framed_svg(marks, place, title), place.width_mm


def _layout(closure: Closure, place: Place, stage: Stage) -> Layout:
    """Start a layout in which the lines of the stage, midline and coccyx tip are taken."""
    layout = Layout(scale_ratio=place.scale_ratio, bounds=place.box)
    lines = closure.scar_mm
    if stage is Stage.CUT:
        lines = (*_closed(closure.removed_mm), *closure.incisions_mm)
        layout.keep_clear([flap.pedicle_mm for flap in closure.flaps if flap.pedicle_mm])
        layout.areas += [flap.outline_mm for flap in closure.flaps]
    triangle = _triangle(place.scale_ratio)
    midline = ((0.0, place.box[1]), (0.0, place.box[3]))
    layout.keep_clear([*lines, midline, (*triangle, triangle[0])])
    return layout


def _cut(closure: Closure, layout: Layout) -> tuple[Mark, ...]:
    letters = corner_letters(closure, layout)
    on_flaps = flap_words(closure, layout)
    dots = taken_out(closure, layout.scale_ratio, without=layout.outlines())
    return (*flap_tone(closure), *dots, *cut_lines(closure), *letters, *on_flaps)


def _sewn(closure: Closure, order: Sequence[str], layout: Layout) -> tuple[Mark, ...]:
    """Draw the seams; each that lies on skin that stays gets its figure."""
    figures: list[Mark] = []
    for seam in closure.seams:
        if seam.name in order and seam.fixed_flap == 0:
            figure = f"{order.index(seam.name) + 1}"
            figures += words_beside(layout, _on_scar(closure, seam), figure, ORDER)
    return (*sewn_marks(closure), *figures)


def _on_scar(closure: Closure, seam: Seam) -> Point2:
    """Return where the middle of a seam comes to lie."""
    x, y = middle_of(seam.fixed_mm)
    places = [p for line in closure.scar_mm for p in along(line, _STEP_MM)]
    return min(places, key=lambda p: dist(p, (x, y)), default=(x, y))


def _triangle(k: float) -> tuple[Point2, ...]:
    half = COCCYX_HALF_MM / k
    return ((-half, half), (half, half), (0.0, 0.0))


def _closed(outline: tuple[Point2, ...]) -> tuple[tuple[Point2, ...], ...]:
    return ((*outline, outline[0]),) if outline else ()
