"""What the drain may give on the days to come, volumes told for 24 hours, sudden falls."""

from datetime import timedelta

import numpy as np
import pytest
from sample_drains import ENDED, course
from scipy.stats import t as student

from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_model import Lines
from crena.healing.drain_rates import drain_days
from crena.records import DrainCourse, DrainReading, DrainRule
from crena.records.drains import DrainSpan


def told(hours, volume, span):
    return DrainReading(emptied_at=ENDED + timedelta(hours=hours), volume_ml=volume, span=span)


def test_quantiles_of_one_line_are_those_of_students_t():
    one = Lines(a=np.array([4.0]), b=np.array([0.4]), sigma=np.array([0.3]), weight=np.ones(1))
    chances = np.array([0.1, 0.25, 0.5, 0.75, 0.9])
    exact = np.exp(4.0 - 0.4 * 3 + 0.3 * student.ppf(chances, 4))
    assert one.volumes_ml(chances, 3.0) == pytest.approx(exact, rel=0.01)


def test_quantiles_of_several_lines_hold_their_share_of_drawn_volumes():
    rng = np.random.default_rng(4)
    lines = Lines(
        a=np.array([3.8, 4.2, 4.4]), b=np.array([0.3, 0.5, 0.4]),
        sigma=np.array([0.2, 0.4, 0.3]), weight=np.array([0.5, 0.2, 0.3]),
    )  # fmt: skip
    pick = rng.choice(3, size=200_000, p=lines.weight)
    drawn = lines.a[pick] - 2 * lines.b[pick] + lines.sigma[pick] * rng.standard_t(4, pick.size)
    low, high = lines.volumes_ml(np.array([0.1, 0.9]), 2.0)
    assert np.mean(np.exp(drawn) < low) == pytest.approx(0.1, abs=0.004)
    assert np.mean(np.exp(drawn) < high) == pytest.approx(0.9, abs=0.004)


def test_bands_lie_within_each_other_fall_and_end_with_the_range_of_days():
    forecast = forecast_drain(course(34.0, 21.0), DrainRule())
    bands = [
        (v.low_of_8_in_10_ml_per_day, v.low_of_half_ml_per_day, v.middle_ml_per_day,
         v.high_of_half_ml_per_day, v.high_of_8_in_10_ml_per_day)
        for v in forecast.volumes
    ]  # fmt: skip
    assert all(band == tuple(sorted(band)) for band in bands)
    assert [v.day for v in forecast.volumes] == list(range(3, forecast.to_day + 1))
    assert (np.diff([band[2] for band in bands]) < 0).all()


def test_more_readings_narrow_the_band_of_the_same_day():
    one, three = (
        forecast_drain(course(*(34.0, 22.0, 14.0)[:n]), DrainRule(below_ml=6)) for n in (1, 3)
    )
    width = [
        v.high_of_8_in_10_ml_per_day - v.low_of_8_in_10_ml_per_day
        for forecast in (one, three)
        for v in forecast.volumes
        if v.day == 4
    ]
    assert len(width) == 2 and width[1] < 0.8 * width[0]


def test_a_rule_that_is_met_leaves_no_volumes_to_come():
    assert forecast_drain(course(30.0, 8.0), DrainRule()).volumes == ()


@pytest.mark.parametrize(("hours", "emptied"), [(24, 30.0), (18, 22.5), (12, 15.0)])
def test_a_volume_told_for_24_hours_is_the_same_day_as_what_was_emptied(hours, emptied):
    by_day = DrainCourse(operation_ended_at=ENDED, readings=(told(hours, 30.0, DrainSpan.IN_24_H),))
    plain = DrainCourse(
        operation_ended_at=ENDED, readings=(told(hours, emptied, DrainSpan.SINCE_EMPTIED),)
    )
    assert drain_days(by_day).days == drain_days(plain).days
    assert drain_days(by_day).days[0].ml_per_day == pytest.approx(30.0)


def test_a_sudden_fall_is_told_with_what_was_expected():
    found = forecast_drain(course(60.0, 50.0, 2.0), DrainRule())
    (fall,) = found.sudden_falls
    assert (fall.day, fall.ml_per_day) == (3, 2.0) and fall.expected_ml_per_day > 20
    assert "blocked drain until shown otherwise" in found.cautions[0]
