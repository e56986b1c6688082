"""The whole description of the server, tried with made-up requests: it never breaks."""

import pytest
import schemathesis
from databases import KINDS, new_store
from hypothesis import HealthCheck, Phase, given, settings

from crena.app.jobs.runner import Jobs
from crena.app.server.application import application
from crena.app.server.settings import Settings

SETTINGS = Settings(port=8765, token="token-of-this-test")
HEADERS = {"Host": "127.0.0.1:8765", "Cookie": f"{SETTINGS.cookie}={SETTINGS.token}"}

SLOW_OR_ENDLESS = ("/demonstration", "/plans", "/sketch", "/changes")
"""Tried by hand in other tests."""


@pytest.fixture(scope="module", params=KINDS)
def schema(request, tmp_path_factory):
    store = new_store(request.param, tmp_path_factory.mktemp("schema"))
    jobs = Jobs(store)
    app = application(store, jobs, SETTINGS)
    yield schemathesis.openapi.from_asgi("/api/openapi.json", app, headers=HEADERS)
    jobs.close()
    store.engine.dispose()


@pytest.mark.slow
def test_no_request_breaks_the_server_or_gets_an_undocumented_answer(schema):
    tried = 0
    for found in schema.get_all_operations():
        operation = found.ok()
        if operation.path.endswith(SLOW_OR_ENDLESS) and operation.method != "get":
            continue
        if operation.path.endswith("/changes"):
            continue
        tried += 1
        _try(operation)
    assert tried >= 10


def _try(operation):
    @settings(
        max_examples=40,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy())
    def ask(case):
        answer = case.call(headers=HEADERS)
        assert answer.status_code < 500, (operation.label, answer.status_code, answer.text[:300])
        documented = {int(code) for code in operation.responses.status_codes}
        assert answer.status_code in documented | {401, 404, 405, 413, 421}, operation.label

    ask()
