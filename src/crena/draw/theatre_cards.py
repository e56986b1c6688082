"""The card for the theatre: what to settle, the drawing, the layers, room for what was found."""

from math import ceil
from typing import Any

from crena.draw.card_heads import card_head, side_words
from crena.draw.layer_rows import layer_notes, layer_rows, sewing_order
from crena.draw.paper import Paper
from crena.draw.plan_pictures import Stage
from crena.draw.press import pdf_of
from crena.draw.theatre_pictures import theatre_picture
from crena.draw.tongues import printed_in, printed_language, said
from crena.draw.words import (
    capital,
    from_tip,
    off_midline,
    pedicle_words,
    sign_off_time,
    span,
    unsplit,
    with_unit,
)
from crena.records import Answer, Closure, Excision, HealingPlan, Language, Matter, Plan, SignOff
from crena.records.numbers import whole

LETTERS_PT = {Language.ENGLISH: 9.0, Language.GERMAN: 8.5}
"""Size of the text: German runs longer, and the card has one page."""

_PICTURE_MM = 88.0
"""Width of each drawing."""

_HIGHEST_MM, _LOWEST_MM = 82.0, 50.0
"""Greatest height of each drawing: it gives way to what is to be settled."""

_LINE_MM = 4.4
_LINE_LETTERS = 95
_FREE_LINES = 4
_MOST_IN_ONE_COLUMN = 6
"""More sentences than this stand in two columns."""


def theatre_card_pdf(
    healing: HealingPlan,
    *,
    paper: Paper,
    signed: SignOff | None = None,
    language: Language = Language.ENGLISH,
) -> bytes:
    """Print the card that hangs in the theatre.

    Parameters
    ----------
    healing : HealingPlan
        With plan and layers; what is missing is said in words.
    paper : Paper
        The sheets that lie in the printer.
    signed : SignOff, optional
        Of exactly this plan; without it the card says that it is not signed off.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        A PDF of one page.
    """
    with printed_in(language):
        return pdf_of("theatre_card", _content(healing, paper, signed))


def _content(healing: HealingPlan, paper: Paper, signed: SignOff | None) -> dict[str, Any]:
    plan, layers = healing.plan, healing.layers
    return {
        **card_head(healing, paper, LETTERS_PT[printed_language()]),
        "title": f"Theatre card, {healing.case_label}",
        "heading": _small_first(side_words(healing)),
        "name": unsplit(f"Plan {plan.id}: {capital(plan.closure.name)}") if plan else "",
        "signed": f"Signed off {sign_off_time(signed)}." if signed else "*Not signed off.*",
        "most_in_one_column": _MOST_IN_ONE_COLUMN,
        "to_settle": to_settle(healing.matters),
        "settled": _settled(healing.matters),
        "pictures": _pictures(healing, plan, paper) if plan else [],
        "figures": _figures(plan) if plan else [],
        "dye": unsplit(healing.dye),
        "order": sewing_order(layers) if layers else "",
        "layers": layer_rows(layers) if layers else [],
        "notes": layer_notes(healing),
        "warnings": [unsplit(words) for words in layers.warnings] if layers else [],
        "corners": _corner_rows(plan.excision) if plan else [],
    }


def to_settle(matters: tuple[Matter, ...]) -> list[str]:
    """Return what must be done before the operation, what nobody asked first.

    Parameters
    ----------
    matters : tuple of Matter
        All questions.

    Returns
    -------
    list of str
        One sentence for all that was not asked, then one for each answer that asks for
        something.
    """
    unasked = [one.subject for one in matters if one.answer is Answer.NOT_ASKED]
    asked = [one for one in matters if one.to_do and one.answer is not Answer.NOT_ASKED]
    sentences = [f"{capital(one.subject)}: {one.to_do}" for one in asked]
    if unasked:
        sentences.insert(0, f"Not asked: {', '.join(unasked)}. Ask.")
    return [unsplit(sentence) for sentence in sentences]


def _settled(matters: tuple[Matter, ...]) -> str:
    answered = [one.subject for one in matters if not one.to_do]
    return f"Asked, and answered with no: {', '.join(answered)}." if answered else ""


def _pictures(healing: HealingPlan, plan: Plan, paper: Paper) -> list[dict[str, Any]]:
    order = healing.layers.order if healing.layers else ()
    size_mm = (_PICTURE_MM, _height_mm(healing, paper))
    return [_picture(plan.closure, stage, order, size_mm) for stage in (Stage.CUT, Stage.SEWN)]


def _height_mm(healing: HealingPlan, paper: Paper) -> float:
    sentences = to_settle(healing.matters)
    columns = 1 if len(sentences) <= _MOST_IN_ONE_COLUMN else 2
    lines = sum(ceil(columns * len(said(each)) / _LINE_LETTERS) for each in sentences) / columns
    more = max(0, lines - _FREE_LINES) + ceil(len(said(healing.dye)) / _LINE_LETTERS)
    more += _lines_longer(healing)
    lacking = _LINE_MM * more + Paper.A4.height_mm - paper.height_mm
    return max(_LOWEST_MM, _HIGHEST_MM - lacking)


def _lines_longer(healing: HealingPlan) -> int:
    """Return how many lines more than in English the card takes outside of what is to settle."""
    texts = [_settled(healing.matters), " ".join(layer_notes(healing))]
    if healing.plan:
        texts.append(" ".join(_figures(healing.plan)))
    return sum(
        ceil(len(said(text)) / _LINE_LETTERS) - ceil(len(text) / _LINE_LETTERS) for text in texts
    )


def _picture(
    closure: Closure, stage: Stage, order: tuple[str, ...], size_mm: tuple[float, float]
) -> dict[str, Any]:
    svg, width_mm = theatre_picture(closure, stage, order, size_mm)
    return {
        "stage": capital(stage),
        "svg": svg.decode(),
        "width_mm": width_mm,
        "alt": f"{capital(closure.name)}, {stage}, head upwards.",
    }


def _figures(plan: Plan) -> list[str]:
    cut = plan.excision
    volume = span(cut.volume_low_ml, cut.volume_high_ml, "mL")
    pedicles = [pedicle_words(plan.closure, n) for n in range(len(plan.closure.flaps))]
    return [
        f"At most *{with_unit(whole(cut.depth_mm), 'mm')}* deep, down to the fascia; {volume}.",
        *(f"*{capital(words)}*: the flap lives through it." for words in pedicles),
    ]


def _small_first(words: str) -> str:
    return words[:1].lower() + words[1:]


def _corner_rows(excision: Excision) -> list[list[str]]:
    return [
        [corner.name, off_midline(corner.at_mm[0]), from_tip(corner.at_mm[1])]
        for corner in excision.outline.corners
    ]
