"""Films: computed once, kept, and never shown of a run that failed."""

import time

import pytest
from databases import BOTH_DATABASES
from pydantic import TypeAdapter
from served_cases import changed, planned_case

from crena.app.jobs.runner import ENDED
from crena.app.server import films
from crena.records import Job, NoPlanError, SkinFilm

FILMS = TypeAdapter(SkinFilm)


def no_balance(case_text, plans_text, letter, progress):
    raise NoPlanError(f"The corner at B of plan {letter} folded.")


def tiny(case_text, plans_text, letter, progress):
    return FILMS.dump_json(
        SkinFilm(moments=(), low_mm=(0, 0), high_mm=(1, 1), window_mm=1.0, disc_radius_mm=1.0)
    )


def answered(client, path):
    """Ask for a film until it is there or refused; return the last answer."""
    until = time.monotonic() + 120
    while time.monotonic() < until:
        answer = client.get(path)
        if answer.status_code != 202:
            return answer
        time.sleep(0.2)
    raise AssertionError(f"no film came: {answer.text}")


@pytest.mark.slow
def test_a_film_goes_from_the_cut_to_the_suture_and_only_its_end_is_computed(client, store):
    film = answered(client, f"{planned_case(store)}/plans/A/film").json()
    moments = film["moments"]
    assert [moment["computed"] for moment in moments] == [False] * (len(moments) - 1) + [True]
    turned = [moment["turned_fraction"] for moment in moments]
    assert turned[0] == 0 and turned[-1] == 1 and turned == sorted(turned)
    assert moments[0]["edges_mm"] and not moments[0]["scar"]
    assert moments[-1]["scar"] and moments[-1]["tension"] and not moments[-1]["edges_mm"]


@BOTH_DATABASES
def test_a_film_is_computed_once_however_often_it_is_asked_for(client, store, monkeypatch):
    monkeypatch.setattr(films, "filmed", tiny)
    path = f"{planned_case(store)}/plans/A/film"
    first = client.get(path)
    assert first.status_code == 202
    assert answered(client, path).json()["moments"] == []
    monkeypatch.setattr(films, "filmed", no_balance)
    again = client.get(path)
    assert again.status_code == 200
    job = client.get(f"/api/jobs/{first.json()['job_id']}").json()
    assert job["state"] == "done" and job["result_sha256"]


def test_a_closure_without_balance_gives_its_reason_and_is_not_tried_again_by_itself(
    client, store, monkeypatch
):
    monkeypatch.setattr(films, "filmed", no_balance)
    path = f"{planned_case(store)}/plans/B/film"
    refusal = answered(client, path)
    assert refusal.status_code == 422
    assert refusal.json()["detail"] == "The corner at B of plan B folded."
    assert client.get(path).status_code == 422
    monkeypatch.setattr(films, "filmed", tiny)
    assert client.post(path).status_code == 202
    assert answered(client, path).status_code == 200


def test_each_plan_has_a_film_of_its_own(client, store, monkeypatch):
    monkeypatch.setattr(films, "filmed", tiny)
    path = planned_case(store)
    jobs = {client.get(f"{path}/plans/{letter}/film").json()["job_id"] for letter in "ABCD"}
    assert len(jobs) == 4
    assert client.get(f"{path}/plans/Z/film").status_code == 404


def test_plans_that_are_old_are_not_filmed(client, store):
    path = planned_case(store)
    changed(client, path, lambda case: case["limits"].update(drawn_margin_mm=9))
    assert client.get(f"{path}/plans/A/film").status_code == 409


def test_a_film_that_was_stopped_is_begun_anew(client, store, monkeypatch):
    monkeypatch.setattr(films, "filmed", tiny)
    path = f"{planned_case(store)}/plans/A/film"
    job = TypeAdapter(Job).validate_python(client.get(path).json())
    client.delete(f"/api/jobs/{job.job_id}")
    until = time.monotonic() + 60
    while client.get(f"/api/jobs/{job.job_id}").json()["state"] not in ENDED:
        assert time.monotonic() < until
        time.sleep(0.1)
    assert answered(client, path).status_code == 200
