"""Handles in Debian's Chromium, by pointer and by keys: the figures follow, limits turn visible."""

import re
import statistics
import sys
import time

import pytest
from accessibility import faults
from factory import case

from crena.app.case_files import CASES
from crena.app.jobs.runner import ENDED

STEPS = 60
PATIENCE_S = 300
MOVED = re.compile("Plan [A-H], moved by hand")

FRAMES = """
() => {
  const marks = { frames: [], server: [] };
  let last = performance.now();
  const tick = (now) => {
    marks.frames.push(now - last);
    last = now;
    marks.timer = requestAnimationFrame(tick);
  };
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries())
      for (const timing of entry.serverTiming ?? []) marks.server.push(timing.duration);
  }).observe({ type: "resource", buffered: false });
  marks.timer = requestAnimationFrame(tick);
  window.marks = marks;
}
"""


@pytest.fixture(scope="module")
def planned(browser, address):
    """Store and plan an invented case without a scan; give its place on the page."""
    context = browser.new_context()
    context.new_page().goto(address)
    server = f"{address.split('/enter')[0]}/api"
    made = context.request.post(f"{server}/cases", data=CASES.dump_python(case(), mode="json"))
    case_id = made.json()["case_id"]
    job = context.request.post(f"{server}/cases/{case_id}/plans").json()
    until = time.monotonic() + PATIENCE_S
    while job["state"] not in ENDED and time.monotonic() < until:
        time.sleep(0.2)
        job = context.request.get(f"{server}/jobs/{job['job_id']}").json()
    assert job["state"] == "done"
    context.close()
    return f"#/case/{case_id}/closure"


@pytest.fixture
def closure(page, planned):
    """Open the plans of the case."""
    page.goto(f"{page.url.split('#')[0]}{planned}")
    handle(page, "A").wait_for()
    return page


def handle(page, letter):
    return page.get_by_role("button", name=re.compile(f"^Corner {letter},"))


def figures(page):
    return page.locator(".limit-figures b").all_inner_texts()


def middle(found):
    box = found.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_dragged_corner_moves_the_figures_within_a_frame(closure):
    page, before = closure, figures(closure)
    page.evaluate(FRAMES)
    x, y = middle(handle(page, "A").locator(".handle-ring"))
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(STEPS):
        page.mouse.move(x + step % 20, y - step % 15)
        page.wait_for_timeout(15)
    during = figures(page)
    page.mouse.up()
    marks = page.evaluate("() => { cancelAnimationFrame(marks.timer); return marks; }")
    frame_ms, server_ms = (statistics.median(marks[name]) for name in ("frames", "server"))
    said = f"drag: median frame {frame_ms:.1f} ms, preview {server_ms:.1f} ms on the server"
    sys.stdout.write(f"{said}\n")
    assert during != before
    assert len(marks["server"]) > 5
    page.get_by_role("heading", name=MOVED).wait_for()
    assert faults(page) == []
    page.get_by_role("button", name="Put all back").click()
    page.get_by_role("button", name=re.compile("Choose plan")).wait_for()
    page.wait_for_function("b => JSON.stringify([...document.querySelectorAll('.limit-figures b')]"
                           ".map(e => e.innerText)) === b", arg=compact(before))  # fmt: skip


def compact(texts):
    return "[" + ",".join(f'"{text}"' for text in texts) + "]"


def test_arrow_keys_move_a_corner_by_one_millimetre_and_undo_takes_it_back(closure):
    corner = handle(closure, "A")
    corner.focus()
    before = corner.get_attribute("aria-label")
    for _ in range(3):
        closure.keyboard.press("Shift+ArrowUp")
        closure.wait_for_timeout(200)
    closure.get_by_role("heading", name=MOVED).wait_for()
    assert corner.get_attribute("aria-label") != before
    assert corner.evaluate("it => it === document.activeElement")
    while closure.get_by_role("button", name="Undo the move").is_enabled():
        closure.get_by_role("button", name="Undo the move").click()
    closure.wait_for_function(
        "b => document.querySelector('[aria-label=\"' + b + '\"]')", arg=before
    )


def test_a_corner_is_moved_by_choosing_it_and_then_its_place(closure):
    x, y = middle(handle(closure, "A").locator(".handle-ring"))
    closure.mouse.click(x, y)
    closure.mouse.click(x + 30, y + 10)
    closure.get_by_role("heading", name=MOVED).wait_for()
    closure.reload()
    closure.get_by_role("heading", name=MOVED).wait_for()
    closure.get_by_role("button", name="Put all back").click()


def test_a_broken_limit_and_a_cut_through_the_disease_are_said_in_words(closure):
    centre = closure.get_by_role("button", name=re.compile("^Centre,"))
    centre.focus()
    for _ in range(9):
        closure.keyboard.press("Shift+ArrowRight")
        closure.wait_for_timeout(150)
    closure.locator(".standing").get_by_text(re.compile("limits? (is|are) broken")).wait_for()
    why = closure.locator(".primary-why")
    why.wait_for()
    assert "The cut goes through" in why.inner_text()
    assert (
        closure.get_by_role("button", name="Keep as my plan").get_attribute("aria-disabled")
        == "true"
    )
    closure.get_by_role("button", name="Put all back").click()
