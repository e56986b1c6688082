"""The forecast of the day on which it is made: missed readings, the latest day, what counted."""

from datetime import timedelta

import pytest
from sample_drains import ENDED, course

from crena.healing.drain_forecast import forecast_drain
from crena.records import Answer, DrainCourse, DrainPrior, DrainReading, DrainRule

EXACT = DrainPrior(
    start_ml=53.0,
    start_spread_ratio=1e-4,
    fall_per_day=0.44,
    fall_spread_per_day=1e-4,
    scatter_ratio=1e-4,
    scatter_spread_ratio=1e-4,
)
"""A drain that is known and does not scatter: 53 exp(-0.44 d) mL on day d."""


def on_day(day):
    return (ENDED + timedelta(days=day)).date()


def reading(hours, volume, **looks):
    return DrainReading(emptied_at=ENDED + timedelta(hours=hours), volume_ml=volume, **looks)


def test_a_reading_due_today_is_offered_and_is_not_missing():
    """Read up to day 2: on days 0 to 3 nothing differs from a forecast without today."""
    for rule in (DrainRule(), DrainRule(readings=2)):
        plain = forecast_drain(course(36.0, 22.0), rule)
        for day in range(4):
            today = on_day(day)
            assert forecast_drain(course(36.0, 22.0), rule, today=today) == plain


@pytest.mark.parametrize("day", [4, 9, 20])
def test_after_readings_stopped_only_days_after_today_are_offered(day):
    """The line, 53 exp(-0.44 d) mL, is below 10 mL from day 4 on: the next day meets the rule."""
    today = on_day(day)
    found = forecast_drain(course(34.13, 21.98), DrainRule(), EXACT, today=today)
    assert [d.day for d in found.days] == list(range(day + 1, 22))
    assert found.most_likely_day == day + 1 and found.days[0].chance == pytest.approx(1.0)
    assert f"Day {day}: nothing was read since day 2." in found.cautions[0]


def test_missed_days_break_the_run_of_readings_in_a_row():
    """A reading below 15 mL in hand; without a gap one more is enough, after it two are."""
    rule, seen = DrainRule(below_ml=15.0, readings=2), course(34.13, 21.98, 14.16)
    ahead = {day: forecast_drain(seen, rule, EXACT, today=on_day(day)) for day in (4, 6)}
    assert [ahead[day].most_likely_day for day in (4, 6)] == [4, 8]


def test_after_the_latest_day_none_is_offered_and_it_is_said():
    last, late = (
        forecast_drain(course(36.0, 22.0), DrainRule(), today=on_day(day)) for day in (21, 22)
    )
    assert last.days == late.days == () and last.most_likely_day is None
    assert "nothing was read since day 2" in last.cautions[0]
    assert late.cautions == ("Day 22: the latest day for the drain, 21, has passed.",)


def test_without_today_a_course_read_beyond_the_latest_day_is_not_called_late():
    plain = forecast_drain(course(36.0, 22.0, 20.0), DrainRule(latest_day=2))
    assert plain.days == () and plain.cautions == ()
    late = forecast_drain(course(36.0, 22.0, 20.0), DrainRule(latest_day=2), today=on_day(3))
    assert late.cautions == ("Day 3: the latest day for the drain, 2, has passed.",)


def test_days_that_count_and_were_believed_are_told_from_the_others():
    """Day 2 fell suddenly, 3 was blocked, 4 not measured; a second period of day 5 is short."""
    found = forecast_drain(
        DrainCourse(operation_ended_at=ENDED, readings=(
            reading(24, 46.0), reading(48, 0.5), reading(72, 20.0, patent=Answer.NO),
            reading(96, None), reading(120, 21.0), reading(128, 5.0),
        )),
        DrainRule(),
    )  # fmt: skip
    assert found.believed_days == (1, 5)
    assert any("8 h only" in c for c in found.cautions)
