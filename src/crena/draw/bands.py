"""A figure as a band that lies on a short ruler, with the limits as dashed marks."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from crena.draw.inks import BAND, BLACK_WORDS, GREY_WORDS, TICK, WANTED
from crena.draw.marks import SMALL_PT, Anchor, Line, Mark, Strokes, Words, words_width_mm
from crena.draw.svg import svg_of
from crena.draw.words import span
from crena.records import Limits, Record, Scar
from crena.records.numbers import whole

RISK_UP_TO_MM = 11.0
"""Scars whose lower end lay no farther off the midline came back more often (Kaplan 2017)."""

WANTED_FROM_MM = 20.0
"""The distance that the same authors recommend (Kaplan 2017)."""

KAPLAN = (
    "Kaplan 2017: after a Limberg flap, a lower end of the scar up to 11\u00a0mm off the midline "
    "went with recurrence; from 20\u00a0mm is recommended."
)
"""What the two marks rest on."""

_HEIGHT_MM = 16.4
_AXIS_MM = 5.2
_BAR_MM = 2.6
_ROWS_MM = (14.6, 10.9)
_UNIT_ROOM_MM = 9.0
_EDGE_MM = 1.6
_LEAST_BAR_MM = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit(Record):
    """A limit on a ruler."""

    at_mm: float
    words: str


def lower_end_band(scar: Scar, limits: Limits, width_mm: float) -> bytes:
    """Draw how far the lower end of a scar lies off the midline.

    Parameters
    ----------
    scar : Scar
        With the band that marking allows.
    limits : Limits
        With the distance that the surgeon asks for.
    width_mm : float
        Of the drawing.

    Returns
    -------
    bytes
        SVG with the marks "risk up to" and "wanted from".
    """
    asked_mm = limits.lower_end_midline_mm
    who = "wanted" if whole(asked_mm) == whole(WANTED_FROM_MM) else "you asked"
    marks = (
        Limit(at_mm=RISK_UP_TO_MM, words=f"risk up to {whole(RISK_UP_TO_MM)}"),
        Limit(at_mm=asked_mm, words=f"{who} from {whole(asked_mm)}"),
    )
    return band_svg((scar.lower_end_low_mm, scar.lower_end_high_mm), marks, width_mm)


def band_svg(band_mm: tuple[float, float], limits: Sequence[Limit], width_mm: float) -> bytes:
    """Draw a band of millimetres on a ruler that begins at 0.

    Parameters
    ----------
    band_mm : tuple of float
        Lower and upper end of the figure.
    limits : sequence of Limit
        At most two.
    width_mm : float
        Of the drawing.

    Returns
    -------
    bytes
        SVG; its title is the figure in words.
    """
    most = max(band_mm[1], *(limit.at_mm for limit in limits))
    end = 10 * max(3, ceil((most + 2) / 10))
    ratio = (width_mm - _UNIT_ROOM_MM - _EDGE_MM) / end
    marks: list[Mark] = [*_axis(end, ratio), *_bar(band_mm, ratio)]
    for row, limit in enumerate(sorted(limits, key=lambda one: one.at_mm)):
        marks += _limit(limit, row, ratio, width_mm)
    title = span(*band_mm, "mm")
    return svg_of(marks, (0.0, 0.0, width_mm, _HEIGHT_MM), title)


def _axis(end: int, ratio: float) -> list[Mark]:
    xs = [(_EDGE_MM + v * ratio, v) for v in range(0, end + 1, 10)]
    ticks = tuple(((x, _AXIS_MM), (x, _AXIS_MM - 1.2)) for x, _ in xs)
    axis = ((xs[0][0], _AXIS_MM), (xs[-1][0], _AXIS_MM))
    numbers = [_number(x, f"{v}", Anchor.MIDDLE) for x, v in xs]
    return [Strokes(lines=(axis, *ticks), ink=TICK), *numbers,
            _number(xs[-1][0] + 3.4, "mm", Anchor.START)]  # fmt: skip


def _number(x: float, text: str, anchor: Anchor) -> Words:
    return Words(at=(x, 1.8), text=text, ink=GREY_WORDS, size_pt=SMALL_PT, anchor=anchor)


def _bar(band_mm: tuple[float, float], ratio: float) -> list[Mark]:
    low, high = (_EDGE_MM + v * ratio for v in band_mm)
    if high - low < _LEAST_BAR_MM:
        low, high = (low + high - _LEAST_BAR_MM) / 2, (low + high + _LEAST_BAR_MM) / 2
    top = _AXIS_MM + _BAR_MM
    shape = ((low, _AXIS_MM), (high, _AXIS_MM), (high, top), (low, top))
    return [Line(points=shape, ink=BAND, closed=True)]


def _limit(limit: Limit, row: int, ratio: float, width_mm: float) -> list[Mark]:
    x, y = _EDGE_MM + limit.at_mm * ratio, _ROWS_MM[row]
    left = max(0.0, min(x, width_mm - words_width_mm(limit.words, SMALL_PT)))
    line = ((x, _AXIS_MM - 1.2), (x, y - 1.7))
    words = Words(
        at=(left, y), text=limit.words, ink=BLACK_WORDS, size_pt=SMALL_PT, anchor=Anchor.START
    )
    return [Line(points=line, ink=WANTED), words]
