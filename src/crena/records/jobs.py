"""Long work, done in a process of its own."""

from dataclasses import dataclass
from enum import StrEnum

from crena.records.base import Record


class JobKind(StrEnum):
    """What can be asked for."""

    SCAN = "read the scan"
    MAP = "map the disease"
    PLAN = "plan the case"
    FILM = "compute the closure"
    THEATRE = "plan in theatre"
    OWN = "close the moved plan"


class JobState(StrEnum):
    """How far a job is."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    CANCELLED = "cancelled"
    INTERRUPTED = "interrupted"  #: the server stopped meanwhile; nothing of the case is lost


@dataclass(frozen=True, slots=True, kw_only=True)
class Job(Record):
    """One long work: what it does now, and how it ended."""

    job_id: str
    case_id: str  #: empty: of no stored case
    kind: JobKind
    state: JobState
    step: str  #: what it is doing
    share_ratio: float  #: of it that is done, 0 to 1
    reason: str  #: why it did not end well, for people; or empty
    result_sha256: str  #: of the stored file that it made; or empty
