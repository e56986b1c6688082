"""Crena's English sentences in German, from the one catalogue that page and paper share.

The catalogue, `sentences/*.json`, holds each English sentence as the source builds it, with names
in braces where it fills something in, and its German. What a name stands for:

``{days}``
    A figure. It keeps its digits; the decimal point becomes a comma.
``{asked:amount}``
    A figure with its unit, if it has one.
``{day:date}``
    A day, with or without its weekday.
``{side:words}``
    Words that are in the catalogue themselves, or a list of such.
``{why:sentences}``
    One or more sentences of the catalogue.
``{plan:code}``
    A letter or a code, without a blank: it stays as it is.
``{file:text}``
    What somebody entered: it stays as it is.
``{note:entry}``
    The same, of several sentences.
``{given:value}``
    What somebody entered, which may be a figure.
``{layer:name}``
    Words of the catalogue, or a name that somebody gave.
``{where:field}``
    The place of an entry in what was sent.
``{size:size}``, ``{at:clock}``
    The size of a thread, like 3-0; a time of day.

Where two sentences of the catalogue fit, the one with more words of its own is taken. The page
does the same in `frontend/src/i18n/told.ts`.
"""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from crena.records import Language, Record
from crena.records.dates import MONTHS, NAMES

CATALOGUE = Path(__file__).parent / "sentences"
"""The catalogue, one file for each part of the work; what paper alone says lies in a folder."""

HOLE = re.compile(r"\{(\w+)(?::(\w+))?\}")
"""A name in braces, and what it stands for."""

_UNITS = {"mm": "mm", "cm²": "cm²", "mL": "mL", "kg": "kg", "degrees": "Grad", "days": "Tage"}
_FIGURE = r"[-+−]?(?:[0-9](?:[0-9.,–]*[0-9])?(?:e[+-]?[0-9]+)?|inf|nan)"
_WITHIN = r"(?:(?!\. ).)+?"
_DAYS = "|".join(NAMES[Language.ENGLISH][0])
_FORMS = {
    kind: re.compile(form)
    for kind, form in {
        "": _FIGURE,
        "amount": _FIGURE + rf"(?: (?:{'|'.join(_UNITS)}))?",
        "date": rf"(?:(?:{_DAYS}) )?[0-9]{{1,2}} (?:{'|'.join(MONTHS)}) [0-9]{{4}}",
        "words": _WITHIN,
        "text": _WITHIN,
        "name": _WITHIN,
        "value": _WITHIN,
        "entry": r".+",
        "sentences": r".+",
        "code": r"[^\s,;]+",
        "field": r"\w*[._\[][\w.\[\]]*",
        "size": r"[0-9]+(?:-[0-9]+)?",
        "clock": r"[0-9]{2}:[0-9]{2}",
    }.items()
}
"""What fits into a name, by what it stands for."""

_BREAK = re.compile(r"(?:(?<=[.?:])|(?<=[.?:]\*)) (?=[^a-z])")
"""Between two sentences that were put together; stars round the first mark bold words on paper."""

_JOINTS = {"; and ": "; und ", "; or ": "; oder ", "; ": "; ", " and ": " und ", ", ": ", "}
"""What holds a list together, the widest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Template(Record):
    """A sentence with names in it, taken apart."""

    beginning: str
    names: tuple[str, ...]
    kinds: tuple[str, ...]  #: what each name stands for
    after: tuple[str, ...]  #: what follows each name
    german: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece(Record):
    """Words in one language."""

    words: str
    language: Language


def in_german(text: str) -> str | None:
    """Return what Crena says in English, in German.

    Parameters
    ----------
    text : str
        One sentence or several, a phrase, or a list of phrases.

    Returns
    -------
    str or None
        None if some of it is not in the catalogue.

    Examples
    --------
    >>> in_german("Least skin taken and least pull.")
    'Am wenigsten Haut entnommen und geringster Zug.'
    >>> in_german("Operate tomorrow.")
    """
    pieces = pieces_of(text)
    if any(piece.language is Language.ENGLISH for piece in pieces):
        return None
    return "".join(piece.words for piece in pieces)


def figure_or_day(text: str) -> str | None:
    """Return a figure or a day by itself in German; none of any other text.

    >>> figure_or_day("1.5"), figure_or_day("Tuesday 8 December 2026"), figure_or_day("A")
    ('1,5', 'Dienstag, 8. Dezember 2026', None)
    """
    figure = _read("", text)
    return _read("date", text) if figure is None else figure


def pieces_of(text: str) -> tuple[Piece, ...]:
    """Return a text in German as far as the catalogue goes; the rest stays as it is."""
    line, newline, others = text.partition("\n")
    if newline:
        end = Piece(words=newline, language=Language.GERMAN)
        return (*_pieces_of_line(line), end, *pieces_of(others))
    return _pieces_of_line(line)


def _pieces_of_line(text: str) -> tuple[Piece, ...]:
    if not text:
        return ()
    ends = [found.start() for found in _BREAK.finditer(text)] + [len(text)]
    for end in reversed(ends):
        words = _whole(text[:end])
        if words is not None:
            return (_piece(words, Language.GERMAN, text, end), *_pieces_of_line(text[end + 1 :]))
    end = ends[0]
    return (_piece(text[:end], Language.ENGLISH, text, end), *_pieces_of_line(text[end + 1 :]))


def catalogue() -> dict[str, str]:
    """Return every sentence of the catalogue with its German."""
    files = sorted(CATALOGUE.rglob("*.json"))
    return {
        english: german
        for file in files
        for english, german in json.loads(file.read_text(encoding="utf-8")).items()
    }


def own_letters(english: str) -> int:
    """Return how long a sentence of the catalogue is without what is filled in."""
    return len(HOLE.sub("", english))


def _piece(words: str, language: Language, text: str, end: int) -> Piece:
    """Return words with what parts them from the next sentence."""
    return Piece(words=words + text[end : end + 1], language=language)


def _whole(text: str) -> str | None:
    """Return a phrase, a list or a sentence that is one entry, with its point or without."""
    found = _listed(text)
    if found is not None:
        return found
    if not text.endswith("."):
        unended = _listed(f"{text}.")
        return None if unended is None else unended.removesuffix(".")
    ended = _listed(text[:-1])
    return None if ended is None else f"{ended}."


@cache
def _listed(text: str) -> str | None:
    found = _said(text)
    if found is not None:
        return found
    for joint, german in _JOINTS.items():
        for at in _places(joint, text):
            first = _said(text[:at])
            rest = None if first is None else _listed(text[at + len(joint) :])
            if rest is not None:
                return f"{first}{german}{rest}"
    return None


def _places(joint: str, text: str) -> list[int]:
    return [found.start() for found in re.finditer(re.escape(joint), text)]


@cache
def _said(text: str) -> str | None:
    """Return one entry, also where it begins with a capital because a sentence does."""
    found = _known(text)
    if found is None and text[:1].isupper():
        found = _known(text[:1].lower() + text[1:])
        return None if found is None else found[:1].upper() + found[1:]
    return found


def _known(text: str) -> str | None:
    plain, templates = _compiled()
    if text in plain:
        return plain[text]
    for template in templates:
        values = _values(template, text)
        if values is not None:
            said = dict(zip(template.names, values, strict=True))
            return _filled(template.german, said)
    return None


def _filled(words: str, values: dict[str, str]) -> str:
    return HOLE.sub(lambda hole: values[hole[1]], words)


def _values(template: Template, text: str) -> list[str] | None:
    """Return what a text fills in, in German, or nothing if it is not this sentence."""
    if not (text.startswith(template.beginning) and text.endswith(template.after[-1])):
        return None
    return _fitting(text[len(template.beginning) :], template.kinds, template.after)


def _fitting(text: str, kinds: tuple[str, ...], after: tuple[str, ...]) -> list[str] | None:
    """Return the values of a text that begins with the first of some names."""
    if not kinds:
        return None if text else []
    ends = _places(after[0], text) if kinds[1:] else [len(text) - len(after[0])]
    for end in ends:
        value = _read(kinds[0], text[: max(end, 0)])
        rest = (
            None if value is None else _fitting(text[end + len(after[0]) :], kinds[1:], after[1:])
        )
        if value is not None and rest is not None:
            return [value, *rest]
    return None


def _read(kind: str, text: str) -> str | None:
    """Return what stands in the place of a name in German, if it can stand there."""
    return READ[kind](text) if _FORMS[kind].fullmatch(text) else None


def _figure(text: str) -> str:
    """Return a figure with the decimal comma.

    >>> _figure("-12.5"), _figure("0.5–2.0"), _figure("1,247")
    ('-12,5', '0,5–2,0', '1.247')
    """
    return re.sub(r"(?<=[0-9])[.,](?=[0-9])", lambda mark: {".": ",", ",": "."}[mark[0]], text)


def _amount(text: str) -> str:
    """Return a figure with its unit.

    >>> _amount("7.5 degrees"), _amount("0.8")
    ('7,5 Grad', '0,8')
    """
    figure, _, unit = text.partition(" ")
    return f"{_figure(figure)} {_UNITS[unit]}" if unit else _figure(figure)


def _date(text: str) -> str:
    """Return a day in German.

    >>> _date("Tuesday 8 December 2026"), _date("6 January 2027")
    ('Dienstag, 8. Dezember 2026', '6. Januar 2027')
    """
    *weekday, day, month, year = text.split(" ")
    (english, german), months = (NAMES[Language.ENGLISH][0], NAMES[Language.GERMAN][0]), MONTHS
    before = f"{german[english.index(weekday[0])]}, " if weekday else ""
    return f"{before}{day}. {NAMES[Language.GERMAN][1][months.index(month)]} {year}"


READ: dict[str, Callable[[str], str | None]] = {
    "": _figure,
    "amount": _amount,
    "date": _date,
    "words": _listed,
    "text": str,
    "value": lambda text: _read("", text) or text,
    "entry": str,
    "code": str,
    "field": str,
    "size": str,
    "clock": str,
    "name": lambda text: _listed(text) or text,
    "sentences": in_german,
}
"""How what fits into a name is said in German, by what it stands for."""


@cache
def _compiled() -> tuple[dict[str, str], tuple[Template, ...]]:
    """Return the sentences without names, and the others, most words of their own first."""
    every = catalogue()
    plain = {english: german for english, german in every.items() if not HOLE.search(english)}
    others = sorted(every.keys() - plain.keys(), key=lambda each: (-own_letters(each), each))
    return plain, tuple(_template(english, every[english]) for english in others)


def _template(english: str, german: str) -> Template:
    parts = re.split(HOLE.pattern, english)
    return Template(
        beginning=parts[0],
        names=tuple(parts[1::3]),
        kinds=tuple(kind or "" for kind in parts[2::3]),
        after=tuple(parts[3::3]),
        german=german,
    )
