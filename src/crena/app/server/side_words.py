"""The side that gives the flap as a person types it, in words of either language."""

import re
import unicodedata
from typing import Final

from crena.records import Closure, Side

BOTH: Final = "both sides"
NONE: Final = "no flap"

WORDS: Final = {
    Side.LEFT: ("patient's left", "left side", "left", "linke seite des patienten",
                "linke seite", "links"),
    Side.RIGHT: ("patient's right", "right side", "right", "rechte seite des patienten",
                 "rechte seite", "rechts"),
    BOTH: ("both sides", "both", "beide seiten", "beide", "beidseits"),
    NONE: ("no flap", "without a flap", "none", "kein lappen", "ohne lappen", "keine"),
}  # fmt: skip
"""Full words only: a single letter is no side."""

_READ: Final = {words: side for side, all_words in WORDS.items() for words in all_words}


def typed_side(text: str) -> str | None:
    """Return the side that was typed, or nothing if it is no side in full words.

    Examples
    --------
    >>> print(typed_side(" Patient’s  RIGHT "), typed_side("rechts"), typed_side("R"))
    patient's right patient's right None
    """
    return _READ.get(folded(text).replace("’", "'"))


def side_of(closure: Closure) -> str:
    """Return the side that must be typed for a closure."""
    if closure.donor_side is not None:
        return closure.donor_side
    return BOTH if closure.flaps else NONE


def folded(text: str) -> str:
    """Return a text without the differences that do not count: capitals and runs of blanks.

    >>> folded("  Case\u00a0 12 ")
    'case 12'
    """
    return re.sub(r"\s+", " ", unicodedata.normalize("NFC", text)).strip().casefold()
