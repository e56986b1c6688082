"""The drain as a picture: what was read as ink bars, what is foreseen as a pen-soft area."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from crena.draw.inks import BAND, BLACK, BLACK_WORDS, GREY_WORDS, PEN, TICK, WANTED, Ink
from crena.draw.marks import (
    BODY_PT,
    SMALL_PT,
    Anchor,
    Line,
    Mark,
    Strokes,
    Words,
    words_width_mm,
)
from crena.draw.svg import svg_of
from crena.draw.words import with_unit
from crena.records import DayChance, DrainForecast, DrainRead, DrainRule, Record
from crena.records.dates import NAMES, Language
from crena.records.numbers import at_least, whole

READ = Ink(layer="BARS", fill=BLACK)
"""A volume that was read."""

READ_NOT_COUNTED = Ink(layer="BARS", stroke=BLACK, width_mm=0.35, fill="#ffffff")
"""A volume that cannot meet the rule."""

FORESEEN = Ink(layer="BARS", stroke=PEN, width_mm=0.3, fill="#d9cde6")
"""Pen-soft with a pen rim: a forecast, also in grey."""

SHOWN_CHANCE = 0.01
"""Days that are less likely than this are not drawn."""

_LEAST_DAYS = 7
_LEFT_MM = 23.0
_RIGHT_MM = 1.0
_WEEKDAY_MM = 2.4
_DAY_MM = 7.0
_RANGE_MM = (10.6, 12.8)
_BASE_MM = 16.4
_HIGH_MM = 32.0
_CAPTION_MM = 56.0
_HEIGHT_MM = 58.5
_BAR_SHARE = 0.5
"""Of a day's width, what a bar takes."""

_UPRIGHT_MM = 12.0
"""Room for a figure that stands upright on its bar."""

_FULL_CHANCE = 0.4
"""Chances up to this share the whole height, so that small ones can be told apart."""

_WIDEST = "8\u00a0of\u00a010"
_AIR_MM = 1.5
_LABELS_APART_MM = 4.2
_STEPS_ML = (5, 10, 20, 50, 100, 200, 500)
_MOST_STEPS = 4


@dataclass(frozen=True, slots=True)
class _Days:
    """Where days lie on the paper."""

    last: int
    step_mm: float

    def middle_mm(self, day: float) -> float:
        return _LEFT_MM + (day - 0.5) * self.step_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainView(Record):
    """What the picture shows."""

    rule: DrainRule
    read: tuple[DrainRead, ...]
    forecast: DrainForecast
    operated_on: date | None  #: none: no weekdays under the days


def drain_picture(view: DrainView, width_mm: float) -> bytes:
    """Draw the readings against their day, and the chance of each day to come.

    Parameters
    ----------
    view : DrainView
        Readings, rule and forecast.
    width_mm : float
        Of the drawing.

    Returns
    -------
    bytes
        SVG: ink bars with the rule as a dashed line, the forecast as a pen-soft area, the
        days that hold 8 in 10 as a pen bar under the axis.
    """
    ahead = shown_days(view.forecast)
    last = max(_LEAST_DAYS, *(d.day for d in view.read), *(d.day for d in ahead), 0)
    days = _Days(last, (width_mm - _LEFT_MM - _RIGHT_MM) / last)
    marks = (
        *_areas(ahead, days),
        *_bars(view, days),
        *_axis(days, view.operated_on),
        *_likely_range(view.forecast, days),
        *_captions(view, ahead, days),
    )
    return svg_of(marks, (0.0, 0.0, width_mm, _HEIGHT_MM), view.forecast.words)


def shown_days(forecast: DrainForecast) -> tuple[DayChance, ...]:
    """Return the days to come as far as they are likely enough to be drawn."""
    likely = [each.day for each in forecast.days if each.chance >= SHOWN_CHANCE]
    last = max(likely, default=0)
    return tuple(each for each in forecast.days if each.day <= last)


def volume_words(ml_per_day: float, rule: DrainRule) -> str:
    """Return a volume in whole mL that lies on the same side of the rule as the true one.

    >>> volume_words(9.7, DrainRule(below_ml=10.0)), volume_words(12.5, DrainRule())
    ('9\\xa0mL', '13\\xa0mL')
    """
    shown = whole(ml_per_day)
    if ml_per_day < rule.below_ml <= shown:
        shown = at_least(ml_per_day)
    return with_unit(shown, "mL")


def tens_words(chance: float) -> str:
    """Return a chance in tenths, never as none or all of them.

    >>> tens_words(0.76), tens_words(0.02), tens_words(0.99)
    ('8\\xa0of\\xa010', 'below\\xa01\\xa0of\\xa010', 'over\\xa09\\xa0of\\xa010')
    """
    tenths = whole(10 * chance)
    if tenths < 1:
        return f"below\u00a0{with_unit(1, 'of 10')}"
    if tenths >= 10:
        return f"over\u00a0{with_unit(9, 'of 10')}"
    return with_unit(tenths, "of 10")


def _areas(ahead: Sequence[DayChance], days: _Days) -> Iterator[Mark]:
    """Draw one stepped area over all days to come, with the larger chances in words."""
    if not ahead:
        return
    half, most = days.step_mm / 2, max(each.chance for each in ahead)
    ratio = _room_mm(days) / max(most, _FULL_CHANCE)
    top = [
        (days.middle_mm(each.day) + side * half, _BASE_MM + each.chance * ratio)
        for each in ahead
        for side in (-1, 1)
    ]
    outline = ((top[0][0], _BASE_MM), *top, (top[-1][0], _BASE_MM))
    yield Line(points=outline, ink=FORESEEN, closed=True)
    for each in ahead:
        if whole(10 * each.chance) >= 1 or each.chance == most:
            yield _over(days, each.day, each.chance * ratio, tens_words(each.chance))


def _bars(view: DrainView, days: _Days) -> Iterator[Mark]:
    """Draw the volumes with their scale, and the rule as a dashed line."""
    if not view.read:
        return
    read = [each.ml_per_day for each in view.read if each.ml_per_day is not None]
    ratio = _room_mm(days) / max(1.25 * view.rule.below_ml, *read, 0.0)
    half = _BAR_SHARE * days.step_mm / 2
    for each in view.read:
        x = days.middle_mm(each.day)
        if each.ml_per_day is None:
            yield _upright(x, _BASE_MM + view.rule.below_ml * ratio, "not measured")
            continue
        top = _BASE_MM + each.ml_per_day * ratio
        shape = ((x - half, _BASE_MM), (x - half, top), (x + half, top), (x + half, _BASE_MM))
        yield Line(points=shape, ink=READ if each.counts else READ_NOT_COUNTED, closed=True)
        yield _over(days, each.day, top - _BASE_MM, volume_words(each.ml_per_day, view.rule))
    yield from _scale(view, ratio, days)


def _scale(view: DrainView, ratio: float, days: _Days) -> Iterator[Mark]:
    rule_mm = _BASE_MM + view.rule.below_ml * ratio
    end = days.middle_mm(max(each.day for each in view.read)) + days.step_mm / 2
    yield Line(points=((_LEFT_MM, rule_mm), (end, rule_mm)), ink=WANTED)
    yield _aside(rule_mm, f"rule {view.rule.below_ml:g}\u00a0mL", bold=True)
    most_ml = _room_mm(days) / ratio
    step = next((s for s in _STEPS_ML if most_ml / s <= _MOST_STEPS), _STEPS_ML[-1])
    for ml in range(0, int(most_ml) + 1, step):
        level = _BASE_MM + ml * ratio
        if abs(level - rule_mm) >= _LABELS_APART_MM:
            yield _aside(level, with_unit(ml, "mL"))
        yield Line(points=((_LEFT_MM - 1.2, level), (_LEFT_MM, level)), ink=TICK)
    yield Line(points=((_LEFT_MM, _BASE_MM), (_LEFT_MM, _BASE_MM + _HIGH_MM)), ink=TICK)


def _axis(days: _Days, operated_on: date | None) -> Iterator[Mark]:
    """Draw the days with their number and, where they are known, their weekday."""
    end = days.middle_mm(days.last) + days.step_mm / 2
    yield Line(points=((_LEFT_MM, _BASE_MM), (end, _BASE_MM)), ink=TICK)
    yield _aside(_DAY_MM, "day")
    for day in range(1, days.last + 1):
        yield _at(days.middle_mm(day), _DAY_MM, f"{day}", bold=True)
        if operated_on is not None:
            on = operated_on + timedelta(days=day)
            yield _at(
                days.middle_mm(day), _WEEKDAY_MM, NAMES[Language.ENGLISH][0][on.weekday()][:3]
            )


def _likely_range(forecast: DrainForecast, days: _Days) -> Iterator[Mark]:
    """Draw the days that hold 8 in 10 as a bar under the axis."""
    if forecast.met_on_day is not None or forecast.from_day is None:
        return
    half = days.step_mm / 2
    last = min(forecast.to_day or days.last, days.last)
    left, right = days.middle_mm(forecast.from_day) - half, days.middle_mm(last) + half
    low, high = _RANGE_MM
    shape = ((left, low), (right, low), (right, high), (left, high))
    yield Line(points=shape, ink=BAND, closed=True)
    yield _aside((low + high) / 2, "8\u00a0in\u00a010")


def _captions(view: DrainView, ahead: Sequence[DayChance], days: _Days) -> Iterator[Mark]:
    """Say over each part what it shows; the forecast's words end at the right edge."""
    if view.read:
        yield Words(at=(0.0, _CAPTION_MM), text="Read: volume in 24\u00a0h", ink=BLACK_WORDS,
                    size_pt=BODY_PT, anchor=Anchor.START)  # fmt: skip
    if ahead:
        words = "Forecast: chance that the rule is first met on this day"
        end = days.middle_mm(days.last) + days.step_mm / 2
        yield Words(at=(end, _CAPTION_MM), text=words, ink=BLACK_WORDS, size_pt=BODY_PT,
                    anchor=Anchor.END)  # fmt: skip
        if view.read:
            x = days.middle_mm(ahead[0].day) - days.step_mm / 2
            yield Strokes(lines=(((x, _BASE_MM), (x, _CAPTION_MM - 3.0)),), ink=TICK)


def _over(days: _Days, day: int, height_mm: float, text: str) -> Words:
    """Write a figure over its bar, upright where the day is too narrow for it."""
    x, y = days.middle_mm(day), _BASE_MM + height_mm
    if not _narrow(days):
        return _at(x, y + 2.6, text, bold=True)
    return _upright(x, y, text)


def _narrow(days: _Days) -> bool:
    return days.step_mm < words_width_mm(_WIDEST, BODY_PT, bold=True) + _AIR_MM


def _room_mm(days: _Days) -> float:
    """Return the height that bars have under their figures."""
    return _HIGH_MM - _UPRIGHT_MM if _narrow(days) else _HIGH_MM


def _upright(x: float, y: float, text: str) -> Words:
    return Words(at=(x, y + 1.2), text=text, ink=BLACK_WORDS, size_pt=SMALL_PT, bold=True,
                 anchor=Anchor.START, turn_deg=90.0)  # fmt: skip


def _at(x: float, y: float, text: str, *, bold: bool = False) -> Words:
    return Words(at=(x, y), text=text, ink=BLACK_WORDS, size_pt=BODY_PT, bold=bold)


def _aside(y: float, text: str, *, bold: bool = False) -> Words:
    ink = BLACK_WORDS if bold else GREY_WORDS
    return Words(at=(_LEFT_MM - 2.0, y), text=text, ink=ink, size_pt=SMALL_PT, bold=bold,
                 anchor=Anchor.END)  # fmt: skip
