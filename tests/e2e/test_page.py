"""The page in Debian's Chromium: from nothing to a chosen plan and its sheets."""

import re
import subprocess
import sys
from pathlib import Path
from shutil import which
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import sync_playwright

from crena.app.server.settings import BUILT_PAGE

ROOT = Path(__file__).resolve().parents[2]
AXE = ROOT / "frontend/node_modules/axe-core/axe.min.js"
CHROMIUM = which("chromium")
PATIENCE_MS = 90_000

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed here"),
    pytest.mark.skipif(
        not (BUILT_PAGE / "index.html").is_file(), reason="the page was not built here"
    ),
]


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """Serve an empty folder of cases and give the address that was printed."""
    folder = tmp_path_factory.mktemp("cases")
    command = [sys.executable, "-m", "crena", "serve", "--data", str(folder), "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as server:
        yield server.stdout.readline().split()[-1]
        server.terminate()


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


def faults(page):
    """What an independent checker of accessibility finds wrong."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate(
        "axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']})"
    )
    return [(each["id"], each["nodes"][0]["html"][:120]) for each in found["violations"]]


def test_the_demonstration_is_planned_chosen_and_printed(page):
    assert faults(page) == []
    page.get_by_role("button", name="Open the demonstration case").click()
    page.get_by_role("button", name="Plan the excision").click()
    page.wait_for_url(re.compile("/closure$"))
    page.get_by_role("heading", name="Plan A, as cut").wait_for()
    assert page.locator(".plan-row").count() >= 3
    page.locator(".plan-row").nth(1).click()
    page.get_by_role("button", name="Choose plan B").click()
    page.get_by_role("heading", name="Print and mark").wait_for()
    page.get_by_text(re.compile("Saved")).wait_for()
    page.reload()
    page.get_by_role("heading", name="Print and mark").wait_for()
    link = page.get_by_role("link", name="Template at true size (PDF)").get_attribute("href")
    sheet = page.context.request.get(page.url.split("/#")[0].rstrip("/") + link)
    assert sheet.ok and sheet.body().startswith(b"%PDF")


@pytest.mark.parametrize("stop", ["disease", "excision", "closure", "marking", "healing"])
@pytest.mark.parametrize(("width", "paper"), [(1440, "light"), (390, "dark")])
def test_every_stop_is_accessible_on_both_papers_and_sizes(page, stop, width, paper):
    page.emulate_media(color_scheme=paper)
    page.set_viewport_size({"width": width, "height": 900})
    page.locator(".case-list a").first.click()
    page.get_by_role("navigation").wait_for()
    page.goto(re.sub(r"/[a-z]+$", f"/{stop}", page.url))
    page.locator("h1, .empty").first.wait_for()
    assert faults(page) == []
    overflow = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert page.evaluate(overflow) <= 0


def test_a_stranger_sees_no_case(browser, address):
    context = browser.new_context()
    page = context.new_page()
    page.goto(address.split("/enter")[0])
    page.wait_for_timeout(500)
    assert page.locator(".case-list a").count() == 0
    context.close()
