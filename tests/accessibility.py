"""What an independent checker of accessibility finds wrong on a page."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
AXE = ROOT / "frontend/node_modules/axe-core/axe.min.js"

LET_GO = """document.querySelectorAll('.strip-who, footer')
.forEach(each => each.style.position = 'static')"""

AT_REST_MS = 1000
"""A page that was just changed may be measured while it moves; it is looked at once more."""


def faults(page):
    """What an independent checker of accessibility finds wrong on a page at rest.

    Strip and road are let go first: what they happen to cover is reached by scrolling.
    """
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = _found(page)
    if found:
        page.wait_for_timeout(AT_REST_MS)
        found = _found(page)
    return found


def _found(page):
    page.evaluate(LET_GO)
    found = page.evaluate(
        "axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']})"
    )
    return [(each["id"], each["nodes"][0]["html"][:120]) for each in found["violations"]]
