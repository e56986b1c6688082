"""The page in Debian's Chromium, as `run` opens it: from the first view to the sheets."""

import re
import sys

import pytest
from accessibility import faults
from hands import SCREENS, Server

STOPS = ("disease", "excision", "closure", "marking", "theatre", "healing", "outcomes")
OVERFLOW = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
READ = "() => !/Reading the case|Side being read/.test(document.body.innerText)"
DRAWN = "() => document.querySelectorAll('.plan-row svg').length >= 3 && performance.now()"


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """Do the main job on the demonstration and give the address that was printed."""
    server = Server(tmp_path_factory.mktemp("demonstration"), ("run", "--out"))
    yield server.address
    server.stopped()


def test_the_demonstration_is_seen_planned_then_chosen_and_printed(page):
    seen_ms = page.wait_for_function(DRAWN).json_value()
    sys.stdout.write(f"first view: the drawn plans stood there after {seen_ms:.0f} ms\n")
    page.get_by_role("heading", name="Plan A, as cut").wait_for()
    assert faults(page) == []
    page.locator(".plan-row").nth(1).click()
    page.get_by_role("button", name="Choose plan B").click()
    page.get_by_role("heading", name="Sign off plan B").wait_for()
    page.get_by_text(re.compile("Saved")).wait_for()
    page.reload()
    page.get_by_role("heading", name="Sign off plan B").wait_for()
    page.get_by_role("link", name="Marking").click()
    with page.context.expect_page() as opened:
        page.get_by_role("button", name="Print: Template at true size (PDF)").click()
    sheet = page.context.request.get(opened.value.url)
    assert sheet.ok and sheet.body().startswith(b"%PDF")


@pytest.mark.parametrize("paper", ["light", "dark"])
@pytest.mark.parametrize("width", [1440, 820, 390])
def test_every_stop_is_accessible_on_both_papers_and_all_sizes(page, width, paper):
    page.emulate_media(color_scheme=paper)
    page.set_viewport_size({"width": width, "height": 900})
    page.get_by_role("navigation").wait_for()
    SCREENS.mkdir(parents=True, exist_ok=True)
    for stop in STOPS:
        page.goto(re.sub(r"/[a-z]+$", f"/{stop}", page.url))
        page.locator(f".page.{stop}").wait_for()
        page.locator("main h1, main .empty").first.wait_for()
        page.wait_for_function(READ)
        page.screenshot(path=SCREENS / f"{stop}-{width}-{paper}.png", full_page=True)
        assert faults(page) == [], stop
        assert page.evaluate(OVERFLOW) <= 0, stop


def test_a_stranger_sees_no_case(browser, address):
    context = browser.new_context()
    page = context.new_page()
    page.goto(address.split("/enter")[0])
    page.wait_for_timeout(500)
    assert page.locator(".case-list a").count() == 0
    context.close()
