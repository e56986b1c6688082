"""The page "The wound, filled": where room stays empty, the plans beside it, what else there is."""

from typing import Any

from crena.draw.filling_pictures import filling_picture, filling_section
from crena.draw.filling_words import filling_sentence, option_sentence, quilting_sentence
from crena.draw.plan_pictures import large_box
from crena.draw.tongues import Entered, said
from crena.draw.words import capital, unsplit
from crena.records import Filling, Plan, PlanSet

_ABOVE_MM = (128.0, 120.0)
"""Largest width and height of the picture from above, rulers and legend included."""

_RULERS_MM = (17.0, 33.0)
"""What rulers, legend and words take of it."""

_SECTION_RATIO = 0.85
"""Scale of the section."""

_WIDEST_SECTION_MM = 108.0


def filling_page(plan_set: PlanSet, plan: Plan) -> dict[str, Any] | None:
    """Return what the page of one plan's filling is filled with.

    Parameters
    ----------
    plan_set : PlanSet
        With the other plans, to compare.
    plan : Plan
        Whose filling is drawn.

    Returns
    -------
    dict or None
        Pictures and sentences; none if the filling was not computed.
    """
    filling = plan.filling
    if filling is None:
        return None
    return {
        "heading": "The wound, filled",
        "lead": f"Plan {plan.id}. {filling_sentence(filling)}",
        "above": _above(plan_set, plan),
        "section": _section(plan_set, plan),
        "plans": _beside_each_other(plan_set),
        "quilting": [quilting_sentence(row) for row in filling.quilting],
        "options": [
            Entered(f"*{said(capital(one.name))}.* {said(unsplit(option_sentence(one)))}")
            for one in filling.options
        ],
        "assumed": [unsplit(sentence) for sentence in filling.assumed],
    }


def _above(plan_set: PlanSet, plan: Plan) -> dict[str, Any]:
    low_s, low_y, high_s, high_y = large_box(plan, plan_set.tract_map)
    room = [size - rulers for size, rulers in zip(_ABOVE_MM, _RULERS_MM, strict=True)]
    ratio = int(100 * min(room[0] / (high_s - low_s), room[1] / (high_y - low_y), 1.0)) / 100
    svg, width_mm = filling_picture(plan, plan_set.tract_map, ratio)
    return {"svg": svg.decode(), "width_mm": width_mm, "alt": "The sewn wound from above."}


def _section(plan_set: PlanSet, plan: Plan) -> dict[str, Any]:
    svg, width_mm = filling_section(plan, plan_set.tract_map, _SECTION_RATIO)
    if width_mm > _WIDEST_SECTION_MM:
        ratio = int(100 * _SECTION_RATIO * _WIDEST_SECTION_MM / width_mm) / 100
        svg, width_mm = filling_section(plan, plan_set.tract_map, ratio)
    return {"svg": svg.decode(), "width_mm": width_mm, "alt": "The filled wound in section."}


def _beside_each_other(plan_set: PlanSet) -> list[str]:
    """Say what every plan leaves empty, the least first."""
    known: list[tuple[float, str, Filling]] = sorted(
        ((p.filling.gap_ml, p.id, p.filling) for p in plan_set.plans if p.filling is not None),
        key=lambda one: one[:2],
    )
    return [
        Entered(f"*{letter}*: {said(filling_sentence(filling))}") for _, letter, filling in known
    ]
