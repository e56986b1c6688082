"""The allergies' sentence in the patient's language; what is not known word by word stays."""

import re

from crena.records import Language
from crena.records.dates import MONTHS, NAMES

_SENTENCE = re.compile(
    r"Allergies: (?P<known>[^;]*)(; not asked: (?P<missing>[^;]*))?; asked (?P<day>[^;]*)"
)

_MONTH_IN_WORDS = re.compile(r"(\d{1,2}) ([A-Z][a-z]+) (\d{4})")

_GERMAN = {
    "none known": "keine bekannt",
    "see what is not asked": "siehe nicht gefragt",
    "dye": "Farbstoff",
    "local anaesthetic": "örtliche Betäubung",
    "antibiotic": "Antibiotikum",
    "antiseptic": "Hautdesinfektion",
    "latex": "Latex",
    "plaster": "Pflaster",
}


def allergies_in(sentence: str, language: Language) -> str:
    """Return the sentence that stands on every page, in a language.

    Parameters
    ----------
    sentence : str
        As the record holds it, in English.
    language : Language
        Of the sheet.

    Returns
    -------
    str
        Words of the fixed list are put into German, a note stays as it was written. A
        sentence of another form is left whole.

    Examples
    --------
    >>> allergies_in("Allergies: latex, kiwi; asked 3 May 2026", Language.GERMAN)
    'Allergien: Latex, kiwi; gefragt am 3. Mai 2026'
    """
    parts = _SENTENCE.fullmatch(sentence)
    if language is Language.ENGLISH or parts is None:
        return sentence
    missing = f"; nicht gefragt: {_each(parts['missing'])}" if parts["missing"] else ""
    day = _MONTH_IN_WORDS.sub(_german_day, parts["day"])
    return f"Allergien: {_each(parts['known'])}{missing}; gefragt am {day}"


def _each(words: str) -> str:
    return ", ".join(_GERMAN.get(word, word) for word in words.split(", "))


def _german_day(found: re.Match[str]) -> str:
    day, month, year = found.groups()
    if month not in MONTHS:
        return found[0]
    return f"{day}. {NAMES[Language.GERMAN][1][MONTHS.index(month)]} {year}"
