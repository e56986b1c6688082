"""The language of a sheet: drawings and layouts are built in English and said in it.

Words are said where they are measured and where they are written, so that German words, which are
longer, get the room that they need. What the catalogue does not hold stays English: a sheet is
printed all the same.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache

from crena.draw.allergy_words import allergies_in
from crena.draw.german import Piece, figure_or_day, pieces_of
from crena.draw.words import NARROW, joined_units
from crena.records import Language

CODES = {Language.ENGLISH: "en", Language.GERMAN: "de"}
"""The languages as files name them."""

_WORD = re.compile(r"[^\W\d_]{2}")
"""Single letters are names of corners, plans and walls."""

_MADE_NAME = re.compile(r"pit \S+|\S+ end")
"""What Crena calls pits, and the hollows at the ends of tracts."""

_SHORT = 15
"""Signs in the longest words that are not parted: the patient's sides in English."""

_LANGUAGE: ContextVar[Language] = ContextVar("_LANGUAGE", default=Language.ENGLISH)


class Entered(str):
    """What somebody entered, a code, or words that were said already: they stay as they are."""

    __slots__ = ()


@contextmanager
def printed_in(language: Language) -> Iterator[None]:
    """Print everything within in a language.

    Parameters
    ----------
    language : Language
        Of the sheet.

    Examples
    --------
    >>> with printed_in(Language.GERMAN):
    ...     said("Coccyx tip"), said(Entered("Coccyx tip")), said("1.5")
    ('Steißbeinspitze', 'Coccyx tip', '1,5')
    """
    before = _LANGUAGE.set(language)
    try:
        yield
    finally:
        _LANGUAGE.reset(before)


def printed_language() -> Language:
    """Return the language of the sheet that is being printed."""
    return _LANGUAGE.get()


def said(text: str) -> str:
    """Return words in the language of the sheet; parts in stars stay in stars."""
    if isinstance(text, Entered) or printed_language() is Language.ENGLISH:
        return text
    pieces = _german(str(text))
    for piece in pieces:
        if piece.language is Language.ENGLISH and _WORD.search(piece.words):
            left_in_english(piece.words)
    return joined_units("".join(piece.words for piece in pieces))


def left_in_english(words: str) -> None:
    """Do nothing: here tests learn what the catalogue does not hold."""


def part_name(name: str) -> str:
    """Return the name of a part of the disease: it stays, unless Crena made it from another.

    >>> with printed_in(Language.GERMAN):
    ...     said(part_name("T1 end")), said(part_name("skin"))
    ('Ende von T1', 'skin')
    """
    return name if _MADE_NAME.fullmatch(name) else Entered(name)


def in_two_lines(words: str) -> tuple[str, ...]:
    """Return words in the language of the sheet, parted in the middle; short ones stay whole.

    >>> in_two_lines("patient's left")
    ("patient's left",)
    >>> with printed_in(Language.GERMAN):
    ...     in_two_lines("patient's left")
    ('linke Seite', 'des Patienten')
    """
    text = said(words)
    if len(text) <= _SHORT or " " not in text:
        return (words,)
    blanks = [at for at, sign in enumerate(text) if sign == " "]
    middle = min(blanks, key=lambda at: abs(2 * at - len(text)))
    return Entered(text[:middle]), Entered(text[middle + 1 :])


def said_allergies(sentence: str) -> str:
    """Return the sentence of the allergies in the language of the sheet; a note stays."""
    return Entered(allergies_in(sentence, printed_language()))


@cache
def _german(text: str) -> tuple[Piece, ...]:
    plain = text.replace(NARROW, " ")
    alone = figure_or_day(plain)
    if alone is None:
        return pieces_of(plain)
    return (Piece(words=alone, language=Language.GERMAN),)
