"""The server after the operation: what is due, what counts as which grade, checks of doses."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import factory
import pytest
from databases import KINDS

from crena.app.case_files import CASES
from crena.records import (
    Aftercare,
    Answer,
    DrainCourse,
    DrainPlaced,
    DrainReading,
    OperationRecord,
    PatientLabel,
)
from crena.records.schedules import TaskDone

DATABASES = KINDS
TODAY = date.today()
ONE_PERCENT = {
    "drug": "lidocaine", "volume_ml": 20, "concentration_percent": 1, "adrenaline": "no"
}  # fmt: skip


def operated(client, label, days_ago, **care):
    case = factory.case(
        patient=PatientLabel(label=label),
        operation=OperationRecord(
            operated_on=TODAY - timedelta(days=days_ago),
            drains=(DrainPlaced(name="1", size_charriere=10),),
        ),
        aftercare=Aftercare(**care),
    )
    answer = client.post("/api/cases", json=CASES.dump_python(case, mode="json"))
    assert answer.status_code == 201
    return answer.json()


def due(client):
    return [(d["label"], d["code"], d["state"], d["stop"]) for d in client.get("/api/due").json()]


def read_today(days_ago, volume):
    day = TODAY - timedelta(days=days_ago)
    at = datetime.combine(TODAY, time(0, 5))
    read = DrainReading(emptied_at=at, volume_ml=volume, patent=Answer.YES)
    return DrainCourse(operation_ended_at=datetime.combine(day, time(0, 1)), readings=(read,))


def test_due_and_overdue_of_all_cases_stand_together_the_oldest_first(client):
    done = (TaskDone(code="visit-7-days", on=TODAY),)
    operated(client, "New", 1)
    operated(client, "Old", 13, done=done, drain_out_on=TODAY - timedelta(days=9))
    assert due(client) == [
        ("Old", "stitches-half", "overdue", "healing"),
        ("New", "drain-1-days", "due", "healing"),
    ]


def test_what_is_done_vanishes_and_what_follows_from_it_appears(client):
    operated(client, "Read", 1, drain=read_today(1, 40.0))
    operated(client, "Met", 1, drain=read_today(1, 5.0))
    assert due(client) == [("Met", "drain-out", "due", "healing")]


def test_a_follow_up_leads_to_the_outcomes(client):
    since = (TODAY - date(TODAY.year - 2, TODAY.month, min(TODAY.day, 28))).days
    operated(
        client, "Two years", since,
        drain_out_on=TODAY, stitches_out_on=TODAY,
        done=(TaskDone(code="histology", on=TODAY),),
    )  # fmt: skip
    (line,) = due(client)
    assert line[1:] == ("visit-2-years", line[2], "outcomes")


def test_every_grade_comes_with_its_meaning_its_rule_and_where_they_come_from(client):
    rules = client.get("/api/complications/grades").json()
    assert [rule["grade"] for rule in rules] == ["I", "II", "IIIa", "IIIb", "IVa", "IVb", "V"]
    assert all(rule["basis"]["source"] and "assumed" in rule["here_source"] for rule in rules)
    assert all(rule["means_german"] != rule["means_english"] for rule in rules)


def anaesthetic(client, *solutions, **changes):
    case = CASES.dump_python(factory.case(**changes), mode="json")
    asked = {
        "solutions": solutions,
        "weight_kg": case["patient"]["weight_kg"],
        "findings": case["findings"],
        "frail_heart_or_liver": "no",
    }
    return client.post("/api/checks/anaesthetic", json=asked)


def findings(**allergies):
    plain = factory.case().findings
    return replace(plain, allergies=replace(plain.allergies, **allergies))


def test_solutions_add_up_against_their_ceilings(client):
    """20 mL of 1 % are 200 mg of lidocaine: two thirds of 300 mg for anyone of 70 kg."""
    one = anaesthetic(client, ONE_PERCENT).json()
    assert (one["sum_of_100"], one["within"]) == (67, True)
    two = anaesthetic(client, ONE_PERCENT, {**ONE_PERCENT, "volume_ml": "15,5"}).json()
    assert (two["sum_of_100"], two["within"]) == (119, False)


@pytest.mark.parametrize("answer", ["not asked", "yes"])
def test_no_anaesthetic_is_checked_until_the_allergy_was_asked_and_denied(client, answer):
    refused = anaesthetic(client, ONE_PERCENT, findings=findings(local_anaesthetic=Answer(answer)))
    assert refused.status_code == 422
    assert "llergy to local anaesthetic" in refused.json()["detail"]
    assert "sum_fraction" not in refused.text


def test_adrenaline_that_was_not_asked_for_counts_as_none(client):
    unasked = anaesthetic(client, {**ONE_PERCENT, "adrenaline": "not asked"}).json()
    assert unasked["fractions"] == anaesthetic(client, ONE_PERCENT).json()["fractions"]
    with_it = anaesthetic(client, {**ONE_PERCENT, "adrenaline": "yes"}).json()
    assert with_it["sum_fraction"] < unasked["sum_fraction"]


@pytest.mark.parametrize(("volume", "words"), [("1.234,5", "not one plain number"), (400, "300")])
def test_an_amount_that_cannot_be_is_told_at_its_field(client, volume, words):
    problem = anaesthetic(client, {**ONE_PERCENT, "volume_ml": volume}).json()
    assert words in problem["errors"][0]["detail"]
    assert problem["errors"][0]["loc"] == ["body", "solutions", 0, "volume_ml"]


def test_a_dye_is_held_against_weight_and_refused_while_its_allergy_is_open(client):
    asked = {
        "dye": "methylene blue", "volume_ml": "2", "concentration_percent": "1",
        "weight_kg": 70, "findings": CASES.dump_python(factory.case(), mode="json")["findings"],
    }  # fmt: skip
    found = client.post("/api/checks/dye", json=asked).json()
    assert found["dose_ratio"] == pytest.approx(20 / 70)
    asked["findings"]["allergies"]["dye"] = "not asked"
    assert client.post("/api/checks/dye", json=asked).status_code == 422
