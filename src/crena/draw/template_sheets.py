"""The true-size template on paper: sheets to lay on the skin, and the table to do without."""

from typing import Any

from crena.draw.inks import BLACK_WORDS, CROSS, LANDMARK_SOLID
from crena.draw.landmarks import (
    HEAD,
    bar_across,
    bar_along,
    head_place_mm,
    orientation_marks,
    side_capitals,
)
from crena.draw.marks import SMALL_PT, Anchor, Line, Mark, Strokes, Words, words_width_mm
from crena.draw.paper import Paper
from crena.draw.press import pages_of, pdf_of
from crena.draw.ruler_table import ruler_table
from crena.draw.svg import Box, clipped, group_of, number, svg_of
from crena.draw.templates import drawn_plan, state_words, template_box, template_marks
from crena.draw.tiles import Tile, Tiling, cross_marks, index_marks, tiling_of
from crena.draw.tongues import Entered, printed_in, said_allergies
from crena.draw.words import VOID, capital, flap_side, short_hash, unsplit
from crena.records import Language, Plan, PlanSet, Side, SignOff
from crena.records.statements import CAUTION

MARGIN_MM = 12.0
"""White at each edge: most printers reach it (assumed)."""

_WINDOW_TOP_MM = 44.0
"""From the upper edge of the paper to the drawing's place."""

_WINDOW_BOTTOM_MM = 66.0
"""From the lower edge of the paper to the drawing's place."""

_BAR_ACROSS_UP_MM = 57.0
"""From the lower edge of the paper to the bar across."""

_BAR_STRIP_MM = 10.0
"""Kept free at the right for the bar along."""

_CORNER_WORDS = f"THIS CORNER: {HEAD}, {side_capitals(Side.RIGHT)}"
"""Beside the one corner mark that differs."""

_INDEX_MM = (26.0, 20.0)
"""Largest size of the index of sheets."""


def template_pdf(
    plan_set: PlanSet,
    *,
    paper: Paper,
    signed: SignOff | None = None,
    language: Language = Language.ENGLISH,
) -> bytes:
    """Print the chosen plan at true size, and the table to draw it with a ruler only.

    Parameters
    ----------
    plan_set : PlanSet
        Whose chosen plan is printed.
    paper : Paper
        The sheets that lie in the printer; the layout is made for them.
    signed : SignOff, optional
        Of exactly this plan; without it the sheet says that it is not signed off.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        A PDF. Both 100 mm bars stand on every sheet with a drawing; a plan larger than the
        sheet is parted on several that overlap.

    Raises
    ------
    InputError
        If the chosen letter names no plan.
    """
    with printed_in(language):
        return pdf_of("template", _filling(plan_set, paper, signed))


def template_pages(
    plan_set: PlanSet,
    *,
    paper: Paper,
    signed: SignOff | None = None,
    language: Language = Language.ENGLISH,
) -> tuple[bytes, ...]:
    """Return the pages of the template as pictures, as they will be printed.

    Parameters
    ----------
    plan_set : PlanSet
        Whose chosen plan is shown.
    paper : Paper
        The sheets that lie in the printer.
    signed : SignOff, optional
        Of exactly this plan.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    tuple of bytes
        One SVG for each page of `template_pdf`.
    """
    with printed_in(language):
        return pages_of("template", _filling(plan_set, paper, signed))


def _filling(plan_set: PlanSet, paper: Paper, signed: SignOff | None) -> dict[str, Any]:
    plan = drawn_plan(plan_set)
    box = template_box(plan_set)
    window = _window(paper)
    tiling = tiling_of(box, (window[2] - window[0], window[3] - window[1]))
    whole_box = _union(tiling, box)
    marks = template_marks(plan_set, whole_box)
    sheets = [_sheet_svg(marks, tiling, tile, paper).decode() for tile in tiling.tiles]
    head = _content(plan_set, plan, paper)
    return {**head, **_tiles(tiling, plan, sheets), "state": state_words(plan_set, signed)}


def _content(plan_set: PlanSet, plan: Plan, paper: Paper) -> dict[str, Any]:
    side = plan.closure.donor_side
    words = flap_side(plan.closure)
    capitals = words if side is None else words.replace(str(side), side_capitals(side))
    return {
        "title": f"Template, {plan_set.case_label}, plan {plan.id}",
        "paper": {"width_mm": paper.width_mm, "height_mm": paper.height_mm},
        "margin_mm": MARGIN_MM,
        "case_label": Entered(plan_set.case_label),
        "side": capitals,
        "plan": unsplit(f"Plan {plan.id}: {capital(plan.closure.name)}"),
        "code": Entered(plan_set.code),
        "hash": Entered(short_hash(plan_set.inputs_hash)),
        "made_on": plan_set.made_on,
        "allergies": said_allergies(plan_set.allergies),
        "caution": CAUTION,
        "void": VOID,
        "alt": f"{capitals}. {capital(plan.closure.name)} at true size, with corner letters "
        f"{', '.join(corner.name for corner in plan.closure.corners)}; head upwards.",
        "table": ruler_table(plan),
    }


def _tiles(tiling: Tiling, plan: Plan, sheets: list[str]) -> dict[str, Any]:
    if len(sheets) == 1:
        return {"sheets": sheets, "index": None}
    boxes = [tile.box for tile in tiling.tiles]
    width = max(b[2] for b in boxes) - min(b[0] for b in boxes)
    height = max(b[3] for b in boxes) - min(b[1] for b in boxes)
    ratio = min(_INDEX_MM[0] / width, _INDEX_MM[1] / height)
    marks, box = index_marks(tiling, plan.closure, ratio)
    title = f"Index of the {len(sheets)} sheets"
    svg = svg_of(marks, box, title, scale_ratio=ratio)
    size = (box[2] - box[0]) * ratio
    return {"sheets": sheets, "index": {"svg": svg.decode(), "width_mm": size, "title": title}}


def _window(paper: Paper) -> Box:
    """Return the place of the drawing on the paper, y upwards from its lower edge."""
    right = paper.width_mm - MARGIN_MM - _BAR_STRIP_MM
    return (MARGIN_MM, _WINDOW_BOTTOM_MM, right, paper.height_mm - _WINDOW_TOP_MM)


def _union(tiling: Tiling, box: Box) -> Box:
    boxes = [tile.box for tile in tiling.tiles]
    if len(boxes) > 1:
        return box
    left, bottom, right, top = boxes[0]
    return (left, max(bottom, box[1] - 6.0), right, top)


def _sheet_svg(marks: tuple[Mark, ...], tiling: Tiling, tile: Tile, paper: Paper) -> bytes:
    window = _window(paper)
    shown = _on_sheet((*marks, *cross_marks(tiling, tile)), tile.box)
    shift = (tile.box[0] - window[0], tile.box[3] + paper.height_mm - window[3])
    drawing = group_of(shown, shift)
    place = (window[0], paper.height_mm - window[3], window[2], paper.height_mm - window[1])
    head_at = _head_at_mm(window, tile)
    furniture = (
        *orientation_marks((window[0], 0.0, paper.width_mm - MARGIN_MM, window[3] + 7.0), head_at),
        *_corner_marks(paper),
        *_bars(paper),
    )
    width, height = number(paper.width_mm), number(paper.height_mm)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}">{clipped(drawing, place, "sheet")}'
        f"{group_of(furniture, (0.0, paper.height_mm))}</svg>"
    ).encode()


def _head_at_mm(window: Box, tile: Tile) -> float:
    """Return where HEAD stands: over the midline if it is on the sheet, clear of the sides."""
    ends = (window[0], window[2] + _BAR_STRIP_MM)
    on_sheet = tile.box[0] < 0.0 < tile.box[2]
    return head_place_mm(ends, window[0] - tile.box[0] if on_sheet else sum(ends) / 2)


def _on_sheet(marks: tuple[Mark, ...], box: Box) -> tuple[Mark, ...]:
    """Return the marks without words that the edge of the sheet would cut through."""
    return tuple(m for m in marks if not isinstance(m, Words) or _whole_within(m, box))


def _whole_within(words: Words, box: Box) -> bool:
    half = words_width_mm(words.text, words.size_pt, bold=words.bold) / 2
    x, y = words.at
    return box[0] < x - half and x + half < box[2] and box[1] < y - 2.0 and y + 2.0 < box[3]


def _bars(paper: Paper) -> tuple[Mark, ...]:
    up = _BAR_ACROSS_UP_MM
    right = paper.width_mm - MARGIN_MM
    across = bar_across((MARGIN_MM, up))
    along = bar_along((right, _WINDOW_BOTTOM_MM))
    words = (
        Words(at=(MARGIN_MM + 102.5, up + 1.2), text="100\u00a0mm across", ink=BLACK_WORDS,
              size_pt=SMALL_PT, anchor=Anchor.START),
        Words(at=(right - 1.3, _WINDOW_BOTTOM_MM + 102.0), text="100\u00a0mm along",
              ink=BLACK_WORDS, size_pt=SMALL_PT, anchor=Anchor.START, turn_deg=90.0),
    )  # fmt: skip
    return (*across, *along, *words)


def _corner_marks(paper: Paper) -> tuple[Mark, ...]:
    """Mark the corners of the sheet: one differs, so no turned sheet looks right."""
    left, right = 7.0, paper.width_mm - 7.0
    bottom, top = 7.0, paper.height_mm - 7.0
    thin = [
        line
        for x, y in ((left, top), (left, bottom), (right, bottom))
        for line in (((x - 2.5, y), (x + 2.5, y)), ((x, y - 2.5), (x, y + 2.5)))
    ]
    flag = (
        (right - 16.0, top), (right, top), (right, top - 8.0), (right - 1.6, top - 8.0),
        (right - 1.6, top - 1.6), (right - 16.0, top - 1.6),
    )  # fmt: skip
    words = Words(
        at=(right - 18.0, top - 1.0), text=_CORNER_WORDS, ink=BLACK_WORDS, size_pt=SMALL_PT,
        bold=True, anchor=Anchor.END,
    )  # fmt: skip
    return (
        Strokes(lines=tuple(thin), ink=CROSS),
        Line(points=flag, ink=LANDMARK_SOLID, closed=True),
        words,
    )
