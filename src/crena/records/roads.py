"""The road of a case: how far it is at each stop."""

from dataclasses import dataclass
from enum import StrEnum

from crena.records.base import Record


class StopState(StrEnum):
    """How far a case is at one stop."""

    DONE = "done"
    HERE = "here"  #: the next thing to do
    LATER = "later"
    OLD = "old"  #: made before the case was changed


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadStop(Record):
    """One stop: what is there or missing, by a key of the page's words."""

    name: str
    state: StopState
    code: str
    figures: dict[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Road(Record):
    """All stops in order."""

    stops: tuple[RoadStop, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DueLine(Record):
    """One thing that is due today."""

    case_id: str
    label: str
    what: str
