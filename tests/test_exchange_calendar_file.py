"""Calendar files, read back by another parser."""

import os
import re
import time
from datetime import UTC, date, datetime, timedelta, timezone

import icalendar
import pytest

from crena.exchange.calendar_file import calendar_file
from crena.healing.schedule import schedule
from crena.records import DateRule, InputError, OwnDay, Schedule, ScheduleSettings

MADE_AT = datetime(2026, 11, 25, 13, 5, 9, tzinfo=UTC)
HARD = "Stiche; ziehen, „Hälfte“ \\ 日本語 ✂︎ " * 6 + "\nBEGIN:VEVENT\r\nX:\x07y"


def written(dates=None, **changes):
    given = {"plan_code": "7F3A 91C2", "made_at": MADE_AT, **changes}
    return calendar_file(dates or schedule(date(2026, 11, 26)), **given)


def events_of(content):
    return icalendar.Calendar.from_ical(content).walk("VEVENT")


@pytest.mark.parametrize(
    "day0", [date(2028, 2, 29), date(2026, 12, 31), date(2026, 3, 27), date(2026, 10, 23)]
)
def test_another_parser_reads_the_same_days(day0):
    dates = schedule(day0)
    events = events_of(written(dates))
    assert [e["DTSTART"].dt for e in events] == [e.on for e in dates.entries]
    assert all(type(e["DTSTART"].dt) is date for e in events)
    assert all(e.end - e.start == timedelta(days=1) for e in events)


def test_every_zone_gives_the_same_file(monkeypatch):
    expected = written()
    try:
        for zone in ("Pacific/Kiritimati", "Pacific/Niue", "America/New_York", "Asia/Kathmandu"):
            monkeypatch.setitem(os.environ, "TZ", zone)
            time.tzset()
            assert written() == expected
    finally:
        monkeypatch.undo()
        time.tzset()


def test_lines_end_and_fold_as_rfc_5545_asks():
    rule = DateRule(code="x", task=HARD, who=HARD, days=(3,))
    content = written(schedule(date(2026, 11, 26), ScheduleSettings(rules=(rule,))))
    lines = content.split(b"\r\n")
    assert lines[-1] == b"" and not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(len(line) for line in lines) == 75
    assert "\ufffd" not in "".join(line.decode(errors="replace") for line in lines)


def test_signs_of_the_format_come_back_as_they_were_written():
    rule = DateRule(code="x", task=HARD, who="surgeon", days=(3,))
    content = written(schedule(date(2026, 11, 26), ScheduleSettings(rules=(rule,))))
    subject = next(str(e["SUMMARY"]) for e in events_of(content) if "Stiche" in e["SUMMARY"])
    meant = HARD.replace("\r", " ").replace("\x07", " ")
    assert subject == f"{meant}, plan 7F3A 91C2"
    assert len(events_of(content)) == 24


def test_two_patients_without_a_plan_never_share_an_event():
    one, other, later = (
        calendar_file(schedule(date(2026, 11, day)), plan_code="", made_at=MADE_AT, case=label)
        for day, label in ((26, "Case X"), (26, "Case Y"), (27, "Case X"))
    )
    uids = [set(re.findall(rb"UID:(\S+)", file)) for file in (one, other, later)]
    assert not uids[0] & uids[1] and not uids[0] & uids[2]
    assert b"Case X" not in one and b"plan" not in b"".join(re.findall(rb"SUMMARY:.*", one))


def test_identity_belongs_to_plan_and_entry_and_survives_a_moved_day():
    own = ScheduleSettings(own_days=(OwnDay(code="sport", on=date(2027, 2, 1)),))
    moved = written(schedule(date(2026, 11, 26), own))
    uids = [str(e["UID"]) for e in events_of(written())]
    assert len(set(uids)) == len(uids)
    assert {str(e["UID"]) for e in events_of(moved)} == set(uids)
    others = {str(e["UID"]) for e in events_of(written(plan_code="7F3A 91C3"))}
    assert not others & set(uids)


def test_the_plan_code_stands_for_the_name_unless_the_name_is_asked_for():
    coded, named = events_of(written()), events_of(written(name="Ada Example"))
    assert all(e["SUMMARY"].endswith(", plan 7F3A 91C2") for e in coded)
    assert all(e["SUMMARY"].endswith(", Ada Example") for e in named)


def test_each_event_says_weekday_day_number_caution_and_when_it_was_made():
    event = next(e for e in events_of(written()) if "second" in e["SUMMARY"])
    said = str(event["DESCRIPTION"])
    assert said.startswith("Tuesday 8 December 2026, day 12.")
    assert "Day 0 is the operation, Thursday 26 November 2026." in said
    assert "gapes" in said and "not a medical device" in said
    assert event["DTSTAMP"].dt == MADE_AT and str(event["CLASS"]) == "PRIVATE"


def test_a_weekend_and_a_warning_are_said():
    own = ScheduleSettings(own_days=(OwnDay(code="stitches-half", on=date(2026, 12, 5)),))
    event = next(
        e for e in events_of(written(schedule(date(2026, 11, 26), own))) if "second" in e["SUMMARY"]
    )
    assert event["DTSTART"].dt == date(2026, 12, 5)
    assert "next weekday is Monday 7 December 2026" in event["DESCRIPTION"]
    assert "Day 9 is early" in event["DESCRIPTION"]


@pytest.mark.parametrize("zone", [None, timezone(timedelta(hours=1))])
def test_the_time_of_making_must_be_in_utc(zone):
    with pytest.raises(InputError, match="UTC"):
        written(made_at=MADE_AT.replace(tzinfo=zone))


def test_an_empty_schedule_is_still_a_calendar():
    empty = written(Schedule(operated_on=date(2026, 11, 26), entries=()))
    calendar = icalendar.Calendar.from_ical(empty)
    assert calendar["VERSION"] == "2.0" and calendar.walk("VEVENT") == []
