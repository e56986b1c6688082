"""The sheets of paper that templates and plan sheets are printed on."""

from enum import StrEnum


class Paper(StrEnum):
    """A size of paper, by the name that printers use.

    Examples
    --------
    >>> Paper.A4.width_mm, Paper.A4.height_mm
    (210.0, 297.0)
    """

    A4 = "A4"
    LETTER = "Letter"

    @property
    def width_mm(self) -> float:
        """Return the short side: ISO 216 for A4, ANSI/ASME Y14.1 for Letter."""
        return 210.0 if self is Paper.A4 else 215.9

    @property
    def height_mm(self) -> float:
        """Return the long side: ISO 216 for A4, ANSI/ASME Y14.1 for Letter."""
        return 297.0 if self is Paper.A4 else 279.4
