"""What every card of the healing plan carries: who, side, allergies, plan code, caution."""

from typing import Any

from crena.draw.landmarks import side_capitals
from crena.draw.paper import Paper
from crena.draw.tongues import Entered, said_allergies
from crena.draw.words import flap_side
from crena.records import Closure, HealingPlan
from crena.records.statements import CAUTION

MARGIN_MM = 14.0
"""White at each edge: most printers reach it (assumed)."""

WORDS = {"code": "Plan code", "page": "page", "of": "of"}
"""What the page's head and foot say."""


def card_head(healing: HealingPlan, paper: Paper, letters_pt: float) -> dict[str, Any]:
    """Return what the head and the foot of a card are filled with.

    Parameters
    ----------
    healing : HealingPlan
        Whose card it is.
    paper : Paper
        The sheets that lie in the printer.
    letters_pt : float
        Size of the text.

    Returns
    -------
    dict
        For the layout of all sheets after the plan.
    """
    return {
        "paper": {"width_mm": paper.width_mm, "height_mm": paper.height_mm},
        "margin_mm": MARGIN_MM,
        "letters_pt": letters_pt,
        "words": WORDS,
        "case_label": Entered(healing.case_label),
        "code": Entered(healing.code) if healing.code else "none",
        "side": side_words(healing),
        "allergies": said_allergies(healing.allergies),
        "caution": CAUTION,
    }


def side_words(healing: HealingPlan) -> str:
    """Say where the tissue comes from, the side in capitals; or that no plan is at hand."""
    if healing.plan is None:
        return "No plan is at hand: ask the surgeon for the side"
    return closure_side(healing.plan.closure)


def closure_side(closure: Closure) -> str:
    """Say where the tissue of a closure comes from, the side in capitals."""
    if closure.donor_side is None and closure.flaps:
        return "Flaps from both sides"
    words = flap_side(closure)
    if closure.donor_side is None:
        return words
    return words.replace(str(closure.donor_side), side_capitals(closure.donor_side))
