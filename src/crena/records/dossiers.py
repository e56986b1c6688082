"""All that the workbench keeps of one case: what was entered, and what was made of it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final, Literal

from crena.records.base import Between, Record
from crena.records.cases import Case
from crena.records.drains import LocalTime
from crena.records.sides import Side

DOSSIER_SCHEMA: Final = "crena.dossier/1"
"""Name and version of what is stored of one case."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredScan(Record):
    """One series: its files by hash, and what was read of it."""

    files: tuple[str, ...]  #: SHA-256 of each file
    series_uid: str
    slices: int
    rows: int
    columns: int
    voxels_sha256: str  #: of the block that was read; it enters the code of the plans
    picture_sha256: str = ""  #: of the stored file that is shown; empty: read the series again
    notes: tuple[str, ...] = ()  #: what the reader noticed


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredMap(Record):
    """The tract map that the scan showed, kept as a file."""

    sha256: str  #: of the file
    inputs_hash: str  #: of what it was made from; another hash now: the map is old
    made_on: str  #: ISO date


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredPlans(Record):
    """A plan set that was made for this case, kept whole as a file."""

    sha256: str  #: of the file
    code: str  #: as printed on every page
    inputs_hash: str  #: of what it was made from; another hash now: the plans are old
    made_on: str  #: ISO date
    version: str  #: of Crena
    placed_by: str = ""  #: hash of scan, marks and probing; empty: not known
    cut: str = ""  #: of plans made in theatre: letter of the plan that was cut, of those before


@dataclass(frozen=True, slots=True, kw_only=True)
class SignOff(Record):
    """The surgeon's word that this is the plan, the side and the patient."""

    code: str  #: of the plans
    plan: str  #: its letter
    flap_from: Side | None  #: as typed; none for a closure without a flap
    typed_label: str  #: first identifier, typed again
    typed_identifier: str  #: second identifier, typed again
    by: str
    at: Annotated[datetime, LocalTime()]


@dataclass(frozen=True, slots=True, kw_only=True)
class IssuedSheet(Record):
    """A sheet that left the program; it is superseded once the plan's code is another."""

    kind: str  #: name of the file
    code: str
    plan: str
    paper: str
    at: Annotated[datetime, LocalTime()]
    signed_at: Annotated[datetime, LocalTime()] | None = None  #: as printed on it, if it says so


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedBars(Record):
    """The two printed bars of 100 mm as the ruler showed them, typed back."""

    code: str
    plan: str
    across_mm: Annotated[float, Between(50, 150, "mm")]
    along_mm: Annotated[float, Between(50, 150, "mm")]
    at: Annotated[datetime, LocalTime()]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dossier(Record):
    """One revision of one case, whole."""

    schema: Literal["crena.dossier/1"] = DOSSIER_SCHEMA
    case: Case
    scan: StoredScan | None = None
    map: StoredMap | None = None
    plans: StoredPlans | None = None
    signed: SignOff | None = None
    sheets: tuple[IssuedSheet, ...] = ()
    bars: PrintedBars | None = None
    theatre: StoredPlans | None = None  #: made in theatre, for the hole as it really is
