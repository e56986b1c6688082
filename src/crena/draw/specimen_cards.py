"""The card that goes with the specimen: how it lay, what is asked, how it is marked."""

from typing import Any

from crena.draw.card_frames import TRUE_SIZE
from crena.draw.card_heads import card_head
from crena.draw.paper import Paper
from crena.draw.press import pdf_of
from crena.draw.specimen_pictures import marked_corners, specimen_picture, thread_words
from crena.draw.tongues import Entered, printed_in, said
from crena.draw.words import capital, span, unsplit, with_unit
from crena.records import Excision, HealingPlan, Language, OperationRecord, long_date
from crena.records.numbers import at_least, whole

LETTERS_PT = 10.0
"""Size of the text."""

_PICTURE_MM = 182.0
"""Width of the drawing: that of the narrower paper."""

_UNDER_MM = 160.0
"""Of the paper's height, what words and tables take."""

QUESTIONS = (
    "Is every tract, with its blind end, inside the specimen?",
    "How far does healthy tissue reach between the disease and each wall, and the floor?",
    "Does a tract or its lining reach a cut edge? Which wall, and how deep below the skin?",
    "Is there anything that does not belong to this disease?",
)
"""What the surgeon asks."""

FLOOR = "floor (fascia)"


def specimen_card_pdf(
    healing: HealingPlan, *, paper: Paper, language: Language = Language.ENGLISH
) -> bytes:
    """Print the card for the pathologist.

    Parameters
    ----------
    healing : HealingPlan
        With the plan that was followed; without one, the outline is left to be drawn.
    paper : Paper
        The sheets that lie in the printer.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        A PDF of one page; the outline at true size where it goes in, with a 100 mm bar.
    """
    with printed_in(language):
        return pdf_of("specimen_card", _content(healing, paper))


def _content(healing: HealingPlan, paper: Paper) -> dict[str, Any]:
    plan = healing.plan
    return {
        **card_head(healing, paper, LETTERS_PT),
        "title": f"Specimen card, {healing.case_label}",
        "taken": _taken(healing),
        "drawn": _drawn(plan.excision, paper) if plan else None,
        "figures": _figures(plan.excision) if plan else [],
        "done": _done(healing.operation),
        "walls": wall_rows(plan.excision if plan else None, healing.operation),
        "questions": list(QUESTIONS),
    }


def wall_rows(excision: Excision | None, operation: OperationRecord | None) -> list[list[str]]:
    """Return one row for each wall and the floor, with what is known of its clearance.

    Parameters
    ----------
    excision : Excision, optional
        With walls and clearances; none: only walls that were measured stand there.
    operation : OperationRecord, optional
        With what was measured on the specimen already.

    Returns
    -------
    list of list of str
        Wall, least clearance in the plan, measured so far; empty where nothing is known.
    """
    measured = {c.wall: c.clearance_mm for c in (operation and operation.clearances) or ()}
    planned: dict[str, str] = {}
    if excision is not None:
        planned = {wall.name: _planned(excision, wall.name) for wall in excision.outline.walls}
        floors = [one.floor_mm for one in excision.clearances]
        planned[FLOOR] = _clear(min(floors)) if floors else "not stated"
    return [
        [capital(name), planned.get(name, "not in the plan"),
         _clear(measured[name]) if name in measured else ""]
        for name in dict.fromkeys([*planned, *measured])
    ]  # fmt: skip


def _planned(excision: Excision, wall: str) -> str:
    """Return the least clearance to a wall; a wall that binds nothing is farther off."""
    found = [one.least_mm for one in excision.clearances if one.wall == wall]
    if found:
        return _clear(min(found))
    if not excision.clearances:
        return "not stated"
    return "no part is nearest here"


def _clear(clearance_mm: float) -> str:
    if clearance_mm < 0:
        return "cut into"
    return with_unit(at_least(clearance_mm), "mm")


def _drawn(excision: Excision, paper: Paper) -> dict[str, Any]:
    size_mm = (_PICTURE_MM, paper.height_mm - _UNDER_MM)
    svg, width_mm, ratio = specimen_picture(excision, size_mm)
    true = ratio == TRUE_SIZE
    threads = [thread_words(each) for each in marked_corners(excision.outline)]
    return {
        "svg": svg.decode(),
        "width_mm": width_mm,
        "true": true,
        "size": "True size." if true else f"Not at true size: drawn at {_percent(ratio)}.",
        "alt": f"Outline of the specimen, head upwards, skin towards you; {'; '.join(threads)}.",
        "threads": threads,
    }


def _percent(ratio: float) -> str:
    return f"{whole(100 * ratio)}\u00a0%"


def _figures(excision: Excision) -> list[str]:
    volume = span(excision.volume_low_ml, excision.volume_high_ml, "mL")
    angle = whole(excision.outline.wall_angle_deg)
    walls = "Walls straight down" if angle == 0 else f"Walls {angle}° wider at the floor"
    depth = with_unit(whole(excision.depth_mm), "mm")
    return [f"As planned: *{volume}*, at most *{depth}* deep, down to the fascia. {walls}."]


def _taken(healing: HealingPlan) -> str:
    """Return the day of the operation; one that lies ahead is not said to be past."""
    if healing.operation is None:
        return ""
    day = healing.operation.operated_on
    ahead = day.isoformat() > healing.made_on
    return f"{'To be taken out' if ahead else 'Taken out'} on {long_date(day)}"


def _done(operation: OperationRecord | None) -> list[str]:
    """Say what was recorded of this specimen; nothing if there is no operation yet."""
    if operation is None:
        return []
    sizes = [
        f"{with_unit(whole(size), 'mm')} {word}"
        for word in ("long", "wide", "deep")
        if (size := getattr(operation, _FIELDS[word])) is not None
    ]
    if operation.specimen_weight_g is not None:
        sizes.append(with_unit(operation.specimen_weight_g, "g"))
    sentences = [f"As measured in theatre: {', '.join(sizes)}."] if sizes else []
    walls = ", ".join(operation.dye_walls)
    sentences.append(unsplit(f"Dye: {operation.dye_seen}{f' at wall {walls}' if walls else ''}."))
    sentences += [
        Entered(f"*{said('Otherwise than drawn:')}* {unsplit(one.what.rstrip('. '))}.")
        for one in operation.deviations or ()
    ]
    return sentences


_FIELDS = {
    "long": "specimen_length_mm", "wide": "specimen_width_mm", "deep": "specimen_depth_mm",
}  # fmt: skip
