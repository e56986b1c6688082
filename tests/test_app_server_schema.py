"""The whole description of the server, tried with made-up requests: it never breaks.

On a laptop, and in a department behind a proxy, by a stranger and by an account of every role.
"""

from contextlib import contextmanager

import pytest
import schemathesis
from databases import KINDS, new_store
from departments import ADDRESS, ROLES, opened_ward
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from served_cases import SETTINGS, planned_case

from crena.app.jobs.runner import Jobs
from crena.app.server.application import application
from crena.app.server.rights import NEEDED, OPEN
from crena.store.accounts import covers

SLOW_OR_ENDLESS = ("/demonstration", "/plans", "/sketch", "/changes")
"""Tried by hand in other tests."""

BEFORE_EVERY_ROUTE = {404, 405, 413, 421}
"""What is answered before a route is asked: no such address, too large, another name."""

LONGEST_S = 120
"""For an answer, on a machine that does much else."""

STRANGER, LAPTOP = "stranger", "laptop"

TRIED = [
    *zip((LAPTOP, LAPTOP), KINDS, (30, 10), strict=True),
    *zip(("chief", "chief"), KINDS, (10, 20), strict=True),
    *((name, KINDS[0], 5) for name in ("surgeon", "nurse", "reader", STRANGER)),
]
"""Who asks, on which database, and how often each route."""


@contextmanager
def laptop(kind, folder):
    """Open a server on this computer; give application, path of a case, headers to come in."""
    store = new_store(kind, folder)
    jobs = Jobs(store)
    headers = {"Host": "127.0.0.1:8765", "Cookie": f"{SETTINGS.cookie}={SETTINGS.token}"}
    yield application(store, jobs, SETTINGS), planned_case(store), headers
    jobs.close()
    store.engine.dispose()


@contextmanager
def department(kind, folder, name):
    """Open a server that a proxy stands before, which took TLS off; come in by an account."""
    with opened_ward(kind, folder) as ward:
        headers = {"Host": ADDRESS.removeprefix("https://")}
        if name != STRANGER:
            cookies = ward.logged_in(name).cookies
            headers["Cookie"] = "; ".join(f"{each}={cookies[each]}" for each in cookies)
        yield ward.app, planned_case(ward.store), headers


def operations(app):
    """List what the description holds, without what takes long."""
    schema = schemathesis.openapi.from_dict(app.openapi())
    schema.app = app
    for found in schema.get_all_operations():
        operation = found.ok()
        slow = operation.path.endswith(SLOW_OR_ENDLESS) and operation.method != "get"
        if not slow and not operation.path.endswith("/changes"):
            yield operation


@pytest.mark.slow
@pytest.mark.parametrize(("name", "kind", "examples"), TRIED)
def test_no_request_breaks_the_server_or_gets_an_undocumented_answer(
    name, kind, examples, tmp_path, monkeypatch
):
    monkeypatch.setattr("crena.app.server.sessions.REFUSED_AFTER_S", 0.0)
    opened = laptop(kind, tmp_path) if name == LAPTOP else department(kind, tmp_path, name)
    with opened as (app, path, headers):
        tried = [
            _tried(operation, (name, path.rpartition("/")[2], headers), examples)
            for operation in operations(app)
            if operation.label != "DELETE /api/session"
        ]
    assert len(tried) >= 45


def _tried(operation, asker, examples):
    name, case_id, headers = asker
    documented = {int(code) for code in operation.responses.status_codes}
    allowed = documented | BEFORE_EVERY_ROUTE | refusals(operation.label, name)

    @settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy(), is_known=st.booleans())
    def ask(case, is_known):
        if is_known and "case_id" in case.path_parameters:
            case.path_parameters["case_id"] = case_id
        answer = case.call(headers=headers, timeout=LONGEST_S)
        told = (name, operation.label, answer.status_code, answer.text[:300])
        assert answer.status_code < 500, told
        assert answer.status_code in allowed, told
        assert may(operation.label, name) or not 200 <= answer.status_code < 400, told

    ask()


def refusals(label, name):
    """Return what an account may be told in place of an answer, beyond what is documented."""
    if name in (LAPTOP, STRANGER):
        return {401}
    return set() if may(label, name) else {403}


def may(label, name):
    """Tell whether a request may come through, by the table of rights."""
    if name == LAPTOP or label in OPEN:
        return True
    return name != STRANGER and covers(ROLES[name], NEEDED[label])
