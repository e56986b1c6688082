"""The specimen card: true size, the right way round, every wall asked for."""

from dataclasses import replace
from functools import cache
from math import dist

import numpy as np
import pytest
from card_texts import assert_named, assert_readable, bare_figures
from printed_pages import pages_of, words_of
from sample_healing import sample_healing, sample_operation
from sample_plans import mirrored, sample_plan_set

from crena.draw import Paper, specimen_card_pdf
from crena.draw.specimen_cards import wall_rows
from crena.draw.specimen_pictures import marked_corners
from crena.records import Deviation
from crena.records.units import POINTS_PER_MM

PEN_RGB = (0x57 / 255, 0x2A / 255, 0x8A / 255)


@cache
def printed(paper=Paper.A4):
    return pages_of(specimen_card_pdf(sample_healing(), paper=paper))


def outline_mm(page):
    """Return the corners of the pen outline, mm from the upper left of the page."""
    for shape in [*page.curves, *page.rects]:
        colour = shape["stroking_color"]
        if colour is not None and len(colour) == 3 and np.allclose(colour, PEN_RGB, atol=0.01):
            return [tuple(np.array(point) / POINTS_PER_MM) for point in shape["pts"][:4]]
    raise AssertionError("no pen outline")


def larger(plan, times):
    """Return a plan whose specimen is larger."""
    cut = plan.excision
    points = tuple((times * x, times * y) for x, y in cut.outline_mm)
    corners = tuple(
        replace(corner, at_mm=at) for corner, at in zip(cut.outline.corners, points, strict=True)
    )
    outline = replace(cut.outline, corners=corners)
    return replace(plan, excision=replace(cut, outline_mm=points, outline=outline))


@pytest.mark.parametrize("paper", list(Paper))
def test_one_page_named_and_readable(paper):
    (page,) = printed(paper)
    assert_named(page)
    assert_readable(page)


def test_every_figure_has_its_unit_and_no_decimal():
    assert set(bare_figures(words_of(printed()[0]))) <= set("1234")  # of the questions


@pytest.mark.parametrize("paper", list(Paper))
def test_outline_and_bar_are_printed_at_true_size(paper):
    (page,) = printed(paper)
    a, b, c, d = outline_mm(page)
    sides = [dist(*ends) for ends in ((a, b), (b, c), (c, d), (d, a))]
    assert sides == pytest.approx([50.0] * 4, abs=0.02)
    assert dist(a, c) == pytest.approx(50.0 * np.sqrt(3), abs=0.02)
    level = next(
        w["top"] for w in page.extract_words(keep_blank_chars=True) if "100\u00a0mm" == w["text"]
    )
    bars = [x for x in page.lines if x["height"] < 0.01 and abs(x["top"] - level) < 15]
    longest = max(bars, key=lambda line: line["width"])
    assert longest["width"] / POINTS_PER_MM == pytest.approx(100.0, abs=0.003)


def test_a_specimen_that_does_not_go_in_is_said_to_be_smaller_and_has_no_100_mm_bar():
    healing = sample_healing(plan=larger(sample_healing().plan, 2.5))
    (page,) = pages_of(specimen_card_pdf(healing, paper=Paper.A4))
    text = words_of(page)
    assert "Not at true size: drawn at" in text
    assert "True size." not in text
    assert "100 mm" not in text
    assert_readable(page)


def test_the_outline_lies_as_it_lay_on_the_patient():
    for plan, aside in (
        (sample_healing().plan, "patient's left"),
        (mirrored(sample_plan_set()).plans[0], "patient's right"),
    ):
        (page,) = pages_of(specimen_card_pdf(sample_healing(plan=plan), paper=Paper.A4))
        a, b, *_ = outline_mm(page)
        assert a[1] < b[1]
        assert (b[0] < a[0]) == (aside == "patient's left")
        assert f"2 threads at corner B, towards the {aside}" in words_of(page)
        words = {w["text"]: w["x0"] for w in page.extract_words(keep_blank_chars=True)}
        assert words["PATIENT'S LEFT"] < words["HEAD"] < words["PATIENT'S RIGHT"]


def test_one_thread_points_to_the_head_and_two_to_another_corner():
    for plan in sample_plan_set().plans:
        corners = {corner.name: corner.at_mm for corner in plan.excision.outline.corners}
        head, aside = marked_corners(plan.excision.outline)
        assert (head.threads, aside.threads) == (1, 2)
        assert corners[head.corner.name][1] == max(y for _, y in corners.values())
        assert head.corner != aside.corner


def test_every_wall_and_the_floor_are_asked_for_and_promises_are_rounded_down():
    plan = sample_healing().plan
    lower = tuple(replace(c, least_mm=4.99) for c in plan.excision.clearances)
    rows = wall_rows(replace(plan.excision, clearances=lower), sample_healing().operation)
    assert [row[0] for row in rows] == ["A–B", "B–C", "C–D", "D–A", "Floor (fascia)"]
    assert rows[0][1:] == ["4\u00a0mm", "6\u00a0mm"]
    assert rows[1][1:] == ["no part is nearest here", ""]


def test_a_wall_that_cuts_into_the_disease_is_said():
    cut = sample_healing().plan.excision
    bad = tuple(replace(c, least_mm=-0.4) for c in cut.clearances)
    assert wall_rows(replace(cut, clearances=bad), None)[0][1] == "cut into"


def test_volume_depth_questions_and_what_was_done_otherwise_are_told():
    text = words_of(printed()[0])
    for words in (
        "56–65 mL, at most 28 mm deep",
        "84 mm long, 49 mm wide, 61 g",
        "Otherwise than drawn: Wall C–D was cut 5 mm farther out.",
        "Is every tract, with its blind end,",
        "wall B–C",
    ):
        assert words in text


@pytest.mark.parametrize(
    ("made_on", "words"), [("2026-11-25", "To be taken out on"), ("2026-11-26", "Taken out on")]
)
def test_a_specimen_of_a_day_ahead_is_not_said_to_be_out(made_on, words):
    (page,) = pages_of(specimen_card_pdf(sample_healing(made_on=made_on), paper=Paper.A4))
    assert f"{words} 26 November 2026" in words_of(page)


def test_a_change_recorded_with_a_full_stop_gets_no_second_one():
    changed = sample_operation(deviations=(Deviation(what="Drain left out.", why="Dry."),))
    (page,) = pages_of(specimen_card_pdf(sample_healing(operation=changed), paper=Paper.A4))
    assert "Otherwise than drawn: Drain left out." in words_of(page)
    assert "left out.." not in words_of(page)


def test_without_a_plan_the_outline_is_left_to_be_drawn():
    healing = sample_healing(plan=None, operation=None, code="")
    (page,) = pages_of(specimen_card_pdf(healing, paper=Paper.LETTER))
    text = words_of(page)
    assert "No plan is at hand: the outline is not drawn." in text
    assert "No wall is named." in text


def test_the_same_record_gives_the_same_bytes():
    one, other = (specimen_card_pdf(sample_healing(), paper=Paper.LETTER) for _ in range(2))
    assert one == other
