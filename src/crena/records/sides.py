"""Words that may not be mixed up: sides, answers, and where a finding came from."""

from enum import StrEnum


class Side(StrEnum):
    """A side of the patient, never of the image; always written out."""

    LEFT = "patient's left"
    RIGHT = "patient's right"

    @property
    def sign(self) -> int:
        """Return the sign of x on this side: +1 on the patient's right."""
        return 1 if self is Side.RIGHT else -1

    @property
    def other(self) -> "Side":
        """Return the opposite side."""
        return Side.LEFT if self is Side.RIGHT else Side.RIGHT


class Answer(StrEnum):
    """An answer that is never guessed: a question not asked stays open."""

    NO = "no"
    YES = "yes"
    NOT_ASKED = "not asked"


class Origin(StrEnum):
    """Where a finding came from."""

    PROBING = "probing"
    SCAN = "scan"
    BOTH = "probing and scan"
    ENTERED = "entered"
