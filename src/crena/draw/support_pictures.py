"""What holds the wound from day to day, as a picture: support, load, the day stitches leave."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from crena.draw.drain_pictures import FORESEEN
from crena.draw.inks import BLACK, BLACK_WORDS, GREY_WORDS, PEN, TICK, WANTED, Ink
from crena.draw.marks import BODY_PT, SMALL_PT, Anchor, Line, Mark, Words
from crena.draw.svg import svg_of
from crena.draw.words import with_unit
from crena.records import LowestSupport, Support, SupportCurve
from crena.records.numbers import at_least

MIDDLE = Ink(layer="BARS", stroke=PEN, width_mm=0.5)
"""Support with the middle of the published figures."""

WORST = Ink(layer="BARS", stroke=PEN, width_mm=0.5, dash_mm=(1.6, 0.9))
"""Support with the lowest published figures."""

BETWEEN = Ink(layer="BARS", fill=FORESEEN.fill)
"""Between the two: a forecast."""

LOAD = Ink(layer="BARS", stroke=BLACK, width_mm=0.7)
"""What the seam pulls."""

OF_SEAM_MM = 10.0
"""Forces are told for this length of seam: whole newtons then say enough."""

DAYS_AFTER = 14
"""Days that are drawn after the stitches left, or after the customary day (assumed)."""

_LEFT_MM = 16.0
_BASE_MM = 11.0
_HIGH_MM = 46.0
_HEIGHT_MM = 70.0
_RIGHT_MM = 30.0
_MOST_STEPS = 5
_STEPS_N = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_WEEK = 7
_LABELS_APART_MM = 4.2


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where days and newtons lie on the paper."""

    last_day: float
    day_mm: float
    newton_mm: float
    most_n: float

    def at(self, day: float, force_n_per_mm: float) -> tuple[float, float]:
        force_n = force_n_per_mm * OF_SEAM_MM
        return _LEFT_MM + day * self.day_mm, _BASE_MM + force_n * self.newton_mm


def support_picture(support: Support, width_mm: float) -> bytes:
    """Draw support against time, and the load that it must hold.

    Parameters
    ----------
    support : Support
        Both lines, the load and the day on which stitches leave.
    width_mm : float
        Of the drawing.

    Returns
    -------
    bytes
        SVG: the middle line solid, the worst dashed, pen-soft between them; a day on which
        stitches leave shows both sides of the step.
    """
    frame = _frame(support, width_mm)
    curve = _shown(support.with_skin, frame.last_day)
    middle = [frame.at(d, n) for d, n in zip(curve.at_day, curve.support_n_per_mm, strict=True)]
    worst = [frame.at(d, n) for d, n in zip(curve.at_day, curve.worst_n_per_mm, strict=True)]
    end_mm = frame.at(frame.last_day, 0.0)[0]
    load_mm = frame.at(0.0, support.load_n_per_mm)[1]
    marks = (
        Line(points=(*middle, *reversed(worst)), ink=BETWEEN, closed=True),
        *_axes(frame, end_mm),
        Line(points=((_LEFT_MM, load_mm), (end_mm, load_mm)), ink=LOAD),
        Line(points=tuple(worst), ink=WORST),
        Line(points=tuple(middle), ink=MIDDLE),
        *_names(end_mm, middle[-1][1], worst[-1][1], load_mm),
        *_removal(support, frame),
    )
    return svg_of(marks, (0.0, 0.0, width_mm, _HEIGHT_MM), lowest_words(support.lowest_worst))


def lowest_words(lowest: LowestSupport) -> str:
    """Say when the wound is held least, and how many times its load that is.

    >>> lowest = LowestSupport(on_day=14.0, support_n_per_mm=0.48, over_load_ratio=3.2)
    >>> lowest_words(lowest).replace(chr(160), " ")
    'Weakest on day 14: it holds 3 times its load'
    """
    times = lowest.over_load_ratio
    held = f"{at_least(times)} times its load" if times >= 1 else "less than its load"
    if 1 <= times < 2:
        held = "its load and less than twice that"
    return f"Weakest on day\u00a0{at_least(lowest.on_day)}: it holds {held}"


def load_words(load_n_per_mm: float) -> str:
    """Return the load on a stretch of seam, rounded up.

    >>> load_words(0.15).replace(chr(160), " ")
    '2 N on 10 mm of seam'
    """
    load = with_unit(ceil(load_n_per_mm * OF_SEAM_MM - 1e-9), "N")
    return f"{load} on {with_unit(int(OF_SEAM_MM), 'mm')} of seam"


def _frame(support: Support, width_mm: float) -> _Frame:
    known = support.with_skin.at_day[-1]
    wanted = max(support.removal_day or 0.0, support.customary.high_day) + DAYS_AFTER
    last_day = min(known, float(_WEEK * ceil(wanted / _WEEK)))
    curve = _shown(support.with_skin, last_day)
    most_n = OF_SEAM_MM * max(*curve.support_n_per_mm, support.load_n_per_mm)
    day_mm = (width_mm - _LEFT_MM - _RIGHT_MM) / last_day
    return _Frame(last_day, day_mm, _HIGH_MM / most_n, most_n)


def _shown(curve: SupportCurve, last_day: float) -> SupportCurve:
    count = sum(day <= last_day for day in curve.at_day)
    return SupportCurve(
        at_day=curve.at_day[:count],
        support_n_per_mm=curve.support_n_per_mm[:count],
        worst_n_per_mm=curve.worst_n_per_mm[:count],
    )


def _axes(frame: _Frame, end_mm: float) -> Iterator[Mark]:
    corner = (_LEFT_MM, _BASE_MM)
    yield Line(points=((_LEFT_MM, _BASE_MM + _HIGH_MM), corner, (end_mm, _BASE_MM)), ink=TICK)
    for day in range(0, int(frame.last_day) + 1, _WEEK):
        x = frame.at(day, 0.0)[0]
        yield Line(points=((x, _BASE_MM), (x, _BASE_MM - 1.2)), ink=TICK)
        yield _words((x, 6.8), f"day\u00a0{day}", Anchor.MIDDLE)
    step = next((s for s in _STEPS_N if frame.most_n / s <= _MOST_STEPS), _STEPS_N[-1])
    for force_n in range(0, int(frame.most_n) + 1, step):
        y = _BASE_MM + force_n * frame.newton_mm
        yield Line(points=((_LEFT_MM - 1.2, y), (_LEFT_MM, y)), ink=TICK)
        yield _words((_LEFT_MM - 2.0, y), with_unit(force_n, "N"), Anchor.END)
    caption = f"Newtons that {with_unit(int(OF_SEAM_MM), 'mm')} of seam can hold"
    yield Words(at=(0.0, _HEIGHT_MM - 2.0), text=caption, ink=BLACK_WORDS, size_pt=BODY_PT,
                anchor=Anchor.START)  # fmt: skip


def _names(end_mm: float, middle_mm: float, worst_mm: float, load_mm: float) -> Iterator[Mark]:
    """Name the lines at their ends, from below, each clear of the one under it."""
    level = load_mm - _LABELS_APART_MM
    for wanted, text in sorted(((load_mm, "load"), (worst_mm, "worst figures"),
                                (middle_mm, "middle figures"))):  # fmt: skip
        level = max(wanted, level + _LABELS_APART_MM)
        yield Words(at=(end_mm + 1.6, level), text=text, ink=BLACK_WORDS, size_pt=BODY_PT,
                    anchor=Anchor.START)  # fmt: skip


def _removal(support: Support, frame: _Frame) -> Iterator[Mark]:
    """Mark the surgeon's day on which the skin stitches leave."""
    if support.removal_day is None:
        return
    x, top = frame.at(support.removal_day, 0.0)[0], _BASE_MM + _HIGH_MM + 2.0
    yield Line(points=((x, _BASE_MM), (x, top)), ink=WANTED)
    text = f"skin stitches out, day\u00a0{at_least(support.removal_day)}"
    yield Words(at=(x, top + 2.2), text=text, ink=BLACK_WORDS, size_pt=BODY_PT)


def _words(at: tuple[float, float], text: str, anchor: Anchor) -> Words:
    return Words(at=at, text=text, ink=GREY_WORDS, size_pt=SMALL_PT, anchor=anchor)
