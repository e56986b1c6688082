"""The cut in the depth in Debian's Chromium: on the slices of the scan, and under the hand."""

import re

import pytest
from accessibility import faults
from hands import SCREENS

CUT = ".slice-cut"
CUT_NOW = "document.querySelector('.slice-cut')?.getAttribute('d')"


@pytest.fixture(scope="module")
def address(planned_address):
    """Work on the planned demonstration."""
    return planned_address


@pytest.fixture
def excision(page):
    """Open the cut of the demonstration's first plan, at the slice where it comes nearest."""
    page.locator(".case-list a").first.click()
    page.get_by_role("link", name="Excision").click()
    page.locator(CUT).wait_for()
    return page


def drawn(page):
    return page.locator(CUT).get_attribute("d")


def slice_said(page):
    return page.get_by_role("application").get_attribute("aria-label")


def changed(page, before):
    page.wait_for_function(f"b => {CUT_NOW} && {CUT_NOW} !== b", arg=before)
    return drawn(page)


def test_the_slice_shows_cut_margin_fascia_and_disease_and_is_accessible(excision):
    for kind in ("cut", "margin", "floor", "tract"):
        assert excision.locator(f".slice-{kind}").count() > 0, kind
    assert faults(excision) == []
    SCREENS.mkdir(parents=True, exist_ok=True)
    excision.screenshot(path=SCREENS / "excision-slices.png", full_page=True)


def test_the_cut_on_the_slice_follows_a_dragged_corner_before_it_is_let_go(excision):
    before = drawn(excision)
    ring = excision.get_by_role("button", name=re.compile("^Centre,")).locator(".handle-ring")
    box = ring.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    excision.mouse.move(x, y)
    excision.mouse.down()
    excision.mouse.move(x + 40, y, steps=10)
    during = changed(excision, before)
    excision.mouse.up()
    excision.get_by_role("button", name="Put all back").click()
    assert changed(excision, during)
    excision.wait_for_function(f"b => {CUT_NOW} === b", arg=before)


def test_slices_are_turned_by_keys_and_one_press_leads_back_to_the_nearest_wall(excision):
    nearest, before = slice_said(excision), drawn(excision)
    excision.get_by_role("application").focus()
    excision.keyboard.press("PageUp")
    assert slice_said(excision) != nearest
    changed(excision, before)
    excision.get_by_role("button", name="To the wall nearest to a tract or cavity").click()
    assert slice_said(excision) == nearest
    excision.wait_for_function(f"b => {CUT_NOW} === b", arg=before)
