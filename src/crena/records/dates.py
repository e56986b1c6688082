"""Days of the local calendar, as people read them."""

from datetime import date


def long_date(day: date) -> str:
    """Return a day with its month in words, so that day and month cannot be mixed up.

    >>> long_date(date(2027, 1, 6))
    '6 January 2027'
    """
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
