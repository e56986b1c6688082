"""One case from nothing to the patient's sheet, in both languages, whatever breaks on the way.

After each part of the journey something happens: the page is loaded anew, its tab is closed, or
the server is killed. What was entered by then is there again.
"""

import json
import re
import subprocess
import sys
import time
from datetime import date, timedelta
from io import BytesIO
from pathlib import Path
from urllib.request import urlopen

import numpy as np
import pdfplumber
import pytest
from printed_pages import pages_of, words_of
from test_draw_templates import bars_mm

from crena.imaging import PhantomRecipe, read_series, render, write_series

WORDS = Path(__file__).resolve().parents[2] / "frontend/src/i18n"
LONG_MS = 300_000
SAVED_MS = 700
"""Entries are saved 400 ms after the last one; what is lost may be no older."""

DAYS_AGO = 4
VOLUMES = ("34", "21", "15,5", "9")


class Server:
    """A server that can be killed and comes back at its own address."""

    def __init__(self, folder):
        self._folder, self._port = folder, "0"
        self._start()

    def _start(self):
        command = [sys.executable, "-m", "crena", "serve", "--data", str(self._folder)]
        self._process = subprocess.Popen(
            [*command, "--port", self._port], stdout=subprocess.PIPE, text=True
        )
        self.address = self._process.stdout.readline().split()[-1]
        self.base = self.address.split("/enter")[0]
        self._port = self.base.rsplit(":", 1)[1]
        for _ in range(100):
            try:
                urlopen(self.base, timeout=5).close()
                return
            except OSError:
                time.sleep(0.2)

    def killed(self):
        """Kill the server without a warning, and start it again."""
        self.close()
        self._start()

    def close(self):
        self._process.kill()
        self._process.wait()
        self._process.stdout.close()


class Journey:
    """A person at the page: the words of one language, and what may happen to the page."""

    def __init__(self, server, context, language):
        self.server, self.context = server, context
        self._words = {
            path.stem: json.loads(path.read_text(encoding="utf-8"))
            for path in (WORDS / language).glob("*.json")
        }
        self.page = context.new_page()
        self.page.goto(server.address)
        if language == "de":
            self.page.get_by_role("button", name="Deutsch").click()

    def say(self, key, **figures):
        """Return words of the page by their key, like `closure.sign.side`."""
        found = self._words
        for part in key.split("."):
            found = found[part]
        for name, value in figures.items():
            found = found.replace(f"{{{{{name}}}}}", str(value))
        return found

    def press(self, key, **figures):
        self.page.get_by_role("button", name=self.say(key, **figures), exact=True).first.click()

    def primary(self, key, **figures):
        """Press the next step at the end of the road."""
        words = self.say(key, **figures)
        self.page.locator(".primary-button", has_text=words).first.click()

    def field(self, key, **figures):
        return self.page.get_by_role("textbox", name=self.say(key, **figures), exact=True).first

    def fill(self, key, words):
        self.field(key).fill(words)

    def sees(self, key, **figures):
        self.page.get_by_text(self.say(key, **figures), exact=True).first.wait_for()

    def at(self, stop):
        self.page.wait_for_url(re.compile(f"/{stop}$"), timeout=LONG_MS)

    def case(self):
        """Return the case as the server has it."""
        self.page.wait_for_timeout(SAVED_MS)
        name = re.search(r"case/(\w+)/", self.page.url)[1]
        return self.context.request.get(f"{self.server.base}/api/cases/{name}").json()

    def gets(self, path):
        name = re.search(r"case/(\w+)/", self.page.url)[1]
        answer = self.context.request.get(f"{self.server.base}/api/cases/{name}/{path}")
        assert answer.ok, answer.text()
        return answer

    def reloaded(self):
        self._again(self.page.reload)

    def tab_closed(self):
        self._again(self._new_tab)

    def server_killed(self):
        self._again(self._new_server)

    def _again(self, happen):
        """Let something happen; afterwards the case is as it was."""
        before, url = self.case()["dossier"], self.page.url
        happen()
        self.page.goto(url)
        self.page.get_by_role("navigation", name=self.say("shell.road.name")).wait_for()
        assert self.case()["dossier"] == before

    def _new_tab(self):
        self.page.close()
        self.page = self.context.new_page()

    def _new_server(self):
        self.server.killed()
        self.page.goto(self.server.address)


@pytest.fixture(scope="module")
def phantom():
    return render(PhantomRecipe(seed=12))


@pytest.fixture(scope="module")
def series(phantom, tmp_path_factory):
    """Write the scan as a disc has it."""
    folder = tmp_path_factory.mktemp("disc") / "mri"
    write_series(phantom.volume, folder, label="INVENTED^TWO", uid_seed="two")
    return folder


@pytest.fixture
def server(tmp_path):
    made = Server(tmp_path)
    yield made
    made.close()


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_case_goes_its_whole_way_and_nothing_is_lost(browser, server, series, phantom, language):
    context = browser.new_context(
        viewport={"width": 1440, "height": 900}, locale="en-GB", reduced_motion="reduce"
    )
    context.set_default_timeout(90_000)
    journey = Journey(server, context, language)
    begin(journey)
    add_scan(journey, series)
    journey.reloaded()
    mark(journey, phantom, read_series(series))
    journey.server_killed()
    plan(journey)
    drag_and_keep(journey)
    journey.tab_closed()
    sign(journey)
    journey.server_killed()
    measure(journey)
    journey.reloaded()
    plan_in_theatre(journey)
    journey.tab_closed()
    record(journey)
    journey.server_killed()
    heal(journey)
    journey.reloaded()
    sheet = journey.gets("sheets/patient-de.pdf").body()
    assert "Fäden" in " ".join(words_of(each) for each in pages_of(sheet))
    context.close()


def begin(journey):
    journey.press("cases.new.open")
    journey.fill("cases.new.label", "Case 40")
    journey.fill("cases.new.identifier", "Y-40")
    for each in journey.page.get_by_role("button", name=journey.say("cases.new.all_no")).all():
        each.click()
    journey.press("cases.new.start")
    journey.at("disease")


def add_scan(journey, series):
    journey.page.locator("input[webkitdirectory]").set_input_files(series)
    journey.page.locator(".slice-paper").wait_for()


def mark(journey, phantom, volume):
    """Mark landmarks, bone and the first tract, by tapping the slices."""
    for name, place in (
        ("coccyx_tip", phantom.coccyx_tip_lps_mm),
        ("sacral_crest", phantom.sacral_crest_lps_mm),
        ("anal_verge", phantom.anal_verge_lps_mm),
    ):
        choose_mark(journey, name)
        tap(journey, volume, place)
    choose_mark(journey, "midline_bone")
    for place in phantom.presacral_lps_mm[:8:3]:
        tap(journey, volume, place)
    line = phantom.tracts[0].centre_lps_mm
    journey.press("scan.add_tract")
    tap(journey, volume, line[0])
    choose_mark(journey, "blind_end")
    tap(journey, volume, line[-1])
    choose_mark(journey, "way_point")
    tap(journey, volume, line[len(line) // 2])


def choose_mark(journey, name):
    words = re.escape(journey.say(f"scan.mark.{name}"))
    journey.page.locator(".mark-choose", has_text=re.compile(words)).first.click()


def tap(journey, volume, place):
    """Turn to the slice of a place and tap it there."""
    affine = volume.affine
    i, j, k = np.linalg.solve(affine[:3, :3], np.array(place) - affine[:3, 3])
    _, rows, columns = volume.voxels.shape
    journey.page.get_by_role("slider").first.fill(str(round(k)))
    paper = journey.page.locator(".slice-paper")
    box = paper.bounding_box()
    across = (columns - 1 - i if affine[0, 0] > 0 else i) + 0.5
    down = (rows - 1 - j if affine[1, 1] > 0 else j) + 0.5
    paper.click(position={"x": box["width"] * across / columns, "y": box["height"] * down / rows})


def plan(journey):
    journey.page.get_by_role("button", name=journey.say("disease.plan")).click()
    journey.at("closure")
    journey.page.locator(".plan-row").first.wait_for()


def drag_and_keep(journey):
    """Drag a corner a little outwards and keep that as the surgeon's own plan."""
    page = journey.page
    name = journey.say("moving.corner", name="A", act="").rstrip(", ")
    ring = page.get_by_role("button", name=re.compile(f"^{name},")).locator(".handle-ring")
    box = ring.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 6, y + 8, steps=5)
    page.mouse.up()
    plans = page.locator(".plan-row").count()
    journey.primary("moving.keep")
    page.wait_for_function(
        "n => document.querySelectorAll('.plan-row').length > n", arg=plans, timeout=LONG_MS
    )


def sign(journey):
    """Choose the plan that was kept and sign it off."""
    plans = journey.gets("plans").json()["plans"]
    own = plans[-1]
    assert own["moved"] is not None
    journey.page.locator(".plan-row").nth(len(plans) - 1).click()
    journey.primary("closure.choose", plan=own["id"])
    journey.sees("closure.sign.title", plan=own["id"])
    side = own["closure"]["donor_side"].split()[-1]
    journey.fill("closure.sign.side", journey.say(f"shell.side.{side}"))
    journey.fill("closure.sign.label", "case 40")
    journey.fill("closure.sign.identifier", "y-40")
    journey.field("closure.sign.identifier").press("Enter")
    journey.at("marking")


def measure(journey):
    """Print the template, lay the ruler on its bars, type what it says."""
    with journey.context.expect_page() as opened:
        journey.primary("marking.print")
    sheet = journey.context.request.get(opened.value.url).body()
    opened.value.close()
    bars = bars_mm(pdfplumber.open(BytesIO(sheet)).pages[0])
    for key, (length, *_) in zip(("across", "along"), bars, strict=True):
        assert length == pytest.approx(100.0, abs=0.02)
        journey.fill(f"marking.{key}", f"{length:.1f}".replace(".", ","))
    journey.primary("marking.keep_bars")
    journey.sees("marking.ready")


def plan_in_theatre(journey):
    """Find the hole larger than planned, plan for it, use one of the new plans."""
    page = journey.page
    journey.primary("marking.to_theatre")
    journey.at("theatre")
    journey.press("theatre.hole.name")
    more = journey.say("theatre.more", what=journey.say("theatre.hole.off"))
    for _ in range(4):
        for _ in range(3):
            page.get_by_role("button", name=more).click()
        page.locator(".primary-button").click()
    page.locator(".tile").first.wait_for(timeout=LONG_MS)
    letter = page.locator(".tile").first.inner_text().strip()[0]
    journey.primary("theatre.plans.take", plan=letter)
    journey.page.get_by_role("button", name=journey.say("theatre.plans.on")).wait_for()
    done = journey.case()["dossier"]["case"]["operation"]
    assert done["plan_code"].startswith("T") and done["measured"]


def record(journey):
    """Stamp a step; record layers, counts, a drain, and the day, which was four days ago."""
    page = journey.page
    journey.press("theatre.steps.name")
    step = re.compile("^" + re.escape(journey.say("theatre.step.marked")))
    page.get_by_role("button", name=step).first.click()
    journey.press("theatre.record.name")
    journey.press("theatre.layers.confirm")
    page.get_by_role("radio", name=journey.say("theatre.counts.yes"), exact=True).check()
    page.get_by_role("radio", name=journey.say("theatre.drains.laid"), exact=True).check()
    page.get_by_label(journey.say("theatre.drains.size"), exact=True).fill("10")
    page.get_by_text(journey.say("theatre.record.more"), exact=True).click()
    day = date.today() - timedelta(days=DAYS_AGO)
    page.get_by_label(journey.say("theatre.record.day"), exact=True).fill(day.isoformat())
    operation = journey.case()["dossier"]["case"]["operation"]
    assert operation["operated_on"] == day.isoformat()
    assert operation["counts_agree"] == "yes" and len(operation["steps"]) == 1
    assert journey.gets("sheets/operation-note.pdf").body().startswith(b"%PDF")


def heal(journey):
    """Read the drain for four days and see its forecast narrow; then the stitches come out."""
    page = journey.page
    page.goto(re.sub(r"/[a-z]+$", "/healing", page.url))
    day = date.today() - timedelta(days=DAYS_AGO)
    ended = page.get_by_label(journey.say("healing.reading.ended"), exact=True)
    ended.fill(f"{day.isoformat()}T11:00")
    widths = []
    for number, volume in enumerate(VOLUMES, start=1):
        at = day + timedelta(days=number)
        page.get_by_label(journey.say("healing.reading.volume"), exact=True).first.fill(volume)
        emptied = page.get_by_label(journey.say("healing.reading.at"), exact=True).first
        emptied.fill(f"{at.isoformat()}T00:20")
        journey.press("healing.reading.save")
        widths.append(_width_after(journey, number))
    assert widths[-1] < widths[0], widths
    journey.press("healing.support.all_out")
    care = journey.case()["dossier"]["case"]["aftercare"]
    assert care["stitches_out_on"] == date.today().isoformat()


def _width_after(journey, readings):
    for _ in range(100):
        drain = journey.gets("healing").json()["drain"]
        if drain and drain["readings"] == readings:
            return drain["to_day"] - drain["from_day"]
        journey.page.wait_for_timeout(100)
    raise AssertionError("the reading was not saved")
