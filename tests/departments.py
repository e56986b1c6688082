"""A department's server with one account for each role, for the tests."""

from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

from databases import new_store
from fastapi.testclient import TestClient
from pwdlib import PasswordHash
from pwdlib.hashers.argon2 import Argon2Hasher

from crena.app.jobs.runner import Jobs
from crena.app.server.application import application
from crena.app.server.settings import Department
from crena.store.accounts import Role, set_account

ADDRESS = "https://crena.example"
PASSWORD = "four words of no sense"
ROLES = {
    "reader": Role.READ,
    "nurse": Role.FOLLOW_UP,
    "surgeon": Role.PLAN,
    "chief": Role.ADMINISTER,
}
HASH = PasswordHash((Argon2Hasher(time_cost=1, memory_cost=8, parallelism=1),)).hash(PASSWORD)
"""Cheap, so that hundreds of log-ins do not take minutes; the real cost is tried by itself."""


class Clock:
    """A time that the test moves."""

    def __init__(self):
        self.now = datetime(2026, 11, 27, 8, tzinfo=UTC)

    def __call__(self):
        return self.now

    def pass_by(self, **span):
        self.now += timedelta(**span)


class Ward:
    """One server, many browsers."""

    def __init__(self, store, app):
        self.store, self.app = store, app

    def browser(self):
        return TestClient(self.app, base_url=ADDRESS, raise_server_exceptions=False)

    def logged_in(self, name):
        made = self.browser()
        assert log_in(made, name).status_code == 201
        return made


def log_in(client, name, password=PASSWORD):
    return client.post("/api/session", json={"name": name, "password": password})


@contextmanager
def opened_ward(kind, folder):
    """Open a server on a database of this kind; its clock is `store.clock`."""
    store = new_store(kind, folder, clock=Clock())
    for name, role in ROLES.items():
        set_account(store, name, role, HASH)
    jobs = Jobs(store)
    settings = Department(hosts=frozenset({"crena.example"}), page=folder / "no-page")
    yield Ward(store, application(store, jobs, settings))
    jobs.close()
    store.engine.dispose()
