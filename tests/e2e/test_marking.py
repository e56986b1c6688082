"""From a chosen plan to a sheet that may touch the skin, and what makes all of it void."""

import re
from io import BytesIO

import pdfplumber
import pytest
from accessibility import faults
from hands import Server
from playwright.sync_api import expect
from served_cases import planned_case
from test_draw_templates import bars_mm

from crena.app.keeping import store_in

SHOWN = {"light": (1440, 390), "dark": (820, 390)}


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    """Serve one case whose plans are at hand, so that none need be computed here."""
    folder = tmp_path_factory.mktemp("planned")
    store = store_in(folder)
    planned_case(store, choice=None)
    store.engine.dispose()
    server = Server(folder)
    yield server.address
    server.stopped()


def look(page):
    """Every size and paper is free of faults and of sideways scrolling."""
    for paper, widths in SHOWN.items():
        page.emulate_media(color_scheme=paper, reduced_motion="reduce")
        for width in widths:
            page.set_viewport_size({"width": width, "height": 900})
            assert faults(page) == []
            wide = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
            assert page.evaluate(wide) <= 0
    page.set_viewport_size({"width": 1440, "height": 900})


def sign(page, side, label="case 12", identifier="x-4711"):
    page.get_by_label("Side that gives the flap").fill(side)
    page.get_by_label("Label of the case").fill(label)
    page.get_by_label("Identifier").fill(identifier)
    page.get_by_label("Identifier").press("Enter")


def measure(page, across, along):
    page.get_by_label("Bar across").fill(across)
    page.get_by_label("Bar along").fill(along)
    page.get_by_role("button", name="Keep both bars").last.click()


def road(page):
    return page.get_by_role("navigation", name="Road of the case")


def test_a_closure_is_played_step_by_step_and_by_keys(page):
    page.emulate_media(reduced_motion="reduce")
    at_stop(page, "closure")
    page.get_by_role("button", name="Play how plan A closes").click()
    track = page.get_by_role("slider", name="Moment of the film")
    track.wait_for()
    page.wait_for_timeout(900)
    assert track.get_attribute("aria-valuetext") == "as cut"
    track.press("ArrowRight")
    assert "of 100 of the way" in track.get_attribute("aria-valuetext")
    page.get_by_role("button", name="Play", exact=True).click()
    page.get_by_role("button", name="Pause").click()
    track.press("End")
    assert track.get_attribute("aria-valuetext") == "sutured"
    page.get_by_text("high pull").wait_for()
    page.get_by_label("Tension").check()
    page.get_by_text("times the tension before").first.wait_for()
    look(page)


def test_a_case_becomes_ready_for_theatre_and_a_change_takes_it_back(page):
    at_stop(page, "closure")
    page.get_by_role("button", name="Choose plan A").click()
    page.get_by_role("heading", name="Sign off plan A").wait_for()

    sign(page, "patient's left")
    page.get_by_text("This plan takes its flap from elsewhere").wait_for()
    assert page.get_by_label("Side that gives the flap").input_value() == "patient's left"
    sign(page, "patient's right", identifier="another")
    page.get_by_text("This is not the identifier of this case").wait_for()
    look(page)

    sign(page, "patient's right")
    page.get_by_role("heading", name="Print, measure, then mark").wait_for()
    with page.context.expect_page() as opened:
        page.get_by_role("button", name="Print the template").click()
    sheet = page.context.request.get(opened.value.url).body()
    opened.value.close()
    across, along = (f"{lengths[0]:.1f}" for lengths in bars_mm(first_page(sheet)))

    measure(page, "98,5", along)
    page.get_by_text("1.5 mm too short").wait_for()
    expect(road(page)).to_contain_text("measure the print")
    look(page)
    measure(page, across, along.replace(".", ","))
    page.get_by_role("heading", name="Ready for theatre").wait_for()
    expect(road(page)).to_contain_text("ready for theatre")

    changed(page)
    page.get_by_text("The sign-off of plan A is void.").wait_for()
    expect(page.locator(".issued .tag")).to_have_count(1)
    expect(road(page)).not_to_contain_text("ready for theatre")
    look(page)


def first_page(sheet):
    return pdfplumber.open(BytesIO(sheet)).pages[0]


def at_stop(page, stop):
    page.locator(".case-list a").first.click()
    page.get_by_role("navigation", name="Road of the case").wait_for()
    page.goto(re.sub(r"/[a-z]+$", f"/{stop}", page.url))


def changed(page):
    """Change the case behind the page's back, as a colleague would, and open it again."""
    page.wait_for_timeout(500)
    found = re.search(r"case/(\w+)/", page.url)[1]
    base = page.url.split("/#")[0].rstrip("/")
    path = f"{base}/api/cases/{found}"
    revision = page.context.request.get(path).json()
    revision["dossier"]["case"]["limits"]["drawn_margin_mm"] += 0.5
    headers = {"If-Match": f'"{revision["number"]}"'}
    answer = page.context.request.put(path, data=revision["dossier"], headers=headers)
    assert answer.ok, answer.text()
    page.reload()
