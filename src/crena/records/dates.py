"""Days of the local calendar, as people read them."""

from datetime import date
from enum import StrEnum


class Language(StrEnum):
    """The languages in which a day is written out."""

    ENGLISH = "English"
    GERMAN = "German"


def long_date(day: date) -> str:
    """Return a day with its month in words, so that day and month cannot be mixed up.

    >>> long_date(date(2027, 1, 6))
    '6 January 2027'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def weekday_date(day: date, language: Language = Language.ENGLISH) -> str:
    """Return a day with its weekday, by which a wrong date is noticed.

    >>> weekday_date(date(2026, 12, 8)), weekday_date(date(2026, 12, 8), Language.GERMAN)
    ('Tuesday 8 December 2026', 'Dienstag, 8. Dezember 2026')
    """
    weekdays, months = NAMES[language]
    weekday, month = weekdays[day.weekday()], months[day.month - 1]
    if language is Language.GERMAN:
        return f"{weekday}, {day.day}. {month} {day.year}"
    return f"{weekday} {day.day} {month} {day.year}"


MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip

NAMES: dict[Language, tuple[tuple[str, ...], tuple[str, ...]]] = {
    Language.ENGLISH: (
        ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"),
        MONTHS,
    ),
    Language.GERMAN: (
        ("Montag", "Dienstag", "Mittwoch", "Donnerstag", "Freitag", "Samstag", "Sonntag"),
        (
            "Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September",
            "Oktober", "November", "Dezember",
        ),
    ),
}  # fmt: skip
"""Weekdays from Monday, and months."""
