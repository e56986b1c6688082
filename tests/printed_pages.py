"""Printed sheets, read back."""

from io import BytesIO

import pdfplumber


def pages_of(pdf: bytes) -> list[pdfplumber.page.Page]:
    """Return the pages of a printed sheet."""
    return pdfplumber.open(BytesIO(pdf)).pages


def words_of(page: pdfplumber.page.Page) -> str:
    """Return what stands on a page, in one line."""
    return " ".join(page.extract_text().replace("\u00a0", " ").split())


def overlaps(page: pdfplumber.page.Page) -> list[tuple[str, str]]:
    """Return all pairs of words that lie on each other."""
    words = page.extract_words()
    return [
        (a["text"], b["text"])
        for i, a in enumerate(words)
        for b in words[i + 1 :]
        if min(a["x1"], b["x1"]) - max(a["x0"], b["x0"]) > 0.5
        and min(a["bottom"], b["bottom"]) - max(a["top"], b["top"]) > 2.5
    ]
