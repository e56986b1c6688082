"""What went wrong after an operation, graded in one way."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Annotated

from crena.records.base import CalendarDay, Record
from crena.records.sutures import Basis


class Grade(StrEnum):
    """Grades of Clavien and Dindo (Dindo 2004, from memory)."""

    I = "I"  # noqa: E741
    II = "II"
    IIIA = "IIIa"
    IIIB = "IIIb"
    IVA = "IVa"
    IVB = "IVb"
    V = "V"


@dataclass(frozen=True, slots=True, kw_only=True)
class GradeRule(Record):
    """What counts as one grade: in general, and what the unit has fixed for itself."""

    grade: Grade
    means_english: str
    means_german: str
    basis: Basis  #: of the meaning
    here_english: str
    here_german: str
    here_source: str  #: who fixed it; assumed until the unit has


@dataclass(frozen=True, slots=True, kw_only=True)
class Complication(Record):
    """One event: what it was, how it was treated, and its grade by the unit's rule."""

    noted_on: Annotated[date, CalendarDay()]
    what: str
    treatment: str
    grade: Grade
    ended_on: Annotated[date, CalendarDay()] | None = None  #: none: it goes on, or is not known
