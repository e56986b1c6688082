"""The chain of saved states of a case, and what a list shows of it."""

from dataclasses import dataclass

from crena.records.base import Record
from crena.records.dossiers import Dossier


@dataclass(frozen=True, slots=True, kw_only=True)
class Author(Record):
    """Who saves or reads, and why."""

    by: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision(Record):
    """One saved state; it is never changed, only followed by another."""

    case_id: str  #: random; says nothing of the patient
    number: int  #: from 1
    dossier: Dossier
    sha256: str  #: of all of this revision as canonical JSON
    before_sha256: str  #: of the revision before; empty for the first
    saved_at: str  #: ISO date and time, UTC
    author: Author
    version: str  #: of Crena


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionLine(Record):
    """One saved state in the history of a case."""

    number: int
    sha256: str
    saved_at: str
    author: Author
    version: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseLine(Record):
    """One case in a list."""

    case_id: str
    label: str
    identifier: str
    number: int  #: of the last revision
    saved_at: str
    seen_on: str  #: ISO date
    operated_on: str  #: ISO date, or empty
