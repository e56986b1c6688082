"""Pictures and words of the filling: every level line lies over empty room, and says how deep."""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from matplotlib.path import Path
from sample_plans import sample_plan_set

from crena.draw import filling_pictures
from crena.draw.filling_pictures import filling_picture, filling_section
from crena.draw.filling_words import filling_sentence, option_sentence, quilting_sentence
from crena.draw.marks import words_width_mm
from crena.draw.press import png_of
from crena.records import Filling, FillingOption, FillingSection, GapMap, Quilting

OUTLINE = ((-30.0, 10.0), (20.0, 0.0), (35.0, 40.0), (-25.0, 60.0))
CAVITY = ((-30.0, 0.0), (28.0, 0.0), (30.0, -26.0), (28.0, -26.0), (-30.0, -26.0), (-32.0, -26.0))
TISSUE = ((-30.0, 0.0), (28.0, 0.0), (28.0, -18.0), (-30.0, -9.0))


def ramp(s_mm):
    """Depth 12 mm at the patient's left edge, none from 10 mm beyond the midline."""
    return np.clip((10 - np.asarray(s_mm)) * 0.3, 0, None)


def sample_filling(**changes):
    s, y = (tuple(float(v) for v in range(*ends, 2)) for ends in ((-34, 40), (-4, 66)))
    row = tuple(float(v) for v in ramp(s))
    filling = Filling(
        cavity_ml=62.0, flap_ml=55.4, spare_ml=1.0, gap_ml=6.6, gap_low_ml=2.4, gap_high_ml=13.3,
        gap_without_flap_ml=62.0, deepest_mm=12.0, deepest_at_mm=(-29.0, 12.0),
        middle_at_mm=(-16.0, 30.0), outline_mm=OUTLINE,
        gap_map=GapMap(s_mm=s, y_mm=y, depth_mm=tuple(row for _ in y)),
        section=FillingSection(y_mm=30.0, cavity_mm=CAVITY, filled_mm=TISSUE),
        quilting=(), options=(), assumed=(),
    )  # fmt: skip
    return replace(filling, **changes)


@cache
def sample():
    plan_set = sample_plan_set()
    return replace(plan_set.plans[0], filling=sample_filling()), plan_set.tract_map


def level_lines():
    filling = sample_filling()
    found = filling_pictures._depth_lines(filling.gap_map, filling.outline_mm, 0.5)
    return np.array(found)


def test_level_lines_stay_within_the_cavity_and_over_empty_room():
    lines = level_lines()
    assert (lines[:, 0, 1] == lines[:, 1, 1]).all() and len(lines) > 30
    ends = lines.reshape(-1, 2)
    assert Path(OUTLINE).contains_points(ends, radius=1e-6).all()
    assert (ramp(ends[:, 0]) >= filling_pictures.DEPTHS_MM[0] - 1e-9).all()


@pytest.mark.parametrize(("depth_mm", "share"), [(0.5, 0.0), (3.0, 0.25), (7.0, 0.5), (11.0, 1.0)])
def test_deeper_room_has_closer_lines(depth_mm, share):
    """Of the closest lines: none, every fourth, every second, every one."""
    s = 10 - depth_mm / 0.3
    lines = level_lines()
    at = [y for (a, y), (b, _) in lines if a <= s <= b]
    rows = [y for y in np.arange(-200, 200) * filling_pictures.LINE_STEP_MM / 0.5
            if Path(OUTLINE).contains_point((s, y))]  # fmt: skip
    assert len(at) == pytest.approx(share * len(rows), abs=1)


def test_section_lines_stay_out_of_the_flap():
    marks = filling_pictures._laid_in(sample_filling().section, 1.0)
    lines = np.array(marks[2].lines)
    middles = lines.mean(axis=1) + [0.0, 1e-6]
    assert Path(CAVITY).contains_points(middles).all()
    assert not Path(TISSUE).contains_points(middles).any()
    assert middles[:, 1].max() > -18.0 > middles[:, 1].min()


def test_both_pictures_name_both_sides_and_the_deepest_place():
    plan, tract_map = sample()
    for draw, words in (
        (filling_picture, ("HEAD", "deepest 12\u00a0mm", "from 10\u00a0mm deep")),
        (filling_section, ("flap", "stays empty", "fascia")),
    ):
        svg, width_mm = draw(plan, tract_map, 0.6)
        text = svg.decode()
        assert all(word in text for word in words)
        assert text.index("s left</text>") < text.index("s right</text>")
        assert f'width="{width_mm:.4f}'.rstrip("0").rstrip(".") in text


@pytest.mark.parametrize("scale_ratio", [0.3, 0.6])
def test_the_legend_fits_on_the_picture(scale_ratio):
    plan, tract_map = sample()
    svg, width_mm = filling_picture(plan, tract_map, scale_ratio)
    x, size = re.search(rb'x="([\d.]+)"[^>]*font-size="([\d.]+)"[^>]*>from 10', svg).groups()
    letters = words_width_mm("from 10\u00a0mm deep", float(size) * 72 / 25.4)
    assert float(x) + letters <= width_mm


def test_a_full_wound_has_no_ring_and_no_lines():
    plan, tract_map = sample()
    flat = replace(sample_filling().gap_map, depth_mm=tuple((0.0,) * 37 for _ in range(35)))
    full = sample_filling(gap_map=flat, deepest_mm=0.0, deepest_at_mm=None, middle_at_mm=None)
    svg, _ = filling_picture(replace(plan, filling=full), tract_map, 0.6)
    assert b"deepest" not in svg
    assert filling_pictures._depth_lines(flat, OUTLINE, 0.6) == ()


def test_leaning_walls_show_their_foot():
    plan, tract_map = sample()
    leaning = replace(plan.excision.outline, wall_angle_deg=10.0)
    other = replace(plan, excision=replace(plan.excision, outline=leaning))
    dashes = re.compile(rb'stroke-dasharray="0.6 0.6"')
    counts = [len(dashes.findall(filling_picture(p, tract_map, 0.6)[0])) for p in (plan, other)]
    assert counts == [0, 1]


def test_a_plan_without_filling_is_not_drawn():
    plan, tract_map = sample()
    for draw in (filling_picture, filling_section):
        with pytest.raises(ValueError, match="was not computed"):
            draw(replace(plan, filling=None), tract_map, 0.6)


def test_the_picture_prints():
    plan, tract_map = sample()
    svg, width_mm = filling_section(plan, tract_map, 0.6)
    assert png_of(svg, width_mm=width_mm, pixels_per_inch=60).startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "*2–14 mL* stay empty, deepest 12 mm."),
        ({"gap_ml": 0.1, "gap_low_ml": 0.0}, "*0–14 mL* may stay empty."),
        ({"gap_ml": 0.1, "gap_high_ml": 0.4}, "*Nothing stays empty.*"),
    ],
)  # fmt: skip
def test_the_sentence_has_the_gap_as_a_band(changes, words):
    said = filling_sentence(sample_filling(**changes)).replace("\u00a0", " ")
    assert said == f"The flap fills 55 of 62 mL. {words}"


def test_options_and_quilting_are_said_with_their_figures():
    option = FillingOption(
        name="fascia included", how="Raise the flap under the fascia: 1 mm more everywhere.",
        outline_mm=(), volume_ml=2.2, gap_ml=4.4,
    )  # fmt: skip
    row = Quilting(
        spacing_mm=15.0, stitches=11, farthest_mm=8.7, pocket_ratio=0.008, gap_ratio=0.09
    )
    assert option_sentence(option).replace("\u00a0", " ").endswith(
        "It brings 2 mL; 4 mL still stay empty."
    )  # fmt: skip
    assert quilting_sentence(row).replace("\u00a0", " ") == (
        "11 stitches, one each 15 mm: at least 9 of 100 parts of the room stay. "
        "Relative, not validated."
    )
