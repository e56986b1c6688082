"""A server that can be killed, and a person at the page: with a pointer, or with keys alone."""

import json
import re
import subprocess
import sys
from datetime import date, datetime
from pathlib import Path

import numpy as np
from accessibility import faults

ROOT = Path(__file__).resolve().parents[2]
WORDS = ROOT / "frontend/src/i18n"
SCREENS = ROOT / "out/screens"
SAVED_MS = 700
"""Entries are saved 400 ms after the last one; what is lost may be no older."""

STRIDE = 5
"""Pixels, slices or mm of a step with Shift."""


class Server:
    """A server that can be killed and comes back at its own address."""

    def __init__(self, folder, command=("serve", "--data")):
        """Serve a folder of cases at any free address."""
        self._command, self._port = [*command, folder], "0"
        self._start()

    def _start(self):
        command = [sys.executable, "-m", "crena", *self._command, "--port", self._port]
        self._process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        said = next(line for line in self._process.stdout if line.startswith("Open "))
        self.address = said.split()[-1]
        self.base = self.address.split("/enter")[0]
        self._port = self.base.rsplit(":", 1)[1]

    def killed(self):
        """Kill the server without a warning, and start it again."""
        self.close()
        self._start()

    def close(self):
        """Kill the server."""
        self._process.kill()
        self._ended()

    def stopped(self):
        """Stop the server as whoever started it would."""
        self._process.terminate()
        self._ended()

    def _ended(self):
        self._process.wait()
        self._process.stdout.close()


class Pointer:
    """A person with a pointer, who reads the page in one language."""

    name = "pointer"

    def __init__(self, server, context, language):
        """Open the page."""
        self.server, self.context, self.language = server, context, language
        self._words = {
            path.stem: json.loads(path.read_text(encoding="utf-8"))
            for path in (WORDS / language).glob("*.json")
        }
        self._shots = 0
        self.page = context.new_page()
        self.page.goto(server.address)
        if language == "de":
            self.do(self.page.get_by_role("button", name="Deutsch"))

    # --- what a hand does

    def do(self, found):
        """Press or choose something."""
        found.click()

    def type(self, found, words):
        """Type into a field, in place of what it held."""
        found.fill(words)

    def date(self, found, day):
        """Type a day or an instant as the language of the page writes it."""
        form = "%d.%m.%Y" if self.language == "de" else "%d %b %Y"
        self.type(found, day.strftime(f"{form}, %H:%M" if isinstance(day, datetime) else form))
        found.blur()
        assert str(day.year) in found.input_value(), found.input_value()
        assert found.get_attribute("aria-invalid") == "false"

    def upload(self, folder):
        """Give a folder to the page."""
        self.page.locator("input[webkitdirectory]").set_input_files(folder)

    def mark(self, across, down, slice_number):
        """Mark a pixel of a slice of the scan."""
        scan = self.gets("scan").json()
        self.page.get_by_role("slider").first.fill(str(slice_number))
        paper = self.page.locator(".slice-paper")
        box = paper.bounding_box()
        x = box["width"] * (across + 0.5) / scan["columns"]
        y = box["height"] * (down + 0.5) / scan["rows"]
        paper.click(position={"x": x, "y": y})

    def move(self, handle):
        """Drag a handle a few millimetres towards the patient's right and the feet."""
        box = handle.locator(".handle-ring").bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        self.page.mouse.move(x + 6, y + 8, steps=5)
        self.page.mouse.up()

    # --- the page in words

    def say(self, key, **figures):
        """Return words of the page by their key, like `closure.sign.side`."""
        found = self._words
        for part in key.split("."):
            found = found[part]
        for name, value in figures.items():
            found = found.replace(f"{{{{{name}}}}}", str(value))
        return found

    def press(self, key, **figures):
        """Press a button by its words."""
        self.do(self.page.get_by_role("button", name=self.say(key, **figures), exact=True).first)

    def primary(self, key, **figures):
        """Press the next step at the end of the road."""
        words = self.say(key, **figures)
        self.do(self.page.locator(".primary-button", has_text=words).first)

    def choose(self, key):
        """Choose an answer by its words."""
        self.do(self.page.get_by_role("radio", name=self.say(key), exact=True).first)

    def field(self, key):
        """Return a field by its words."""
        return self.page.get_by_label(self.say(key), exact=True).first

    def fill(self, key, words):
        """Type into a field that is named by its words."""
        self.type(self.field(key), words)

    def sees(self, key, **figures):
        """Wait until words stand on the page."""
        self.page.get_by_text(self.say(key, **figures), exact=True).first.wait_for()

    # --- the case behind it

    def case(self):
        """Return the revision as the server has it, once what was typed is saved."""
        self.page.wait_for_timeout(SAVED_MS)
        return self.gets("").json()

    def gets(self, path):
        """Return what the server answers below the open case."""
        name = re.search(r"case/(\w+)/", self.page.url)[1]
        answer = self.context.request.get(f"{self.server.base}/api/cases/{name}/{path}".rstrip("/"))
        assert answer.ok, answer.text()
        return answer

    # --- what may happen, and what was seen

    def looked(self, name):
        """Keep a picture of the page, and let the checker of accessibility look at it."""
        self._shots += 1
        SCREENS.mkdir(parents=True, exist_ok=True)
        picture = f"{self.language}-{self.name}-{self._shots:02d}-{name}.png"
        self.page.screenshot(path=SCREENS / picture, full_page=True)
        assert faults(self.page) == []
        left_in_english = self.page.locator("[lang=en]:not(html, button)").all_inner_texts()
        assert self.language == "en" or left_in_english == []

    def reloaded(self):
        """Load the page anew; nothing is lost."""
        self._again(self.page.reload)

    def tab_closed(self):
        """Close the tab and open another; nothing is lost."""
        self._again(self._new_tab)

    def server_killed(self):
        """Kill the server and start it again; nothing is lost."""
        self._again(self._new_server)

    def _again(self, happen):
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


class Keys(Pointer):
    """The same person with a keyboard and nothing else."""

    name = "keys"

    def do(self, found):
        """Put the focus on something and press its key."""
        chooses = found.evaluate("e => e.type === 'radio' || e.type === 'checkbox'")
        found.focus()
        self.page.keyboard.press("Space" if chooses else "Enter")

    def type(self, found, words):
        """Select what the field holds and type over it."""
        found.focus()
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(words)

    def upload(self, folder):
        """Open the browser's own choice of a folder by key."""
        with self.page.expect_file_chooser() as opened:
            self.do(self.page.locator("input[webkitdirectory]"))
        opened.value.set_files(folder)

    def mark(self, across, down, slice_number):
        """Walk the cross to a pixel of a slice by arrow keys, and press Enter."""
        view = self.gets("scan").json()["views"][0]
        paper = self.page.locator(".slice-paper")
        paper.focus()
        drawn = self.page.locator(".slice-cross").get_attribute("d")
        y = float(re.match(r"M\S+ (\S+?)H", drawn)[1])
        x = float(re.search(r"M(\S+) \S+V", drawn)[1])
        now = int(re.search(r"\d+", paper.get_attribute("aria-label"))[0]) - 1
        self._walk("ArrowRight", "ArrowLeft", round(across - x / view["column_mm"]))
        self._walk("ArrowDown", "ArrowUp", round(down - y / view["row_mm"]))
        self._walk("PageUp", "PageDown", slice_number - now)
        self.page.keyboard.press("Enter")

    def move(self, handle):
        """Move a handle by keys, three millimetres each way."""
        handle.focus()
        for key in ("ArrowRight", "ArrowDown") * 3:
            self.page.keyboard.press(key)

    def _walk(self, on, back, steps):
        strides, single = divmod(abs(steps), STRIDE)
        key = on if steps > 0 else back
        for _ in range(strides):
            self.page.keyboard.press(f"Shift+{key}")
        for _ in range(single):
            self.page.keyboard.press(key)


def pixel_of(volume, place):
    """Return column, row and slice at which a place of the patient is shown."""
    affine = volume.affine
    i, j, k = np.linalg.solve(affine[:3, :3], np.array(place) - affine[:3, 3])
    _, rows, columns = volume.voxels.shape
    across = columns - 1 - i if affine[0, 0] > 0 else i
    down = rows - 1 - j if affine[1, 1] > 0 else j
    return across, down, round(k)


def days_before_today(count):
    """Return a day some days ago."""
    return date.fromordinal(date.today().toordinal() - count)
