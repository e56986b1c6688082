"""Numbers that people type, read in one way; and figures that people read, rounded in one way."""

import re
from math import floor

from crena.records.errors import InputError

_PLAIN = re.compile(r"[+-]?(?:\d{1,9}(?:[.,]\d{1,9})?|[.,]\d{1,9})", re.ASCII)

NEARLY_WHOLE = 1e-9
"""Rounding noise that must not move a figure by one."""


def number_from(text: str, *, what: str = "The number") -> float:
    """Read a number with a decimal point or a decimal comma.

    Parameters
    ----------
    text : str
        What was typed; blanks around it do not matter.
    what : str
        What the number stands for, to begin the sentence of a refusal.

    Returns
    -------
    float
        The number; 12.5 and 12,5 are the same.

    Raises
    ------
    InputError
        If the text could be read in two ways (1.234,5), has an exponent, a unit or
        anything else that is not one plain number.

    Examples
    --------
    >>> number_from(" 12,5 "), number_from("12.5"), number_from("-3")
    (12.5, 12.5, -3.0)
    """
    typed = text.strip().replace("\u2212", "-")
    if not typed:
        raise InputError(f"{what} is missing. Write it like 12.5 or 12,5.")
    if not _PLAIN.fullmatch(typed):
        raise InputError(
            f"{what} “{text.strip()[:40]}” is not one plain number. Write it like 12.5 or 12,5."
        )
    return float(typed.replace(",", "."))


def whole(value: float) -> int:
    """Return the nearest whole number, halves away from zero.

    >>> whole(2.5), whole(-2.5), whole(19.49)
    (3, -3, 19)
    """
    size = floor(abs(value) + 0.5 + NEARLY_WHOLE)
    return size if value >= 0 else -size


def at_least(value: float) -> int:
    """Return a figure that something keeps for certain: rounded down.

    >>> at_least(7.9), at_least(8.0)
    (7, 8)
    """
    return floor(value + NEARLY_WHOLE)
