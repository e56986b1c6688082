"""The map of a case over HTTP."""

from datetime import date

import factory
from databases import KINDS
from served_cases import planned_case
from test_app_server import body, made_case, put

from crena.records import Findings

DATABASES = KINDS


def read(client, case_id):
    answer = client.get(f"/api/cases/{case_id}/map")
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_map_is_that_of_the_last_saved_state(client):
    made = made_case(client)
    first = read(client, made["case_id"])
    assert (first["number"], first["missing"], first["old"]) == (1, [], False)
    assert [tract["name"] for tract in first["tract_map"]["tracts"]] == ["T1", "T2"]
    made["dossier"]["case"]["probings"].pop()
    assert put(client, made, 1, 1).status_code == 200
    second = read(client, made["case_id"])
    assert second["number"] == 2
    assert [tract["name"] for tract in second["tract_map"]["tracts"]] == ["T1"]


def test_a_case_from_nothing_has_no_map_but_says_what_is_missing(client):
    seen = Findings(seen_on=date(2026, 11, 20))
    made = made_case(client, pits=(), probings=(), findings=seen)
    found = read(client, made["case_id"])
    assert found["tract_map"] is None and found["sentence"]
    assert [each["code"] for each in found["missing"]] == ["no_pit", "signs_not_asked"]
    assert found["timing"]["ready"] is False


def test_the_disease_is_sent_as_it_is_drawn(client, store):
    path = planned_case(store)
    plain, ringed = (client.get(f"{path}/plans/shape{ask}").json() for ask in ("", "?margin_mm=5"))
    assert plain["parts"] == ringed["parts"] and plain["ring"] == [] and ringed["ring"]
    assert len(plain["spots"]) == len(client.get(f"{path}/plans").json()["tract_map"]["spots"])
    assert client.get(f"{path}/map/shape").json()["parts"]
    assert client.get(f"{path}/plans/shape?margin_mm=nan").status_code == 422
    bare = f"/api/cases/{made_case(client, pits=(), probings=())['case_id']}"
    assert client.get(f"{bare}/map/shape").json() == {"parts": [], "spots": [], "ring": []}
    assert client.get(f"{bare}/plans/shape").status_code == 404


def test_the_disease_of_other_plans_than_the_last_is_not_sent(client, store):
    path = planned_case(store)
    code = client.get(f"{path}/plans").json()["code"]
    assert client.get(f"{path}/plans/shape?code={code}").json()["parts"]
    other = client.get(f"{path}/plans/shape?code=another")
    assert other.status_code == 409
    assert "planned anew" in other.json()["detail"]


def test_there_is_no_map_of_an_unknown_case(client):
    assert client.get("/api/cases/nowhere/map").status_code == 404


def test_a_tip_pointed_at_becomes_entries(client):
    case = factory.case()
    pointed = {
        "at": {"across_mm": -12.0, "along_mm": 30},
        "pit": body(case)["pits"][0],
        "tip_depth_mm": "12,5",
        "body": body(case)["body"],
        "case_id": made_case(client)["case_id"],
    }
    answer = client.post("/api/entries/tip", json=pointed)
    assert answer.json()["side"] == "patient's left"
    refused = client.post("/api/entries/tip", json={**pointed, "tip_depth_mm": "12,5,5"})
    assert refused.status_code == 422 and "12,5,5" in refused.json()["detail"]
    lost = client.post("/api/entries/tip", json={**pointed, "case_id": "nowhere"})
    assert lost.status_code == 404


def test_pit_and_anal_verge_pointed_at_become_entries(client):
    place = {"across_mm": 3.9, "along_mm": -40.1}
    assert client.post("/api/entries/pit", json=place).json() == {
        "above_coccyx_tip_mm": -40.0,
        "off_midline_mm": 4.0,
        "side": "patient's right",
    }
    verge = client.post("/api/entries/anal-verge", json=place).json()
    assert verge == {"anal_verge_below_coccyx_tip_mm": 40.0}
