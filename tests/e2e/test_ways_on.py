"""Where a case must not end, in Debian's Chromium: no pull yet, an operation on record."""

import re
from dataclasses import replace
from datetime import date

import factory
import pytest
from accessibility import faults
from hands import Server
from served_cases import CODE, planned_case

from crena.app.case_files import plan_text
from crena.app.keeping import kept_plans, store_in
from crena.planning.compose import plan_case
from crena.records import Author, OperationRecord
from crena.sinus.mapping import map_from_probing
from crena.store.revisions import read_case, save_case

WHO = Author(by="test", why="test")
THEATRE = "TTEST12"
COMPUTING = "The plans can be used. Their pull is being computed"


def with_theatre_plans(store, path):
    """Give a case plans made in theatre, of which A was taken; their pull was not computed."""
    last = read_case(store, path.rsplit("/", 1)[1], WHO)
    case, provenance = factory.case(), replace(factory.PROVENANCE, code=THEATRE)
    made = plan_case(case, map_from_probing(case), provenance, today=factory.TODAY)
    stored = kept_plans(store, plan_text(made).encode())
    save_case(store, last.case_id, last.number, replace(last.dossier, theatre=stored), WHO)
    return last.case_id


@pytest.fixture(scope="module")
def kept(tmp_path_factory):
    """Store a case that was operated on as planned, and one whose plan was made in theatre."""
    folder = tmp_path_factory.mktemp("cases")
    store, done = store_in(folder), OperationRecord(operated_on=date.today(), plan="A")
    operated = planned_case(store, operation=replace(done, plan_code=CODE)).rsplit("/", 1)[1]
    in_theatre = planned_case(store, operation=replace(done, plan_code=THEATRE))
    cases = {"operated": operated, "theatre": with_theatre_plans(store, in_theatre)}
    store.engine.dispose()
    return folder, cases


@pytest.fixture(scope="module")
def address(kept):
    """Serve both."""
    server = Server(kept[0])
    yield server.address
    server.stopped()


@pytest.fixture
def at(page, kept):
    """Go to a stop of one of the cases."""

    def go(name, stop):
        page.goto(f"{page.url.split('#')[0]}#/case/{kept[1][name]}/{stop}")
        return page

    return go


def test_healing_leads_to_the_pull_that_theatre_computes_again(at):
    page = at("theatre", "healing")
    page.get_by_text("No pull was computed", exact=False).first.wait_for()
    page.get_by_role("button", name="Go to Theatre and compute the pull").click()
    ask = page.get_by_role("button", name="Compute the pull")
    ask.wait_for()
    assert faults(page) == []
    ask.click()
    page.get_by_role("button", name="Stop", exact=True).click()
    page.get_by_text("Stopped.").wait_for()
    page.reload()
    page.get_by_text("Stopped.").wait_for()
    page.get_by_role("button", name="Compute the pull").click()
    page.reload()
    page.get_by_role("heading", name=COMPUTING).wait_for()
    page.get_by_role("heading", name=COMPUTING).wait_for(state="detached")
    page.goto(page.url.replace("/theatre", "/healing"))
    page.get_by_role("heading", name="When may the stitches go?").wait_for()
    page.get_by_text(re.compile("First stitches out on")).first.wait_for()
    assert page.get_by_role("button", name="Go to Theatre and compute the pull").count() == 0


def test_an_operated_case_says_so_on_disease_and_a_record_can_be_removed(at):
    page = at("operated", "disease")
    page.get_by_role("heading", name="Operated already").wait_for()
    assert page.get_by_role("button", name="Plan again").count() == 0
    assert faults(page) == []
    page.get_by_role("button", name="Go to Theatre").click()
    page.get_by_role("button", name="Record", exact=True).click()
    page.get_by_role("button", name="Remove this record").click()
    page.get_by_role("button", name="Keep it").click()
    page.get_by_role("button", name="Remove this record").click()
    assert faults(page) == []
    page.get_by_role("button", name="Remove it").click()
    page.get_by_text(re.compile("^Nothing is recorded yet")).wait_for()
    page.get_by_text(re.compile("^Saved")).wait_for()
    page.goto(page.url.replace("/theatre", "/disease"))
    page.get_by_role("button", name="Plan again").wait_for()
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("heading", name="Operated already").wait_for()


def test_days_are_in_the_language_of_the_page_whatever_the_browser_speaks(browser, address, kept):
    context = browser.new_context(locale="en-US", viewport={"width": 390, "height": 2000})
    page = context.new_page()
    page.goto(address)
    page.get_by_role("button", name="Deutsch").click()
    page.goto(f"{page.url.split('#')[0]}#/case/{kept[1]['theatre']}/theatre")
    page.get_by_role("button", name="Protokoll", exact=True).click()
    day = page.get_by_label("Tag der Operation", exact=True)
    assert day.input_value() == date.today().strftime("%d.%m.%Y")
    day.fill("11/26/2026")
    day.blur()
    page.get_by_text(re.compile("^Das ist kein lesbarer Tag")).wait_for()
    assert day.input_value() == "11/26/2026"
    day.fill("26.11.2026")
    day.blur()
    page.get_by_text("Donnerstag", exact=True).wait_for()
    assert faults(page) == []
    context.close()
