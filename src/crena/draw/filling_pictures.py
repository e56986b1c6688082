"""What a flap leaves empty: seen from above with its depth, and in a section across.

Room that stays empty is drawn as level ink lines, like fluid: the closer, the deeper.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from crena.draw.closures import layout_of, sewn_marks
from crena.draw.disease import on_skin
from crena.draw.inks import (
    BLACK,
    BLACK_WORDS,
    BODY,
    CUT,
    EMPTIED,
    FLAP,
    FLOOR,
    GREY_WORDS,
    MIDLINE,
    PEN,
    SKIN,
    Ink,
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
    circle,
    words_width_mm,
)
from crena.draw.patterns import inside
from crena.draw.plan_pictures import large_box
from crena.draw.sections import profile_mm
from crena.draw.side_marks import second_line_mm, side_marks
from crena.draw.svg import Box, svg_of
from crena.draw.words import NARROW, with_unit
from crena.geometry.unrolling import SkinMap, height_mm, skin_map
from crena.records import Plan, Point2, Polyline2, TractMap
from crena.records.fillings import Filling, FillingSection, GapMap
from crena.records.numbers import whole

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

EMPTY = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.2)
"""Level lines over room that stays empty."""

UNDERCUT = Ink(layer="SPECIMEN", stroke=PEN, width_mm=0.25, dash_mm=(0.6, 0.6))
"""The foot of leaning walls, under skin that was not cut."""

DEEPEST = Ink(layer="LANDMARK", stroke=BLACK, width_mm=0.4, fill="#ffffff")
"""The ring at the deepest empty place."""

DEPTHS_MM = (1.0, 5.0, 10.0)
"""From these depths on, lines lie wide, closer, closest; less than the first is not drawn."""

LINE_STEP_MM = 0.8
"""Between the closest lines, on paper; the others lie twice and four times as far apart."""

_SECTION_STEP_MM = 1.0
_ALONG_MM = 0.2
"""Between the places at which a line is asked whether it is drawn, on paper."""

_RING_MM = 1.1
_SWATCH_MM = (9.0, 3.2)
_LEGEND_BELOW_MM = 17.0
_FRAME_LEFT_MM = 13.0
_FRAME_BELOW_MM = 23.0
_FRAME_ABOVE_MM = 5.5
_AROUND_MM = 18.0
_BELOW_FLOOR_MM = 5.0


def filling_picture(plan: Plan, tract_map: TractMap, scale_ratio: float) -> tuple[bytes, float]:
    """Draw the sewn wound from above, with the depth of what stays empty under it.

    Parameters
    ----------
    plan : Plan
        With its filling.
    tract_map : TractMap
        With the anal verge.
    scale_ratio : float
        Millimetres in the picture for one millimetre of skin.

    Returns
    -------
    tuple
        SVG, and its width in mm.

    Raises
    ------
    ValueError
        If the filling of the plan was not computed.
    """
    filling, k = _filling(plan), scale_ratio
    box, verge = large_box(plan, tract_map), on_skin(tract_map, tract_map.anal_verge_mm[:2])
    layout = layout_of([], verge, box, k)
    second_mm = second_line_mm((box[2] - box[0]) * k, BODY_PT, bold=True)
    layout.keep_clear([_closed(plan.closure.removed_mm), *plan.closure.scar_mm])
    layout.areas.append(filling.outline_mm)
    marks = (
        *ruled_frame(box, k),
        *sewn_marks(plan.closure),
        *_undercut(plan),
        Strokes(lines=_depth_lines(filling.gap_map, filling.outline_mm, k), ink=EMPTY),
        *midline_marks(box[1], box[3]),
        *landmark_marks(verge, k),
        *_deepest(filling, layout),
        *words_beside(layout, (0.0, 1.0), "Coccyx tip", REMARKS),
        *words_beside(layout, verge, "Anal verge", REMARKS, reach_mm=VERGE_RAYS_MM),
        *_frame_words(box, k),
        *_legend((box[0], box[1] - second_mm / k), k),
    )
    right = max(box[2], _legend_end(marks[-1], k)) + 3.0 / k
    frame = (
        box[0] - _FRAME_LEFT_MM / k, box[1] - (_FRAME_BELOW_MM + second_mm) / k,
        right, box[3] + _FRAME_ABOVE_MM / k,
    )  # fmt: skip
    title = f"{plan.closure.name} as sewn, with the depth of what stays empty; head upwards"
    return svg_of(marks, frame, title, scale_ratio=k), (frame[2] - frame[0]) * k


def filling_section(plan: Plan, tract_map: TractMap, scale_ratio: float) -> tuple[bytes, float]:
    """Draw the filled wound in a section across, at the level of the deepest empty place.

    Parameters
    ----------
    plan : Plan
        With its filling.
    tract_map : TractMap
        Skin and fascia.
    scale_ratio : float
        Millimetres in the picture for one millimetre of the body.

    Returns
    -------
    tuple
        SVG, and its width in mm.

    Raises
    ------
    ValueError
        If the filling of the plan was not computed.
    """
    section, k = _filling(plan).section, scale_ratio
    skin, floor = skin_map(tract_map.skin), skin_map(tract_map.floor)
    half = max(abs(x) for x, _ in section.cavity_mm) + _AROUND_MM
    above, below = (profile_mm(surface, -half, half, section.y_mm) for surface in (skin, floor))
    low, high = min(p[1] for p in below) - _BELOW_FLOOR_MM, max(p[1] for p in above) + 6.0 / k
    body = (*above, (half, low), (-half, low))
    marks = (
        Line(points=body, ink=BODY, closed=True),
        *_laid_in(section, k),
        Line(points=above, ink=SKIN),
        Line(points=below, ink=FLOOR),
        Line(points=((0.0, high), (0.0, low)), ink=MIDLINE),
        *_section_words((half, low), below, k),
        *_named(section, below, (-half, low, half, high), k),
    )
    second_mm = second_line_mm(2 * half * k, BODY_PT, bold=True)
    box = (-half, low - (6.0 + second_mm) / k, half, high + 1.0)
    title = (
        "Section across, patient's left on the left: the flap in the wound, and what stays empty"
    )
    return svg_of(marks, box, title, scale_ratio=k), 2 * half * k


def _filling(plan: Plan) -> Filling:
    if plan.filling is None:
        raise ValueError(f"The filling of plan {plan.id} was not computed.")
    return plan.filling


def _undercut(plan: Plan) -> list[Mark]:
    if plan.filling is None or plan.excision.outline.wall_angle_deg <= 0:
        return []
    return [Line(points=plan.filling.outline_mm, ink=UNDERCUT, closed=True)]


def _depth_lines(gap_map: GapMap, outline: Polyline2, k: float) -> tuple[Polyline2, ...]:
    """Return level lines over the cavity: every fourth from 1 mm on, every one from 10 mm on."""
    wide, closer, closest = DEPTHS_MM
    least = {0: wide, 2: closer}

    def shown(row: int, places: Floats) -> Bools:
        deep = _depth_at(gap_map, places) >= least.get(row % 4, closest)
        return np.asarray(deep & inside(places, outline))

    return _level_lines(outline, LINE_STEP_MM / k, _ALONG_MM / k, shown)


def _level_lines(
    outline: Polyline2, step: float, along: float, shown: Callable[[int, Floats], Bools]
) -> tuple[Polyline2, ...]:
    """Return the stretches of level lines over an outline that are to be shown."""
    corners = np.asarray(outline, dtype=float)
    (left, low), (right, high) = corners.min(axis=0), corners.max(axis=0)
    x = np.arange(left - along, right + 2 * along, along)
    lines: list[Polyline2] = []
    for row in range(int(np.ceil(low / step)), int(np.floor(high / step)) + 1):
        y = row * step
        drawn = shown(row, np.column_stack([x, np.full_like(x, y)]))
        ends = np.flatnonzero(np.diff(np.concatenate([[False], drawn, [False]]).astype(int)))
        lines += [
            ((float(x[i]), y), (float(x[j - 1]), y))
            for i, j in ends.reshape(-1, 2) if j - i > 1
        ]  # fmt: skip
    return tuple(lines)


def _depth_at(gap_map: GapMap, places: Floats) -> Floats:
    surface = SkinMap(
        x_mm=np.array(gap_map.s_mm),
        y_mm=np.array(gap_map.y_mm),
        z_mm=np.array(gap_map.depth_mm),
        arc_mm=np.empty((0, 0)),
    )
    return height_mm(surface, places)


def _deepest(filling: Filling, layout: Layout) -> tuple[Mark, ...]:
    """Mark the deepest empty place with a ring and its depth."""
    if filling.deepest_at_mm is None or filling.deepest_mm < DEPTHS_MM[0]:
        return ()
    (x, y), half = filling.deepest_at_mm, _RING_MM / layout.scale_ratio
    ring = circle((x, y), half, 24)
    layout.keep_clear([_closed(ring)])
    words = f"deepest {with_unit(whole(filling.deepest_mm), 'mm')}"
    return (
        Line(points=ring, ink=DEEPEST, closed=True),
        *words_beside(layout, (x, y), words, NAMES, reach_mm=half),
    )


def _frame_words(box: Box, k: float) -> list[Mark]:
    return [
        Words(at=(0.0, box[3] + 2.8 / k), text=HEAD, ink=BLACK_WORDS, size_pt=BODY_PT, bold=True),
        *side_marks((box[0], box[2]), box[1] - 10.0 / k, k, BODY_PT, bold=True),
    ]


def _legend(corner: Point2, k: float) -> list[Mark]:
    """Show how close the lines lie for each class of depth, with its figures."""
    names = [f"{a:.0f}–{b:.0f}" for a, b in zip(DEPTHS_MM, DEPTHS_MM[1:], strict=False)]
    names.append(f"from {DEPTHS_MM[-1]:.0f}{NARROW}mm deep")
    x, y, marks = corner[0], corner[1] - _LEGEND_BELOW_MM / k, list[Mark]()
    heading = "Empty:"
    marks.append(Words(at=(x, y), text=heading, ink=GREY_WORDS, size_pt=SMALL_PT,
                       anchor=Anchor.START))  # fmt: skip
    x += (words_width_mm(heading, SMALL_PT) + 2.0) / k
    for name, skip in zip(names, (4, 2, 1), strict=True):
        rows = [i for i in range(-2, 3) if i % skip == 0] if skip < 4 else [-2, 2]
        lines = tuple(
            ((x, y + i * LINE_STEP_MM / k), (x + _SWATCH_MM[0] / k, y + i * LINE_STEP_MM / k))
            for i in rows
        )
        marks.append(Strokes(lines=lines, ink=EMPTY))
        at = (x + (_SWATCH_MM[0] + 1.4) / k, y)
        marks.append(Words(at=at, text=name, ink=GREY_WORDS, size_pt=SMALL_PT, anchor=Anchor.START))
        x = at[0] + (words_width_mm(name, SMALL_PT) + 4.0) / k
    return marks


def _legend_end(last: Mark, k: float) -> float:
    return last.at[0] + words_width_mm(last.text, SMALL_PT) / k if isinstance(last, Words) else 0.0


def _laid_in(section: FillingSection, k: float) -> list[Mark]:
    """Draw the cavity white, the tissue in it, and level lines over what is left."""

    def empty(row: int, places: Floats) -> Bools:
        within = inside(places, section.cavity_mm)
        return within & ~inside(places, section.filled_mm) if section.filled_mm else within

    lines = _level_lines(section.cavity_mm, _SECTION_STEP_MM / k, _ALONG_MM / k, empty)
    tissue = Line(points=section.filled_mm, ink=FLAP, closed=True)
    return [
        Line(points=section.cavity_mm, ink=EMPTIED, closed=True),
        *([tissue] if section.filled_mm else []),
        Strokes(lines=lines, ink=EMPTY),
        Line(points=section.cavity_mm, ink=CUT, closed=True),
    ]


def _named(section: FillingSection, fascia: Polyline2, box: Box, k: float) -> list[Mark]:
    """Name the flap and the empty room, each from its thickest place."""
    cavity = np.asarray(section.cavity_mm, dtype=float)
    count = (len(cavity) - 2) // 2
    top, floor = cavity[:count], cavity[count:][::-1][1:-1]
    under = np.asarray(section.filled_mm, dtype=float)[count:][::-1] if section.filled_mm else top
    layout = Layout(scale_ratio=k, bounds=box, areas=[section.cavity_mm])
    layout.keep_clear([_closed(section.cavity_mm), fascia, ((0.0, box[1]), (0.0, box[3]))])
    marks: list[Mark] = []
    for name, high, low in (("flap", top, under), ("stays empty", under, floor)):
        at = int(np.argmax(high[:, 1] - low[:, 1]))
        if high[at, 1] - low[at, 1] >= DEPTHS_MM[0]:
            middle = (float(high[at, 0]), float((high[at, 1] + low[at, 1]) / 2))
            marks += words_beside(layout, middle, name, REMARKS)
    return marks


def _closed(outline: Polyline2) -> Polyline2:
    return (*outline, outline[0])


def _section_words(corner: Point2, below: Polyline2, k: float) -> list[Mark]:
    (half, low), note = corner, below[-1]
    return [
        *side_marks((-half, half), low - 3.0 / k, k, BODY_PT, bold=True),
        Words(at=(half - 2.0 / k, note[1] + 2.6 / k), text="fascia", ink=GREY_WORDS,
              size_pt=SMALL_PT, anchor=Anchor.END),
    ]  # fmt: skip
