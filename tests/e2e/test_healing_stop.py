"""The healing stop in Debian's Chromium: drain, stitches, complications, sheets, what is due."""

import json
import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from accessibility import faults
from printed_pages import pages_of, words_of

from crena.app.case_files import CASES, plans_from_text
from crena.app.demonstration_operation import operated_case
from crena.records import DrainCourse

DAYS_AGO = 4
VOLUMES = ("34", "21 cc", "15,5", "12")


@pytest.fixture(scope="module")
def address(planned_address):
    """Work on the planned demonstration."""
    return planned_address


@pytest.fixture(scope="module")
def operated(browser, address):
    """Operate on the demonstration four days ago; its drain was never read."""
    context = browser.new_context()
    asked, base = context.request, address.split("/enter")[0]
    assert asked.get(address).ok
    path = f"{base}/api/cases/{asked.get(f'{base}/api/cases').json()[0]['case_id']}"
    revision = asked.get(path).json()
    plans = plans_from_text(asked.get(f"{path}/plans").text(), "The plans")
    case = CASES.validate_python(revision["dossier"]["case"])
    done = operated_case(case, plans, date.today() - timedelta(days=DAYS_AGO))
    ended = done.aftercare.drain.operation_ended_at
    unread = replace(done.aftercare, drain=DrainCourse(operation_ended_at=ended))
    dossier = {**revision["dossier"], "case": _json(replace(done, aftercare=unread))}
    saved = asked.put(path, data=dossier, headers={"If-Match": f'"{revision["number"]}"'})
    assert saved.ok, saved.text()
    context.close()
    return path


def _json(case):
    return json.loads(CASES.dump_json(case))


@pytest.fixture
def healing(page, operated):
    """Open the stop on a phone."""
    page.set_viewport_size({"width": 390, "height": 844})
    base, case_id = operated.split("/api/cases/")
    page.goto(f"{base}/#/case/{case_id}/healing")
    page.get_by_role("heading", name="When may the stitches go?").wait_for()
    return page


def plan_of(page, operated):
    return page.request.get(f"{operated}/healing").json()


def case_of(page, operated):
    return page.request.get(operated).json()["dossier"]["case"]


def until(page, true):
    """Wait until something is saved, and return it."""
    for _ in range(200):
        found = true()
        if found:
            return found
        page.wait_for_timeout(100)
    raise AssertionError("it was not saved")


def test_each_day_s_reading_narrows_the_forecast(healing, operated):
    widths = []
    for day, volume in enumerate(VOLUMES, start=1):
        on = date.today() - timedelta(days=DAYS_AGO - day)
        healing.get_by_label("Volume").first.fill(volume)
        healing.get_by_label("Emptied", exact=True).first.fill(f"{on.isoformat()}T00:20")
        healing.get_by_role("button", name="Save the reading").click()
        found = until(
            healing,
            lambda day=day: (
                (plan_of(healing, operated)["drain"] or {}).get("readings") == day
                and plan_of(healing, operated)["drain"]
            ),
        )
        widths.append(found["to_day"] - found["from_day"])
    assert widths[-1] < widths[0], widths
    healing.get_by_text(re.compile(r"most likely met on .* in 8 of 10\.")).wait_for()
    assert healing.locator(".readings b", has_text="15.5 mL").count() == 1
    assert faults(healing) == []


def test_a_volume_that_cannot_be_is_refused_beside_its_field_and_kept(healing, operated):
    readings = len(case_of(healing, operated)["aftercare"]["drain"]["readings"])
    healing.get_by_label("Volume").first.fill("3 oz")
    healing.get_by_role("button", name="Save the reading").click()
    healing.get_by_text(re.compile("“oz” is not a unit that is read here")).first.wait_for()
    assert healing.get_by_role("textbox", name="Volume").last.input_value() == "3 oz"
    healing.get_by_role("button", name="Remove this reading").click()
    healing.get_by_text(re.compile("^Saved")).wait_for()
    assert len(case_of(healing, operated)["aftercare"]["drain"]["readings"]) == readings


def test_the_day_of_the_stitches_moves_by_key_and_by_drag_and_dates_follow(healing, operated):
    def days():
        entries = plan_of(healing, operated)["schedule"]["entries"]
        return [e["day"] for e in entries if e["code"].startswith("stitches")]

    handle = healing.get_by_role("slider", name="Day on which the first stitches leave")
    assert days() == [12, 14]
    handle.focus()
    healing.keyboard.press("ArrowRight")
    until(healing, lambda: days() == [13, 15])
    assert handle.get_attribute("aria-valuenow") == "13"
    ring = handle.locator(".handle-ring").bounding_box()
    week = _px_of_a_week(healing)
    healing.mouse.move(ring["x"] + ring["width"] / 2, ring["y"] + ring["height"] / 2)
    healing.mouse.down()
    healing.mouse.move(ring["x"] + ring["width"] / 2 + 3 * week / 7, ring["y"], steps=4)
    healing.get_by_text(re.compile("First stitches out on day 16")).wait_for()
    healing.mouse.up()
    until(healing, lambda: days() == [16, 18])
    out_on = date.today() + timedelta(days=16 - DAYS_AGO)
    calendar = healing.request.get(f"{operated}/sheets/dates.ics").text()
    assert f"DTSTART;VALUE=DATE:{out_on:%Y%m%d}" in calendar


def _px_of_a_week(page):
    first, second = (
        page.locator(".healing-support .curve text.ruler", has_text=re.compile(f"^{day}$"))
        for day in (21, 28)
    )
    return second.bounding_box()["x"] - first.bounding_box()["x"]


def test_stitches_out_and_a_complication_are_recorded(healing, operated):
    healing.get_by_role("button", name="All stitches came out today").click()
    today = date.today().isoformat()
    until(healing, lambda: case_of(healing, operated)["aftercare"]["stitches_out_on"] == today)
    healing.get_by_text("Record a complication").click()
    healing.get_by_label("What was it").fill("Seroma")
    healing.get_by_label("What was done").fill("Punctured at the clinic")
    rule = healing.locator(".grade", has_text="IIIa")
    assert "Seroma or haematoma punctured" in rule.inner_text()
    rule.get_by_role("radio").check()
    healing.get_by_role("button", name="Record it").click()
    (noted,) = until(healing, lambda: case_of(healing, operated)["aftercare"]["complications"])
    assert (noted["what"], noted["grade"], noted["noted_on"]) == ("Seroma", "IIIa", today)
    healing.get_by_text("Seroma, grade IIIa").wait_for()
    _scroll_off_the_foot(healing)
    assert faults(healing) == []


def _scroll_off_the_foot(page):
    """Go to the top: what the foot at the lower edge covers by half is taken for a small target."""
    page.evaluate("scrollTo(0, 0)")


def test_the_patient_s_sheet_is_printed_in_german(healing, operated):
    link = healing.get_by_role("link", name="Patient’s sheet, German").get_attribute("href")
    sheet = healing.request.get(f"{operated.split('/api')[0]}{link}")
    assert sheet.ok and sheet.body().startswith(b"%PDF")
    words = " ".join(words_of(each) for each in pages_of(sheet.body()))
    assert "Wunde" in words and "Fäden" in words


def test_what_is_due_leads_to_its_stop_and_vanishes_once_it_is_done(healing, operated):
    base = operated.split("/api")[0]
    whats = [line["what"] for line in healing.request.get(f"{base}/api/due").json()]
    assert "Visit: flap, wound and scar" in whats
    healing.goto(f"{base}/#/")
    due = healing.locator(".due li", has_text="Visit: flap, wound and scar")
    assert "since" in due.inner_text()
    due.get_by_role("link").click()
    healing.get_by_role("button", name="Done today").first.click()
    until(healing, lambda: case_of(healing, operated)["aftercare"]["done"])
    healing.goto(f"{base}/#/")
    healing.get_by_role("heading", name=re.compile("due")).wait_for()
    until(healing, lambda: due.count() == 0)


@pytest.mark.parametrize(("width", "paper"), [(390, "dark"), (820, "light"), (1440, "dark")])
def test_the_stop_is_accessible_and_fits_in_german(healing, width, paper):
    healing.emulate_media(color_scheme=paper)
    healing.set_viewport_size({"width": width, "height": 900})
    healing.get_by_role("button", name="Deutsch").click()
    healing.get_by_role("heading", name="Wann dürfen die Fäden raus?").wait_for()
    for fold in healing.locator("details.fold > summary").all():
        if fold.is_visible():
            fold.click()
    assert faults(healing) == []
    overflow = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert healing.evaluate(overflow) <= 0
