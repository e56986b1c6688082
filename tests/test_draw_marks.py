"""Marks: letters are measured by any number of threads at once."""

import subprocess
import sys

MEASURED_AT_ONCE = """
import sys
from concurrent.futures import ThreadPoolExecutor
from crena.draw.marks import _advance_em

letters = filter(str.isprintable, map(chr, range(0x21, 0x17F)))
fonts = "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"
asked = [(letter, font) for letter in letters for font in fonts]
sys.setswitchinterval(1e-5)

def measured(start):
    turned = asked[start:] + asked[:start]
    return {each: _advance_em.__wrapped__(*each) for each in turned}

with ThreadPoolExecutor(8) as threads:
    found = list(threads.map(measured, range(0, 640, 20)))
assert all(each == found[0] for each in found)
"""


def test_letters_are_measured_by_eight_threads_at_once():
    command = [sys.executable, "-W", "ignore", "-c", MEASURED_AT_ONCE]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
