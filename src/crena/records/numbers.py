"""The one reader of numbers that people type."""

import re

from crena.records.errors import InputError

_PLAIN = re.compile(r"[+-]?(?:\d{1,9}(?:[.,]\d{1,9})?|[.,]\d{1,9})", re.ASCII)


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
    if not _PLAIN.fullmatch(typed):
        raise InputError(
            f"{what} “{text.strip()[:40]}” is not one plain number. Write it like 12.5 or 12,5."
        )
    return float(typed.replace(",", "."))
