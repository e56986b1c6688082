"""The drain: readings, the line, the forecast, and what a unit learns."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from pydantic import TypeAdapter, ValidationError
from sample_drains import (
    ENDED,
    SLOW,
    Trial,
    course,
    daily_volumes,
    finished_courses,
    one_missing,
    one_wrong,
    past_forecasts,
)
from scipy import stats

from crena.healing.drain_forecast import forecast_drain
from crena.healing.drain_learning import PastForecast, calibration, unit_prior
from crena.healing.drain_model import (
    PUBLISHED_PRIOR,
    WIDE_PRIOR,
    grid_of,
    lines_of,
    log_likelihood,
    t4_below,
    weights_of,
)
from crena.healing.drain_rates import drain_days
from crena.records import (
    Answer,
    DrainCourse,
    DrainFluid,
    DrainPrior,
    DrainReading,
    DrainRule,
    InputError,
    drain_volume_ml,
)

EXACT = DrainPrior(
    start_ml=53.0,
    start_spread_ratio=1e-4,
    fall_per_day=0.44,
    fall_spread_per_day=1e-4,
    scatter_ratio=1e-4,
    scatter_spread_ratio=1e-4,
)
"""A drain that is known and does not scatter."""


def reading(hours, volume, drain="1", **looks):
    at = ENDED + timedelta(hours=hours)
    return DrainReading(drain=drain, emptied_at=at, volume_ml=volume, **looks)


def of(*readings):
    return DrainCourse(operation_ended_at=ENDED, readings=readings)


def rates(found):
    return [d.ml_per_day for d in drain_days(found).days]


# --- what people write ------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["12,5 cc", "12.5 mL", " 12.5ml. ", "12.5", "12.5 CC"])
def test_ml_and_cc_are_the_same(typed):
    assert drain_volume_ml(typed) == 12.5


@pytest.mark.parametrize("typed", ["2 oz", "2 fl oz", "3 cL", "0,2 l", "1.234,5 ml", "12 5", "ml"])
def test_another_unit_or_a_doubtful_number_is_refused(typed):
    with pytest.raises(InputError, match="mL|plain number|missing"):
        drain_volume_ml(typed)


def test_a_reading_goes_through_a_file_and_back_and_a_zone_is_refused():
    door = TypeAdapter(DrainReading)
    plain = {"emptied_at": "2026-11-27T08:30", "volume_ml": "12,5 cc"}
    read = door.validate_python(plain)
    assert read.volume_ml == 12.5
    assert door.validate_json(door.dump_json(read)) == read
    for wrong in ({"emptied_at": "2026-11-27T08:30Z"}, {"volume_ml": "2 oz"}, {"volume_ml": -1}):
        with pytest.raises(ValidationError):
            door.validate_python(plain | wrong)


@pytest.mark.parametrize("volume", [-1.0, 1000.5, float("nan"), float("inf")])
def test_a_volume_that_cannot_be_is_refused_with_its_figure(volume):
    with pytest.raises(InputError, match="cannot be.*Check figure and unit"):
        drain_days(course(30.0, volume))


def test_times_before_the_end_twice_or_with_a_zone_are_refused():
    with pytest.raises(InputError, match="before the operation ended"):
        drain_days(of(reading(-1, 20.0)))
    with pytest.raises(InputError, match="two readings on 27 November 2026 at 11:00"):
        drain_days(of(reading(24, 20.0), reading(24, 30.0)))
    with pytest.raises(InputError, match="zone"):
        drain_days(of(replace(reading(24, 20.0), emptied_at=datetime(2026, 11, 27, tzinfo=UTC))))


# --- volumes in 24 hours ----------------------------------------------------------------


def test_volume_is_brought_to_24_hours_from_the_end_of_the_operation():
    days = drain_days(of(reading(21, 35.0), reading(45, 24.0), reading(75, 20.0))).days
    assert [d.ml_per_day for d in days] == pytest.approx([40.0, 24.0, 16.0])
    assert [d.at_day for d in days] == pytest.approx([10.5 / 24 + 0.5, 33 / 24 + 0.5, 3.0])
    assert [d.day for d in days] == [1, 2, 3]


def test_place_on_the_line_is_that_of_the_mean_rate_of_a_decay():
    """Closed form: the mean of exp(-bt) over a period, beside that of the first day."""
    b, length, start = 0.44, 21 / 24, 1.3
    mean = (np.exp(-b * start) - np.exp(-b * (start + length))) / (b * length)
    exact = 1 + np.log((1 - np.exp(-b)) / b / mean) / b
    assert start + length / 2 + 0.5 == pytest.approx(exact, abs=0.005)


def test_order_of_readings_does_not_matter():
    one = of(reading(24, 36.0), reading(48, 22.0), reading(72, 17.0))
    assert forecast_drain(one, DrainRule()) == forecast_drain(
        replace(one, readings=one.readings[::-1]), DrainRule()
    )


@pytest.mark.parametrize("hours", [26, 31, 36, 47, 47.5])
def test_a_day_emptied_in_two_parts_is_the_same_day(hours):
    whole = course(36.0, 22.0, 17.0)
    parts = of(reading(24, 36.0), reading(hours, 9.5), reading(48, 12.5), reading(72, 17.0))
    assert drain_days(parts).days == drain_days(whole).days
    assert forecast_drain(parts, DrainRule()) == forecast_drain(whole, DrainRule())


def test_several_drains_are_added_and_a_day_without_one_of_them_is_left_out():
    both = [reading(24, 30.0), reading(24.2, 12.0, "2"), reading(48, 20.0), reading(48, 5.0, "2")]
    assert rates(of(*both)) == pytest.approx([42 / (24.2 / 24), 25 / (23.8 / 24)])
    later = drain_days(of(*both, reading(72, 9.0)))
    assert len(later.days) == 2
    assert "Drain 2 was last read on 28 November 2026" in later.cautions[0]


def test_a_day_that_was_not_measured_is_kept_as_a_gap():
    found = drain_days(course(36.0, None, 17.0))
    assert [d.ml_per_day for d in found.days] == [36.0, None, 17.0]
    assert "emptied and not measured" in found.cautions[0]


def test_a_volume_after_an_unwritten_emptying_is_left_out():
    found = drain_days(of(reading(24, 36.0), reading(72, 18.0), reading(96, 14.0)))
    assert [d.ml_per_day for d in found.days] == [36.0, None, 14.0]
    assert "nothing was written for 48 h" in found.cautions[0]


def test_under_two_hours_nothing_is_said_of_24_hours():
    assert rates(of(reading(1.9, 20.0))) == []
    assert rates(of(reading(2.0, 20.0))) == pytest.approx([240.0])


def test_a_short_period_informs_and_does_not_meet_the_rule():
    found = of(reading(24, 36.0), reading(32, 1.5))
    assert any("8 h only, taken as 4 mL" in c for c in drain_days(found).cautions)
    seen = forecast_drain(of(reading(24, 36.0), reading(32, 2.5)), DrainRule())
    assert seen.met_on_day is None and seen.readings == 2


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([reading(2, 101.0)], "more than 50 mL in an hour"),
        ([reading(0.5, 51.0)], "more than 50 mL in an hour"),
        ([reading(24, 40.0, fluid=DrainFluid.BRIGHT_BLOOD)], "Bright blood"),
        ([reading(24, 40.0, fluid=DrainFluid.TURBID)], "Turbid or foul"),
        ([reading(24, 40.0, patent=Answer.NO)], "lost its vacuum"),
        ([reading(24, 20.0), reading(48, 61.0)], "61 mL in 24 h after 20 mL"),
        ([reading(24, 36.0), reading(48, 58.0), reading(72, 75.0)], "running totals"),
    ],
)
def test_what_must_be_looked_at_is_said(readings, words):
    assert any(words in c for c in forecast_drain(of(*readings), DrainRule()).cautions)


def test_an_ordinary_course_raises_no_caution():
    ordinary = [
        reading(24, 48.0, fluid=DrainFluid.BLOODSTAINED),
        reading(48, 30.0, patent=Answer.YES),
        reading(72, 19.0),
    ]
    assert forecast_drain(of(*ordinary), DrainRule()).cautions == ()


# --- the line ---------------------------------------------------------------------------


def test_closed_form_of_students_t_agrees_with_scipy():
    z = np.linspace(-60, 60, 601)
    assert t4_below(z) == pytest.approx(stats.t(4).cdf(z), rel=1e-9)


def test_lines_after_readings_agree_with_quadrature_by_scipy():
    days = drain_days(course(61.0, 30.0, 0.0)).days
    grid = grid_of(WIDE_PRIOR)
    weights = weights_of(grid.log_prior + sum(log_likelihood(d, grid) for d in days))
    own = [(weights * grid.a).sum(), (weights * grid.b).sum()]
    assert own == pytest.approx(_means_by_quadrature(), abs=0.004)


def _means_by_quadrature():
    """Means of a and b after 61, 30 and nothing readable (below 2 mL), by Gauss-Legendre."""
    nodes, gauss = np.polynomial.legendre.leggauss(60)
    a = (np.log(60) + 3.0 * nodes)[:, None, None]
    b = (0.6 * (nodes + 1))[None, :, None]
    log_sigma = np.log(0.3) + 1.4 * nodes
    t = stats.t(4, scale=np.exp(log_sigma))
    seen = t.pdf(np.log(61) - a + b) * t.pdf(np.log(30) - a + 2 * b) * t.cdf(np.log(2) - a + 3 * b)
    normal = stats.norm.pdf(a, np.log(60), 0.6) * stats.norm.pdf(b, 0.35, 0.15)
    mass = seen * normal * stats.norm.pdf(log_sigma, np.log(0.3), 0.35)
    mass *= gauss[:, None, None] * gauss[None, :, None] * gauss
    return [(mass * a).sum() / mass.sum(), (mass * b).sum() / mass.sum()]


# --- the forecast -----------------------------------------------------------------------


@pytest.mark.parametrize(("below", "day"), [(10.0, 4), (14.0, 4), (14.2, 3), (25.0, 2)])
def test_a_drain_without_scatter_is_out_on_the_day_of_the_closed_form(below, day):
    """53 exp(-0.44 d) mL on day d: day 3 gives 14.16 mL, day 4 gives 9.12 mL."""
    assert day == int(np.log(53 / below) / 0.44) + 1
    found = forecast_drain(course(53 * np.exp(-0.44)), DrainRule(below_ml=below), EXACT)
    assert (found.most_likely_day, found.from_day, found.to_day) == (day, day, day)
    assert found.days[day - 2].chance == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize(("readings", "day"), [(1, 4), (2, 5), (3, 6)])
def test_each_further_reading_of_the_rule_adds_a_day(readings, day):
    rule = DrainRule(below_ml=10.0, readings=readings)
    assert forecast_drain(course(34.13), rule, EXACT).most_likely_day == day


def test_chances_agree_with_paths_drawn_at_random():
    """Two methods: carried run lengths, and 40,000 drawn courses; two readings in a row."""
    rule = DrainRule(below_ml=14.0, readings=2)
    seen = course(40.0, 13.5)
    grid, rng = grid_of(WIDE_PRIOR), np.random.default_rng(3)
    known = sum(log_likelihood(d, grid) for d in drain_days(seen).days)
    lines = lines_of(grid.log_prior + known, grid)
    pick = rng.choice(lines.weight.size, 40_000, p=lines.weight)
    scatter = lines.sigma[pick, None] * rng.standard_t(4, (40_000, 19))
    logs = lines.a[pick, None] - lines.b[pick, None] * np.arange(3, 22) + scatter
    below = np.column_stack([np.ones(40_000, dtype=bool), logs < np.log(14.0)])
    met = below[:, 1:] & below[:, :-1]
    drawn = np.bincount(np.where(met.any(1), met.argmax(1), 19), minlength=20) / 40_000
    own = [d.chance for d in forecast_drain(seen, rule).days]
    assert own == pytest.approx(drawn[:19], abs=0.01)


def test_range_is_the_shortest_that_holds_eight_in_ten():
    found = forecast_drain(course(61.0, 44.0), DrainRule())
    chances = np.array([d.chance for d in found.days])
    first = found.days[0].day
    inside = chances[found.from_day - first : found.to_day - first + 1]
    shorter = np.convolve(chances, np.ones(inside.size - 1), "valid").max()
    assert shorter < 0.8 <= inside.sum()
    assert found.chance == pytest.approx(chances.sum())


def test_rule_that_is_met_ends_the_forecast_and_one_that_is_lost_starts_it_anew():
    rule = DrainRule(below_ml=15.0)
    met = forecast_drain(course(36.0, 22.0, 12.0), rule)
    assert met.met_on_day == 3 and met.days == ()
    assert "The rule is met on day 3: below 15 mL in 24 h" in met.words
    assert forecast_drain(course(36.0, 22.0, 12.0, 19.0), rule).met_on_day is None


def test_a_gap_breaks_the_run_of_readings_in_a_row():
    rule = DrainRule(below_ml=15.0, readings=2)
    assert forecast_drain(course(36.0, 14.0, 12.0), rule).met_on_day == 3
    assert forecast_drain(course(36.0, 14.0, None, 11.0), rule).met_on_day is None


def test_a_sudden_fall_is_a_blocked_drain_until_it_was_found_open():
    fallen = of(reading(24, 46.0), reading(48, 1.0))
    doubted = forecast_drain(fallen, DrainRule())
    assert doubted.met_on_day is None and doubted.readings == 1
    assert "blocked drain until shown otherwise" in doubted.cautions[0]
    looked = replace(fallen.readings[1], patent=Answer.YES)
    opened = forecast_drain(replace(fallen, readings=(fallen.readings[0], looked)), DrainRule())
    assert opened.met_on_day == 2 and opened.cautions == ()


def test_a_low_volume_that_was_to_be_expected_is_no_sudden_fall():
    assert forecast_drain(course(36.0, 22.0, 13.0, 7.0), DrainRule()).met_on_day == 4


def test_a_blocked_drain_never_meets_the_rule():
    blocked = of(reading(24, 36.0), reading(48, 8.0, patent=Answer.NO))
    assert forecast_drain(blocked, DrainRule()).met_on_day is None


def test_days_after_the_latest_are_named_as_such_and_not_guessed():
    slow = course(*(200.0 * np.exp(-0.05 * np.arange(1, 7))))
    found = forecast_drain(slow, DrainRule())
    assert found.most_likely_day is None and found.to_day is None
    assert "not by day 21" in found.words
    assert found.days[-1].day == 21 and found.chance < 0.5
    last = forecast_drain(course(36.0, 22.0), DrainRule(latest_day=2))
    assert last.days == () and "Day 2, the latest of the rule, is reached" in last.words


def test_words_state_day_and_range_and_promise_no_benefit():
    found = forecast_drain(course(36.0, 22.0), DrainRule())
    assert found.words == "Below 10 mL in 24 h: most likely day 4; 8 in 10 between day 3 and day 6."
    said = " ".join(found.evidence)
    assert "surgeon's choice" in said and "found no difference" in said
    assert "Milone 2011, n = 803" in said and "Not learnt from this unit" in said


# --- whether the ranges hold ------------------------------------------------------------

TRIALS = {
    "1 reading": Trial(readings=1),
    "3 readings": Trial(readings=3),
    "5 readings, wide prior": Trial(readings=5, prior=WIDE_PRIOR),
    "two in a row": Trial(readings=2, rule=DrainRule(readings=2), prior=WIDE_PRIOR),
    "one day missing": Trial(readings=5, harm=one_missing),
    "one reading wrong": Trial(readings=5, harm=one_wrong),
}


@pytest.mark.parametrize("trial", TRIALS.values(), ids=TRIALS)
def test_stated_ranges_hold_in_78_to_93_of_100(trial):
    past = past_forecasts(trial, 250, np.random.default_rng(11))
    inside = sum(row.inside for row in calibration(past))
    assert 0.78 <= inside / 250 <= 0.93


def test_slow_drains_are_foretold_once_their_unit_has_learnt():
    rng = np.random.default_rng(7)
    learnt = unit_prior(finished_courses(rng, 30, SLOW))
    assert learnt.drains == 30
    assert learnt.fall_per_day == pytest.approx(0.2, abs=0.04)
    trial = Trial(readings=3, population=SLOW, prior=learnt)
    rows = calibration(past_forecasts(trial, 250, rng))
    assert 0.78 <= sum(row.inside for row in rows) / 250 <= 0.93


def test_with_fewer_than_20_drains_the_wide_prior_stands():
    courses = finished_courses(np.random.default_rng(8), 20, SLOW)
    assert unit_prior(courses[:19]) == WIDE_PRIOR
    assert unit_prior(courses).fall_per_day < 0.3


def test_sudden_falls_are_suspected_in_one_of_a_hundred_true_readings():
    """By its definition, for first readings that are drawn from the prior itself."""
    rng = np.random.default_rng(9)
    found = (
        forecast_drain(course(daily_volumes(rng)[0]), DrainRule(), PUBLISHED_PRIOR)
        for _ in range(400)
    )
    suspected = sum("blocked drain until" in " ".join(f.cautions) for f in found)
    assert stats.binomtest(suspected, 400, 0.01).pvalue > 0.01


def test_calibration_counts_by_readings_with_the_exact_binomial_band():
    found = forecast_drain(course(36.0, 22.0), DrainRule())
    other = forecast_drain(course(36.0), DrainRule())
    past = [PastForecast(forecast=found, true_day=d) for d in (3, 4, 6, 9, None)]
    rows = calibration([*past, PastForecast(forecast=other, true_day=4)])
    assert [(r.readings, r.cases, r.inside) for r in rows] == [(1, 1, 1), (2, 5, 3)]
    exact = stats.binomtest(3, 5).proportion_ci(0.95, "exact")
    assert (rows[1].low_fraction, rows[1].high_fraction) == pytest.approx((exact.low, exact.high))


def test_ranges_that_do_not_hold_are_called_too_narrow():
    found = forecast_drain(course(36.0, 22.0), DrainRule())
    rows = calibration([PastForecast(forecast=found, true_day=15)] * 12)
    assert "too narrow" in rows[0].words and rows[0].low_fraction == 0.0


def test_a_forecast_of_what_had_happened_is_not_counted():
    met = forecast_drain(course(36.0, 9.0), DrainRule())
    with pytest.raises(InputError, match="after the rule was met"):
        calibration([PastForecast(forecast=met, true_day=2)])
