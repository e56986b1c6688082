"""The class of the disease by a published scheme, with its definition printed beside it."""

from collections.abc import Iterable

from crena.records import Answer, Classification, Pit, Side

ON_THE_CLEFT_MM = 5.0
"""A pit at most this far from the midline counts as on the natal cleft (assumed)."""

SCHEME = "Irkörücü, by pits"

DEFINITIONS = {
    "I": "pits on the natal cleft only",
    "II": "pits on one side of the cleft",
    "III": "pits on both sides of the cleft",
    "IV": "pits on the cleft and beside it",
    "V": "recurrent disease",
}
"""Classes of the scheme, in our words; no class has a proven link to outcome (Beal 2019)."""


def classify(pits: Iterable[Pit], recurrent: Answer) -> Classification:
    """Classify by where the pits lie.

    Parameters
    ----------
    pits : iterable of Pit
        With (s, y) on the skin.
    recurrent : Answer
        Recurrent disease has a class of its own.
    """
    label = "V" if recurrent is Answer.YES else _by_place([pit.at_mm[0] for pit in pits])
    definition = DEFINITIONS[label]
    if recurrent is Answer.NOT_ASKED:
        definition += "; whether it is recurrent was not asked"
    return Classification(scheme=SCHEME, label=label, definition=definition)


def _by_place(across: list[float]) -> str:
    beside = {Side.RIGHT if s > 0 else Side.LEFT for s in across if abs(s) > ON_THE_CLEFT_MM}
    on_cleft = any(abs(s) <= ON_THE_CLEFT_MM for s in across)
    if not beside:
        return "I"
    if on_cleft:
        return "IV"
    return "II" if len(beside) == 1 else "III"
