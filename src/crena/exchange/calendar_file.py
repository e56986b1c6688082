"""Calendar files (RFC 5545, iCalendar): one whole-day event for each date of a schedule."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from hashlib import sha256

from crena.records import DatedTask, InputError, Schedule, weekday_date
from crena.records.statements import CAUTION

LONGEST_LINE = 75
"""Octets in a line without its end (RFC 5545, section 3.1)."""

PRODUCT = "-//Crena//Dates after the operation//EN"


def calendar_file(
    schedule: Schedule, *, plan_code: str, made_at: datetime, name: str = "", case: str = ""
) -> bytes:
    """Return a schedule as a calendar file.

    Parameters
    ----------
    schedule : Schedule
        Its days stay days of the calendar; no hour and no zone is made of them.
    plan_code : str
        Stands in every event instead of the patient's name, and makes its identity: the
        same entry of the same plan keeps its UID, so that a later file replaces it.
    made_at : datetime
        When the file is made, in UTC.
    name : str
        The patient's, only if it may stand in other people's calendars.
    case : str
        Label of the case; without a plan code it tells two patients apart, and is not printed.

    Raises
    ------
    InputError
        If `made_at` is not in UTC.

    Notes
    -----
    RFC 5545: events 3.6.1, days 3.3.4, text 3.3.11, folding 3.1. An event whose DTSTART is
    a day and that has no end lasts that day.
    """
    stamp = _stamp(made_at)
    plan_words = f"plan {plan_code}" if plan_code else ""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    for entry in schedule.entries:
        uid = _identity(plan_code or f"{case} {schedule.operated_on.isoformat()}", entry.code)
        lines += _event(entry, schedule.operated_on, (uid, stamp), name or plan_words)
    lines.append("END:VCALENDAR")
    return b"".join(_folded(line) for line in lines)


def _event(entry: DatedTask, operated_on: date, marks: tuple[str, str], name: str) -> Iterator[str]:
    uid, stamp = marks
    subject = ", ".join(filter(None, (entry.task, name)))
    yield "BEGIN:VEVENT"
    yield f"UID:{uid}"
    yield f"DTSTAMP:{stamp}"
    yield f"DTSTART;VALUE=DATE:{_day(entry.on)}"
    yield f"SUMMARY:{_escaped(subject)}"
    yield f"DESCRIPTION:{_escaped(_description(entry, operated_on))}"
    yield "CLASS:PRIVATE"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _description(entry: DatedTask, operated_on: date) -> str:
    """Return the day in words and counted, who does it, what to mind, one a line."""
    beside = entry.weekday_after
    lines = (
        f"{weekday_date(entry.on)}, day {entry.day}.",
        f"Day 0 is the operation, {weekday_date(operated_on)}.",
        f"A weekend; the next weekday is {weekday_date(beside)}." if beside else "",
        f"Who: {entry.who}.",
        f"Time: {entry.source}.",
        entry.caution,
        *entry.warnings,
        CAUTION,
    )
    return "\n".join(filter(None, lines))


def _identity(whose: str, entry_code: str) -> str:
    return sha256(f"{whose}\n{entry_code}".encode()).hexdigest()[:32]


def _day(day: date) -> str:
    return f"{day.year:04d}{day.month:02d}{day.day:02d}"


def _stamp(made_at: datetime) -> str:
    if made_at.utcoffset() != timedelta(0):
        raise InputError("The time at which a calendar file is made must be in UTC.")
    return f"{_day(made_at)}T{made_at.hour:02d}{made_at.minute:02d}{made_at.second:02d}Z"


def _escaped(text: str) -> str:
    """Return text as a value; control signs, which no value may hold, become spaces."""
    for sign, written in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        text = text.replace(sign, written)
    return "".join(" " if ord(sign) < 0x20 or ord(sign) == 0x7F else sign for sign in text)


def _folded(line: str) -> bytes:
    """Return a line in pieces of at most 75 octets, no letter split, with CRLF at each end."""
    pieces, piece = [], b""
    for letter in line:
        octets = letter.encode()
        if len(piece) + len(octets) > LONGEST_LINE:
            pieces.append(piece)
            piece = b" "
        piece += octets
    return b"\r\n".join([*pieces, piece, b""])
