"""The card for the ward: the drain, whom to call and for what, the next days; behind it, why."""

from datetime import date, timedelta
from itertools import groupby
from typing import Any

from crena.draw.card_heads import MARGIN_MM, card_head
from crena.draw.dated_tasks import drain_readings
from crena.draw.drain_pictures import DrainView, drain_picture
from crena.draw.paper import Paper
from crena.draw.press import pdf_of
from crena.draw.support_pictures import load_words, lowest_words, support_picture
from crena.draw.tongues import Entered, printed_in, said
from crena.draw.words import capital, unsplit
from crena.records import (
    DatedTask,
    DrainRule,
    EarliestDay,
    HealingPlan,
    Language,
    Support,
    basis_words,
    weekday_date,
)
from crena.records.numbers import at_least

LETTERS_PT = 12.0
"""Size of the text: read at arm's length."""

SHOWN_DATES = 4
"""Days that go on the card; the patient's sheet has all."""

BLEEDING_ML_PER_HOUR = 50
"""From memory: above this the surgeon is called."""

CALLS = (
    f"Bright blood in the drain, or more than {BLEEDING_ML_PER_HOUR} mL in an hour",
    "A sudden stop, a lost vacuum, or a tube that is not open",
    "Turbid or foul fluid, pus, redness that spreads",
    "Sudden swelling or pain under the flap",
    "A dark or blue tip of the flap, or edges more than 5 mm apart",
    "Bleeding that soaks the dressing",
    "Fever of 38 °C or more",
    "No urine can be passed",
)
"""Common practice, no source."""

NO_STEP = "A forecast, not an order: taking the drain out is the surgeon's decision."


NOT_IN_THE_MODEL = (
    "A thread that holds is not tissue that holds: cutting through, blood supply and infection "
    "are not in these figures."
)


def ward_card_pdf(
    healing: HealingPlan, *, paper: Paper, language: Language = Language.ENGLISH
) -> bytes:
    """Print the card that hangs at the bed.

    Parameters
    ----------
    healing : HealingPlan
        With the readings so far; what is missing is said in words.
    paper : Paper
        The sheets that lie in the printer.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        A PDF of two pages: all that the ward does, and on its back what that rests on.
    """
    with printed_in(language):
        return pdf_of("ward_card", _content(healing, paper))


def _content(healing: HealingPlan, paper: Paper) -> dict[str, Any]:
    return {
        **card_head(healing, paper, LETTERS_PT),
        "title": f"Ward card, {healing.case_label}",
        "operated": _operated(healing),
        "has_drain": healing.may_have_drain,
        "rule": rule_words(healing.drain_rule, _operated_on(healing)),
        "forecast": _forecast(healing),
        "drain": _drain_picture(healing, paper) if healing.may_have_drain else None,
        "drain_cautions": _sentences(healing.drain.cautions if healing.drain else ()),
        "calls": [unsplit(words).replace("38 °C", "38\u00a0°C") for words in CALLS],
        "call_at": Entered(healing.call_at),
        "dates": next_days(healing),
        "support": _support(healing, paper),
        "evidence": _sentences(healing.drain.evidence if healing.drain else ()),
    }


def rule_words(rule: DrainRule, operated_on: date | None) -> str:
    """Say the surgeon's rule for the drain, with the latest day as a date.

    Parameters
    ----------
    rule : DrainRule
        The surgeon's own.
    operated_on : date, optional
        Day 0; none: the latest day is told as a number only.

    Examples
    --------
    >>> rule_words(DrainRule(readings=2), date(2026, 11, 26)).replace(chr(160), " ")
    'Below *10 mL* in 24 h, 2 days in a row; at the latest on *day 21*, Thursday 17 December 2026.'
    """
    days = "" if rule.readings == 1 else f", {rule.readings} days in a row"
    latest = f"*day\u00a0{rule.latest_day}*"
    if operated_on is not None:
        latest += f", {weekday_date(operated_on + timedelta(days=rule.latest_day))}"
    return f"Below *{rule.below_ml:g}\u00a0mL* in 24\u00a0h{days}; at the latest on {latest}."


def next_days(healing: HealingPlan) -> list[dict[str, Any]]:
    """Return the next days of the schedule, from the day of printing on.

    Parameters
    ----------
    healing : HealingPlan
        With its schedule; no rows without one.

    Returns
    -------
    list of dict
        Day, date with its weekday, tasks, and the next weekday where a visit falls on a weekend.
    """
    entries = healing.schedule.entries if healing.schedule else ()
    today = date.fromisoformat(healing.made_on)
    ahead = [one for one in entries if one.on >= today and _concerns(one, healing)]
    readings = drain_readings(ahead)
    shown = [one for one in ahead if one not in readings[1:]]
    days = [list(group) for _, group in groupby(shown, key=lambda one: one.on)]
    return [_day(tasks, readings) for tasks in days[:SHOWN_DATES]]


def _day(tasks: list[DatedTask], readings: list[DatedTask]) -> dict[str, Any]:
    instead = {one.weekday_after for one in tasks if one.weekday_after}
    return {
        "day": f"day\u00a0{tasks[0].day}",
        "on": weekday_date(tasks[0].on),
        "tasks": [unsplit(one.task) for one in tasks],
        "notes": [
            *(f"Or {weekday_date(day)}." for day in sorted(instead)),
            *(_daily(readings) if readings[:1] == [t for t in tasks if t in readings] else ()),
            *(unsplit(warning) for one in tasks for warning in one.warnings),
        ],
    }


def _daily(readings: list[DatedTask]) -> list[str]:
    """Say in one line that a drain is read again, which takes no line for each day."""
    if len(readings) < 2:
        return []
    return [f"The drain each day, as far as is foreseen until day\u00a0{readings[-1].day}."]


def _concerns(entry: DatedTask, healing: HealingPlan) -> bool:
    return healing.may_have_drain or not entry.code.startswith("drain")


def _operated_on(healing: HealingPlan) -> date | None:
    if healing.operation is not None:
        return healing.operation.operated_on
    return healing.schedule.operated_on if healing.schedule else None


def _operated(healing: HealingPlan) -> str:
    on = _operated_on(healing)
    return (
        f"Operated on {weekday_date(on)}: day\u00a00"
        if on
        else "Day of the operation: not recorded"
    )


def _forecast(healing: HealingPlan) -> str:
    if not healing.may_have_drain:
        return ""
    if healing.drain is None:
        return "Forecast: none, because no course of the drain is recorded."
    words = unsplit(healing.drain.words)
    return words if healing.drain.met_on_day is not None else f"{words} {NO_STEP}"


def _drain_picture(healing: HealingPlan, paper: Paper) -> dict[str, Any] | None:
    if healing.drain is None:
        return None
    view = DrainView(
        rule=healing.drain_rule,
        read=healing.drain_days,
        forecast=healing.drain,
        operated_on=_operated_on(healing),
    )
    width_mm = paper.width_mm - 2 * MARGIN_MM
    svg = drain_picture(view, width_mm)
    return {"svg": svg.decode(), "width_mm": width_mm, "alt": healing.drain.words}


def _support(healing: HealingPlan, paper: Paper) -> dict[str, Any]:
    support = healing.support
    if support is None:
        why = healing.support_reason or "nothing is known of layers or pull"
        return {
            "picture": None,
            "words": [f"*Support: not computed, because {why}.*"],
            "sources": "",
        }
    width_mm = paper.width_mm - 2 * MARGIN_MM
    svg = support_picture(support, width_mm).decode()
    return {
        "picture": {"svg": svg, "width_mm": width_mm, "alt": lowest_words(support.lowest_worst)},
        "words": support_sentences(support),
        "sources": unsplit(f"Sources: {'; '.join(support.sources)}."),
    }


def support_sentences(support: Support) -> list[str]:
    """Say what the curves mean for the day on which stitches leave.

    Parameters
    ----------
    support : Support
        As computed.

    Returns
    -------
    list of str
        The surgeon's day first; nothing is promised of any day.
    """
    customary = support.customary
    low, high = at_least(customary.low_day), at_least(customary.high_day)
    days = f"day\u00a0{low}" if low == high else f"days\u00a0{low}–{high}"
    return [
        _removal(support),
        f"Customary on the {customary.site}: *{days}*. Source: {basis_words(customary.basis)}.",
        f"The seam that pulls hardest: *{load_words(support.load_n_per_mm)}*; relative, not "
        "validated.",
        f"{lowest_words(support.lowest)}; with the worst figures and the hardest pull: "
        f"{_lower_first(lowest_words(support.lowest_worst))}.",
        _earliest(support.earliest),
        NOT_IN_THE_MODEL,
        *(unsplit(warning) for warning in support.warnings),
    ]


def _removal(support: Support) -> str:
    if support.removal_day is None:
        return "No skin stitch comes out by plan."
    return f"The surgeon's day for the skin stitches: *day\u00a0{at_least(support.removal_day)}*."


def _earliest(asked: tuple[EarliestDay, ...]) -> str:
    """Say from which day the wound keeps each multiple of its load without skin stitches."""
    held = [
        said(f"{each.multiple_ratio:g}\u00a0times its load {_from(each.from_day)} "
             f"(worst figures: {_from(each.worst_from_day)})")
        for each in asked
    ]  # fmt: skip
    return Entered(f"{said('Without skin stitches it holds')} {', '.join(held)}.")


def _from(day: float | None) -> str:
    if day is None:
        return "on none of the days looked at"
    return "at all times" if day == 0 else f"from day\u00a0{_whole_day(day)}"


def _whole_day(day: float) -> int:
    """Return the first whole day that is not earlier."""
    return -at_least(-day)


def _lower_first(words: str) -> str:
    return words[:1].lower() + words[1:]


def _sentences(sentences: tuple[str, ...]) -> list[str]:
    return [unsplit(capital(sentence)) for sentence in sentences]
