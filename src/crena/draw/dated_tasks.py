"""Which rule an entry of the schedule comes from, for the sheets that list days."""

import re
from collections.abc import Iterable

from crena.records import DatedTask

_TIME_OF_ENTRY = re.compile(r"-\d+-(days|months|years)$")
"""What the schedule hangs on a rule's code where the rule has several times."""


def rule_code(entry_code: str) -> str:
    """Return the code of the rule that an entry comes from.

    >>> rule_code("visit-3-months"), rule_code("stitches-half")
    ('visit', 'stitches-half')
    """
    return _TIME_OF_ENTRY.sub("", entry_code)


def drain_readings(entries: Iterable[DatedTask]) -> list[DatedTask]:
    """Return the daily readings of the drain; a sheet gives them one line and not one a day."""
    return [entry for entry in entries if rule_code(entry.code) == "drain"]
