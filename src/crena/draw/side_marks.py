"""Both sides of the patient in full words under a drawing, in two lines where one has no room."""

from crena.draw.inks import BLACK_WORDS
from crena.draw.marks import Anchor, Words, words_width_mm
from crena.draw.tongues import in_two_lines
from crena.records import Side

BETWEEN_SIDES_MM = 4.0
"""White between the words for the two sides, at least."""

LINE_MM = 3.5
"""From line to line where a side takes two."""


def side_marks(
    ends: tuple[float, float], y: float, scale_ratio: float, size_pt: float, *, bold: bool
) -> list[Words]:
    """Write the patient's left at the left end and the patient's right at the right end.

    Parameters
    ----------
    ends : tuple of float
        Left and right end, mm of skin.
    y : float
        Height of the first line, mm of skin.
    scale_ratio : float
        Millimetres on paper for one millimetre of skin.
    size_pt : float
        Size of the letters.
    bold : bool
        Whether they are bold.

    Returns
    -------
    list of Words
        One or two lines for each side.
    """
    lines = _lines((ends[1] - ends[0]) * scale_ratio, size_pt, bold=bold)
    anchors = (Anchor.START, Anchor.END)
    return [
        Words(at=(x, y - i * LINE_MM / scale_ratio), text=text, ink=BLACK_WORDS, size_pt=size_pt,
              bold=bold, anchor=anchor)
        for x, anchor, side in zip(ends, anchors, lines, strict=True)
        for i, text in enumerate(side)
    ]  # fmt: skip


def sides_width_mm(width_mm: float, size_pt: float, *, bold: bool) -> float:
    """Return the width that the words need which are written into a width, on paper."""
    lines = _lines(width_mm, size_pt, bold=bold)
    widths = (max(words_width_mm(one, size_pt, bold=bold) for one in side) for side in lines)
    return sum(widths) + BETWEEN_SIDES_MM


def second_line_mm(width_mm: float, size_pt: float, *, bold: bool) -> float:
    """Return the height that a second line takes on paper, 0 where there is none."""
    return (len(_lines(width_mm, size_pt, bold=bold)[0]) - 1) * LINE_MM


def _lines(width_mm: float, size_pt: float, *, bold: bool) -> list[tuple[str, ...]]:
    needed_mm = sum(words_width_mm(side, size_pt, bold=bold) for side in Side) + BETWEEN_SIDES_MM
    if needed_mm <= width_mm:
        return [(side.value,) for side in Side]
    return [in_two_lines(side.value) for side in Side]
