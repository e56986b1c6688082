"""Words find a place of their own, whichever way the plan lies."""

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest
from sample_plans import sample_plan_set

from crena.draw.inks import CUT, FLAP_CUT, MIDLINE
from crena.draw.marks import Line, Mark, Words, along, letters_height_mm, words_width_mm
from crena.draw.templates import template_box, template_marks
from crena.draw.tiles import LEAST_OVERLAP_MM, tiling_of
from crena.records import Closure, PlanSet, Point2


def turned_set(turn_deg: float) -> PlanSet:
    """Return the first plan turned about the coccyx tip: only the drawing matters here."""
    plan_set = sample_plan_set()
    plan = plan_set.plans[0]
    return replace(plan_set, plans=(replace(plan, closure=turned(plan.closure, turn_deg)),))


def turned(closure: Closure, turn_deg: float) -> Closure:
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))

    def carried(point: Point2) -> Point2:
        return (c * point[0] - s * point[1], s * point[0] + c * point[1])

    (flap,) = closure.flaps
    return replace(
        closure,
        points_mm={name: carried(at) for name, at in closure.points_mm.items()},
        removed_mm=tuple(map(carried, closure.removed_mm)),
        incisions_mm=tuple(tuple(map(carried, line)) for line in closure.incisions_mm),
        flaps=(
            replace(
                flap,
                outline_mm=tuple(map(carried, flap.outline_mm)),
                pedicle_mm=(carried(flap.pedicle_mm[0]), carried(flap.pedicle_mm[1])),
            ),
        ),
    )


def boxes_of(marks: tuple[Mark, ...]) -> dict[str, tuple[float, float, float, float]]:
    found = {}
    for mark in marks:
        if isinstance(mark, Words):
            half = words_width_mm(mark.text, mark.size_pt, bold=mark.bold) / 2
            rise = letters_height_mm(mark.size_pt) / 2
            x, y = mark.at
            found[mark.text] = (x - half, y - rise, x + half, y + rise)
    return found


@pytest.mark.parametrize("turn_deg", [0, 40, 95, 150, 205, 270, 310])
def test_no_letter_lies_on_a_cut_or_on_another(turn_deg: float) -> None:
    plan_set = turned_set(turn_deg)
    marks = template_marks(plan_set, template_box(plan_set))
    boxes = boxes_of(marks)
    lines = [m for m in marks if isinstance(m, Line) and m.ink in (CUT, FLAP_CUT, MIDLINE)]
    points = np.concatenate(
        [along((*m.points, m.points[0]) if m.closed else m.points, 0.2) for m in lines]
    )
    for name in "ABCDEF":
        a, b, c, d = boxes[name]
        x, y = points.T
        assert not ((x > a) & (x < c) & (y > b) & (y < d)).any(), name
        for other, (e, f, g, h) in boxes.items():
            assert other == name or c < e or g < a or d < f or h < b, (name, other)


def test_one_sheet_is_used_if_one_is_enough() -> None:
    tiling = tiling_of((-60.0, -60.0, 60.0, 70.0), (170.0, 190.0))
    assert len(tiling.tiles) == 1
    assert tiling.crosses == ()


def test_tiles_cover_the_drawing_and_overlap() -> None:
    tiling = tiling_of((-200.0, -100.0, 180.0, 160.0), (170.0, 190.0))
    lefts = sorted({tile.box[0] for tile in tiling.tiles})
    assert lefts[0] <= -200.0 and lefts[-1] + 170.0 >= 180.0
    assert LEAST_OVERLAP_MM >= 10.0
    for here, after in zip(lefts, lefts[1:], strict=False):
        assert here + 170.0 - after == pytest.approx(LEAST_OVERLAP_MM)
    for _, (x, y) in tiling.crosses:
        holding = [t for t in tiling.tiles if t.box[0] < x < t.box[2] and t.box[1] < y < t.box[3]]
        assert len(holding) >= 2
