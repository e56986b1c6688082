"""Theatre in Debian's Chromium: steps, a larger hole, a new plan taken, the record, the note."""

import re

import pytest
from accessibility import faults
from hands import SCREENS

PATIENCE_MS = 90_000
TABLET = {"width": 820, "height": 1180}


@pytest.fixture(scope="module")
def address(browser, planned_address):
    """Choose a plan of the demonstration, and work on it."""
    context = browser.new_context(locale="en-GB")
    page = context.new_page()
    page.goto(planned_address)
    page.locator(".case-list a").first.click()
    page.goto(re.sub(r"/[a-z]+$", "/closure", page.url))
    page.get_by_role("button", name=re.compile("^Choose plan")).click(timeout=PATIENCE_MS)
    page.get_by_text(re.compile("^Saved")).wait_for()
    context.close()
    return planned_address


@pytest.fixture
def theatre(page):
    """Open Theatre on a tablet."""
    page.set_viewport_size(TABLET)
    page.locator(".case-list a").first.click()
    page.goto(re.sub(r"/[a-z]+$", "/theatre", page.url))
    page.locator(".theatre-head").wait_for()
    return page


def test_before_the_cut_side_allergies_and_dye_stand_there(theatre):
    theatre.get_by_role("button", name="Before", exact=True).click()
    for words in ("Side and plan", "Allergies", "Dye"):
        assert theatre.get_by_role("heading", name=words, exact=True).is_visible()
    link = theatre.get_by_role("link", name="Theatre card").get_attribute("href")
    sheet = theatre.context.request.get(theatre.url.split("/#")[0].rstrip("/") + link)
    assert sheet.ok and sheet.body().startswith(b"%PDF")
    assert faults(theatre) == []


def test_a_step_is_stamped_by_key_and_taken_back_only_after_a_question(theatre):
    theatre.get_by_role("button", name="Steps", exact=True).click()
    step = theatre.get_by_role("button", name=re.compile("^Side and marks"))
    step.focus()
    theatre.keyboard.press("Enter")
    theatre.get_by_label("Time: Side and marks").wait_for()
    assert step.get_attribute("aria-pressed") == "true"
    step.press("Space")
    theatre.get_by_role("button", name="Keep it").click()
    assert step.get_attribute("aria-pressed") == "true"
    step.press("Space")
    theatre.get_by_role("button", name="Take it back").press("Enter")
    assert step.get_attribute("aria-pressed") == "false"
    theatre.get_by_role("button", name="Now: Side and marks").press("Enter")
    theatre.get_by_role("button", name="Now: Dye in").wait_for()
    assert faults(theatre) == []


def test_a_hole_is_planned_for_by_its_length_and_width_alone(theatre):
    theatre.get_by_role("button", name="Hole", exact=True).click()
    theatre.get_by_role("radio", name="Length and width").check()
    plan = theatre.get_by_role("button", name="Plan for this hole")
    assert plan.get_attribute("aria-disabled") == "true"
    for line, times in (("Length, A to C", 3), ("Width, B to D", 5)):
        for _ in range(times):
            theatre.get_by_role("button", name=f"More: {line}").press("Enter")
    plan.press("Enter")
    theatre.locator(".tile").nth(1).wait_for()
    theatre.get_by_role("button", name="Use plan A").wait_for()
    assert faults(theatre) == []
    SCREENS.mkdir(parents=True, exist_ok=True)
    theatre.screenshot(path=SCREENS / "theatre-size.png", full_page=True)


def test_a_larger_hole_is_measured_planned_taken_and_recorded(theatre):
    theatre.get_by_role("button", name="Hole", exact=True).click()
    theatre.get_by_role("radio", name="Corner by corner").check()
    for letter in "ABCD":
        theatre.get_by_role("radio", name=re.compile(f"^{letter}(, measured)?$")).check()
        for _ in range(2):
            theatre.get_by_role("button", name="More: Off the midline").press("Enter")
    depth = theatre.get_by_role("textbox", name=re.compile("^Depth"))
    depth.fill("33,5")
    depth.press("Tab")
    theatre.get_by_role("button", name="Plan for this hole").press("Enter")
    theatre.locator(".tile").nth(1).wait_for()
    assert theatre.locator(".tile").count() >= 2
    theatre.locator(".tile").nth(1).get_by_role("radio").check()
    theatre.get_by_role("button", name="Use plan B").click()
    theatre.get_by_role("button", name="On with the steps").wait_for()
    assert faults(theatre) == []
    theatre.get_by_role("button", name="Record", exact=True).click()
    theatre.get_by_role("button", name="Sewn as computed").click()
    theatre.get_by_role("radio", name="agree", exact=True).check()
    theatre.get_by_role("radio", name="nothing").check()
    theatre.get_by_role("textbox", name="Weight").fill("60")
    theatre.get_by_text(re.compile("^Saved")).wait_for()
    note = theatre.locator(".operation-note pre")
    note.get_by_text("The specimen weighs 60 g.").wait_for()
    for words in ("Plan that was followed: B of T", "34 mm deep", "the counts agree", "Layer 1"):
        assert words in note.inner_text()
    assert faults(theatre) == []


def test_a_wrong_number_keeps_what_was_typed_and_says_why(theatre):
    theatre.get_by_role("button", name="Record", exact=True).click()
    begin = theatre.get_by_role("button", name="Begin the record")
    if begin.count():
        begin.click()
    field = theatre.get_by_role("textbox", name="Blood loss")
    field.fill("much")
    theatre.locator(".field-bad", has=field).get_by_role("status").wait_for()
    assert field.input_value() == "much"
    field.fill("40")
    theatre.locator(".field-bad").wait_for(state="detached")


@pytest.mark.parametrize("part", ["Steps", "Hole", "Record"])
def test_every_part_fits_a_phone_on_dark_paper(theatre, part):
    theatre.emulate_media(color_scheme="dark")
    theatre.set_viewport_size({"width": 390, "height": 2600})  # nothing lies under the foot
    theatre.get_by_role("button", name=part, exact=True).click()
    assert faults(theatre) == []
    overflow = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    assert theatre.evaluate(overflow) <= 0
    small = theatre.evaluate(
        """[...document.querySelectorAll('main button, main .choice-option, main input')]
        .filter(e => e.offsetParent && !e.closest('.choice-option, .tile') )
        .filter(e => e.getBoundingClientRect().height < 44).map(e => e.outerHTML.slice(0, 90))"""
    )
    assert small == []
