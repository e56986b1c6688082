"""Theatre over HTTP: what it begins with, new plans for the real hole, one taken, the note."""

from dataclasses import replace
from datetime import date
from functools import cache
from threading import Event

import factory
import pytest
from databases import KINDS
from test_app_server import ended, made_case

from crena.app.case_files import case_from_text, plan_text, plans_from_text
from crena.app.jobs.runner import INTERRUPTED
from crena.app.planning_job import provenance_of
from crena.app.server.theatre import _with_figures, _with_new_plans
from crena.planning.compose import plan_case
from crena.planning.theatre import corners_as_planned
from crena.records import (
    Choice,
    ConflictError,
    CrenaError,
    Dossier,
    JobState,
    OperationRecord,
    StoredPlans,
)
from crena.sinus.mapping import map_from_probing
from crena.store.jobs import job_of, note_job
from crena.store.verify import verify

DATABASES = KINDS
TODAY = date.today()


@cache
def plans_of(case_text):
    """Plan without the pull, once for all tests."""
    case = case_from_text(case_text, "The case")
    made = plan_case(case, map_from_probing(case), provenance_of(case, None), today=TODAY)
    return plan_text(made).encode()


@pytest.fixture
def plan_quickly(monkeypatch):
    """Plan in no time; the route and all that is stored stay the same."""
    monkeypatch.setattr("crena.app.server.plans.planned", lambda text, *_: plans_of(text))


def in_process(monkeypatch):
    """Do the work here instead of in a process of its own, so that it can be replaced."""
    monkeypatch.setattr(
        "crena.app.jobs.runner.Jobs._computed",
        lambda self, turn: turn.order.work(*turn.order.parts, lambda step, share: None),
    )


@pytest.fixture
def chosen(client, plan_quickly, monkeypatch):
    """Store a case that is planned, and plan A chosen."""
    in_process(monkeypatch)
    findings = replace(factory.case().findings, seen_on=TODAY)
    path = f"/api/cases/{made_case(client, findings=findings)['case_id']}"
    assert ended(client, client.post(f"{path}/plans").json()["job_id"])["state"] == "done"
    plans = client.get(f"{path}/plans").json()
    save(client, path, choice={"plan": "A", "code": plans["code"]})
    return path


def save(client, path, **changes):
    revision = client.get(path).json()
    revision["dossier"]["case"].update(changes)
    number = revision["number"]
    answer = client.put(path, json=revision["dossier"], headers={"If-Match": f'"{number}"'})
    assert answer.status_code == 200, answer.text
    return answer.json()


def operated(start, mm=0.0, **changes):
    corners = [{**c, "off_midline_mm": c["off_midline_mm"] + mm} for c in start["corners"]]
    return {"operated_on": TODAY.isoformat(), "measured": corners, **changes}


def test_theatre_begins_with_the_hole_as_planned_and_suggestions(client, chosen):
    start = client.get(f"{chosen}/theatre").json()
    plans = client.get(f"{chosen}/plans").json()
    places = plans["plans"][0]["closure"]["points_mm"]
    for corner in start["corners"]:
        s, y = places[corner["name"]]
        assert abs(corner["above_coccyx_tip_mm"] - y) <= 0.5
        assert abs(corner["off_midline_mm"] - abs(s)) <= 0.5
        assert corner["side"] == ("patient's right" if s > 0 else "patient's left")
    assert (start["plan"], start["code"], start["branch"]) == ("A", plans["code"], "T3")
    assert start["flap_from"] == plans["plans"][0]["closure"]["donor_side"]
    assert start["layers"] and all(layer["stitches"] for layer in start["layers"])
    assert "mL" in start["dye"] and not start["old"]
    assert client.get(chosen).json()["dossier"]["case"]["operation"] is None


def test_before_there_are_plans_theatre_says_so(client):
    path = f"/api/cases/{made_case(client)['case_id']}"
    for asked in (f"{path}/theatre", f"{path}/theatre/plans"):
        assert client.get(asked).status_code == 404
    answer = client.post(f"{path}/theatre/plans")
    assert answer.status_code == 404 and "no plans yet" in answer.json()["detail"]


def test_a_hole_that_was_not_measured_is_asked_for_at_once(client, chosen):
    answer = client.post(f"{chosen}/theatre/plans")
    assert answer.status_code == 422 and "Measure the hole first" in answer.json()["detail"]


def test_a_corner_on_a_wrong_side_is_refused_at_once(client, chosen):
    operation = operated(client.get(f"{chosen}/theatre").json())
    corner = max(operation["measured"], key=lambda c: c["off_midline_mm"])
    other = {"patient's left": "patient's right", "patient's right": "patient's left"}
    corner["side"] = other[corner["side"]]
    save(client, chosen, operation=operation)
    answer = client.post(f"{chosen}/theatre/plans")
    assert answer.status_code == 422 and "do not go round" in answer.json()["detail"]


def test_typed_corners_are_read_by_the_one_parser(client, chosen):
    operation = operated(client.get(f"{chosen}/theatre").json())
    operation["measured"][0] |= {"above_coccyx_tip_mm": "70,5"}
    saved = save(client, chosen, operation=operation)
    stored = saved["dossier"]["case"]["operation"]["measured"][0]
    assert stored["above_coccyx_tip_mm"] == 70.5


def test_new_plans_are_taken_and_everything_after_follows_them(client, chosen, store):
    start = client.get(f"{chosen}/theatre").json()
    save(client, chosen, operation=operated(start, 3.0))
    job = client.post(f"{chosen}/theatre/plans")
    assert job.status_code == 202
    assert ended(client, job.json()["job_id"])["state"] == "done"
    made, first = client.get(f"{chosen}/theatre/plans").json(), client.get(f"{chosen}/plans").json()
    assert made["code"][0] == "T" and made["code"] != first["code"]
    assert all(plan["recut"] for plan in made["plans"])
    taken = {"plan_code": made["code"], "plan": "B"}
    save(client, chosen, operation=operated(start, 3.0, **taken))
    healing = client.get(f"{chosen}/healing").json()
    assert (healing["code"], healing["plan"]["id"]) == (made["code"], "B")
    assert healing["plan"]["closure"] == made["plans"][1]["closure"]
    note = client.get(f"{chosen}/sheets/operation-note.txt").text
    assert f"Plan that was followed: B of {made['code']}" in note
    assert client.get(f"{chosen}/sheets/template.pdf").content.startswith(b"%PDF")
    assert client.get(f"{chosen}/plans").json()["code"] == first["code"]
    assert client.get(f"{chosen}/sheets").json()["old"] is False
    assert verify(store).faults == ()


def test_another_hole_makes_the_new_plans_old_and_takes_the_taken_one_back(client, chosen):
    start, first = client.get(f"{chosen}/theatre").json(), client.get(f"{chosen}/plans").json()
    save(client, chosen, operation=operated(start, 2.0))
    ended(client, client.post(f"{chosen}/theatre/plans").json()["job_id"])
    code = client.get(f"{chosen}/theatre/plans").json()["code"]
    save(client, chosen, operation=operated(start, 4.0, plan_code=code, plan="A"))
    assert client.get(f"{chosen}/theatre").json()["old"] is True
    ended(client, client.post(f"{chosen}/theatre/plans").json()["job_id"])
    assert client.get(f"{chosen}/theatre").json()["old"] is False
    operation = client.get(chosen).json()["dossier"]["case"]["operation"]
    assert (operation["plan_code"], operation["plan"]) == (first["code"], "A")
    assert client.get(f"{chosen}/healing").status_code == 200


def test_a_hole_known_by_its_size_is_planned_and_another_size_makes_the_plans_old(client, chosen):
    start = client.get(f"{chosen}/theatre").json()
    size = {"hole_length_mm": start["length_mm"] + 2, "hole_width_mm": start["width_mm"] + 3}
    operation = {"operated_on": TODAY.isoformat(), **size}
    save(client, chosen, operation=operation)
    corners = {c["name"]: c for c in client.get(f"{chosen}/theatre").json()["hole"]}
    assert sorted(corners) == ["A", "B", "C", "D"]
    assert all(c["side"] for c in corners.values())
    job = ended(client, client.post(f"{chosen}/theatre/plans").json()["job_id"])
    assert job["state"] == "done"
    save(client, chosen, operation=operation | {"hole_width_mm": size["hole_width_mm"] + 2})
    assert client.get(f"{chosen}/theatre").json()["old"] is True
    ended(client, client.post(f"{chosen}/theatre/plans").json()["job_id"])
    assert client.get(f"{chosen}/theatre").json()["old"] is False


def test_a_size_that_the_hole_cannot_have_is_refused_before_and_when_it_is_planned(client, chosen):
    start = client.get(f"{chosen}/theatre").json()
    size = {"hole_length_mm": start["length_mm"], "hole_width_mm": 5}
    save(client, chosen, operation={"operated_on": TODAY.isoformat(), **size})
    again = client.get(f"{chosen}/theatre").json()
    assert again["hole"] == [] and "open skin gapes" in again["hole_refused"]
    answer = client.post(f"{chosen}/theatre/plans")
    assert (answer.status_code, answer.json()["detail"]) == (422, again["hole_refused"])


def test_a_hole_that_nothing_closes_leaves_the_reason_and_no_plans(client, chosen):
    start = client.get(f"{chosen}/theatre").json()
    lowest = min(start["corners"], key=lambda c: c["above_coccyx_tip_mm"])
    lowest |= {"above_coccyx_tip_mm": lowest["above_coccyx_tip_mm"] - 60, "off_midline_mm": 2}
    save(client, chosen, operation=operated(start))
    job = ended(client, client.post(f"{chosen}/theatre/plans").json()["job_id"])
    assert job["state"] == "failed" and "anal verge" in job["reason"]
    assert "What is left" in job["reason"]
    assert client.get(f"{chosen}/theatre/plans").status_code == 404


@pytest.mark.slow
def test_the_pull_is_added_and_the_letters_stay(client, chosen):
    save(client, chosen, operation=operated(client.get(f"{chosen}/theatre").json(), 1.0))
    ended(client, client.post(f"{chosen}/theatre/plans").json()["job_id"])
    before = client.get(f"{chosen}/theatre/plans").json()
    job = ended(client, client.post(f"{chosen}/theatre/figures").json()["job_id"])
    assert job["state"] == "done"
    after = client.get(f"{chosen}/theatre/plans").json()
    assert after["code"] == before["code"]
    for old, new in zip(before["plans"], after["plans"], strict=True):
        assert (old["id"], old["closure"]["points_mm"]) == (new["id"], new["closure"]["points_mm"])
        assert old["mechanics"] is None and new["mechanics"] is not None


@pytest.fixture
def replanned(client, chosen):
    """Plan in theatre for a larger hole; the pull is not computed yet."""
    save(client, chosen, operation=operated(client.get(f"{chosen}/theatre").json(), 1.0))
    ended(client, client.post(f"{chosen}/theatre/plans").json()["job_id"])
    return chosen


def quick_pull(case_text, plans_text, progress):
    """Enter something in no time."""
    made = plans_from_text(plans_text, "The plans")
    return plan_text(replace(made, would_change="as computed")).encode()


def failing_pull(*_):
    raise CrenaError("The computation ended without a word; it may have run out of memory.")


def test_a_pull_that_failed_keeps_its_reason_and_can_be_asked_again(client, replanned, monkeypatch):
    path = f"{replanned}/theatre/figures"
    assert client.get(path).json() is None
    monkeypatch.setattr("crena.app.server.theatre.figures_added", failing_pull)
    first = ended(client, client.post(path).json()["job_id"])
    found = client.get(path).json()
    assert (found["state"], found["reason"]) == ("failed", first["reason"])
    assert "out of memory" in found["reason"]
    monkeypatch.setattr("crena.app.server.theatre.figures_added", quick_pull)
    assert ended(client, client.post(path).json()["job_id"])["state"] == "done"
    assert client.get(f"{replanned}/theatre/plans").json()["would_change"] == "as computed"
    assert client.get(path).json() is None


def test_a_pull_that_was_interrupted_or_stopped_can_be_asked_again(
    client, replanned, monkeypatch, store
):
    path = f"{replanned}/theatre/figures"
    monkeypatch.setattr("crena.app.server.theatre.figures_added", failing_pull)
    job = ended(client, client.post(path).json()["job_id"])
    monkeypatch.setattr("crena.app.server.theatre.figures_added", quick_pull)
    for state in (JobState.INTERRUPTED, JobState.CANCELLED):
        note_job(store, replace(job_of(store, job["job_id"]), state=state, reason=INTERRUPTED))
        found = client.get(path).json()
        assert (found["state"], found["reason"]) == (state.value, INTERRUPTED)
    assert ended(client, client.post(path).json()["job_id"])["state"] == "done"


def test_a_pull_under_way_is_found_again_and_not_begun_twice(client, replanned, monkeypatch):
    begun, go = [], Event()

    def waiting_pull(*parts):
        begun.append(1)
        assert go.wait(20)
        return quick_pull(*parts)

    monkeypatch.setattr("crena.app.server.theatre.figures_added", waiting_pull)
    path = f"{replanned}/theatre/figures"
    first, second = client.post(path).json(), client.post(path).json()
    assert first["job_id"] == second["job_id"] == client.get(path).json()["job_id"]
    assert [job["job_id"] for job in client.get(f"{replanned}/jobs").json()] == [first["job_id"]]
    go.set()
    assert ended(client, first["job_id"])["state"] == "done"
    assert begun == [1]
    assert client.get(f"{replanned}/jobs").json() == []
    assert client.get("/api/cases/nowhere/jobs").status_code == 404


def test_the_road_says_that_the_operation_is_under_way(client, chosen):
    def stop():
        return client.get(f"{chosen}/road").json()["stops"][4]

    assert stop()["code"] == "not_started"
    start = client.get(f"{chosen}/theatre").json()
    steps = [{"step": "Skin cut", "at": "08:45"}]
    save(client, chosen, operation=operated(start, steps=steps))
    assert (stop()["code"], stop()["figures"]) == ("under_way", {"count": "1"})
    save(client, chosen, operation=operated(start, steps=steps, counts_agree="yes"))
    assert stop()["code"] == "operated"


def stored(code):
    return StoredPlans(sha256="", code=code, inputs_hash="", made_on="", version="")


def test_figures_of_other_plans_are_not_entered():
    case = factory.case(choice=Choice(plan="A"))
    assert _with_figures(Dossier(case=case, theatre=stored("T1")), stored("T1")).theatre
    with pytest.raises(ConflictError, match="meanwhile"):
        _with_figures(Dossier(case=case, theatre=stored("T1")), stored("T2"))


def test_a_plan_of_the_clinic_stays_taken_when_theatre_plans_anew():
    case = factory.case(operation=OperationRecord(operated_on=TODAY, plan="B", plan_code="C1"))
    cut = Choice(plan="A", code="C1")
    entered = _with_new_plans(cut, Dossier(case=case, theatre=stored("T1")), stored("T2"))
    assert entered.case.operation == case.operation


def test_corners_are_given_in_whole_millimetres():
    made = plan_case(
        factory.case(), map_from_probing(factory.case()), factory.PROVENANCE, today=factory.TODAY
    )
    corners = corners_as_planned(made.plans[0])
    assert all(c.off_midline_mm % 1 == c.above_coccyx_tip_mm % 1 == 0 for c in corners)
