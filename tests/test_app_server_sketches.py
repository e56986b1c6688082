"""A plan without a record: closures come out, nothing of a case is kept."""

import time
from dataclasses import replace
from datetime import date

import factory
from databases import KINDS
from test_app_server import body

from crena.app.jobs.runner import ENDED
from crena.app.server.desk import MOST_SKETCHES, Sketches
from crena.records import Answer, Findings
from crena.store.verify import verify

DATABASES = KINDS


def today(**answers):
    """Give findings of today, so that no test depends on the day it is run."""
    return Findings(seen_on=date.today(), acute_signs=replace(factory.CALM, **answers))


def followed(client, job_id):
    while (job := client.get(f"/api/jobs/{job_id}").json())["state"] not in ENDED:
        time.sleep(0.1)
    return job


def test_a_sketch_gives_plans_and_leaves_no_case(client, store):
    asked = client.post("/api/sketch", json=body(factory.case(findings=today())))
    assert asked.status_code == 202 and asked.json()["case_id"] == ""
    job = followed(client, asked.json()["job_id"])
    assert (job["state"], job["reason"]) == ("done", "")
    plans = client.get(f"/api/sketch/{job['job_id']}").json()
    assert len(plans["plans"]) >= 3 and plans["plans"][0]["closure"]["incisions_mm"]
    assert client.get("/api/cases").json() == []
    assert not any(each.is_file() for each in store.files.rglob("*"))
    assert verify(store).faults == ()


def test_a_sketch_that_cannot_be_planned_is_refused_at_once(client):
    for changes, word in (
        ({"findings": today(fever=Answer.NOT_ASKED)}, "Not asked: fever"),
        ({"findings": today(), "pits": (), "probings": ()}, "Enter at least one"),
        ({"findings": today(redness=Answer.YES)}, "Acute stage"),
    ):
        answer = client.post("/api/sketch", json=body(factory.case(**changes)))
        assert answer.status_code == 422 and word in answer.json()["detail"]


def test_a_wrong_measure_of_a_sketch_names_its_field(client):
    wrong = body(factory.case())
    wrong["probings"][0]["length_mm"] = "12,5,5"
    answer = client.post("/api/sketch", json=wrong)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["loc"] == ["body", "probings", 0, "length_mm"]
    assert answer.json()["errors"][0]["detail"].startswith("The number “12,5,5” is not one")


def test_an_unknown_sketch_is_said_to_be_gone(client):
    assert client.get("/api/sketch/abc123").status_code == 404


def test_the_oldest_sketch_is_forgotten_first():
    kept = Sketches()
    names = [kept.keep(bytes([n])) for n in range(MOST_SKETCHES + 1)]
    assert kept.kept(names[0]) is None
    assert kept.kept(names[1]) == bytes([1])
