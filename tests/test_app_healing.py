"""`crena heal`: every sheet of a case, all or none."""

import json
from datetime import date

import pytest
from factory import TODAY, case
from icalendar import Calendar
from printed_pages import pages_of, words_of
from sample_healing import sample_operated_case
from sample_plans import sample_plan_set

from crena.app import cli
from crena.app.case_files import HEALING_PLANS, case_text, plan_text
from crena.app.healing_job import HealingOrder, heal
from crena.draw import Paper
from crena.draw.german import in_german
from crena.records.statements import CAUTION

BEFORE = {
    "healing.json", "patient-en.pdf", "patient-de.pdf", "ward-card.pdf", "theatre-card.pdf",
    "specimen-card.pdf", "consent.pdf", "record.fhir.json",
}  # fmt: skip
AFTER = BEFORE | {"operation-note.pdf", "operation-note.txt", "dates.ics"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("heal")
    (folder / "case.json").write_text(case_text(sample_operated_case()), encoding="utf-8")
    (folder / "plan.json").write_text(plan_text(sample_plan_set()), encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def written(folder):
    order = HealingOrder(
        case_file=folder / "case.json",
        plan_file=folder / "plan.json",
        out_folder=folder / "out",
        paper=Paper.A4,
    )
    return heal(order, TODAY)


def test_after_the_operation_all_sheets_are_written(folder, written):
    assert {path.name for path in (folder / "out").iterdir()} == AFTER == set(written[1])


def test_the_healing_file_reads_back_as_it_was(folder, written):
    text = (folder / "out" / "healing.json").read_text(encoding="utf-8")
    assert HEALING_PLANS.validate_json(text) == written[0]
    assert json.loads(text)["schema"] == "crena.healing/1"


def test_the_calendar_file_has_the_days_of_the_schedule(folder, written):
    calendar = Calendar.from_ical((folder / "out" / "dates.ics").read_bytes())
    days = [event["DTSTART"].dt for event in calendar.walk("VEVENT")]
    assert sorted(days) == sorted(entry.on for entry in written[0].schedule.entries)
    assert all(type(day) is date for day in days)


def test_every_sheet_can_be_written_in_german(folder, tmp_path):
    command = ["heal", str(folder / "case.json"), "--plans", str(folder / "plan.json")]
    options = ["--out", str(tmp_path), "--language", "de"]
    assert cli.outcome(lambda: cli.cli([*command, *options], standalone_mode=False)) == 0
    for name in ("ward-card", "theatre-card", "specimen-card", "operation-note"):
        for page in pages_of((tmp_path / f"{name}.pdf").read_bytes()):
            assert in_german(CAUTION) in words_of(page)
    note = (tmp_path / "operation-note.txt").read_text("utf-8")
    assert note.startswith("Operation am Donnerstag, 26. November 2026 (Tag 0)")
    assert "NICHT AUFGEZEICHNET" in note and "Wall C–D was cut 5 mm farther out" in note


def test_before_the_operation_there_is_no_note_and_no_calendar(folder, tmp_path):
    plain = tmp_path / "case.json"
    same = sample_operated_case()
    plain.write_text(case_text(case(patient=same.patient)), encoding="utf-8")
    order = HealingOrder(
        case_file=plain, plan_file=folder / "plan.json", out_folder=tmp_path / "out",
        paper=Paper.LETTER,
    )  # fmt: skip
    _, names = heal(order, TODAY)
    assert set(names) == BEFORE


def test_the_same_case_gives_the_same_bytes(folder, written, tmp_path):
    order = HealingOrder(
        case_file=folder / "case.json", plan_file=folder / "plan.json",
        out_folder=tmp_path / "again", paper=Paper.A4,
    )  # fmt: skip
    heal(order, TODAY)
    for name in AFTER:
        assert (tmp_path / "again" / name).read_bytes() == (folder / "out" / name).read_bytes()


def test_plans_that_are_no_plan_file_are_refused_and_nothing_is_written(folder, tmp_path, capsys):
    wrong = ["heal", str(folder / "case.json"), "--plans", str(folder / "case.json")]
    out = tmp_path / "none"
    code = cli.outcome(lambda: cli.cli([*wrong, "--out", str(out)], standalone_mode=False))
    assert code == cli.EXIT_BAD_INPUT and not out.exists()
    assert "'crena.plan/1' is read here" in capsys.readouterr().err


def test_the_command_says_drain_support_dates_and_files(folder, tmp_path, capsys):
    command = ["heal", str(folder / "case.json"), "--plans", str(folder / "plan.json")]
    out = tmp_path / "said"
    assert cli.outcome(lambda: cli.cli([*command, "--out", str(out)], standalone_mode=False)) == 0
    said = capsys.readouterr().out
    assert "Friday 27 November 2026, day 1" in said and "ward-card.pdf" in said
    assert "local protocols" in said
