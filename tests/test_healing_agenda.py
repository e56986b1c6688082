"""What is done, due, overdue and past, from the dates and the aftercare of one case."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest
from factory import case

from crena.healing.date_rules import COMMON_RULES
from crena.planning.aftercare import agenda_of
from crena.records import (
    Aftercare,
    DrainCourse,
    DrainPlaced,
    DrainReading,
    InputError,
    OperationRecord,
)
from crena.records.schedules import TaskDone, TaskState

DAY_0 = date(2026, 11, 26)
DRAIN = (DrainPlaced(name="1", size_charriere=10),)


def on(day):
    return DAY_0 + timedelta(days=day)


def course(*volumes):
    return DrainCourse(
        operation_ended_at=datetime.combine(DAY_0, time(10)),
        readings=tuple(
            DrainReading(emptied_at=datetime.combine(on(n), time(10)), volume_ml=volume)
            for n, volume in enumerate(volumes, start=1)
        ),
    )


def due(day, drains=(), **care):
    """Codes of what is due on a day, with how it stands."""
    operated = case(
        operation=OperationRecord(operated_on=DAY_0, drains=drains), aftercare=Aftercare(**care)
    )
    tasks = agenda_of(operated, on(day))
    return {
        each.task.code: str(each.state)
        for each in tasks
        if each.state in (TaskState.DUE, TaskState.OVERDUE)
    }


def states(day, **care):
    operated = case(
        operation=OperationRecord(operated_on=DAY_0, drains=DRAIN), aftercare=Aftercare(**care)
    )
    return {each.task.code: each for each in agenda_of(operated, on(day))}


def test_before_an_operation_nothing_is_due():
    assert agenda_of(case(), DAY_0) == ()


def test_a_drain_that_lies_is_due_to_be_read_each_day_until_it_is_read():
    for day in range(1, 9):
        read = course(*(60.0 - 5 * n for n in range(day - 1)))
        assert due(day, DRAIN, drain=read)[f"drain-{day}-days"] == "due"
        assert f"drain-{day}-days" not in due(day, DRAIN, drain=course(*[40.0] * day))


def test_a_missed_reading_has_passed_and_is_not_overdue():
    found = states(3, drain=course(40.0))
    assert found["drain-2-days"].state is TaskState.PASSED
    assert found["drain-3-days"].state is TaskState.DUE


def test_the_drain_is_due_out_once_the_rule_is_met_until_it_is_out():
    met = course(40.0, 20.0, 9.0)
    assert due(3, DRAIN, drain=met)["drain-out"] == "due"
    assert due(5, DRAIN, drain=met)["drain-out"] == "overdue"
    out = due(5, DRAIN, drain=met, drain_out_on=on(4))
    assert not any(code.startswith("drain") for code in out)


def test_the_drain_is_due_out_on_the_latest_day_though_nothing_was_read():
    assert "drain-out" not in due(20, DRAIN)
    assert due(21, DRAIN)["drain-out"] == "due"


def test_without_a_drain_nothing_of_it_is_due():
    assert not any(code.startswith("drain") for day in range(25) for code in due(day))


def test_stitches_are_overdue_until_they_are_marked_or_all_are_out():
    assert due(13) == {"stitches-half": "overdue", "visit-7-days": "overdue"}
    marked = (TaskDone(code="stitches-half", on=on(12)), TaskDone(code="visit-7-days", on=on(7)))
    assert due(13, done=marked) == {}
    assert "stitches-rest" in due(15, done=marked)
    assert not any(code.startswith("stitches") for code in due(15, stitches_out_on=on(14)))


def test_a_later_visit_takes_the_place_of_one_that_was_missed():
    assert [code for code in due(40) if code.startswith("visit")] == ["visit-30-days"]
    found = states(40)
    assert found["visit-7-days"].state is TaskState.PASSED


def test_histology_is_due_until_it_was_read():
    assert due(14)["histology"] == "due" and due(20)["histology"] == "overdue"
    assert "histology" not in due(20, done=(TaskDone(code="histology", on=on(15)),))


@pytest.mark.parametrize("years", [1, 2, 3, 4, 5, 10])
def test_every_follow_up_is_due_in_its_year(years):
    name = {1: "visit-12-months", 10: "contact"}.get(years, f"visit-{years}-years")
    day = (date(DAY_0.year + years, 11, 26) - DAY_0).days
    found = states(day)
    assert found[name].state is TaskState.DUE and found[name].stop == "outcomes"


def test_the_patient_s_own_dates_are_never_due():
    own = {"sitting", "desk-work", "heavy-work", "sport", "hair"}
    assert own <= {rule.code for rule in COMMON_RULES}
    assert not own & {code for day in range(60) for code in due(day)}


def test_what_was_done_says_when_and_stays_in_the_list():
    found = states(9, drain=course(40.0), done=(TaskDone(code="visit-7-days", on=on(8)),))
    assert (found["visit-7-days"].state, found["visit-7-days"].done_on) == ("done", on(8))
    assert found["drain-1-days"].done_on == on(1)


def test_readings_that_contradict_the_operation_are_refused_in_words():
    early = replace(course(40.0), operation_ended_at=datetime.combine(on(-3), time(10)))
    with pytest.raises(InputError, match="Correct one of them"):
        states(2, drain=early)
