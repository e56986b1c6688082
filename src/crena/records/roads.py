"""The road of a case: how far it is at each stop."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from crena.records.base import Record
from crena.records.schedules import TaskState


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
    """One thing that is due today or should have been done before."""

    case_id: str
    label: str
    what: str  #: the task in words, or why the case has no dates
    code: str = ""  #: of the entry; empty where there are no dates
    rule: str = ""
    on: date | None = None
    state: TaskState = TaskState.DUE
    stop: str = "healing"  #: of the road, where it is done
