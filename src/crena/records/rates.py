"""Rates that were published after operations, each with its time and its source."""

from dataclasses import dataclass

from crena.records.base import Record
from crena.records.closures import ClosureKind
from crena.records.sutures import Basis

RECURRENCE = "recurrence"
"""The outcome that the disease comes back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutcomeRate(Record):
    """How often something happened after one kind of operation."""

    outcome: str  #: recurrence, wound infection ...
    operation: str
    kinds: tuple[ClosureKind, ...]  #: the closures that it speaks of; empty: none of ours
    months: int | None  #: after the operation; none: not stated
    rate_fraction: float
    low_fraction: float | None  #: of the 95 % interval; none: not published
    high_fraction: float | None
    people: int | None  #: who were followed; none: pooled from many studies
    note: str  #: who they were; or empty
    basis: Basis
