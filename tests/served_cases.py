"""A server with planned cases in it, for tests of its routes."""

from contextlib import contextmanager
from dataclasses import replace
from datetime import date

import factory
from fastapi.testclient import TestClient
from sample_plans import sample_plan_set

from crena.app.case_files import plan_text
from crena.app.jobs.runner import Jobs
from crena.app.planning_job import inputs_hash_of
from crena.app.server.application import application
from crena.app.server.settings import Settings
from crena.records import Author, Choice, Dossier, OperationRecord, PatientLabel, StoredPlans
from crena.store.files import keep_file
from crena.store.revisions import create_case, read_case, save_case

SETTINGS = Settings(port=8765, token="token-of-this-test")
ADDRESS = "http://127.0.0.1:8765"
PATIENT = PatientLabel(label="Case 12", identifier="X-4711", weight_kg=70.0)
CODE = "CTEST12"
THEATRE_CODE = "TTEST12"
WHO = Author(by="test", why="test")


@contextmanager
def served(store, folder):
    """Open a server on a store and come in."""
    jobs = Jobs(store)
    app = application(store, jobs, replace(SETTINGS, page=folder / "no-page"))
    with TestClient(app, base_url=ADDRESS, raise_server_exceptions=False) as client:
        assert client.get(f"/enter/{SETTINGS.token}").status_code == 200
        yield client
    jobs.close()


def planned_case(store, choice="A", **changes):
    """Store a case with invented plans that were made for exactly it; return its path."""
    entered = factory.case(
        patient=PATIENT, choice=choice and Choice(plan=choice, code=CODE), **changes
    )
    inputs_hash = inputs_hash_of(entered, None)
    dossier = Dossier(case=entered, plans=kept_plans(store, CODE, inputs_hash))
    stored = create_case(store, dossier, WHO)
    return f"/api/cases/{stored.case_id}"


def kept_plans(store, code, inputs_hash=""):
    """Keep invented plans under a code: A from the right, C from the left."""
    made = replace(
        sample_plan_set(),
        code=code,
        inputs_hash=inputs_hash,
        chosen_by_surgeon=False,
        case_label=f"{PATIENT.label}, {PATIENT.identifier}",
    )
    return StoredPlans(
        sha256=keep_file(store, [plan_text(made).encode()]),
        code=code,
        inputs_hash=inputs_hash,
        made_on=made.made_on,
        version="test",
    )


def take_in_theatre(store, path, letter):
    """Make plans in theatre for a stored case and take one of them."""
    last = read_case(store, path.rsplit("/", 1)[1], WHO)
    done = OperationRecord(operated_on=date.today(), plan_code=THEATRE_CODE, plan=letter)
    taken = replace(
        last.dossier,
        theatre=kept_plans(store, THEATRE_CODE),
        case=replace(last.dossier.case, operation=done),
    )
    save_case(store, last.case_id, last.number, taken, WHO)


def changed(client, path, change):
    """Save a case as changed by a function of its JSON."""
    revision = client.get(path).json()
    change(revision["dossier"]["case"])
    headers = {"If-Match": f'"{revision["number"]}"'}
    answer = client.put(path, json=revision["dossier"], headers=headers)
    assert answer.status_code == 200, answer.text
    return answer.json()


def road_of(client, path):
    """Return state and code of each stop."""
    stops = client.get(f"{path}/road").json()["stops"]
    return {stop["name"]: (stop["state"], stop["code"]) for stop in stops}
