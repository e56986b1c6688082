"""A server with an empty folder, and Debian's Chromium open on it."""

from pathlib import Path
from shutil import which
from urllib.parse import urlsplit

import pytest
from hands import Server
from playwright.sync_api import sync_playwright

from crena.app.server.settings import BUILT_PAGE

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
