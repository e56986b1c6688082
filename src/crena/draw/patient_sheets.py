"""The patient's sheet: their own drawing, their own days, what to do, and when to call."""

import re
from itertools import groupby
from typing import Any

from crena.draw.allergy_words import allergies_in
from crena.draw.dated_tasks import drain_readings
from crena.draw.handout_pictures import PictureWords, closure_picture
from crena.draw.paper import Paper
from crena.draw.patient_words import (
    ADVICE,
    ASK_FOR_NUMBER,
    CALL_AT_ONCE,
    FROM_SIDE,
    OPERATION,
    SIDE_IN_HEAD,
    SIDE_IN_PICTURE,
    TASKS,
    WORDS,
    Advice,
    said,
)
from crena.draw.plan_pictures import Stage
from crena.draw.press import pdf_of
from crena.draw.words import NARROW, unsplit
from crena.records import Closure, DatedTask, HealingPlan, Language, Side, weekday_date
from crena.records.schedules import rule_code

LETTERS_PT = 11.0
"""Smallest print on the patient's sheet."""

_MARGIN_MM = 14.0
_PICTURE_MM = (84.0, 84.0)
"""Largest width and height of the drawing."""

_LAST_COUNTED_DAY = 60
"""Later days bear their date alone: nobody counts to day 1826."""

_DAY = re.compile(r"\{([a-z-]+)\}")


def patient_pdf(healing: HealingPlan, *, language: Language, paper: Paper) -> bytes:
    """Print the sheet that the patient takes home.

    Parameters
    ----------
    healing : HealingPlan
        Where a part is missing, the sheet says so in words.
    language : Language
        Of the sheet; a surgeon's own task keeps its own words.
    paper : Paper
        The sheets that lie in the printer.

    Returns
    -------
    bytes
        A PDF of two pages with the common days: the drawing and when to call, then all days.
    """
    content = {
        "lang": "de" if language is Language.GERMAN else "en",
        "paper": {"width_mm": paper.width_mm, "height_mm": paper.height_mm},
        "margin_mm": _MARGIN_MM,
        "letters_pt": LETTERS_PT,
        "words": {key: said(words, language) for key, words in WORDS.items()},
        "case_label": healing.case_label,
        "side": side_in_head(healing, language),
        "code": healing.code or said(WORDS["no_code"], language),
        "allergies": allergies_in(healing.allergies, language),
        "caution": said(WORDS["caution"], language),
        "operation": _operation(healing, language),
        "picture": _picture(healing, language),
        "call": _calls(healing, language),
        "call_at": healing.call_at or said(ASK_FOR_NUMBER, language),
        "call_known": bool(healing.call_at),
        "advice": advice_of(healing, language),
        "dates_note": _dates_note(healing, language),
        "dates": dates_of(healing, language),
    }
    return pdf_of("patient", content)


def side_in_head(healing: HealingPlan, language: Language) -> str:
    """Say in full words from which side the tissue comes, as every page bears it."""
    if healing.plan is None:
        return said(WORDS["no_side"], language)
    closure = healing.plan.closure
    if closure.donor_side is None:
        return said(WORDS["flaps" if closure.flaps else "no_flap"], language)
    what = said(WORDS["flap" if closure.flaps else "tissue"], language)
    return f"{what} {said(SIDE_IN_HEAD[closure.donor_side], language)}"


def task_words(entry: DatedTask, language: Language) -> str:
    """Return what the patient reads for one entry of the schedule.

    Parameters
    ----------
    entry : DatedTask
        A common one, or the surgeon's own.
    language : Language
        Of the sheet.

    Returns
    -------
    str
        The catalogue's words; the surgeon's own if the code or the task is not the common one.
    """
    known = TASKS.get(rule_code(entry.code))
    if known is None or known.stands_for != entry.task:
        return unsplit(entry.task)
    return said(known.words, language)


def dates_of(healing: HealingPlan, language: Language) -> list[dict[str, Any]]:
    """Return one row for each day of the schedule on which something is to be done.

    Parameters
    ----------
    healing : HealingPlan
        With its schedule; no rows without one.
    language : Language
        Of the sheet.

    Returns
    -------
    list of dict
        Day with its weekday, number of the day, tasks, and the next weekday where a visit
        falls on a weekend. The drain, read each day by a nurse, stands on its first day alone.
    """
    entries = healing.schedule.entries if healing.schedule else ()
    readings = drain_readings(entries)
    hidden = readings[1:] if healing.may_have_drain else readings
    shown = [entry for entry in entries if entry not in hidden]
    rows = []
    for on, group in groupby(shown, key=lambda entry: entry.on):
        tasks = list(group)
        instead = {entry.weekday_after for entry in tasks if entry.weekday_after}
        weekend = [_filled("weekend", weekday_date(day, language), language) for day in instead]
        rows.append(
            {
                "on": weekday_date(on, language),
                "day": _counted_day(tasks[0].day, language),
                "tasks": [task_words(entry, language) for entry in tasks],
                "weekend": weekend,
            }
        )
    return rows


def _counted_day(day: int, language: Language) -> str:
    return _filled("day", str(day), language) if day <= _LAST_COUNTED_DAY else ""


def advice_of(healing: HealingPlan, language: Language) -> list[dict[str, str]]:
    """Return what to do from day to day, with the patient's own days in it.

    Parameters
    ----------
    healing : HealingPlan
        With its schedule; without a day the sheet tells the patient to ask.
    language : Language
        Of the sheet.

    Returns
    -------
    list of dict
        Heading and words; nothing on a drain if none was laid.
    """
    entries = healing.schedule.entries if healing.schedule else ()
    days = {
        entry.code: weekday_date(entry.on, language).replace(" ", NARROW)
        for entry in entries
        if entry.code in TASKS and TASKS[entry.code].stands_for == entry.task
    }
    return [
        {"heading": said(advice.heading, language), "words": _advised(advice, days, language)}
        for advice in ADVICE
        if advice.code != "drain" or healing.may_have_drain
    ]


def _advised(advice: Advice, days: dict[str, str], language: Language) -> str:
    words = said(advice.dated, language)
    if advice.undated is not None and not set(_DAY.findall(words)) <= days.keys():
        words = said(advice.undated, language)
    return _DAY.sub(lambda found: days[found[1]], words)


def _calls(healing: HealingPlan, language: Language) -> list[str]:
    return [said(words, language).replace("38 °C", f"38{NARROW}°C") for words in CALL_AT_ONCE]


def _operation(healing: HealingPlan, language: Language) -> list[str]:
    if healing.plan is None:
        return []
    changed = healing.operation is not None and bool(healing.operation.deviations)
    sentence = _what_is_done(healing.plan.closure, language)
    note = said(WORDS["changed" if changed else "differs"], language)
    return [sentence, said(WORDS["picture_words"], language), note]


def _what_is_done(closure: Closure, language: Language) -> str:
    if closure.donor_side is None:
        return said(OPERATION["flaps" if closure.flaps else closure.kind], language)
    side = said(FROM_SIDE[closure.donor_side], language)
    return said(OPERATION["flap" if closure.flaps else "tissue"], language).format(side=side)


def _picture(healing: HealingPlan, language: Language) -> dict[str, Any] | None:
    if healing.plan is None:
        return None
    title = f"{said(WORDS['picture'], language)}. {side_in_head(healing, language)}."
    words = PictureWords(
        title=title,
        head=said(WORDS["head"], language),
        tailbone=said(WORDS["tailbone"], language),
        left=said(SIDE_IN_PICTURE[Side.LEFT], language),
        right=said(SIDE_IN_PICTURE[Side.RIGHT], language),
        size_pt=LETTERS_PT,
    )
    svg, width_mm = closure_picture(healing.plan.closure, Stage.SEWN, words, _PICTURE_MM)
    return {"svg": svg.decode(), "width_mm": width_mm, "alt": title}


def _dates_note(healing: HealingPlan, language: Language) -> str:
    if healing.schedule is None:
        return said(WORDS["no_dates"], language)
    return _filled("operated", weekday_date(healing.schedule.operated_on, language), language)


def _filled(key: str, day: str, language: Language) -> str:
    return said(WORDS[key], language).format(day=day.replace(" ", NARROW))
