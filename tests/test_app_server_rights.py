"""Every route, every role: who may, who may not, and nobody by oversight."""

import re

import factory
import pytest
from databases import KINDS
from departments import ROLES, opened_ward

from crena.app.case_files import CASES
from crena.app.server.rights import NEEDED, OPEN
from crena.store.accounts import Role, covers

UNKNOWN = "0123456789abcdef"


@pytest.fixture(scope="module", params=KINDS)
def ward(request, tmp_path_factory):
    with opened_ward(request.param, tmp_path_factory.mktemp("ward")) as opened:
        yield opened


def routes_of(ward):
    """Walk the application itself, the description's own route among them."""
    described = ward.app.openapi()["paths"]
    found = [f"{m.upper()} {path}" for path, methods in described.items() for m in methods]
    return [*found, "GET /api/openapi.json"]


def test_every_route_says_what_right_it_needs(ward):
    routes = set(routes_of(ward))
    assert routes - set(NEEDED) - set(OPEN) == set(), "declare them in app/server/rights.py"
    assert set(NEEDED) - routes == set(), "these are no routes any more"


def request_of(ward, client, route, case_id):
    """Ask a route with nothing in the body that it could act on."""
    method, path = route.split(" ")
    asked = re.sub(r"\{case_id\}", case_id, path)
    asked = re.sub(r"\{number\}", "1", re.sub(r"\{(name|job_id)\}", "nothing", asked))
    return client.request(method, asked, headers={"If-Match": '"1"'})


def made_by(ward, name):
    with ward.logged_in(name) as client:
        case = CASES.dump_python(factory.case(), mode="json")
        return client.post("/api/cases", json=case).json()["case_id"]


@pytest.mark.parametrize("whose", ["own", "foreign", "missing"])
@pytest.mark.parametrize("name", ROLES)
def test_every_route_is_open_to_its_role_and_shut_to_lesser_ones(ward, name, whose):
    """A department's cases are common to all its accounts: own and foreign are the same."""
    maker = {"own": "surgeon", "foreign": "chief"}.get(whose)
    case_id = made_by(ward, maker) if maker else UNKNOWN
    routes = [route for route in routes_of(ward) if route != "DELETE /api/session"]
    with ward.logged_in(name) as client:
        for route in routes:
            if route.endswith(("/plans", "/demonstration")) and route.startswith("POST"):
                if covers(ROLES[name], NEEDED[route]):
                    continue  # long work, tried elsewhere
            status = request_of(ward, client, route, case_id).status_code
            may = route in OPEN or covers(ROLES[name], NEEDED[route])
            assert (status == 403) is not may, (route, status)
            assert status not in (401, 500), (route, status)


def test_every_route_but_the_door_is_shut_to_strangers(ward):
    case_id = made_by(ward, "surgeon")
    with ward.browser() as stranger:
        for route in routes_of(ward):
            answer = request_of(ward, stranger, route, case_id)
            assert (answer.status_code == 401) is (route not in OPEN), route
            assert case_id not in answer.text


def test_an_undeclared_route_is_shut_to_everyone(ward):
    with ward.logged_in("chief") as client:
        assert client.post("/api/due").status_code == 404
        assert client.get("/api/case").status_code == 404
        assert client.get("/api/cases/").status_code == 404


def test_a_refusal_says_which_right_is_missing_and_whom_to_ask(ward):
    with ward.logged_in("reader") as client:
        told = client.post("/api/cases", json={}).json()["detail"]
    assert told == (
        "This needs the right to plan; your account has the right to read. Ask whoever keeps the "
        "accounts."
    )


@pytest.mark.parametrize(
    ("part", "value", "status"),
    [("aftercare", {"drain_out_on": "2026-11-26"}, 200), ("seed", 5, 403),
     ("pits", [], 403), ("choice", None, 200)],
)  # fmt: skip
def test_who_follows_up_changes_the_aftercare_and_nothing_of_the_plan(ward, part, value, status):
    case_id = made_by(ward, "surgeon")
    with ward.logged_in("nurse") as client:
        dossier = client.get(f"/api/cases/{case_id}").json()["dossier"]
        dossier["case"][part] = value
        path = f"/api/cases/{case_id}"
        assert client.put(path, json=dossier, headers={"If-Match": '"1"'}).status_code == status


def test_the_author_of_each_state_is_the_account(ward):
    case_id = made_by(ward, "surgeon")
    with ward.logged_in("nurse") as client:
        dossier = client.get(f"/api/cases/{case_id}").json()["dossier"]
        dossier["case"]["aftercare"] = {"drain_out_on": "2026-11-26"}
        client.put(f"/api/cases/{case_id}", json=dossier, headers={"If-Match": '"1"'})
        lines = client.get(f"/api/cases/{case_id}/history").json()
    assert [line["author"]["by"] for line in lines] == ["surgeon", "nurse"]


def test_a_key_of_one_account_never_gives_the_answer_of_another(ward):
    case, headers = CASES.dump_python(factory.case(), mode="json"), {"Idempotency-Key": "the same"}
    with ward.logged_in("surgeon") as one, ward.logged_in("chief") as other:
        mine = one.post("/api/cases", json=case, headers=headers).json()
        assert one.post("/api/cases", json=case, headers=headers).json() == mine
        theirs = other.post("/api/cases", json=case, headers=headers).json()
    assert theirs["case_id"] != mine["case_id"]
    assert theirs["author"]["by"] == "chief"


def test_each_role_may_what_those_before_it_may():
    rights = [{name for name, needed in NEEDED.items() if covers(role, needed)} for role in Role]
    assert all(less <= more for less, more in zip(rights, rights[1:], strict=False))
    assert len(rights[0]) < len(rights[2])
