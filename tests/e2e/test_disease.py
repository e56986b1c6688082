"""The disease entered on the page from nothing, planned; a sketch; a pit dragged and undone."""

import re

import pytest
from accessibility import faults


def typed(page, words):
    """Type into what has the focus, and go on to the next field."""
    page.keyboard.type(words)
    page.keyboard.press("Tab")


def pressed(page, name):
    """Press a button by keyboard alone."""
    page.get_by_role("button", name=name, exact=True).focus()
    page.keyboard.press("Enter")


def begun(page, label):
    """Start a case in which every question is answered no."""
    pressed(page, "Start a new case")
    page.get_by_label("Label of the case").focus()
    typed(page, label)
    for each in page.get_by_role("button", name="All asked: no to each").all():
        each.focus()
        page.keyboard.press("Enter")
    pressed(page, "Start this case")
    page.get_by_role("heading", name="What is there").wait_for()


def focused(page, label):
    """Wait until what was added has the focus."""
    page.wait_for_function(
        "label => document.activeElement.labels?.[0]?.textContent === label", arg=label
    )


def pit(page, above):
    pressed(page, "Add a pit")
    focused(page, "Above the coccyx tip")
    typed(page, above)


def probe(page, name, length, depth, direction):
    pressed(page, f"Add a probe in pit {name}")
    focused(page, "Length")
    for words in (length, depth, direction):
        typed(page, words)
    page.keyboard.press("Space")


def shown(page, tips):
    page.get_by_text("Nothing is missing.").wait_for()
    page.wait_for_function(
        "n => document.querySelectorAll('.plan-room .probe').length === n", arg=tips
    )


def test_a_case_from_nothing_is_entered_by_keyboard_alone_and_planned(page):
    begun(page, "Case 31")
    page.get_by_text("No pit is entered yet.").wait_for()
    pit(page, "14")
    probe(page, "1", "30", "13", "22")
    pit(page, "26,5")
    probe(page, "2", "13", "8", "50")
    shown(page, 2)
    page.wait_for_function("() => document.querySelectorAll('.plan-room .tract').length === 1")
    page.get_by_text(re.compile("Saved")).wait_for()
    assert faults(page) == []
    page.set_viewport_size({"width": 390, "height": 844})
    page.emulate_media(color_scheme="dark")
    assert faults(page) == []
    pressed(page, "Plan the excision")
    page.wait_for_url(re.compile("/closure$"))
    page.get_by_role("heading", name="Plan A, as cut").wait_for()
    page.locator(".plan-room .cut").first.wait_for()


def test_a_dragged_pit_is_undone_and_done_again(page):
    begun(page, "Case 32")
    pit(page, "20")
    handle = page.get_by_role("button", name=re.compile("^Pit 1: on the midline, 20 mm above"))
    handle.wait_for()
    ring = handle.bounding_box()
    x, y = ring["x"] + ring["width"] / 2, ring["y"] + ring["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 40, y - 30, steps=4)
    page.mouse.up()
    moved = page.get_by_role("button", name=re.compile(r"^Pit 1: \d+ mm to the patient’s left"))
    moved.wait_for()
    page.locator("input:not([value='0'])").and_(
        page.get_by_role("textbox", name="Off the midline")
    ).wait_for()
    assert page.get_by_role("radio", name="patient’s left").is_checked()
    pressed(page, "Undo")
    handle.wait_for()
    assert page.get_by_role("textbox", name="Above the coccyx tip").input_value() == "20"
    pressed(page, "Redo")
    moved.wait_for()


def test_a_pit_is_placed_without_dragging_and_nudged_by_keys(page):
    begun(page, "Case 33")
    pressed(page, "Add a pit")
    page.get_by_text("Choose on the drawing where the pit lies").wait_for()
    plan = page.locator(".plan-room svg.plan").bounding_box()
    page.mouse.click(plan["x"] + 0.6 * plan["width"], plan["y"] + 0.5 * plan["height"])
    handle = page.get_by_role("button", name=re.compile("^Pit 1: .*patient’s right"))
    handle.wait_for()
    pressed(page, "Add a pit")
    ring = handle.bounding_box()
    page.mouse.click(ring["x"] + ring["width"] / 2, ring["y"] + 2)
    page.get_by_role("button", name=re.compile("^Pit 2: .*patient’s right")).wait_for()
    pressed(page, "Undo")
    pressed(page, "Undo")
    page.get_by_text(re.compile("Saved")).wait_for()
    before = page.get_by_role("textbox", name="Above the coccyx tip").input_value()
    handle.focus()
    for _ in range(3):
        page.keyboard.press("ArrowUp")
    after = f"{float(before) + 3:g}"
    page.wait_for_function(
        "value => [...document.querySelectorAll('input')].some(i => i.value === value)", arg=after
    )


def test_a_wrong_number_stays_as_typed_with_the_servers_sentence(page):
    begun(page, "Case 34")
    pit(page, "12,5,5")
    page.get_by_text("“12,5,5” is not one plain number").first.wait_for()
    field = page.get_by_role("textbox", name="Above the coccyx tip")
    assert (field.input_value(), field.get_attribute("aria-invalid")) == ("12,5,5", "true")
    pit(page, "900")
    page.get_by_text("900 is too much; at most 120 mm is allowed.").first.wait_for()
    pit(page, "30")
    page.get_by_role("button", name=re.compile("^Pit 3: on the midline, 30 mm above")).wait_for()
    page.reload()
    page.locator("input[value='12,5,5']").wait_for(state="attached")


@pytest.mark.parametrize(("width", "paper"), [(1440, "light"), (390, "dark")])
def test_a_sketch_gives_closures_and_can_be_kept(page, width, paper):
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=paper)
    pressed(page, "Sketch a plan")
    page.get_by_label("Pit, above the coccyx tip").focus()
    for words in ("17", "12,5,5", "10", "20", "18", "8"):
        typed(page, words)
    page.keyboard.press("Space")
    assert faults(page) == []
    if width < 1440:
        return
    pressed(page, "None of these")
    pressed(page, "Find closures")
    page.get_by_text("“12,5,5” is not one plain number").wait_for()
    page.get_by_label("Probe, length").fill("25")
    pressed(page, "Find closures")
    page.locator(".sketch-plan svg .cut").first.wait_for()
    pressed(page, "Back to all cases")
    assert page.get_by_role("link", name="Sketch").count() == 0
