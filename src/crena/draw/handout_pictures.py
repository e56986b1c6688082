"""One closure for the patient: as it is cut or as it is sewn, in large words."""

from dataclasses import dataclass

from crena.draw.closures import closure_points, cut_lines, extent, flap_tone, sewn_marks, taken_out
from crena.draw.inks import BARS, BLACK_WORDS, LANDMARK_SOLID, MIDLINE
from crena.draw.labels import Layout, Lettering, words_beside
from crena.draw.landmarks import COCCYX_HALF_MM
from crena.draw.marks import Anchor, Line, Mark, Strokes, Words, words_width_mm
from crena.draw.plan_pictures import Stage
from crena.draw.svg import Box, svg_of
from crena.draw.tongues import in_two_lines
from crena.records import Closure, Record

_EDGE_MM = 6.0
"""White around the drawing, on paper."""

_HEAD_ROOM_MM = 8.0
_FOOT_ROOM_MM = 15.0
_RULER_MM = 50.0
_BETWEEN_SIDES_MM = 6.0
_LINE_MM = 4.2


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureWords(Record):
    """What is written on the picture, and how large."""

    title: str  #: for people who cannot see it
    head: str
    tailbone: str
    left: str  #: the patient's left side, in full words
    right: str
    size_pt: float


def closure_picture(
    closure: Closure, stage: Stage, words: PictureWords, size_mm: tuple[float, float]
) -> tuple[bytes, float]:
    """Draw a closure as seen from behind, with head, both sides and a ruler.

    Parameters
    ----------
    closure : Closure
        What is drawn.
    stage : Stage
        As cut, or as sewn.
    words : PictureWords
        In the language of the sheet.
    size_mm : tuple of float
        Largest width and height on paper.

    Returns
    -------
    tuple
        SVG, and its width in mm.
    """
    k, box = _place(closure, words, size_mm)
    own: tuple[Mark, ...] = sewn_marks(closure)
    if stage is Stage.CUT:
        own = (*flap_tone(closure), *taken_out(closure, k), *cut_lines(closure))
    midline = Line(points=((0.0, box[3]), (0.0, box[1])), ink=MIDLINE)
    second_mm = _LINE_MM * (len(_side_lines(words, (box[2] - box[0]) * k)[0]) - 1)
    frame = (
        box[0], box[1] - (_FOOT_ROOM_MM + second_mm) / k, box[2], box[3] + _HEAD_ROOM_MM / k,
    )  # fmt: skip
    marks = (*own, midline, *_tailbone(closure, words, box, k), *_head(box, words, k),
             *_feet(box, words, k))  # fmt: skip
    return svg_of(marks, frame, words.title, scale_ratio=k), (box[2] - box[0]) * k


def _place(
    closure: Closure, words: PictureWords, size_mm: tuple[float, float]
) -> tuple[float, Box]:
    """Return the scale, and the part of the skin that is shown, centred in the full width."""
    left, bottom, right, top = extent((*closure_points(closure), (0.0, 0.0)))
    lines = _side_lines(words, size_mm[0])
    needed_mm = sum(
        max(words_width_mm(one, words.size_pt, bold=True) for one in side) for side in lines
    )
    width_mm = max(size_mm[0], needed_mm + _BETWEEN_SIDES_MM)
    feet_mm = _FOOT_ROOM_MM + _LINE_MM * (len(lines[0]) - 1)
    high_mm = size_mm[1] - _HEAD_ROOM_MM - feet_mm - 2 * _EDGE_MM
    k = min((width_mm - 2 * _EDGE_MM) / (right - left), high_mm / (top - bottom))
    middle, half, edge = (left + right) / 2, width_mm / 2 / k, _EDGE_MM / k
    return k, (middle - half, bottom - edge, middle + half, top + edge)


def _side_lines(words: PictureWords, width_mm: float) -> tuple[tuple[str, ...], ...]:
    """Return the lines of both sides: two each where they have no room in one."""
    both = (words.left, words.right)
    needed_mm = sum(words_width_mm(side, words.size_pt, bold=True) for side in both)
    if needed_mm + _BETWEEN_SIDES_MM <= width_mm + 1e-6:
        return tuple((side,) for side in both)
    return tuple(map(in_two_lines, both))


def _tailbone(closure: Closure, words: PictureWords, box: Box, k: float) -> tuple[Mark, ...]:
    """Draw the coccyx tip and name it where the words touch no line."""
    half = COCCYX_HALF_MM / k
    triangle = ((-half, half), (half, half), (0.0, 0.0))
    layout = Layout(scale_ratio=k, bounds=box)
    layout.keep_clear([((0.0, box[1]), (0.0, box[3])), (*triangle, triangle[0])])
    layout.keep_clear(
        [(*closure.removed_mm, closure.removed_mm[:1][0])] if closure.removed_mm else []
    )
    layout.keep_clear([*closure.incisions_mm, *closure.scar_mm])
    lettering = Lettering(ink=BLACK_WORDS, size_pt=words.size_pt)
    named = words_beside(layout, (0.0, half / 2), words.tailbone, lettering, reach_mm=half)
    return (Line(points=triangle, ink=LANDMARK_SOLID, closed=True), *named)


def _head(box: Box, words: PictureWords, k: float) -> tuple[Mark, ...]:
    """Write the head over the midline, with an arrow."""
    x, y = 1.9 / k, box[3] + 1.0 / k
    arrow = ((-x, y), (x, y), (0.0, y + 3.2 / k))
    at = (3.4 / k, y + 1.6 / k)
    name = Words(at=at, text=words.head, ink=BLACK_WORDS, size_pt=words.size_pt, bold=True,
                 anchor=Anchor.START)  # fmt: skip
    return (Line(points=arrow, ink=LANDMARK_SOLID, closed=True), name)


def _feet(box: Box, words: PictureWords, k: float) -> tuple[Mark, ...]:
    """Write both sides under the drawing, and a ruler under them."""
    left, right = _side_lines(words, (box[2] - box[0]) * k)
    y, start = box[1] - 3.0 / k, box[0] + 0.5 / k
    low = box[1] - (12.0 + _LINE_MM * (len(left) - 1)) / k
    ends = ((left, start, Anchor.START), (right, box[2] - 0.5 / k, Anchor.END))
    sides = (
        Words(at=(x, y - i * _LINE_MM / k), text=text, ink=BLACK_WORDS, size_pt=words.size_pt,
              bold=True, anchor=anchor)
        for lines, x, anchor in ends
        for i, text in enumerate(lines)
    )  # fmt: skip
    steps = range(0, round(_RULER_MM) + 1, 10)
    ticks = tuple(((start + i, low), (start + i, low + 1.6 / k)) for i in steps)
    ruler = Strokes(lines=(((start, low), (start + _RULER_MM, low)), *ticks), ink=BARS)
    note = Words(at=(start + _RULER_MM + 1.6 / k, low + 1.0 / k), text="5\u00a0cm", ink=BLACK_WORDS,
                 size_pt=words.size_pt, anchor=Anchor.START)  # fmt: skip
    return (*sides, ruler, note)
