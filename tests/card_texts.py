"""What every card after the plan must keep: names on each page, print, units."""

import re

from printed_pages import overlaps, words_of

from crena.records.statements import CAUTION

LEAST_PT = 7.99

NAMES = re.compile(
    r"Case \d+|G6PD|C12-4F2C|USP <881>|\d{1,2} [A-Z][a-z]+ 20\d\d|page \d of \d"
    r"|\b\d-0\b|\(metric \d\)|\d\d:\d\d|000 0000|Ward 0|(?<=[A-Za-z] )(?:19|20)\d\d\b"
    r"|\b1975\b|n = \d+|Layer \d|Drain \d"
)
"""Figures that name something and measure nothing."""

UNIT = re.compile(
    r"\d+(?:–\d+)? ?(?:mm|cm|mL|N/cm2|N|MPa|g|h|%|°C|° ?|of \d+|in 10|times|charrière|patients"
    r"|(?:rows?|packets?|threads?|stitch(?:es)?|interrupted|days|weeks)\b)"
    r"|[Dd]ays? \d+(?:–\d+)?|\d×|\d of \d"
)
"""A figure with what it counts, on either side."""


def assert_named(page, side="Flap from the PATIENT'S RIGHT"):
    """Case, side, allergies, plan code and caution stand on the page."""
    text = words_of(page)
    for words in ("Case 12 (demonstration)", side, "Allergies: latex; not asked: dye", "C12-4F2C"):
        assert words in text
    assert CAUTION in text


def assert_readable(page):
    """Nothing is smaller than 8 pt, leaves the page or lies on other words."""
    assert min(c["size"] for c in page.chars) >= LEAST_PT
    assert all(0 < c["x0"] and c["x1"] < page.width for c in page.chars)
    assert all(0 < c["top"] and c["bottom"] < page.height for c in page.chars)
    assert overlaps(page) == []


def bare_figures(text):
    """Return the figures that neither name something nor have a unit."""
    return re.findall(r"\d+(?:[.,]\d+)?", UNIT.sub(" ", NAMES.sub(" ", text)))
