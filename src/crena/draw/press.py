"""The press: data and a sheet's layout in, PDF or PNG bytes out.

Data and layouts are English; `crena.draw.tongues.printed_in` gives the language that they are said
in. Drawings among the data were said when they were drawn.
"""

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import typst

from crena.draw.marks import FONT_FOLDER
from crena.draw.tongues import CODES, Entered, printed_language, said
from crena.draw.words import NARROW, joined_units

_SHEETS = Path(__file__).parent / "sheets"
"""The layouts, one file each."""

_SAID = re.compile(r'\bsay\("((?:[^"\\]|\\.)*)"')
"""Fixed words of a layout."""

_SHARED = "handout"
"""The layout that others are made of."""


def pdf_of(sheet: str, content: dict[str, Any]) -> bytes:
    """Print a sheet as a tagged PDF that is the same bytes for the same content and language.

    Parameters
    ----------
    sheet : str
        Name of the layout, without its ending.
    content : dict
        What the layout is filled with.

    Returns
    -------
    bytes
        A PDF that keeps PDF/UA-1 and asks the viewer to print it unscaled.
    """
    return unscaled(_set(sheet, content, format="pdf", pdf_standards=["ua-1"]))


def pages_of(sheet: str, content: dict[str, Any]) -> tuple[bytes, ...]:
    """Return the pages of a sheet as pictures, as `pdf_of` would print them.

    Parameters
    ----------
    sheet : str
        Name of the layout, without its ending.
    content : dict
        What the layout is filled with.

    Returns
    -------
    tuple of bytes
        One SVG for each page; letters are drawn, so that no font is needed to see them.
    """
    pages = _set(sheet, content, format="svg")
    return tuple(pages) if isinstance(pages, list) else (pages,)


def _set(sheet: str, content: dict[str, Any], **form: Any) -> Any:
    """Fill a layout: bytes, or a list of them where there are pages apart."""
    return typst.compile(
        _SHEETS / f"{sheet}.typ",
        root=_SHEETS,
        font_paths=_fonts(),
        sys_inputs={
            "content": json.dumps({"lang": CODES[printed_language()]} | _in_language(content)),
            "words": json.dumps(_fixed_words(sheet)),
        },
        package_path=_SHEETS,
        **form,
    )


def _in_language(content: Any) -> Any:
    """Return what a layout is filled with, every text in it in the language of the sheet."""
    if isinstance(content, dict):
        return {key: _in_language(each) for key, each in content.items()}
    if isinstance(content, (list, tuple)):
        return [_in_language(each) for each in content]
    if isinstance(content, str) and not isinstance(content, Entered):
        return content if content.startswith("<svg") else said(content)
    return content


def _fixed_words(sheet: str) -> dict[str, str]:
    """Return the fixed words of a layout in the language of the sheet."""
    return {words: _set_out(said(words)) for words in words_of_layout(sheet)}


def _set_out(words: str) -> str:
    """Return fixed words in which no box can part from the word that it ticks."""
    return joined_units(words).replace("☐ ", f"☐{NARROW}").replace("___ mm", f"___{NARROW}mm")


@cache
def words_of_layout(sheet: str) -> tuple[str, ...]:
    """Return the fixed words of a layout in English, as it says them.

    >>> "Plan code" in words_of_layout("template")
    True
    """
    texts = [(_SHEETS / f"{name}.typ").read_text(encoding="utf-8") for name in (sheet, _SHARED)]
    return tuple(dict.fromkeys(words for text in texts for words in _SAID.findall(text)))


def png_of(svg: bytes, *, width_mm: float, pixels_per_inch: float = 200.0) -> bytes:
    """Return a drawing as a PNG picture on white.

    Parameters
    ----------
    svg : bytes
        The drawing.
    width_mm : float
        Its width; a margin of 4 mm is left around it.
    pixels_per_inch : float
        How fine the picture is.

    Returns
    -------
    bytes
        A PNG file.
    """
    return typst.compile(
        _SHEETS / "picture.typ",
        root=_SHEETS,
        format="png",
        ppi=pixels_per_inch,
        font_paths=_fonts(),
        sys_inputs={"content": json.dumps({"svg": svg.decode(), "width_mm": width_mm})},
    )


def unscaled(pdf: bytes) -> bytes:
    """Ask the viewer to print a PDF unscaled (viewer preference PrintScaling None).

    Parameters
    ----------
    pdf : bytes
        A file with a cross-reference table and its catalogue in plain text.

    Returns
    -------
    bytes
        The file with a new catalogue appended as an incremental update.

    Raises
    ------
    ValueError
        If the file is not written in that way.

    Notes
    -----
    ISO 32000-1:2008, 7.5.6 (incremental updates) and 12.2 (viewer preferences).
    """
    root = re.search(rb"/Root (\d+) 0 R", pdf)
    previous = re.findall(rb"startxref\s+(\d+)", pdf)
    trailer = pdf[pdf.rfind(b"trailer") :] if b"trailer" in pdf else b""
    body = re.search(rb"trailer\s*<<(.*?)>>\s*startxref", trailer, re.DOTALL)
    if root is None or not previous or body is None:
        raise ValueError("The PDF has no plain cross-reference table.")
    catalogue = re.search(rb"\b%s 0 obj\s*<<(.*?)>>\s*endobj" % root[1], pdf, re.DOTALL)
    if catalogue is None or b"/ViewerPreferences<<" not in catalogue[1]:
        raise ValueError("The PDF has no plain catalogue.")
    wanted = b"/ViewerPreferences<</PrintScaling/None"
    entry = catalogue[1].replace(b"/ViewerPreferences<<", wanted)
    start = len(pdf) + 1
    update = b"\n%s 0 obj\n<<%s>>\nendobj\n" % (root[1], entry)
    table = b"xref\n%s 1\n%010d 00000 n \ntrailer\n<<%s/Prev %s>>\nstartxref\n%d\n%%%%EOF\n"
    return pdf + update + table % (root[1], start, body[1], previous[-1], start + len(update) - 1)


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONT_FOLDER)]
    )
