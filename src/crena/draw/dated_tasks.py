"""The daily readings of the drain, for the sheets that list days."""

from collections.abc import Iterable

from crena.records import DatedTask
from crena.records.schedules import rule_code


def drain_readings(entries: Iterable[DatedTask]) -> list[DatedTask]:
    """Return the daily readings of the drain; a sheet gives them one line and not one a day."""
    return [entry for entry in entries if rule_code(entry.code) == "drain"]
