"""A server with an empty folder or the planned demonstration, and Debian's Chromium open on it."""

import fcntl
import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from shutil import which
from urllib.parse import urlsplit

import pytest
from hands import Server
from playwright.sync_api import sync_playwright

from crena.app.demonstration import write_demonstration
from crena.app.server.demonstrations import keep_demonstration
from crena.app.server.settings import BUILT_PAGE
from crena.records.progress import silent

CHROMIUM = which("chromium")
PATIENCE_MS = 90_000


def pytest_collection_modifyitems(items):
    """Mark what needs a browser; where there is none, or no page was built, say so and skip."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.slow)
            if CHROMIUM is None:
                item.add_marker(pytest.mark.skip(reason="Chromium is not installed here"))
            if not (BUILT_PAGE / "index.html").is_file():
                item.add_marker(pytest.mark.skip(reason="the page was not built here"))


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """Serve an empty folder of cases and give the address that was printed."""
    server = Server(tmp_path_factory.mktemp("cases"))
    yield server.address
    server.stopped()


@pytest.fixture(scope="session")
def planned_folder(tmp_path_factory):
    """Write and plan the demonstration, once for all processes that test."""
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    folder = shared / "demonstration"
    with (shared / "demonstration.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not folder.exists():
            case_file = write_demonstration(folder, date.today(), silent)
            files = [case_file, "--mri", folder / "mri", "--out", folder / "plan"]
            command = [sys.executable, "-m", "crena", "plan", *files]
            subprocess.run(command, check=True, capture_output=True)
    return folder


@pytest.fixture(scope="module")
def planned_address(planned_folder, tmp_path_factory):
    """Serve the planned demonstration and give the address that was printed."""
    cases = tmp_path_factory.mktemp("cases")
    keep_demonstration(cases, planned_folder)
    server = Server(cases)
    yield server.address
    server.stopped()


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield made
        made.close()


@pytest.fixture
def page(browser, address):
    """Open the page; whatever it asks of another machine, or complains of, fails the test."""
    context = browser.new_context(viewport={"width": 1440, "height": 900}, locale="en-GB")
    made, wrong = context.new_page(), []
    made.on("request", lambda asked: _note_foreign(asked.url, wrong))
    made.on("pageerror", lambda fault: wrong.append(str(fault)))
    made.set_default_timeout(PATIENCE_MS)
    made.goto(address)
    yield made
    assert wrong == []
    context.close()


def _note_foreign(url, wrong):
    parts = urlsplit(url)
    if parts.scheme in ("http", "https", "ws") and parts.hostname != "127.0.0.1":
        wrong.append(url)
