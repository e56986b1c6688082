"""What a Bundle says of a case, against figures that are known without it."""

import json
import os
import time
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import icalendar
import pytest
from sample_healing import sample_healing, sample_operation

from crena.exchange.calendar_file import calendar_file
from crena.exchange.fhir_bundle import fhir_bundle
from crena.healing.schedule import schedule
from crena.records import DrainRead, InputError, OwnDay, ScheduleSettings, Side
from crena.records.statements import CAUTION

MADE_AT = datetime(2026, 11, 30, 13, 5, 9, tzinfo=UTC)


def entries(healing=None, **given):
    content = fhir_bundle(healing or sample_healing(), **{"made_at": MADE_AT, **given})
    return json.loads(content)["entry"]


def resources(kind, healing=None, **given):
    found = (each["resource"] for each in entries(healing, **given))
    return [resource for resource in found if resource["resourceType"] == kind]


def values(healing=None):
    """Value and unit of each Observation by its words; parts are named after the whole."""
    found = {}
    for seen in resources("Observation", healing):
        for part in (seen, *seen.get("component", ())):
            name = (seen["code"]["text"], seen.get("effectiveDateTime"), part["code"]["text"])
            if "valueQuantity" in part:
                found[name] = (part["valueQuantity"]["value"], part["valueQuantity"]["code"])
    return found


def test_drains_are_volumes_in_24_hours_on_days_of_the_calendar():
    drained = [seen for seen in resources("Observation") if "drains" in seen["code"]["text"]]
    read = [(s["effectiveDateTime"], s["valueQuantity"]["value"]) for s in drained]
    first = 34.0 * 24 / (21 + 40 / 60)  # from 10:20 to 8:00
    assert read == [
        ("2026-11-27", pytest.approx(first, abs=0.05)),
        ("2026-11-28", 21), ("2026-11-29", 15.5), ("2026-11-30", 12),
    ]  # fmt: skip
    assert {seen["valueQuantity"]["code"] for seen in drained} == {"mL/d"}


def test_a_day_that_was_not_measured_says_so_and_two_on_one_day_stay_two():
    days = (
        DrainRead(day=5, ml_per_day=None, counts=False),
        DrainRead(day=5, ml_per_day=8.04, counts=True),
    )
    one, other = [
        seen
        for seen in resources("Observation", sample_healing(drain_days=days))
        if "drains" in seen["code"]["text"]
    ]
    assert "valueQuantity" not in one and one["dataAbsentReason"]["coding"][0]["code"] == "unknown"
    assert "does not count" in one["note"][1]["text"] and len(other["note"]) == 1
    assert other["valueQuantity"]["value"] == 8.0


def test_measures_of_the_specimen_keep_value_and_unit_and_the_depth_is_not_made_up():
    found = {part: value for (_, _, part), value in values().items() if "drains" not in part}
    assert found == {
        "Weight of the specimen": (61, "g"),
        "Length": (84, "mm"), "Width": (49, "mm"),
        "Wall A–B": (6.4, "mm"), "Wall C–D": (4, "mm"),
    }  # fmt: skip


def test_blood_loss_of_nothing_is_a_value_and_none_is_not():
    lost = sample_healing(operation=sample_operation(blood_loss_ml=0.0))
    name = "Blood loss during the operation"
    assert values(lost)[name, "2026-11-26", name] == (0, "mL")
    assert (name, "2026-11-26", name) not in values()


@pytest.mark.parametrize("side", Side)
def test_the_flap_keeps_its_side_of_the_patient(side):
    plan = sample_healing().plan
    turned = replace(plan, closure=replace(plan.closure, donor_side=side))
    said = resources("Procedure", sample_healing(plan=turned))[0]["code"]["text"]
    assert f"flap from the {side}" in said and str(side.other) not in said


@pytest.mark.parametrize(
    ("made_on", "procedure", "measure", "drains"),
    [
        ("2026-11-25", "preparation", "preliminary", ["preliminary"] * 4),
        ("2026-11-26", "completed", "final", ["preliminary"] * 4),
        ("2026-11-28", "completed", "final", ["final", "final", "preliminary", "preliminary"]),
    ],
)
def test_what_lies_ahead_is_neither_completed_nor_final(made_on, procedure, measure, drains):
    healing = sample_healing(made_on=made_on)
    seen = [(s["code"]["text"], s["status"]) for s in resources("Observation", healing)]
    assert resources("Procedure", healing)[0]["status"] == procedure
    assert [status for words, status in seen if "drains" in words] == drains
    assert {status for words, status in seen if "drains" not in words} == {measure}


def test_a_plan_that_the_record_does_not_name_is_not_said_to_be_followed():
    other = sample_healing(operation=sample_operation(plan=""))
    assert "flap" not in resources("Procedure", other)[0]["code"]["text"]


def test_the_note_says_what_was_done_otherwise_and_what_nobody_wrote_down():
    procedure = resources("Procedure")[0]
    said = " ".join(note["text"] for note in procedure["note"])
    assert "latex" in said and "Wall C–D was cut 5 mm farther out" in said
    assert "Not recorded: " in said and "blood loss" in said
    assert procedure["performedDateTime"] == "2026-11-26"


def test_the_care_plan_has_the_days_of_the_calendar_file():
    healing = sample_healing()
    calendar = calendar_file(healing.schedule, plan_code=healing.code, made_at=MADE_AT)
    events = icalendar.Calendar.from_ical(calendar).walk("VEVENT")
    activities = [each["detail"] for each in resources("CarePlan")[0]["activity"]]
    days = [date.fromisoformat(each["scheduledTiming"]["event"][0]) for each in activities]
    assert days == [event["DTSTART"].dt for event in events]
    assert any("Tuesday 8 December 2026, day 12" in each["description"] for each in activities)


def test_a_day_that_has_come_is_not_said_to_be_open_or_done():
    known = sample_healing(made_on="2026-12-08")
    activities = [each["detail"] for each in resources("CarePlan", known)[0]["activity"]]
    by_day = {each["scheduledTiming"]["event"][0]: each["status"] for each in activities}
    assert by_day["2026-12-08"] == "unknown"
    assert {by_day[day] for day in by_day if day > "2026-12-08"} == {"not-started"}


def test_the_care_plan_is_a_proposal_under_the_caution():
    plan = resources("CarePlan")[0]
    assert (plan["status"], plan["intent"]) == ("draft", "proposal")
    assert plan["note"][0]["text"] == CAUTION


def test_the_care_plan_begins_with_its_first_day_also_before_the_operation():
    own = ScheduleSettings(own_days=(OwnDay(code="sport", on=date(2026, 11, 20)),))
    days = schedule(date(2026, 11, 26), own)
    period = resources("CarePlan", sample_healing(schedule=days))[0]["period"]
    assert period == {"start": "2026-11-20", "end": days.entries[-1].on.isoformat()}


def test_a_sheet_is_told_by_the_published_hash_of_abc():
    """FIPS 180-4, example of SHA-1: a9993e36 4706816a ba3e2571 7850c26c 9cd0d89d."""
    sheet = resources("DocumentReference", documents={"ward-card.PDF": b"abc"})[0]
    assert sheet["content"][0]["attachment"] == {
        "contentType": "application/pdf",
        "title": "ward-card.PDF",
        "size": 3,
        "hash": "qZk+NkcGgWq6PiVxeFDCbJzQ2J0=",
    }


def test_the_scan_is_named_by_its_oid():
    study = resources("ImagingStudy", study_uid="2.25.329800735698586629295641978511506172918")
    assert study[0]["identifier"] == [
        {
            "system": "urn:dicom:uid",
            "value": "urn:oid:2.25.329800735698586629295641978511506172918",
        }
    ]


@pytest.mark.parametrize("uid", ["", "1", "1.02.3", "3.1", "1.2.", "urn:oid:1.2", "1." + "2" * 63])
def test_what_is_no_identifier_of_dicom_is_refused(uid):
    with pytest.raises(InputError, match="Study Instance UID"):
        entries(study_uid=uid)


def test_no_name_leaves_and_a_number_only_if_it_is_given():
    healing = sample_healing(case_label="Ada Example, 4711, born 6 January 2000")
    plain = fhir_bundle(healing, made_at=MADE_AT).decode()
    assert not any(word in plain for word in ("Ada", "Example", "4711", "2000"))
    given = resources("Patient", healing, patient_identifier="4711")[0]
    assert given.keys() == {"resourceType", "identifier"}
    assert given["identifier"][1] == {"value": "4711"}


def urls(healing=None, **given):
    return {each["fullUrl"] for each in entries(healing, **given)}


def test_a_later_bundle_of_the_same_case_replaces_the_same_parts():
    later = sample_healing(made_on="2027-01-01", drain_days=())
    assert urls(later, made_at=MADE_AT + timedelta(days=32)) < urls()
    assert len(urls()) == len(entries())


@pytest.mark.parametrize("code", ["", "7F3A 91C2"])
def test_two_patients_are_never_one(code):
    one = sample_healing(code=code, case_label="Case 1")
    assert not urls(one) & urls(sample_healing(code=code, case_label="Case 2"))
    assert not urls(one) & urls(sample_healing(code="7F3A 91C3", case_label="Case 1"))


def test_two_operations_of_one_patient_without_a_plan_are_two():
    first, second = (
        sample_healing(code="", operation=sample_operation(operated_on=date(year, 11, 26)))
        for year in (2025, 2026)
    )
    assert not urls(first) & urls(second)


def test_the_bundle_says_when_it_was_made_to_the_second():
    bundle = json.loads(fhir_bundle(sample_healing(), made_at=MADE_AT.replace(microsecond=7)))
    assert bundle["timestamp"] == "2026-11-30T13:05:09Z"


def test_before_the_operation_there_is_a_patient_and_nothing_done():
    before = sample_healing(operation=None, note=None, schedule=None, drain_days=())
    assert [each["resource"]["resourceType"] for each in entries(before)] == ["Patient"]


def test_the_file_is_canonical_and_the_same_in_every_zone(monkeypatch):
    content = fhir_bundle(sample_healing(), made_at=MADE_AT, documents={"b": b"1", "a": b"2"})
    canonical = json.dumps(
        json.loads(content), sort_keys=True, separators=(",", ":"), ensure_ascii=False
    )
    assert content.decode() == canonical
    try:
        monkeypatch.setitem(os.environ, "TZ", "Pacific/Kiritimati")
        time.tzset()
        turned = {"a": b"2", "b": b"1"}
        assert fhir_bundle(sample_healing(), made_at=MADE_AT, documents=turned) == content
    finally:
        monkeypatch.undo()
        time.tzset()


@pytest.mark.parametrize("zone", [None, timezone(timedelta(hours=1))])
def test_the_time_of_making_must_be_in_utc(zone):
    with pytest.raises(InputError, match="UTC"):
        entries(made_at=MADE_AT.replace(tzinfo=zone))
