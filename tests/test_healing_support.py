"""Support against time: closed forms, both sides of every removal, and what never changes."""

from dataclasses import replace

import numpy as np
import pytest
from sample_closings import RUNNING, SKIN, TABLES, TEMPLATE, TERMS
from scipy.stats import norm

from crena.healing.curves import (
    low_fraction,
    middle_fraction,
    retention_curve,
    weibull_of,
    wound_fraction,
    wound_points_fraction,
)
from crena.healing.removal import Spread, removal_chances
from crena.healing.strands import Strand, strands_of, support_curve
from crena.healing.support import support_against_time
from crena.records import Answer, Basis, InputError, Mark, Material

DEEP = replace(TEMPLATE, material=Material.POLYGLACTIN_910)
BASIS = Basis(source="made up", mark=Mark.MEMORY)
FINE = np.linspace(0, 120, 5001)


def found(*templates, seed=3, tables=TABLES, **terms):
    rng = np.random.default_rng(seed)
    return support_against_time(templates, tables, replace(TERMS, **terms), rng)


def strand(material, tied, removal_day=None):
    return Strand(
        name=str(material),
        tied_n_per_mm=tied,
        curve=retention_curve(material, TABLES.retention),
        removal_day=removal_day,
        basis=BASIS,
    )


@pytest.mark.parametrize("material", Material)
@pytest.mark.parametrize("fraction", [middle_fraction, low_fraction])
def test_thread_never_gains_strength(material, fraction):
    held = fraction(retention_curve(material, TABLES.retention), FINE)
    assert held[0] == 1 and (np.diff(held) <= 0).all() and held[-1] >= 0


def test_wound_never_loses_strength_by_either_curve():
    for held in (wound_fraction(FINE), wound_points_fraction(FINE, TABLES.wound)):
        assert held[0] == 0 and (np.diff(held) >= 0).all() and held.max() <= 0.8


@pytest.mark.parametrize("material", [m for m in Material if m.absorbable])
def test_curve_through_the_points_and_fit_agree(material):
    curve = retention_curve(material, TABLES.retention)
    scale_day, shape = weibull_of(curve)
    days = np.linspace(0, curve.at_day[-1], 400)
    by_fit = np.exp(-((days / scale_day) ** shape))
    assert np.abs(middle_fraction(curve, days) - by_fit).max() < 0.07


def test_after_its_last_day_a_thread_falls_on_to_nothing():
    curve = retention_curve(Material.POLYGLYCOLIC_ACID, TABLES.retention)
    slope = (0.1995 - 0.538) / 7
    assert middle_fraction(curve, [30.0])[0] == pytest.approx(0.1995 + 2 * slope)
    assert middle_fraction(curve, [33.0, 80.0]).tolist() == [0, 0]


def test_figures_that_rise_with_time_are_refused():
    points = tuple(
        replace(p, high_fraction=1.0, low_fraction=1.0) if p.day == 56 else p
        for p in TABLES.retention
    )
    with pytest.raises(InputError, match="rises with time"):
        retention_curve(Material.POLYDIOXANONE, points)


def test_lowest_figures_of_an_example_worked_elsewhere():
    """25 N/mm whole skin, polyglactin 15 N each 10 mm, skin 12 N each 8 mm: 2.29 on day 10,
    2.62 on day 14, each the day on which the skin stitches leave.
    """
    for day, lowest in ((10.0, 2.29), (14.0, 2.62)):
        both = strand(Material.POLYGLACTIN_910, 1.5), strand(Material.POLYAMIDE, 1.5, day)
        curve = support_curve(both, TABLES.wound, 25.0)
        n = int(np.argmin(curve.worst_n_per_mm))
        assert curve.at_day[n] == day
        assert curve.worst_n_per_mm[n] == pytest.approx(lowest, abs=0.01)


def test_support_is_the_sum_of_wound_and_threads():
    """On day 14 from table rows: wound 0.1019, polyglycolic acid 0.833, polyamide 0.9913."""
    curve = found(TEMPLATE, replace(SKIN, removal_day=20.0)).with_skin
    n = curve.at_day.index(14.0)
    by_hand = 25 * 0.10194 + 17.36 / 10 * 0.833 + 5.88 / 8 * 0.99127
    assert curve.support_n_per_mm[n] == pytest.approx(by_hand, abs=0.0005)


@pytest.mark.parametrize("day", [10.0, 10.1])
def test_both_sides_of_a_removal_stand_in_the_curve(day):
    """Also off the grid of quarter days; the step is what the skin stitches held."""
    curve = found(DEEP, replace(SKIN, removal_day=day)).with_skin
    sides = [s for t, s in zip(curve.at_day, curve.support_n_per_mm, strict=True) if t == day]
    held = middle_fraction(retention_curve(SKIN.material, TABLES.retention), [day])[0]
    assert len(sides) == 2
    assert sides[0] - sides[1] == pytest.approx(5.88 / 8 * held)


def test_lowest_support_is_found_on_the_far_side_of_the_removal():
    early = found(DEEP, replace(SKIN, size="0", removal_day=3.1))
    assert early.lowest.on_day == 3.1
    assert early.lowest.support_n_per_mm < min(early.with_skin.support_n_per_mm[:10])


def test_after_removal_the_curves_with_and_without_skin_are_one():
    support = found(DEEP, SKIN)
    after = support.with_skin.support_n_per_mm[-200:]
    assert after == support.without_skin.support_n_per_mm[-200:]
    assert support.lowest_without_skin.support_n_per_mm < support.lowest.support_n_per_mm


def test_lowest_figures_never_promise_more_than_the_others():
    curve = found(DEEP, SKIN).with_skin
    assert (np.array(curve.worst_n_per_mm) <= np.array(curve.support_n_per_mm) + 1e-12).all()


def test_earliest_day_is_the_one_from_which_support_never_falls_short():
    support = found(replace(DEEP, spacing_mm=17.0))
    days = np.array(support.without_skin.at_day)
    held = np.array(support.without_skin.support_n_per_mm)
    for earliest in support.earliest:
        short = days[held < earliest.multiple_ratio * support.load_n_per_mm]
        assert earliest.from_day == (short.max() + 0.25 if len(short) else 0.0)
        assert earliest.worst_from_day >= earliest.from_day


def test_a_multiple_that_is_never_kept_has_no_earliest_day():
    assert {e.from_day for e in found(DEEP, load_n_per_mm=30.0).earliest} == {None}


@pytest.mark.parametrize("multiple", [1.0, 2.5, 4.0])
def test_chance_of_a_wound_alone_in_closed_form(multiple):
    """With no thread left the wound only gains, so the day of removal is the weakest."""
    spread = Spread(wound_ratio=0.4, suture_ratio=0.0, time_ratio=0.0, load_ratio=0.3)
    terms = replace(TERMS, multiple_ratio=multiple)
    chances = removal_chances(strands_of((SKIN,), TABLES), terms, spread, np.random.default_rng(5))
    for day, chance in chances.items():
        median = 25 * wound_fraction(day) / (multiple * 0.6)
        exact = norm.cdf(np.log(median) / np.hypot(0.4, 0.3))
        assert chance == pytest.approx(exact, abs=0.03)


def test_chance_without_spread_is_no_or_yes_and_turns_on_the_earliest_day():
    none = Spread(wound_ratio=0.0, suture_ratio=0.0, time_ratio=0.0, load_ratio=0.0)
    support = found(replace(DEEP, spacing_mm=17.0), SKIN, multiple_ratio=4.0)
    first = next(e.from_day for e in support.earliest if e.multiple_ratio == 4.0)
    sure = removal_chances(
        strands_of((replace(DEEP, spacing_mm=17.0), SKIN), TABLES),
        replace(TERMS, multiple_ratio=4.0),
        none,
        np.random.default_rng(5),
    )
    assert 7 < first < 20
    assert sure == {day: float(day >= first) for day in sure}


def test_waiting_is_never_worse_and_each_day_of_the_range_has_a_chance():
    chances = found(DEEP, SKIN, load_n_per_mm=1.2).chances
    assert [c.on_day for c in chances] == list(range(7, 29))
    assert (np.diff([c.chance for c in chances]) >= 0).all()
    assert chances[0].chance < chances[-1].chance < 1


def test_beside_each_chance_stands_what_the_wound_keeps_from_that_day_on():
    support = found(DEEP, SKIN, high_load_n_per_mm=0.9)
    rest, days = support.without_skin, np.array(support.without_skin.at_day)
    for chance in support.chances:
        later = days >= chance.on_day
        least = np.array(rest.support_n_per_mm)[later].min() / support.load_n_per_mm
        worst = np.array(rest.worst_n_per_mm)[later].min() / support.high_load_n_per_mm
        assert 0 <= least - chance.over_load_ratio < (1 if least >= 10 else 0.1)
        assert 0 <= worst - chance.worst_over_load_ratio < (1 if worst >= 10 else 0.1)
        assert chance.of_100 == min(99, int(100 * chance.chance + 1e-9))


def test_a_chance_is_never_told_as_none_or_all():
    sure = found(DEEP, SKIN, load_n_per_mm=0.001).chances[-1]
    never = found(DEEP, SKIN, load_n_per_mm=60.0).chances[0]
    assert (sure.chance, sure.of_100) == (1.0, 99) and (never.chance, never.of_100) == (0.0, 1)


def test_until_stitches_leave_the_curve_is_that_of_stitches_kept_in():
    support = found(DEEP, replace(SKIN, removal_day=12.0))
    sewn, kept = support.with_skin, support.kept_in
    before = sum(day < 12 for day in sewn.at_day)
    assert before == sum(day < 12 for day in kept.at_day) == 48
    assert sewn.support_n_per_mm[:before] == kept.support_n_per_mm[:before]
    assert kept.support_n_per_mm[-1] > sewn.support_n_per_mm[-1]


def test_same_draws_same_chances_whatever_the_order_of_layers():
    forth, back = found(DEEP, SKIN, RUNNING), found(RUNNING, DEEP, SKIN)
    assert forth.chances == back.chances == found(DEEP, SKIN, RUNNING).chances


def test_twice_the_wound_and_twice_the_load_change_no_day_and_no_chance():
    closer = replace(DEEP, spacing_mm=5.0), replace(SKIN, spacing_mm=4.0)
    doubled = found(*closer, load_n_per_mm=1.2, whole_skin_n_per_mm=50.0)
    single = found(DEEP, SKIN)
    assert doubled.chances == single.chances and doubled.earliest == single.earliest


@pytest.mark.parametrize("field", [Answer.YES, Answer.NOT_ASKED])
def test_a_field_not_stated_to_be_clean_widens_the_spread_and_says_so(field):
    clean, other = found(DEEP, SKIN), found(DEEP, SKIN, contaminated=field)
    assert other.chances[3].chance < clean.chances[3].chance
    assert any("widened by half" in warning for warning in other.warnings)
    assert not any("widened" in warning for warning in clean.warnings)


@pytest.mark.parametrize(("day", "risks", "warned"), [(8.0, 0, True), (12.0, 0, False),
                                                      (12.0, 2, True)])  # fmt: skip
def test_an_early_day_is_warned_of_and_stands(day, risks, warned):
    support = found(DEEP, replace(SKIN, removal_day=day), risks=risks, load_n_per_mm=0.2)
    assert any("earlier than the customary" in w for w in support.warnings) is warned
    assert support.removal_day == day
    assert day in support.with_skin.at_day


def test_a_day_before_the_wound_keeps_its_multiple_is_warned_of():
    early = found(replace(DEEP, spacing_mm=17.0), replace(SKIN, removal_day=8.0), multiple_ratio=4)
    asked = early.earliest[-1]
    assert (asked.from_day, asked.worst_from_day) == (10.5, 14.75)
    said = early.warnings[-1]
    assert "4.0 times its load from day 11 on" in said and "known from day 15 on" in said
    assert all("stands" in w for w in early.warnings)


def test_support_below_the_load_by_the_lowest_figures_is_said():
    weak = found(replace(DEEP, size="6-0"), replace(SKIN, size="6-0"), load_n_per_mm=0.5)
    assert weak.lowest_worst.over_load_ratio < 1
    assert any("falls below the load" in warning for warning in weak.warnings)


def test_every_source_stands_with_its_mark():
    sources = found(DEEP, SKIN).sources
    assert "USP <881> (from memory, check by hand)" in sources
    assert all(said.endswith((", check by hand)", "(published)")) for said in sources)


def test_no_layer_is_refused():
    with pytest.raises(InputError, match="No layer"):
        found()
