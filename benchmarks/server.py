"""The server with twenty people on it while a plan is being made, on both databases."""

import contextlib
import http.client
import json
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import psycopg

from benchmarks import Row, sample
from crena.app.case_files import CASES
from crena.app.department import department_store, read_department
from crena.app.passwords import hashed
from crena.store.accounts import Role, set_account

CLIENTS = 20
SECONDS = 25.0
IDLE_S = 2.0
LOOK_S = 0.25
NAME, PASSWORD = "surgeon", "four words of no sense"
HOST = "crena.example"

SETTINGS = """
database = "{url}"
files = "files"
names = ["{host}"]
behind_proxy = true
port = {port}
"""


@dataclass
class Person:
    """One browser that is logged in: reads are `opened`, saves are `saved`, in seconds each."""

    port: int
    cookie: str
    opened: list[float] = field(default_factory=list)
    saved: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        self.asked_at = time.monotonic()

    def ask(self, method: str, path: str, body: Any = None, **headers: str) -> tuple[int, Any]:
        """Ask and return status and answer."""
        if time.monotonic() - self.asked_at > IDLE_S:
            self.line.close()  # the server may have; the next request opens it anew
        sent = {"Host": HOST, "Cookie": self.cookie, "Content-Type": "application/json"}
        text = None if body is None else json.dumps(body)
        self.line.request(method, path, text, sent | headers)
        answer = self.line.getresponse()
        content = answer.read()
        self.asked_at = time.monotonic()
        return answer.status, json.loads(content) if content else None


def sqlite() -> Row:
    """SQLite on this disk."""
    with TemporaryDirectory(dir=Path.cwd()) as folder:
        return measured("server-sqlite", f"sqlite:///{folder}/cases.db", Path(folder))


def postgresql() -> Row:
    """PostgreSQL on this machine, waiting for this disk."""
    with TemporaryDirectory(dir=Path.cwd()) as folder, durable_postgresql() as url:
        return measured("server-postgresql", url, Path(folder))


def measured(name: str, url: str, folder: Path) -> Row:
    """Serve a new store, let twenty people work, and say how long they waited."""
    with served(url, folder) as port:
        cookie = logged_in(port)
        people = [Person(port=port, cookie=cookie) for _ in range(CLIENTS)]
        cases = [made_case(one) for one in people]
        planner = Person(port=port, cookie=cookie)
        demonstration = demonstration_case(planner)
        began = time.perf_counter()
        with ThreadPoolExecutor(CLIENTS + 1) as threads:
            solving = threads.submit(keep_planning, planner, demonstration, began + SECONDS)
            list(threads.map(lambda one, path: work(one, path, began + SECONDS), people, cases))
        seconds = time.perf_counter() - began
    opened = [took for one in people for took in one.opened]
    saved = [took for one in people for took in one.saved]
    detail = f"{said('opened', opened, seconds)}; {said('saved', saved, seconds)}; "
    detail += f"a plan was being made for {solving.result() / seconds:.0%} of the time"
    return Row(
        name=name,
        value=1000 * p99(saved),
        unit="ms, p99 of a save",
        bar="",
        met=None,
        detail=detail,
    )


def made_case(person: Person) -> str:
    """Make a case and return its path."""
    case = CASES.dump_python(sample("factory").case(), mode="json")
    status, last = person.ask("POST", "/api/cases", case)
    assert status == 201, last
    return f"/api/cases/{last['case_id']}"


def work(person: Person, path: str, until: float) -> None:
    """Open a case of one's own, change it, save it, again and again; three reads to a save."""
    while time.perf_counter() < until:
        for _ in range(3):
            begin = time.perf_counter()
            status, last = person.ask("GET", path)
            person.opened.append(time.perf_counter() - begin)
            assert status == 200, last
        last["dossier"]["case"]["seed"] += 1
        begin = time.perf_counter()
        status, last = person.ask(
            "PUT", path, last["dossier"], **{"If-Match": f'"{last["number"]}"'}
        )
        person.saved.append(time.perf_counter() - begin)
        assert status == 200, last


def demonstration_case(person: Person) -> str:
    """Make the demonstration case and return its path."""
    _, made = person.ask("POST", "/api/cases/demonstration")
    return f"/api/cases/{made['case_id']}"


def keep_planning(person: Person, path: str, until: float) -> float:
    """Plan a case again and again; return for how many seconds a process was at work on it."""
    solving_s = 0.0
    while time.perf_counter() < until:
        _, job = person.ask("POST", f"{path}/plans", {})
        while job["state"] in ("waiting", "running") and time.perf_counter() < until:
            begin = time.perf_counter()
            time.sleep(LOOK_S)
            _, job = person.ask("GET", f"/api/jobs/{job['job_id']}")
            solving_s += time.perf_counter() - begin if job["state"] == "running" else 0.0
        assert job["state"] in ("running", "done"), job
    return solving_s


def said(what: str, took: list[float], seconds: float) -> str:
    """Say how many there were in a second, and how long they took."""
    middle = 1000 * statistics.median(took)
    return (
        f"{what} {len(took) / seconds:.0f}/s, median {middle:.0f} ms, p99 {1000 * p99(took):.0f} ms"
    )


def p99(took: list[float]) -> float:
    """Return what ninety-nine of a hundred stay below."""
    return statistics.quantiles(took, n=100)[98]


def logged_in(port: int) -> str:
    """Log in and return the cookie."""
    person = Person(port=port, cookie="")
    body = json.dumps({"name": NAME, "password": PASSWORD})
    person.line.request(
        "POST", "/api/session", body, {"Host": HOST, "Content-Type": "application/json"}
    )
    answer = person.line.getresponse()
    answer.read()
    return str(answer.headers["set-cookie"]).split(";")[0]


@contextlib.contextmanager
def served(url: str, folder: Path) -> Iterator[int]:
    """Serve a department from a process of its own."""
    port = sample("databases").free_port()
    file = folder / "department.toml"
    file.write_text(SETTINGS.format(url=url, host=HOST, port=port))
    store = department_store(read_department(file))
    set_account(store, NAME, Role.PLAN, hashed(PASSWORD))
    store.engine.dispose()
    command = [sys.executable, "-m", "crena", "department", str(file)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdout is not None
        server.stdout.readline()
        wait_for(port)
        try:
            yield port
        finally:
            server.terminate()


def wait_for(port: int) -> None:
    """Wait until the server answers."""
    for _ in range(1200):
        with contextlib.suppress(OSError):
            Person(port=port, cookie="").ask("GET", "/api/session")
            return
        time.sleep(0.05)
    raise TimeoutError("the server did not answer")


@contextlib.contextmanager
def durable_postgresql() -> Iterator[str]:
    """Start the tests' PostgreSQL and let it wait for the disk, as it does by itself."""
    databases = sample("databases")
    port = databases.postgresql_port(fsync="on")
    address = f"host=127.0.0.1 port={port} user=crena dbname=postgres"
    try:
        with psycopg.connect(address, autocommit=True) as server:
            server.execute("CREATE DATABASE measured")
        yield f"postgresql+psycopg://crena@127.0.0.1:{port}/measured"
    finally:
        databases.stop_servers()


BENCHMARKS = {"server-sqlite": sqlite, "server-postgresql": postgresql}
