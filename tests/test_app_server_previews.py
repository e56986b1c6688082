"""Moved plans on the server: answered at once, nothing stored, kept only as what they are."""

import time
from dataclasses import replace

import numpy as np
import own_works
import pytest
from databases import KINDS
from factory import TODAY, case

from crena.app.case_files import PLAN_SETS, plan_text
from crena.app.jobs.runner import ENDED
from crena.app.planning_job import provenance_of
from crena.app.server import previews
from crena.planning.compose import plan_case
from crena.records import Author, Dossier, StoredPlans
from crena.sinus.mapping import map_from_probing
from crena.store.audit import audit_head
from crena.store.files import keep_file
from crena.store.revisions import create_case, read_case, save_case

DATABASES = KINDS
ME = Author(by="test", why="test")


@pytest.fixture(scope="module")
def made():
    return plan_case(case(), map_from_probing(case()), provenance_of(case(), None), today=TODAY)


@pytest.fixture
def planned(store, made):
    """Store a case with its plans; give its id."""
    sha256 = keep_file(store, [plan_text(made).encode()])
    plans = StoredPlans(
        sha256=sha256,
        code=made.code,
        inputs_hash=made.inputs_hash,
        made_on=made.made_on,
        version="test",
    )
    return create_case(store, Dossier(case=case(), plans=plans), ME).case_id


def ask(client, case_id, made, **changes):
    body = {"plan": "A", "code": made.code, **changes}
    return client.post(f"/api/cases/{case_id}/preview", json=body)


def placed(made, handle="A", step=(-2.0, -2.0)):
    at = np.add(made.plans[0].closure.points_mm[handle], step)
    return {"kind": "place", "handle": handle, "to_mm": at.tolist()}


def away(made):
    return {"kind": "place", "handle": "centre", "to_mm": [0.0, 200.0]}


def test_a_moved_plan_comes_back_measured_and_nothing_is_stored(client, store, planned, made):
    assert ask(client, planned, made).status_code == 200
    head, number = audit_head(store), read_case(store, planned, ME).number
    head = audit_head(store)
    answer = ask(client, planned, made, moves=[placed(made)])
    seen = answer.json()
    assert answer.headers["server-timing"].startswith("preview;dur=")
    assert seen["closure"]["points_mm"]["A"] == pytest.approx(placed(made)["to_mm"], abs=2.0)
    assert seen["code"] == made.code
    assert (audit_head(store), read_case(store, planned, ME).number) == (head, number)


def test_the_case_is_read_and_noted_once_for_each_revision(client, store, planned, made):
    before = audit_head(store)
    for _ in range(3):
        ask(client, planned, made, moves=[placed(made)])
    assert audit_head(store).entries == before.entries + 1


def test_limits_come_as_typed_or_as_saved(client, planned, made):
    limits = PLAN_SETS.dump_python(made, mode="json")["limits"]
    saved, typed = (
        ask(client, planned, made, **more).json()["limits"]
        for more in ({}, {"limits": {**limits, "drawn_margin_mm": "12,5"}})
    )
    margin = {c["limit"]: c for c in typed}["margin at every wall, as drawn"]
    assert (margin["asked"], margin["kept"]) == (12.5, False)
    assert all(check["kept"] for check in saved if check["hard"])
    odd = ask(client, planned, made, limits={**limits, "drawn_margin_mm": "1.234,5"})
    assert (odd.status_code, odd.json()["errors"][0]["loc"][-1]) == (422, "drawn_margin_mm")


def test_what_cannot_be_is_refused_in_one_sentence(client, store, planned, made):
    tries = [
        ({"moves": [placed(made, "A", (0.0, 1000.0))]}, 422, "more than 300 mm"),
        ({"moves": [{**placed(made), "handle": "Q"}]}, 422, "no handle"),
        ({"code": "another"}, 409, "planned anew"),
        ({"plan": "Z"}, 404, "no plan of that letter"),
    ]
    for changes, status, sentence in tries:
        answer = ask(client, planned, made, **changes)
        assert (answer.status_code, sentence in answer.json()["detail"]) == (status, True)
    unplanned = create_case(store, Dossier(case=case()), ME).case_id
    assert ask(client, unplanned, made).status_code == 404
    assert ask(client, "nowhere", made).status_code == 404


def keep(client, case_id, made, moves):
    body = {"code": made.code, "moved": {"of": "A", "moves": moves}}
    return client.post(f"/api/cases/{case_id}/plans/own", json=body)


def ended(client, job):
    until = time.monotonic() + 120
    while time.monotonic() < until:
        job = client.get(f"/api/jobs/{job['job_id']}").json()
        if job["state"] in ENDED:
            return job
        time.sleep(0.1)
    raise AssertionError(job)


def test_a_kept_plan_is_one_of_the_case_and_is_printed(client, planned, made, monkeypatch):
    monkeypatch.setattr(previews, "planned_own", own_works.planned_own)
    job = keep(client, planned, made, [placed(made)])
    assert job.status_code == 202
    assert ended(client, job.json())["state"] == "done"
    plans = client.get(f"/api/cases/{planned}/plans").json()
    assert [p["id"] for p in plans["plans"]] == [
        *(p.id for p in made.plans),
        plans["plans"][-1]["id"],
    ]
    assert plans["plans"][-1]["moved"]["of"] == "A"
    assert plans["code"] != made.code
    assert client.get(f"/api/cases/{planned}/sheets").json()["old"] is False
    assert client.get(f"/api/cases/{planned}/sheets/template.svg").status_code == 200
    assert keep(client, planned, made, [placed(made)]).status_code == 409


def test_a_cut_through_the_disease_is_not_kept(client, planned, made):
    refused = keep(client, planned, made, [away(made)])
    assert (refused.status_code, "pit 1" in refused.json()["detail"]) == (422, True)


def test_nothing_is_kept_among_plans_that_are_old(client, store, planned, made):
    last = read_case(store, planned, ME)
    save_case(store, planned, last.number, changed(last.dossier), ME)
    refused = keep(client, planned, made, [placed(made)])
    assert (refused.status_code, "Plan the case again" in refused.json()["detail"]) == (409, True)


def changed(dossier):
    return replace(dossier, case=replace(dossier.case, seed=99))


def test_plans_made_anew_meanwhile_are_not_overwritten(client, store, planned, made, monkeypatch):
    monkeypatch.setattr(previews, "planned_own", own_works.planned_own)
    job = keep(client, planned, made, [placed(made)]).json()
    last = read_case(store, planned, ME)
    anew = replace(last.dossier, plans=replace(last.dossier.plans, code="CANEW"))
    save_case(store, planned, last.number, anew, ME)
    done = ended(client, job)
    assert (done["state"], "planned anew" in done["reason"]) == ("failed", True)
    assert read_case(store, planned, ME).dossier.plans.code == "CANEW"
