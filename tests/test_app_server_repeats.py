"""Writes with one key that are on their way at once: threads against a server that runs."""

import json
import threading
import time
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import closing
from http.client import HTTPConnection
from typing import Any, NamedTuple

import factory
import pytest
import uvicorn
from databases import new_store

from crena.app.case_files import CASES
from crena.app.jobs.runner import Jobs
from crena.app.server import cases
from crena.app.server.application import application
from crena.app.server.settings import Settings
from crena.records import CrenaError

AT_ONCE = 8
PATIENCE_S = 20.0
ONE_KEY = {"Idempotency-Key": "one key"}
CASE = CASES.dump_python(factory.case(), mode="json")


class Answer(NamedTuple):
    """What came back."""

    status: int
    said: Any


class Gate:
    """Stands in a route: counts who comes in, and keeps them there until it is opened."""

    def __init__(self, route):
        """Keep what the route did before."""
        self._route, self._lock = route, threading.Lock()
        self.came, self.opened, self.count, self.fault = (
            threading.Event(),
            threading.Event(),
            0,
            None,
        )

    def __call__(self, *parts):
        """Come in, wait, do what the route does; the first fails if it is told to."""
        with self._lock:
            self.count += 1
            fault, self.fault = self.fault, None
        self.came.set()
        assert self.opened.wait(PATIENCE_S)
        if fault is not None:
            raise fault
        return self._route(*parts)


@pytest.fixture
def gate(monkeypatch):
    made = Gate(cases.create_case)
    monkeypatch.setattr(cases, "create_case", made)
    yield made
    made.opened.set()


@pytest.fixture
def ask(tmp_path):
    """Serve at a free port; give what sends a new case from the thread that calls it."""
    store = new_store("sqlite", tmp_path)
    jobs, socket = Jobs(store), uvicorn.Config("none", port=0).bind_socket()
    port = socket.getsockname()[1]
    settings = Settings(port=port, token="token-of-this-test", page=tmp_path / "no-page")
    app = application(store, jobs, settings)
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", lifespan="off"))
    thread = threading.Thread(target=server.run, args=([socket],))
    thread.start()
    while not server.started:
        assert thread.is_alive()
        time.sleep(0.01)

    def send(headers=ONE_KEY, method="POST", case=CASE):
        own = {"Cookie": f"{settings.cookie}={settings.token}", "Content-Type": "application/json"}
        with closing(HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)) as line:
            line.request(method, "/api/cases", json.dumps(case), {**own, **headers})
            answer = line.getresponse()
            return Answer(status=answer.status, said=json.loads(answer.read()))

    yield send
    server.should_exit = True
    thread.join(PATIENCE_S)
    jobs.close()
    store.engine.dispose()


def test_writes_of_one_key_at_once_are_done_once_and_answered_alike(ask, gate):
    with ThreadPoolExecutor(AT_ONCE) as threads:
        sent = [threads.submit(ask) for _ in range(AT_ONCE)]
        assert gate.came.wait(PATIENCE_S)
        assert not wait(sent, timeout=1.0).done
        assert gate.count == 1
        gate.opened.set()
        answers = [each.result(PATIENCE_S) for each in sent]
    assert {answer.status for answer in answers} == {201}
    assert len({answer.said["case_id"] for answer in answers}) == 1
    assert gate.count == 1
    assert len(ask(method="GET", case=None).said) == 1


def test_another_key_does_not_wait(ask, gate):
    with ThreadPoolExecutor(2) as threads:
        first = threads.submit(ask)
        assert gate.came.wait(PATIENCE_S)
        gate.came.clear()
        other = threads.submit(ask, {"Idempotency-Key": "another"})
        assert gate.came.wait(PATIENCE_S)
        gate.opened.set()
        assert first.result(PATIENCE_S).said["case_id"] != other.result().said["case_id"]


def test_the_second_does_what_the_first_could_not(ask, gate):
    gate.fault = CrenaError("The disk is full.")
    with ThreadPoolExecutor(2) as threads:
        sent = [threads.submit(ask) for _ in range(2)]
        assert gate.came.wait(PATIENCE_S)
        gate.opened.set()
        found = sorted(each.result(PATIENCE_S).status for each in sent)
    assert found == [201, 500]
    assert len(ask(method="GET", case=None).said) == 1


def test_a_key_that_is_used_for_something_else_meanwhile_is_refused(ask, gate):
    with ThreadPoolExecutor(2) as threads:
        first = threads.submit(ask)
        assert gate.came.wait(PATIENCE_S)
        other = threads.submit(ask, ONE_KEY, "POST", {**CASE, "seed": 9})
        assert not wait([first, other], timeout=0.5).done
        gate.opened.set()
        assert first.result(PATIENCE_S).status == 201
        assert other.result(PATIENCE_S).status == 422
