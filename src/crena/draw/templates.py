"""The drawing that is laid on the skin: the same marks for PDF, SVG and DXF."""

from crena.draw.closures import (
    closure_points,
    corner_letters,
    cut_lines,
    extent,
    flap_tone,
    flap_words,
    layout_of,
    lower_end_measure,
    taken_out,
)
from crena.draw.disease import on_skin
from crena.draw.labels import REMARKS, words_beside
from crena.draw.landmarks import VERGE_RAYS_MM, landmark_marks, midline_marks
from crena.draw.marks import Mark, circle
from crena.draw.svg import Box
from crena.draw.words import sign_off_time
from crena.records import InputError, Plan, PlanSet, Point2, SignOff

_ROOM_MM = 9.0
"""Kept around the cuts for letters and the measure."""

_TRUE_SIZE = 1.0


def drawn_plan(plan_set: PlanSet) -> Plan:
    """Return the plan that the template shows.

    Parameters
    ----------
    plan_set : PlanSet
        With the letter of the plan to be drawn.

    Returns
    -------
    Plan
        The one with that letter.

    Raises
    ------
    InputError
        If no plan has that letter.
    """
    for plan in plan_set.plans:
        if plan.id == plan_set.chosen:
            return plan
    letters = ", ".join(plan.id for plan in plan_set.plans) or "none"
    raise InputError(f"There is no plan “{plan_set.chosen}”. Choose one of these: {letters}.")


def state_words(plan_set: PlanSet, signed: SignOff | None) -> str:
    """Say whether a surgeon chose the plan, and signed it off; what is missing stands in stars."""
    if signed is not None:
        return f"signed off {sign_off_time(signed)}"
    if plan_set.chosen_by_surgeon:
        return "chosen by the surgeon, *not signed off*"
    return "*not yet chosen by a surgeon*"


def template_box(plan_set: PlanSet) -> Box:
    """Return the part of the skin that the template must show, mm."""
    verge = _verge(plan_set)
    points = closure_points(drawn_plan(plan_set).closure)
    ring = circle(verge, VERGE_RAYS_MM + 1.0 - _ROOM_MM, 12)
    left, bottom, right, top = extent((*points, (0.0, 0.0), *ring))
    return (left - _ROOM_MM, bottom - _ROOM_MM, right + _ROOM_MM, top + _ROOM_MM)


def template_marks(plan_set: PlanSet, box: Box) -> tuple[Mark, ...]:
    """Draw the chosen plan at true size.

    Parameters
    ----------
    plan_set : PlanSet
        Whose chosen plan is drawn.
    box : Box
        The part of the skin that the midline runs through and words stay within.

    Returns
    -------
    tuple of Mark
        In mm of skin, (s, y).
    """
    plan, verge = drawn_plan(plan_set), _verge(plan_set)
    layout = layout_of([plan.closure], verge, box, _TRUE_SIZE)
    measure = lower_end_measure(plan.scar, layout)
    letters = corner_letters(plan.closure, layout)
    on_flap = flap_words(plan.closure, layout)
    names = (
        *words_beside(layout, (0.0, 1.0), "Coccyx tip", REMARKS),
        *words_beside(layout, verge, "Anal verge", REMARKS, reach_mm=VERGE_RAYS_MM),
    )
    return (
        *flap_tone(plan.closure),
        *taken_out(plan.closure, _TRUE_SIZE, without=layout.outlines()),
        *cut_lines(plan.closure),
        *midline_marks(box[1], box[3]),
        *landmark_marks(verge, _TRUE_SIZE),
        *measure,
        *letters,
        *on_flap,
        *names,
    )


def _verge(plan_set: PlanSet) -> Point2:
    return on_skin(plan_set.tract_map, plan_set.tract_map.anal_verge_mm[:2])
