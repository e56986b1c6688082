"""The server: who is let in, what is saved, what is refused, and in which words."""

import itertools
import json
import time
from datetime import date, timedelta

import factory
import pytest
from databases import KINDS
from fastapi.testclient import TestClient
from pydantic import TypeAdapter
from served_cases import ADDRESS, SETTINGS

from crena.app.case_files import CASES
from crena.app.jobs.runner import ENDED, Jobs
from crena.app.server.application import application
from crena.app.server.guards import MOST_BYTES
from crena.records import (
    Aftercare,
    Case,
    JobState,
    OperationRecord,
    OwnDay,
    PatientLabel,
    ScheduleSettings,
)
from crena.store.verify import verify

DATABASES = KINDS
KEYS = itertools.count()


def body(case: Case):
    return CASES.dump_python(case, mode="json")


def made_case(client, **changes):
    answer = client.post("/api/cases", json=body(factory.case(**changes)))
    assert answer.status_code == 201
    return answer.json()


def put(client, revision, seed, follows):
    changed = {**revision["dossier"], "case": {**revision["dossier"]["case"], "seed": seed}}
    path = f"/api/cases/{revision['case_id']}"
    return client.put(path, json=changed, headers={"If-Match": f'"{follows}"'})


@pytest.mark.parametrize("sent", ['{"texts": "\\ud800"}', '{"\\udfff": 1, "texts": ["1"]}'])
def test_a_refusal_quotes_half_a_sign_and_does_not_break_on_it(client, sent):
    kind = {"Content-Type": "application/json"}
    answer = client.post("/api/numbers", content=sent, headers=kind)
    assert answer.status_code in (200, 422), answer.text
    answer = client.post("/api/entries/pit", content=sent, headers=kind)
    assert answer.status_code == 422 and answer.json()["detail"]


# --- the door


HOSTS = [
    "evil.example", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:8766", "localhost", "localhost:8764",
    "127.0.0.1.evil.example:8765", "evil.example:8765", "localhost.evil.example:8765",
    "[::1]", "[::2]:8765", "0.0.0.0:8765", "127.1:8765", "2130706433:8765", "0x7f000001:8765",
    "127.0.0.1:8765@evil.example", "evil.example#127.0.0.1:8765", "127.0.0.1:8765,evil.example",
    "", " ", "127.0.0.1:08765", "127.0.0.1 :8765", "localhost.:8765", "127.0.0.2:8765",
    "user@127.0.0.1:8765", "127.0.0.1:8765/", "127.0.0.1:8765?", "[::ffff:127.0.0.1]:8765",
    "192.168.0.1:8765", "crena.local:8765",
]  # fmt: skip


@pytest.mark.parametrize("host", HOSTS)
def test_a_foreign_name_is_not_answered(host, client):
    answer = client.get("/api/cases", headers={"Host": host})
    assert (answer.status_code, "case_id" in answer.text) == (421, False)


@pytest.mark.parametrize("host", ["127.0.0.1:8765", "localhost:8765", "[::1]:8765"])
def test_the_names_of_this_computer_are_answered(host, client):
    cookie = f"crena={SETTINGS.token}"
    assert client.get("/api/cases", headers={"Host": host, "Cookie": cookie}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "https://127.0.0.1:8765"},
        {"Origin": "http://127.0.0.1:8766"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_another_page_in_the_same_browser_changes_nothing(headers, client):
    answer = client.post("/api/cases", json=body(factory.case()), headers=headers)
    assert answer.status_code == 403
    assert client.get("/api/cases").json() == []


def test_every_route_is_shut_to_strangers(store):
    jobs = Jobs(store)
    app = application(store, jobs, SETTINGS)
    paths = app.openapi()["paths"]
    with TestClient(app, base_url=ADDRESS) as stranger:
        for path, methods in paths.items():
            for method in methods:
                assert stranger.request(method, path).status_code == 401, (method, path)
        assert stranger.get("/api/openapi.json").status_code == 401
        assert stranger.get("/enter/guessed").status_code == 401
    jobs.close()
    assert len(paths) >= 12


@pytest.mark.parametrize("cookie", ["", "guessed", '"\\351"', SETTINGS.token[:-1]])
def test_a_cookie_that_is_not_the_token_opens_nothing(client, cookie):
    answer = client.get("/api/cases", headers={"Cookie": f"crena={cookie}"})
    assert answer.status_code == 401


def test_every_answer_carries_the_strict_headers(client):
    for path in ("/", "/api/cases", "/api/cases/nowhere", "/nothing"):
        headers = client.get(path).headers
        assert "default-src 'self'" in headers["content-security-policy"]
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "no-referrer"
    assert client.get("/api/cases").headers["cache-control"] == "no-store"


def test_the_cookie_is_kept_from_scripts_and_other_sites(client):
    answer = client.get(f"/enter/{SETTINGS.token}", follow_redirects=False)
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie and "samesite=strict" in cookie


@pytest.mark.parametrize("length", [str(MOST_BYTES + 1), str(3 * 1024**3), "many"])
def test_a_body_that_says_it_is_too_large_is_refused_unread(length, client):
    answer = client.post("/api/cases", content=b"{}", headers={"Content-Length": length})
    assert answer.status_code == 413


# --- cases


def test_a_new_case_is_listed_and_read_back(client):
    made = made_case(client)
    assert [line["case_id"] for line in client.get("/api/cases").json()] == [made["case_id"]]
    found = client.get(f"/api/cases/{made['case_id']}")
    assert found.json() == made and found.headers["etag"] == '"1"'


def test_a_save_on_an_older_revision_is_a_conflict_in_words(client):
    made = made_case(client)
    assert put(client, made, 5, follows=1).json()["number"] == 2
    answer = put(client, made, 6, follows=1)
    assert answer.status_code == 409
    assert "revision 2" in answer.json()["detail"]
    seed = client.get(f"/api/cases/{made['case_id']}").json()["dossier"]["case"]["seed"]
    assert seed == 5


def test_what_the_server_writes_cannot_be_written_from_outside(client):
    made = made_case(client)
    forged = {
        **made["dossier"],
        "plans": {"sha256": "0" * 64, "code": "X", "inputs_hash": "", "made_on": "", "version": ""},
    }
    path = f"/api/cases/{made['case_id']}"
    answer = client.put(path, json=forged, headers={"If-Match": '"1"'})
    assert answer.json()["dossier"]["plans"] is None


@pytest.mark.parametrize("follows", ["", "x", '"-1"', '"9999999999999"', '"²"'])
def test_a_revision_that_is_no_number_is_refused(client, follows):
    made = made_case(client)
    path = f"/api/cases/{made['case_id']}"
    headers = [(b"If-Match", follows.encode())]
    assert client.put(path, json=made["dossier"], headers=headers).status_code == 422


def test_a_wrong_entry_is_told_with_its_place_and_what_is_allowed(client):
    wrong = body(factory.case())
    wrong["limits"]["drawn_margin_mm"] = 99
    answer = client.post("/api/cases", json=wrong)
    problem = answer.json()
    assert answer.status_code == 422
    assert problem["detail"] == "limits.drawn_margin_mm is 99; at most 30 mm is allowed."
    assert problem["errors"][0]["loc"] == ["body", "limits", "drawn_margin_mm"]
    assert problem["errors"][0]["detail"] == "99 is too much; at most 30 mm is allowed."


@pytest.mark.parametrize("word", ["NaN", "Infinity", "1e999"])
def test_what_is_not_a_number_is_refused(client, word):
    text = json.dumps(body(factory.case()))
    assert '"weight_kg": 70.0' in text
    sent = text.replace('"weight_kg": 70.0', f'"weight_kg": {word}')
    answer = client.post("/api/cases", content=sent, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422


@pytest.mark.parametrize("words", ["A\x00B", "A\u202eB", "x" * 81])
def test_words_that_could_not_be_printed_are_refused(client, words):
    typed = body(factory.case())
    typed["patient"]["label"] = words
    answer = client.post("/api/cases", json=typed)
    assert answer.status_code == 422 and "cannot be printed" in answer.json()["detail"]


def test_a_comma_and_a_point_are_the_same_number(client):
    typed = body(factory.case())
    typed["limits"]["drawn_margin_mm"] = "8,5"
    case = client.post("/api/cases", json=typed).json()["dossier"]["case"]
    assert case["limits"]["drawn_margin_mm"] == 8.5


def test_the_same_write_sent_twice_is_done_once(client):
    headers = {"Idempotency-Key": "key-1"}
    one, two = (
        client.post("/api/cases", json=body(factory.case()), headers=headers) for _ in range(2)
    )
    assert one.json() == two.json()
    assert len(client.get("/api/cases").json()) == 1
    other = client.post("/api/cases", json=body(factory.case(seed=9)), headers=headers)
    assert other.status_code == 422 and "Idempotency-Key" in other.json()["detail"]


def test_history_lists_every_state_and_each_can_be_read(client):
    made = made_case(client)
    put(client, made, 5, follows=1)
    path = f"/api/cases/{made['case_id']}/history"
    assert [line["number"] for line in client.get(path).json()] == [1, 2]
    assert client.get(f"{path}/1").json() == made
    assert client.get(f"{path}/3").status_code == 404


@pytest.mark.parametrize(
    "path",
    ["/api/cases/nowhere", "/api/cases/..%2F..%2Fetc", "/api/jobs/nowhere", "/api/nothing",
     "/api/cases/nowhere/plans", "/api/cases/nowhere/sheets/plan.pdf"],
)  # fmt: skip
def test_what_is_not_there_is_said_in_one_sentence(client, path):
    answer = client.get(path)
    assert answer.status_code == 404
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["detail"].endswith(".") and "Traceback" not in answer.text


# --- plans


def ended(client, job_id):
    until = time.monotonic() + 120
    while time.monotonic() < until:
        job = client.get(f"/api/jobs/{job_id}").json()
        if JobState(job["state"]) in ENDED:
            return job
        time.sleep(0.1)
    raise AssertionError(f"the job did not end: {job}")


@pytest.mark.slow
def test_a_case_is_planned_printed_and_old_once_it_is_changed(client, store):
    made = made_case(client)
    path = f"/api/cases/{made['case_id']}"
    assert client.get(f"{path}/plans").status_code == 404
    job = client.post(f"{path}/plans")
    assert job.status_code == 202
    assert ended(client, job.json()["job_id"])["state"] == "done"
    plans, revision = client.get(f"{path}/plans").json(), client.get(path).json()
    assert revision["dossier"]["plans"]["code"] == plans["code"]
    assert client.get(f"{path}/sheets/template.pdf").content.startswith(b"%PDF")
    assert client.get(f"{path}/sheets/../../etc/passwd").status_code == 404
    assert client.get(f"{path}/healing").json()["code"] == plans["code"]
    changed = {**revision["dossier"]["case"]["limits"], "drawn_margin_mm": 9}
    revision["dossier"]["case"]["limits"] = changed
    client.put(path, json=revision["dossier"], headers={"If-Match": f'"{revision["number"]}"'})
    assert client.get(f"{path}/sheets").json()["old"] is True
    assert client.get(f"{path}/sheets/plan.pdf").status_code == 409
    assert verify(store).faults == ()


def test_a_case_that_cannot_be_planned_says_why_in_its_job(client):
    made = made_case(client, pits=(), probings=())
    job = client.post(f"/api/cases/{made['case_id']}/plans").json()
    last = ended(client, job["job_id"])
    assert last["state"] == "failed" and "has no pit" in last["reason"]


def test_a_job_is_told_as_events_until_it_has_ended(client):
    made = made_case(client, pits=(), probings=())
    job = client.post(f"/api/cases/{made['case_id']}/plans").json()
    with client.stream("GET", f"/api/jobs/{job['job_id']}/changes") as events:
        told = [json.loads(line[6:]) for line in events.iter_lines() if line.startswith("data: ")]
    assert told[-1]["state"] == "failed"
    assert all(one["job_id"] == job["job_id"] for one in told)


def test_typed_numbers_are_read_by_the_one_parser(client):
    asked = {"texts": ["12,5", "12.5", "1.234,5", "1e3"]}
    read = client.post("/api/numbers", json=asked).json()
    assert [one["value"] for one in read] == [12.5, 12.5, None, None]
    assert "Write it like 12.5 or 12,5" in read[2]["reason"]


def test_the_description_names_every_record_that_the_page_reads(client):
    found = client.get("/api/openapi.json").json()["components"]["schemas"]
    names = {name.removesuffix("-Output") for name in found}
    assert {"Revision", "CaseLine", "PlanSet", "HealingPlan", "Job", "Problem"} <= names
    assert TypeAdapter(dict).validate_python(found)


def test_what_is_due_today_is_listed_and_one_odd_case_hides_no_other(client):
    today = date.today()
    operated = OperationRecord(operated_on=today - timedelta(days=7))
    wrong = Aftercare(schedule=ScheduleSettings(own_days=(OwnDay(code="nothing", on=today),)))
    made_case(client, patient=PatientLabel(label="Odd"), operation=operated, aftercare=wrong)
    made_case(client, patient=PatientLabel(label="Plain"), operation=operated)
    due = {line["label"]: line["what"] for line in client.get("/api/due").json()}
    assert due["Plain"] == "Visit: flap, wound and scar"
    assert "there is no such entry" in due["Odd"]


def test_the_road_says_what_is_there_and_what_comes_next(client):
    made = made_case(client)
    stops = client.get(f"/api/cases/{made['case_id']}/road").json()["stops"]
    assert [stop["name"] for stop in stops][:3] == ["disease", "excision", "closure"]
    assert [stop["state"] for stop in stops][:3] == ["done", "here", "later"]
    assert stops[1]["code"] == "not_planned"
