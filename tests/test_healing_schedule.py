"""Dates after the operation: calendar arithmetic, the surgeon's own days, weekends."""

import ast
import inspect
import os
import time
from datetime import date, datetime
from zoneinfo import available_timezones

import pytest
from dateutil.relativedelta import relativedelta

from crena.healing.date_rules import COMMON_RULES
from crena.healing.schedule import months_after, schedule, weekday_after
from crena.records import DateRule, InputError, Language, OwnDay, ScheduleSettings, weekday_date

EVERY_DAY = [
    date.fromordinal(n) for n in range(date(2020, 1, 1).toordinal(), date(2041, 1, 1).toordinal())
]
THURSDAY = date(2026, 11, 26)


def entry(code, operated_on=THURSDAY, **settings):
    found = schedule(operated_on, ScheduleSettings(**settings)).entries
    return next(e for e in found if e.code == code)


def test_no_date_is_off_by_one_on_any_day_of_21_years():
    asked = {n for rule in COMMON_RULES for n in rule.days}
    for day0 in EVERY_DAY:
        entries = schedule(day0).entries
        assert all(e.on.toordinal() - day0.toordinal() == e.day for e in entries)
        assert asked <= {e.day for e in entries}


def test_months_and_years_agree_with_another_calendar_on_every_day_of_21_years():
    for day0 in EVERY_DAY:
        for months in (1, 3, 6, 12, 60, 120):
            assert months_after(day0, months) == day0 + relativedelta(months=months)


@pytest.mark.parametrize(
    ("day0", "months", "day"),
    [
        (date(2028, 2, 29), 12, date(2029, 2, 28)),
        (date(2028, 2, 29), 48, date(2032, 2, 29)),
        (date(2026, 11, 30), 3, date(2027, 2, 28)),
        (date(2026, 12, 31), 6, date(2027, 6, 30)),
        (date(2099, 11, 30), 3, date(2100, 2, 28)),
    ],
)
def test_a_month_without_that_day_gives_its_last_day(day0, months, day):
    assert months_after(day0, months) == day


def test_no_zone_changes_a_date(monkeypatch):
    """Every zone, round both changes of the clocks and the year's end."""
    sample = [date(2026, 3, 28), date(2026, 10, 24), date(2026, 12, 31), date(2028, 2, 15)]
    expected = [schedule(day) for day in sample]
    try:
        for zone in sorted(available_timezones()):
            monkeypatch.setitem(os.environ, "TZ", zone)
            time.tzset()
            assert [schedule(day) for day in sample] == expected
    finally:
        monkeypatch.undo()
        time.tzset()


@pytest.mark.parametrize(
    "module", [inspect.getmodule(months_after), inspect.getmodule(weekday_date)]
)
def test_dates_are_made_without_instants_or_zones(module):
    tree = ast.walk(ast.parse(inspect.getsource(module)))
    names = {node.name for node in tree if isinstance(node, ast.alias)}
    assert "date" in names
    assert not names & {"datetime", "time", "zoneinfo", "timezone", "ZoneInfo"}


def test_the_common_schedule_is_the_one_of_the_trade():
    entries = schedule(THURSDAY).entries
    visits = [e.on for e in entries if e.code.startswith("visit")]
    assert [(d - THURSDAY).days for d in visits[:4]] == [2, 7, 14, 30]
    assert visits[4:7] == [date(2027, 2, 26), date(2027, 5, 26), date(2027, 11, 26)]
    assert [d.year for d in visits[7:]] == [2028, 2029, 2030, 2031]
    assert entries[-1].on == date(2036, 11, 26) and "Telephone" in entries[-1].task
    assert entry("stitches-half").day == 12 and entry("stitches-rest").day == 14


def test_every_date_says_who_does_it_and_where_its_time_comes_from():
    marks = ("no source", "assumed", "low authority", "Ireton 2013", "Doll 2007")
    for e in schedule(THURSDAY).entries:
        assert e.who and e.task and any(mark in e.source for mark in marks)


def test_a_day_set_by_hand_stands_before_the_operation_and_only_warns():
    own = entry("visit-2-days", own_days=(OwnDay(code="visit-2-days", on=date(2026, 11, 20)),))
    assert (own.on, own.day, own.source) == (date(2026, 11, 20), -6, "set by the surgeon")
    assert "before the operation" in own.warnings[0]
    assert "Friday 20 November 2026" in own.warnings[0]


def test_stitches_taken_out_early_stand_with_a_warning_that_names_its_source():
    early = entry("stitches-half", own_days=(OwnDay(code="stitches-half", on=date(2026, 12, 5)),))
    assert early.day == 9
    assert "early" in early.warnings[0] and "low authority" in early.warnings[0]
    assert entry("stitches-half").warnings == ()


def test_a_rule_with_several_days_warns_of_each_that_is_early():
    """Its entries are called after their day; customary is day 10."""
    rule = DateRule(code="stitches-half", task="Stitches", who="surgeon", days=(5, 8, 12))
    early = [entry(f"stitches-half-{n}-days", rules=(rule,)).warnings for n in rule.days]
    assert [len(warnings) for warnings in early] == [1, 1, 0]
    assert "Day 8 is early: customary from day 10" in early[1][0]


def test_without_a_drain_its_entries_alone_are_left_out():
    own = ScheduleSettings(own_days=(OwnDay(code="drain-1-days", on=date(2026, 11, 29)),))
    laid = schedule(THURSDAY, own).entries
    without = schedule(THURSDAY, own, drain_laid=False).entries
    assert without == tuple(e for e in laid if not e.code.startswith("drain"))
    assert 0 < len(without) < len(laid)


def test_a_weekend_is_never_avoided_but_the_monday_stands_beside():
    """12 December 2026 is a Saturday, 16 days after 26 November."""
    rule = DateRule(code="stitches-rest", task="Stitches", who="surgeon", days=(16,), visit=True)
    moved = entry("stitches-rest", rules=(rule,))
    assert (moved.on, moved.weekday_after) == (date(2026, 12, 12), date(2026, 12, 14))
    assert moved.source == "set by the surgeon"
    assert entry("sitting", operated_on=date(2026, 11, 28)).weekday_after is None


def test_the_suggested_weekday_is_the_next_one_of_any_week():
    for day in EVERY_DAY[:14]:
        beside = weekday_after(day)
        assert (beside is None) == (day.isoweekday() < 6)
        assert beside is None or (beside.isoweekday() == 1 and 0 < (beside - day).days < 3)


def test_a_rule_without_times_takes_its_dates_away():
    rules = (DateRule(code="drain", task="No drain", who="nobody"),)
    codes = [e.code for e in schedule(THURSDAY, ScheduleSettings(rules=rules)).entries]
    assert codes and not any(code.startswith("drain") for code in codes)


def test_an_instant_is_refused_since_its_day_hangs_on_the_zone():
    with pytest.raises(InputError, match="without hours"):
        schedule(datetime(2026, 11, 26, 23, 30))


@pytest.mark.parametrize("day0", [date(226, 11, 26), date(2926, 11, 26)])
def test_a_year_that_cannot_be_meant_is_refused(day0):
    with pytest.raises(InputError, match="Correct it"):
        schedule(day0)


@pytest.mark.parametrize(
    ("own", "words"), [(["visit-8-days"], "no such entry"), (["sport", "sport"], "stands twice")]
)
def test_days_set_by_hand_must_belong_to_one_entry_each(own, words):
    days = tuple(OwnDay(code=code, on=date(2027, 1, 1)) for code in own)
    with pytest.raises(InputError, match=words):
        schedule(THURSDAY, ScheduleSettings(own_days=days))


def test_weekday_and_date_agree_in_both_languages_on_every_day():
    """By the doomsday rule of Conway: 4/4, 6/6, 8/8, 10/10, 12/12 share the year's weekday."""
    for year in range(2020, 2041):
        doomsday = (2 + 5 * (year % 4) + 4 * (year % 100) + 6 * (year % 400)) % 7
        english = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"]
        german = ["Sonntag", "Montag", "Dienstag", "Mittwoch", "Donnerstag", "Freitag", "Samstag"]
        for month in (4, 6, 8, 10, 12):
            day = date(year, month, month)
            assert weekday_date(day).startswith(f"{english[doomsday]} {month} ")
            assert weekday_date(day, Language.GERMAN).startswith(f"{german[doomsday]}, {month}. ")


def test_a_date_in_words_can_be_read_in_one_way_only():
    said = {weekday_date(day, lang) for day in EVERY_DAY[:366] for lang in Language}
    assert len(said) == 2 * 366
    assert weekday_date(date(2027, 3, 4), Language.GERMAN) == "Donnerstag, 4. März 2027"
