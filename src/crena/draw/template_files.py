"""The true-size template as one drawing for other programs: SVG and DXF."""

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO

import ezdxf
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from crena.draw.inks import BLACK_WORDS, Ink
from crena.draw.landmarks import (
    BAR_MM,
    bar_across,
    bar_along,
    head_place_mm,
    orientation_marks,
    side_capitals,
)
from crena.draw.marks import (
    SMALL_PT,
    Anchor,
    Dots,
    Line,
    Mark,
    Strokes,
    Words,
    letters_height_mm,
    words_width_mm,
)
from crena.draw.svg import Box, svg_of
from crena.draw.templates import drawn_plan, state_words, template_box, template_marks
from crena.draw.tongues import Entered, printed_in, said
from crena.draw.words import VOID, flap_side, short_hash
from crena.records import Language, PlanSet, SignOff
from crena.records.statements import CAUTION

LAYERS = ("CUT", "FLAP_CUT", "SPECIMEN", "MIDLINE", "LANDMARK", "BARS", "TEXT")
"""Layers of the DXF file."""

MILLIMETRES = 4
"""Value of $INSUNITS for millimetres."""

_ABOVE_MM = 16.0
_LINE_MM = 4.2
_SIDE_MM = 12.0
_LEAST_WIDTH_MM = 130.0
_LEAST_HEIGHT_MM = BAR_MM + 20.0
_DOT_RADIUS_MM = 0.2
_BLACK_OR_WHITE = 7
"""Colour index that every viewer shows against its ground."""

_COLOURS = {"CUT": 6, "FLAP_CUT": 6, "SPECIMEN": 6}
"""Magenta is the nearest of the basic colours to the pen."""

_LINETYPES = {"FLAP_CUT": "CRENA_DASHED", "MIDLINE": "CRENA_DASHDOT"}


def template_svg(
    plan_set: PlanSet, *, signed: SignOff | None = None, language: Language = Language.ENGLISH
) -> bytes:
    """Draw the chosen plan at true size as one SVG file.

    Parameters
    ----------
    plan_set : PlanSet
        Whose chosen plan is drawn.
    signed : SignOff, optional
        Of exactly this plan.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        Width and height in mm with an equal viewBox; both 100 mm bars are in it.

    Raises
    ------
    InputError
        If the chosen letter names no plan.
    """
    with printed_in(language):
        marks, box = file_marks(plan_set, signed)
        title = f"{_side(plan_set)}. {drawn_plan(plan_set).closure.name}, true size"
        return svg_of(marks, box, title)


def template_dxf(
    plan_set: PlanSet, *, signed: SignOff | None = None, language: Language = Language.ENGLISH
) -> bytes:
    """Draw the chosen plan at true size as a DXF file in millimetres.

    Parameters
    ----------
    plan_set : PlanSet
        Whose chosen plan is drawn.
    signed : SignOff, optional
        Of exactly this plan.
    language : Language
        Of the words; what somebody entered stays.

    Returns
    -------
    bytes
        DXF R2010; x to the patient's right, y cranial, the coccyx tip at the origin. The
        same bytes for the same plan.

    Raises
    ------
    InputError
        If the chosen letter names no plan.
    """
    with printed_in(language), _without_clock():
        marks, _ = file_marks(plan_set, signed)
        document = new("R2010")
        document.header["$INSUNITS"] = MILLIMETRES
        _prepare(document)
        for mark in marks:
            _draw(document.modelspace(), mark)
        text = StringIO()
        document.write(text)
    return text.getvalue().encode()


def file_marks(plan_set: PlanSet, signed: SignOff | None = None) -> tuple[tuple[Mark, ...], Box]:
    """Return the template's marks with bars, sides and words around them.

    Parameters
    ----------
    plan_set : PlanSet
        Whose chosen plan is drawn.
    signed : SignOff, optional
        Of exactly this plan.

    Returns
    -------
    tuple
        Marks in mm of skin, and the box that they fill.
    """
    left, bottom, right, top = _roomy(template_box(plan_set))
    marks = template_marks(plan_set, (left, bottom, right, top))
    head_mm = head_place_mm((left, right + _SIDE_MM), 0.0)
    upper = orientation_marks((left, 0.0, right + _SIDE_MM, top + 8.0), head_mm)
    bars = (*bar_along((right + _SIDE_MM - 1.0, bottom)), *bar_across((left, bottom - 8.0)))
    names = (
        _note((left + BAR_MM + 2.5, bottom - 6.8), "100\u00a0mm across"),
        _note((right + _SIDE_MM - 2.3, bottom + BAR_MM + 2.0), "100\u00a0mm along", 90.0),
    )
    lines = _notes(plan_set, signed, right + _SIDE_MM - left)
    notes = [
        _note((left, bottom - 14.0 - i * _LINE_MM), line) for i, line in enumerate(lines)
    ]  # fmt: skip
    low = bottom - 14.0 - len(lines) * _LINE_MM
    box = (left - 4.0, low - 2.0, right + _SIDE_MM + 4.0, top + _ABOVE_MM)
    return (*marks, *upper, *bars, *names, *notes), box


def _roomy(box: Box) -> Box:
    grow_x = max(0.0, _LEAST_WIDTH_MM - (box[2] - box[0])) / 2
    grow_y = max(0.0, _LEAST_HEIGHT_MM - (box[3] - box[1])) / 2
    return (box[0] - grow_x, box[1] - grow_y, box[2] + grow_x, box[3] + grow_y)


def _side(plan_set: PlanSet) -> str:
    closure = drawn_plan(plan_set).closure
    if closure.donor_side is None:
        return flap_side(closure)
    return flap_side(closure).replace(closure.donor_side, side_capitals(closure.donor_side))


def _notes(plan_set: PlanSet, signed: SignOff | None, width_mm: float) -> list[Entered]:
    plan = drawn_plan(plan_set)
    state = state_words(plan_set, signed).replace("*", "")
    name = said(f"Plan {plan.id}: {plan.closure.name}")
    inputs = short_hash(plan_set.inputs_hash)
    sentences = (
        f"{plan_set.case_label}. {said(_side(plan_set))}. {name}, {said(state)}.",
        said(f"Plan code {plan_set.code}, inputs {inputs}, made on {plan_set.made_on}. {VOID}"),
        said("Do not use a print on which either bar differs from 100\u00a0mm by more than "
             "half a millimetre. Across is measured along the skin."),
        said(CAUTION),
    )  # fmt: skip
    return [line for sentence in sentences for line in _wrapped(sentence, width_mm)]


def _wrapped(sentence: str, width_mm: float) -> list[Entered]:
    """Part a sentence that was said already into lines."""
    lines, line = [], ""
    for word in sentence.split(" "):
        longer = f"{line} {word}".strip()
        if line and words_width_mm(Entered(longer), SMALL_PT) > width_mm:
            lines.append(Entered(line))
            longer = word
        line = longer
    return [*lines, Entered(line)]


def _note(at: tuple[float, float], text: str, turn_deg: float = 0.0) -> Words:
    return Words(
        at=at, text=text, ink=BLACK_WORDS, size_pt=SMALL_PT, anchor=Anchor.START, turn_deg=turn_deg
    )


@contextmanager
def _without_clock() -> Iterator[None]:
    """Keep date and random names out of the file, so that it is the same each time."""
    options = ezdxf.options  # type: ignore[attr-defined]
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _prepare(document: Drawing) -> None:
    document.linetypes.add("CRENA_DASHED", pattern=[4.7, 3.0, -1.7], description="flap cut")
    pattern = [8.1, 5.0, -1.3, 0.5, -1.3]
    document.linetypes.add("CRENA_DASHDOT", pattern=pattern, description="midline")
    for name in LAYERS:
        layer = document.layers.add(name)
        layer.color = _COLOURS.get(name, _BLACK_OR_WHITE)
        layer.dxf.linetype = _LINETYPES.get(name, "CONTINUOUS")


def _draw(space: Modelspace, mark: Mark) -> None:
    where = {"layer": mark.ink.layer}
    if isinstance(mark, Words):
        _write(space, mark)
    elif isinstance(mark, Strokes):
        for line in mark.lines:
            space.add_lwpolyline(line, dxfattribs=where)
    elif isinstance(mark, Dots):
        for point in mark.points:
            space.add_circle(point, _DOT_RADIUS_MM, dxfattribs=where)
    elif not _is_tone(mark.ink):
        _trace(space, mark)


def _trace(space: Modelspace, mark: Line) -> None:
    where = {"layer": mark.ink.layer}
    if len(mark.points) == 2 and not mark.closed:
        space.add_line(*mark.points, dxfattribs=where)
    else:
        space.add_lwpolyline(mark.points, close=mark.closed, dxfattribs=where)


def _is_tone(ink: Ink) -> bool:
    """Tell whether a mark is only a tone: a plotter would take its rim for a cut."""
    return ink.stroke is None and ink.layer == "FLAP_CUT"


def _write(space: Modelspace, mark: Words) -> None:
    align = {
        Anchor.START: TextEntityAlignment.MIDDLE_LEFT,
        Anchor.MIDDLE: TextEntityAlignment.MIDDLE_CENTER,
        Anchor.END: TextEntityAlignment.MIDDLE_RIGHT,
    }[mark.anchor]
    text = space.add_text(
        said(mark.text).replace("\u00a0", " "),
        height=letters_height_mm(mark.size_pt),
        rotation=mark.turn_deg,
        dxfattribs={"layer": "TEXT"},
    )
    text.set_placement(mark.at, align=align)
