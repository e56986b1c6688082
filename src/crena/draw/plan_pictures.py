"""One plan as a picture: as it is cut, as it is sewn, or both side by side."""

from collections.abc import Iterable
from dataclasses import replace
from enum import StrEnum
from math import dist

from crena.draw.closures import (
    SMALL_BELOW_RATIO,
    corner_letters,
    cut_lines,
    extent,
    flap_tone,
    layout_of,
    lower_end_measure,
    plan_points,
    sewn_marks,
    taken_out,
    undermined_marks,
)
from crena.draw.disease import (
    disease_marks,
    named_parts,
    on_skin,
    part_middle,
    part_outlines,
    ring_marks,
)
from crena.draw.inks import (
    BARS,
    BINDING,
    BLACK_WORDS,
    GREY_WORDS,
    LANDMARK,
    SMALL_INKS,
)
from crena.draw.labels import NAMES, REMARKS, Layout, words_beside
from crena.draw.landmarks import (
    HEAD,
    VERGE_RAYS_MM,
    landmark_marks,
    midline_marks,
    ruled_frame,
)
from crena.draw.marks import (
    BODY_PT,
    SMALL_PT,
    Anchor,
    Line,
    Mark,
    Strokes,
    Words,
    along,
    shifted,
)
from crena.draw.side_marks import second_line_mm, side_marks, sides_width_mm
from crena.draw.svg import Box, svg_of
from crena.draw.tongues import part_name
from crena.draw.words import flap_side
from crena.records import Closure, Comparator, Plan, Point2, TractMap


class Stage(StrEnum):
    """What a picture shows."""

    CUT = "as cut"
    SEWN = "as sewn"
    BOTH = "as cut, then as sewn"


RULER_MM = 50.0
"""Length of the ruler under small pictures, on the skin."""

_GAP_MM = 9.0
"""Between the two stages, on paper: room for the arrow."""

_EDGE_MM = 2.0
_LETTER_ROOM_MM = 4.0
_LINE_EDGE_MM = 0.4
_HEAD_ROOM_MM = 5.5
_FOOT_ROOM_MM = 11.0
_FRAME_LEFT_MM = 13.0
_FRAME_BELOW_MM = 13.0


def plan_picture_svg(
    plan: Plan | Comparator,
    tract_map: TractMap,
    *,
    stage: Stage = Stage.BOTH,
    scale_ratio: float = 0.5,
    box: Box | None = None,
) -> bytes:
    """Draw one plan in true proportion.

    Parameters
    ----------
    plan : Plan or Comparator
        What is drawn.
    tract_map : TractMap
        The disease that it takes out.
    stage : Stage
        As cut, as sewn, or both.
    scale_ratio : float
        Millimetres in the picture for one millimetre of skin.
    box : Box, optional
        The part of the skin that is shown: give one box to compare plans.

    Returns
    -------
    bytes
        SVG in mm with midline, landmarks, a ruler, head and both sides of the patient.
    """
    k = scale_ratio
    box = _roomy(box or picture_box([plan], tract_map), k, stage)
    step = box[2] - box[0] + _GAP_MM / k
    stages = [Stage.CUT, Stage.SEWN] if stage is Stage.BOTH else [stage]
    marks: list[Mark] = []
    for i, one in enumerate(stages):
        drawn = _stage_marks(plan.closure, tract_map, one, box, k)
        marks += shifted(drawn, (i * step, 0.0))
    right = box[2] + (len(stages) - 1) * step
    if stage is Stage.BOTH:
        marks += _arrow((box[2], (box[1] + box[3]) / 2), k)
    marks += _feet((box[0], box[1], right, box[3]), k)
    edge = _LINE_EDGE_MM / k
    second_mm = second_line_mm((right - box[0]) * k, SMALL_PT, bold=False)
    low, high = box[1] - (_FOOT_ROOM_MM + second_mm) / k, box[3] + _HEAD_ROOM_MM / k
    frame = (box[0] - edge, low, right + edge, high)
    title = f"{plan.closure.name}, {stage}; {flap_side(plan.closure)}; head upwards"
    return svg_of(marks, frame, title, scale_ratio=k)


def picture_box(plans: Iterable[Plan | Comparator], tract_map: TractMap) -> Box:
    """Return the part of the skin that pictures of these plans need, mm.

    Parameters
    ----------
    plans : iterable of Plan or Comparator
        All that are to be compared.
    tract_map : TractMap
        With the anal verge.

    Returns
    -------
    Box
        With the midline and both landmarks.
    """
    closures = [plan.closure for plan in plans]
    left, bottom, right, top = extent(
        plan_points(closures, on_skin(tract_map, tract_map.anal_verge_mm[:2]))
    )
    return (left - _EDGE_MM, bottom - _EDGE_MM, right + _EDGE_MM, top + _EDGE_MM)


def large_box(plan: Plan, tract_map: TractMap) -> Box:
    """Return what the large drawing shows, undermined zone included, in whole tens of mm."""
    left, bottom, right, top = picture_box([plan], tract_map)
    low, high = (left - _LETTER_ROOM_MM, bottom), (right + _LETTER_ROOM_MM, top + _LETTER_ROOM_MM)
    return _tens(extent((*plan.closure.undermined_mm, low, high)))


def picture_width_mm(box: Box, scale_ratio: float, stage: Stage = Stage.BOTH) -> float:
    """Return how wide `plan_picture_svg` draws a box, in mm of the picture."""
    left, _, right, _ = _roomy(box, scale_ratio, stage)
    width = (right - left) * scale_ratio
    return (2 * width + _GAP_MM if stage is Stage.BOTH else width) + 2 * _LINE_EDGE_MM


def excision_picture(
    plan: Plan, tract_map: TractMap, margin_mm: float, scale_ratio: float
) -> tuple[bytes, float]:
    """Draw the excision large: the disease with the asked distance, letters, rulers.

    Parameters
    ----------
    plan : Plan
        What is drawn.
    tract_map : TractMap
        The disease.
    margin_mm : float
        The distance that the surgeon asks for: the dotted ring.
    scale_ratio : float
        Millimetres in the picture for one millimetre of skin.

    Returns
    -------
    tuple
        SVG, and its width in mm.
    """
    k, verge = scale_ratio, on_skin(tract_map, tract_map.anal_verge_mm[:2])
    box = large_box(plan, tract_map)
    layout = layout_of([plan.closure], verge, box, k)
    measure = lower_end_measure(plan.scar, layout)
    letters = corner_letters(plan.closure, layout)
    closure = plan.closure
    layout.areas.append(closure.removed_mm)
    layout.keep_clear(part_outlines(tract_map))
    names = _names(tract_map, layout, verge)
    marks = (
        *ruled_frame(box, k),
        *flap_tone(closure),
        *undermined_marks(closure, layout),
        *taken_out(closure, k, without=layout.outlines()),
        *ring_marks(tract_map, margin_mm, k),
        *disease_marks(tract_map, k),
        *cut_lines(closure),
        *_binding_bar(plan, tract_map),
        *midline_marks(box[1], box[3]),
        *landmark_marks(verge, k),
        *measure, *letters, *names, *_frame_words(box, k),
    )  # fmt: skip
    second_mm = second_line_mm((box[2] - box[0]) * k, BODY_PT, bold=True)
    frame = (
        box[0] - _FRAME_LEFT_MM / k, box[1] - (_FRAME_BELOW_MM + second_mm) / k,
        box[2] + 3.0 / k, box[3] + _HEAD_ROOM_MM / k,
    )  # fmt: skip
    title = f"{closure.name} as cut, with the disease and {flap_side(closure)}; head upwards"
    return svg_of(marks, frame, title, scale_ratio=k), (frame[2] - frame[0]) * k


def _stage_marks(
    closure: Closure, tract_map: TractMap, stage: Stage, box: Box, k: float
) -> tuple[Mark, ...]:
    verge = on_skin(tract_map, tract_map.anal_verge_mm[:2])
    if stage is Stage.SEWN:
        own = sewn_marks(closure)
    else:
        own = (
            *flap_tone(closure),
            *taken_out(closure, k),
            *disease_marks(tract_map, k),
            *cut_lines(closure),
        )
    marks = (*own, *midline_marks(box[1], box[3]), *landmark_marks(verge, k))
    head = Words(
        at=(0.0, box[3] + 2.4 / k), text="Head", ink=BLACK_WORDS, size_pt=SMALL_PT, bold=True
    )
    return (*(_fitting(mark, k) for mark in marks), head)


def _fitting(mark: Mark, k: float) -> Mark:
    """Return a mark with thinner lines if the picture is small."""
    if k >= SMALL_BELOW_RATIO:
        return mark
    return replace(mark, ink=SMALL_INKS.get(mark.ink, mark.ink))


def _arrow(start: Point2, k: float) -> list[Mark]:
    x, y = start[0] + 1.5 / k, start[1]
    end, head = x + 6.0 / k, 1.3 / k
    lines = (((x, y), (end, y)), ((end - head, y + head), (end, y), (end - head, y - head)))
    return [Strokes(lines=lines, ink=LANDMARK)]


def _feet(box: Box, k: float) -> list[Mark]:
    """Write both sides under the picture, and a ruler of 50 mm under them."""
    words = side_marks((box[0], box[2]), box[1] - 2.6 / k, k, SMALL_PT, bold=False)
    second_mm = second_line_mm((box[2] - box[0]) * k, SMALL_PT, bold=False)
    low, ends = box[1] - (8.6 + second_mm) / k, (box[0], box[0] + RULER_MM)
    ticks = tuple(
        ((ends[0] + i, low), (ends[0] + i, low + (1.6 if i % 50 == 0 else 1.0) / k))
        for i in range(0, round(RULER_MM) + 1, 10)
    )
    note = Words(
        at=(ends[1] + 1.4 / k, low + 0.9 / k), text="50\u00a0mm", ink=GREY_WORDS,
        size_pt=SMALL_PT, anchor=Anchor.START,
    )  # fmt: skip
    ruler = Strokes(lines=(((ends[0], low), (ends[1], low)), *ticks), ink=BARS)
    return [*words, ruler, note]


def _roomy(box: Box, k: float, stage: Stage) -> Box:
    """Return the box, widened until both sides of the patient fit in words under it."""
    width_mm = (box[2] - box[0]) * k
    both_mm = 2 * width_mm + _GAP_MM if stage is Stage.BOTH else width_mm
    needed_mm = sides_width_mm(both_mm, SMALL_PT, bold=False)
    if stage is Stage.BOTH:
        needed_mm = (needed_mm - _GAP_MM) / 2
    lacking = max(0.0, needed_mm / k - (box[2] - box[0])) / 2
    return (box[0] - lacking, box[1], box[2] + lacking, box[3])


def _tens(box: Box) -> Box:
    return (
        10.0 * (box[0] // 10), 10.0 * (box[1] // 10),
        -10.0 * (-box[2] // 10), -10.0 * (-box[3] // 10),
    )  # fmt: skip


def _names(tract_map: TractMap, layout: Layout, verge: Point2) -> list[Mark]:
    marks: list[Mark] = []
    for part in named_parts(tract_map):
        point = part_middle(tract_map, part.name)
        marks += words_beside(layout, point, part_name(part.name), NAMES)
    for pit in tract_map.pits:
        marks += words_beside(layout, pit.at_mm, f"pit {pit.name}", REMARKS)
    marks += words_beside(layout, (0.0, 1.0), "Coccyx tip", REMARKS)
    marks += words_beside(layout, verge, "Anal verge", REMARKS, reach_mm=VERGE_RAYS_MM)
    return marks


def _binding_bar(plan: Plan, tract_map: TractMap) -> tuple[Mark, ...]:
    """Show where the clearance is least: a thick bar from the disease to the wall."""
    if not plan.excision.clearances:
        return ()
    least = min(plan.excision.clearances, key=lambda one: one.least_mm)
    start = on_skin(tract_map, least.at_mm[:2])
    for wall in plan.excision.outline.walls:
        if wall.name == least.wall:
            end = min(along(wall.line_mm, 0.1), key=lambda p: dist(p, start))
            return (Line(points=(start, end), ink=BINDING),)
    return ()


def _frame_words(box: Box, k: float) -> list[Mark]:
    return [
        Words(at=(0.0, box[3] + 2.8 / k), text=HEAD, ink=BLACK_WORDS, size_pt=BODY_PT, bold=True),
        *side_marks((box[0], box[2]), box[1] - 10.0 / k, k, BODY_PT, bold=True),
    ]
