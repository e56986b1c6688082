"""Whether the time is right: a plan may be made now, or not before a day."""

from dataclasses import dataclass
from datetime import date

from crena.records.base import Record


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing(Record):
    """Whether a plan may be made now, and if not, why and when to look again."""

    ready: bool
    reason: str
    recheck_on: date | None
    background: str
