"""The ward card: the drain at one look, what to call for, the next days, and what they rest on."""

import re
from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from card_texts import assert_named, assert_readable, bare_figures
from printed_pages import pages_of, words_of
from sample_healing import sample_course, sample_healing, sample_operation

from crena.draw import Paper, ward_card_pdf
from crena.draw.drain_pictures import (
    FORESEEN,
    READ,
    READ_NOT_COUNTED,
    DrainView,
    drain_picture,
    shown_days,
)
from crena.draw.support_pictures import LOAD, MIDDLE, OF_SEAM_MM, support_picture
from crena.draw.ward_cards import BLEEDING_ML_PER_HOUR, CALLS, next_days
from crena.healing import drain_rates
from crena.healing.drain_forecast import forecast_drain
from crena.healing.schedule import schedule
from crena.records import DateRule, DrainRead, DrainRule, ScheduleSettings

WIDTH_MM = 182.0
RULE = DrainRule()


@cache
def printed(paper=Paper.A4):
    return pages_of(ward_card_pdf(sample_healing(), paper=paper))


def front(**changes):
    return words_of(pages_of(ward_card_pdf(sample_healing(**changes), paper=Paper.A4))[0])


def view(*volumes_ml, rule=RULE, counts=True):
    read = tuple(
        DrainRead(day=day, ml_per_day=ml, counts=counts)
        for day, ml in enumerate(volumes_ml, start=1)
    )
    forecast = forecast_drain(sample_course(34.0, 21.0, 15.5), rule)
    return DrainView(rule=rule, read=read, forecast=forecast, operated_on=None)


def paths(svg, ink):
    """Return the corners of every path of an ink, mm, y upwards."""
    look = f'fill="{ink.fill or "none"}"' + (f' stroke="{ink.stroke}"' if ink.stroke else "")
    width = f'stroke-width="{ink.width_mm:g}"' if ink.stroke else "/>"
    lines = re.findall(r'<path d="(M[^"]*)" ([^>]*/>)', svg.decode())
    return [
        [(float(x), -float(y)) for x, y in re.findall(r"[ML]([\d.]+) ([\d.]+)", data)]
        for data, style in lines
        if style.startswith(look) and width in style and ("dasharray" in style) == bool(ink.dash_mm)
    ]


def height(path):
    return max(y for _, y in path) - min(y for _, y in path)


@pytest.mark.parametrize("paper", list(Paper))
def test_front_and_back_are_named_and_readable(paper):
    pages = printed(paper)
    assert len(pages) == 2
    for page in pages:
        assert_named(page)
        assert_readable(page)


def test_every_figure_has_its_unit_and_no_decimal():
    first, second = map(words_of, printed())
    assert set(bare_figures(first)) <= set("1234567")  # days under the bars
    assert bare_figures(second) == []


def test_the_front_says_all_that_the_ward_does():
    text = words_of(printed()[0])
    healing = sample_healing()
    for words in (
        "Below 10 mL in 24 h; at the latest on day 21, Thursday 17 December 2026.",
        healing.drain.words,
        "the surgeon's decision",
        "Tube open?",
        "Ward 0, 000 0000 (invented)",
        "day 12 Tuesday 8 December 2026",
    ):
        assert words in text
    assert all(words.split()[0] in text for words in CALLS)


def test_the_bars_are_as_high_as_the_volumes():
    svg = drain_picture(view(34.0, 21.0, 8.5), WIDTH_MM)
    high = [height(path) for path in paths(svg, READ)]
    assert [h / high[0] for h in high] == pytest.approx([1.0, 21.0 / 34.0, 0.25], abs=1e-4)


def test_the_area_of_the_forecast_is_the_chance():
    seen = view(34.0, 21.0, 15.5)
    (area,) = paths(drain_picture(seen, WIDTH_MM), FORESEEN)
    base = min(y for _, y in area)
    tops = [y - base for _, y in area[1:-1:2]]
    chances = [each.chance for each in shown_days(seen.forecast)]
    assert [t / tops[0] for t in tops] == pytest.approx([c / chances[0] for c in chances], abs=2e-3)


def test_what_cannot_meet_the_rule_is_drawn_open_and_what_was_not_measured_is_said():
    svg = drain_picture(view(34.0, 21.0, counts=False), WIDTH_MM)
    assert len(paths(svg, READ_NOT_COUNTED)) == 2
    assert paths(svg, READ) == []
    assert "not measured" in drain_picture(view(34.0, None), WIDTH_MM).decode()


def test_a_volume_just_below_the_rule_is_not_rounded_up_to_it():
    svg = drain_picture(view(9.7), WIDTH_MM).decode()
    assert ">9\u00a0mL<" in svg
    assert ">10\u00a0mL<" not in svg


def test_a_blocked_drain_is_said_before_anything_else():
    course = sample_course(40.0, 30.0, 1.0)
    unseen = tuple(replace(r, patent="not asked") for r in course.readings)
    forecast = forecast_drain(replace(course, readings=unseen), DrainRule())
    text = front(drain=forecast)
    assert 0 < text.index("A sudden fall is a blocked drain") < text.index("Drain out:")


def test_what_is_missing_is_said_in_words():
    bare = sample_healing(drain=None, drain_days=(), schedule=None, operation=None, call_at="")
    page = pages_of(ward_card_pdf(bare, paper=Paper.A4))[0]
    text, right = words_of(page), words_of(page.crop((page.width / 2, 0, page.width, page.height)))
    assert "Forecast: none, because no course of the drain is recorded." in text
    assert "No date is known, because no day of the operation is recorded." in right
    assert "Telephone: not written down." in text
    assert "No drain was laid." in front(operation=sample_operation(drains=()))


def test_support_that_was_not_computed_gives_a_reason_and_no_figure():
    healing = sample_healing(support=None, support_reason="no pull was computed for this plan")
    back = words_of(pages_of(ward_card_pdf(healing, paper=Paper.A4))[1])
    assert "Support: not computed, because no pull was computed for this plan." in back
    assert "times its load" not in back


def test_only_days_to_come_are_shown_in_order():
    healing = sample_healing(made_on="2026-12-05")
    days = [row["day"] for row in next_days(healing)]
    assert days == ["day\u00a012", "day\u00a014", "day\u00a030", "day\u00a042"]
    rows = next_days(sample_healing(made_on="2026-11-28"))
    assert rows[0]["notes"] == [
        "Or Monday 30 November 2026.",
        "The drain each day, as far as is foreseen until day\u00a06.",
    ]
    assert sum("Read the drain" in task for row in rows for task in row["tasks"]) == 1


def test_a_surgeons_own_day_for_taking_the_drain_out_is_no_reading():
    own = DateRule(code="drain-out", task="Take the drain out", who="surgeon", days=(5,))
    dates = schedule(date(2026, 11, 26), ScheduleSettings(rules=(own,)))
    rows = next_days(sample_healing(schedule=dates, made_on="2026-11-27"))
    assert any("Take the drain out" in task for row in rows for task in row["tasks"])
    assert "The drain each day, as far as is foreseen until day\u00a03." in rows[0]["notes"]


def test_the_ward_calls_at_the_volume_at_which_readings_warn():
    assert BLEEDING_ML_PER_HOUR == drain_rates.BLEEDING_ML_PER_HOUR


def test_both_sides_of_the_step_stand_on_the_day_of_removal():
    support = sample_healing().support
    (line,) = paths(support_picture(support, WIDTH_MM), MIDDLE)
    (load,) = paths(support_picture(support, WIDTH_MM), LOAD)
    steps = [(a, b) for a, b in zip(line, line[1:], strict=False) if a[0] == b[0]]
    curve = support.with_skin
    at = [
        n
        for d, n in zip(curve.at_day, curve.support_n_per_mm, strict=True)
        if d == support.removal_day
    ]
    ((before, after),) = steps
    base = load[0][1] - support.load_n_per_mm * (line[0][1] - load[0][1]) / (
        curve.support_n_per_mm[0] - support.load_n_per_mm
    )
    assert (before[1] - base) / (after[1] - base) == pytest.approx(at[0] / at[1], abs=1e-3)
    assert OF_SEAM_MM == 10.0


def test_the_same_record_gives_the_same_bytes():
    one, other = (ward_card_pdf(sample_healing(), paper=Paper.LETTER) for _ in range(2))
    assert one == other
