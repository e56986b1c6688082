"""The plan sheet: one page to decide, then the details."""

from collections.abc import Mapping
from typing import Any

from crena.draw.bands import lower_end_band
from crena.draw.details import details
from crena.draw.filling_pages import filling_page
from crena.draw.filling_words import filling_sentence
from crena.draw.paper import Paper
from crena.draw.plan_pictures import (
    Stage,
    excision_picture,
    large_box,
    picture_box,
    picture_width_mm,
    plan_picture_svg,
)
from crena.draw.press import pdf_of
from crena.draw.sections import section_level_mm, section_picture
from crena.draw.skin_pages import skin_page
from crena.draw.svg import Box
from crena.draw.templates import drawn_plan
from crena.draw.tongues import Entered, printed_in, printed_language, said_allergies
from crena.draw.words import (
    capital,
    chance_sentence,
    clearance_sentence,
    donor_sentence,
    flap_side,
    from_tip,
    lower_end_sentence,
    pull_sentence,
    scar_sentence,
    short_hash,
    unsplit,
    volume_sentence,
    with_unit,
)
from crena.records import Language, Plan, PlanSet, SkinFilm
from crena.records.numbers import whole
from crena.records.statements import CAUTION

MARGIN_MM = 12.0
"""White at each edge: most printers reach it (assumed)."""

_GUTTER_MM = {Language.ENGLISH: 7.0, Language.GERMAN: 5.0}
"""Between two plans; German words run longer."""

_FEWEST_COLUMNS = 3
"""One plan alone does not fill the page's width."""

_PICTURE_HEIGHT_MM = 46.0
"""Highest that the pictures of the first page may be."""

_CROWDED_HEIGHT_MM = 40.0
"""The same beside many German words."""

_MOST_UNCROWDED = 3
"""With more plans than these German words crowd the page."""

_PICTURE_GAP_MM = 11.0
"""Of a pair's width, what the arrow and the edges take."""

_LARGE_MM = (140.0, 152.0)
"""Largest width and height of the large drawing, rulers included."""

_LARGE_RULERS_MM = (17.0, 19.0)
"""What rulers and words take of it."""

_SECTION_MM = {Language.ENGLISH: 108.0, Language.GERMAN: 76.0}
"""Largest width of the section: it gives way to the longer words under it."""


def plan_pdf(
    plan_set: PlanSet,
    *,
    paper: Paper,
    films: Mapping[str, SkinFilm] | None = None,
    language: Language = Language.ENGLISH,
) -> bytes:
    """Print the plan sheet.

    Parameters
    ----------
    plan_set : PlanSet
        The whole answer to one case.
    paper : Paper
        The sheets that lie in the printer; the layout lies on its side.
    films : mapping of str to SkinFilm, optional
        The skin of plans by their letters; that of the drawn plan gets a page.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        A PDF: all plans side by side on the first page, then tract map, clearances, drawings,
        limits, what was refused, cautions, assumptions and sources.

    Raises
    ------
    InputError
        If the chosen letter names no plan.
    """
    with printed_in(language):
        return pdf_of("plan", _content(plan_set, paper, films or {}))


def _content(plan_set: PlanSet, paper: Paper, films: Mapping[str, SkinFilm]) -> dict[str, Any]:
    plan = drawn_plan(plan_set)
    column_mm = _column_mm(len(plan_set.plans), paper)
    film = films.get(plan.id)
    return {
        "title": f"Plan sheet, {plan_set.case_label}",
        "paper": {"width_mm": paper.height_mm, "height_mm": paper.width_mm},
        "margin_mm": MARGIN_MM,
        "gutter_mm": _GUTTER_MM[printed_language()],
        "column_mm": column_mm,
        "case_label": Entered(plan_set.case_label),
        "code": Entered(plan_set.code),
        "hash": Entered(short_hash(plan_set.inputs_hash)),
        "made_on": plan_set.made_on,
        "allergies": said_allergies(plan_set.allergies),
        "caution": CAUTION,
        "order": unsplit(plan_set.order.rstrip(".")),
        "choice": _choice(plan_set, plan),
        "drawn": plan.id,
        "plans": _columns(plan_set, column_mm),
        "not_computed": _not_computed(plan_set),
        "large": _large(plan_set, plan),
        "section": _section(plan_set, plan),
        "filling": filling_page(plan_set, plan),
        "skin": skin_page(plan_set, plan, film) if film else None,
        "details": details(plan_set, plan),
    }


def _column_mm(count: int, paper: Paper) -> float:
    columns = max(count, _FEWEST_COLUMNS)
    gutters_mm = (columns - 1) * _GUTTER_MM[printed_language()]
    return (paper.height_mm - 2 * MARGIN_MM - gutters_mm) / columns


def _choice(plan_set: PlanSet, plan: Plan) -> str:
    side = flap_side(plan.closure)
    side = side[0].lower() + side[1:]
    change = f" {plan_set.would_change}" if plan_set.would_change else ""
    if plan_set.chosen_by_surgeon:
        return f"Chosen by the surgeon: *plan {plan.id}, {side}*. The template shows it.{change}"
    return f"*No plan is chosen yet.* The template shows plan {plan.id}, {side}.{change}"


def _columns(plan_set: PlanSet, column_mm: float) -> list[dict[str, Any]]:
    common = picture_box(plan_set.plans, plan_set.tract_map)
    boxes = [_own_box(plan_set, plan, common) for plan in plan_set.plans]
    widest = max(box[2] - box[0] for box in boxes)
    ratio = (column_mm - _PICTURE_GAP_MM) / (2 * widest)
    crowded = len(boxes) > _MOST_UNCROWDED and printed_language() is Language.GERMAN
    height_mm = _CROWDED_HEIGHT_MM if crowded else _PICTURE_HEIGHT_MM
    ratio = min(ratio, (height_mm - 17.0) / (common[3] - common[1]))
    return [
        _column(plan_set, plan, box, ratio, column_mm)
        for plan, box in zip(plan_set.plans, boxes, strict=True)
    ]


def _own_box(plan_set: PlanSet, plan: Plan, common: Box) -> Box:
    left, _, right, _ = picture_box([plan], plan_set.tract_map)
    return (left, common[1], right, common[3])


def _column(
    plan_set: PlanSet, plan: Plan, box: Box, ratio: float, column_mm: float
) -> dict[str, Any]:
    picture = plan_picture_svg(
        plan, plan_set.tract_map, stage=Stage.BOTH, scale_ratio=ratio, box=box
    )
    band = lower_end_band(plan.scar, plan_set.limits, min(column_mm, 60.0))
    return {
        "letter": plan.id,
        "name": unsplit(capital(plan.closure.name)),
        "side": flap_side(plan.closure),
        "picture": picture.decode(),
        "picture_width_mm": picture_width_mm(box, ratio),
        "alt": f"Plan {plan.id}, {plan.closure.name}: as cut, then as sewn. "
        f"{flap_side(plan.closure)}.",
        "best_at": unsplit(plan.best_at),
        "price": unsplit(plan.price),
        "lower_end": lower_end_sentence(plan),
        "band": band.decode(),
        "band_width_mm": min(column_mm, 60.0),
        "band_alt": lower_end_sentence(plan).replace("*", ""),
        "sentences": [
            clearance_sentence(plan, plan_set.limits.least_clearance_mm),
            chance_sentence(plan),
            f"{volume_sentence(plan)} {scar_sentence(plan)}",
            *([] if plan.mechanics else [donor_sentence(plan)]),
            *([filling_sentence(plan.filling)] if plan.filling else []),
            *([pull_sentence(plan)] if plan.mechanics else []),
        ],
    }


def _not_computed(plan_set: PlanSet) -> str:
    parts = []
    if all(plan.mechanics is None for plan in plan_set.plans):
        parts.append("Pull: not computed.")
    else:
        parts.append("Pull: relative, not validated.")
    if all(plan.dead_space_ml is None for plan in plan_set.plans):
        parts.append("Dead space: not computed.")
    return " ".join(parts)


def _large(plan_set: PlanSet, plan: Plan) -> dict[str, Any]:
    box = large_box(plan, plan_set.tract_map)
    width, height = box[2] - box[0], box[3] - box[1]
    ratio = min(
        (_LARGE_MM[0] - _LARGE_RULERS_MM[0]) / width, (_LARGE_MM[1] - _LARGE_RULERS_MM[1]) / height
    )
    svg, width_mm = excision_picture(
        plan, plan_set.tract_map, plan_set.limits.least_clearance_mm, ratio
    )
    return {
        "svg": svg.decode(),
        "width_mm": width_mm,
        "heading": unsplit(f"Plan {plan.id}: {capital(plan.closure.name)}"),
        "side": flap_side(plan.closure),
        "ring": f"Dotted ring: your {with_unit(whole(plan_set.limits.least_clearance_mm), 'mm')}.",
        "alt": f"Plan {plan.id} as cut, with the disease, on a grid of 10 mm; "
        f"{flap_side(plan.closure)}; head upwards.",
    }


def _section(plan_set: PlanSet, plan: Plan) -> dict[str, Any]:
    margin = plan_set.limits.least_clearance_mm
    _, plain_mm = section_picture(plan, plan_set.tract_map, margin, 1.0)
    ratio = min(1.0, _SECTION_MM[printed_language()] / plain_mm)
    svg, width_mm = section_picture(plan, plan_set.tract_map, margin, ratio)
    level = from_tip(section_level_mm(plan)).replace("at its level", "level with")
    return {
        "svg": svg.decode(),
        "width_mm": width_mm,
        "heading": f"Section {level} the coccyx tip",
        "alt": f"Section {level} the coccyx tip: skin, disease, walls and floor.",
    }
