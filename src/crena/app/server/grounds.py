"""The last few cases that a hand moved about in, kept ready: a preview must not wait."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import Generic, TypeVar

from crena.planning.preview import Ground
from crena.records import Case, Plan, PlanSet, Record, ScanPicture, StoredScan

T = TypeVar("T")

MOST_KEPT = 4
"""Cases kept ready; the one that was not used for longest makes room."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moveable(Record):
    """One revision of a case with its plans, made ready to be moved."""

    case: Case
    plan_set: PlanSet
    scan: StoredScan | None
    ground: Ground
    old: bool  #: the case is another one than its plans were made for
    placed: bool  #: the plans lie in the scan where they were planned

    def plan(self, letter: str) -> Plan | None:
        """Return a plan by its letter, or nothing."""
        return next((plan for plan in self.plan_set.plans if plan.id == letter), None)


class Shelf(Generic[T]):
    """The last few things of one kind, made once."""

    def __init__(self) -> None:
        """Begin with none."""
        self._made: OrderedDict[Hashable, T] = OrderedDict()
        self._lock = threading.Lock()

    def kept(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept under a key, made now if it is not there."""
        with self._lock:
            if key not in self._made:
                self._made[key] = make()
            self._made.move_to_end(key)
            while len(self._made) > MOST_KEPT:
                self._made.popitem(last=False)
            return self._made[key]


class Grounds:
    """Cases made ready by their revision, and what is slow to make by what it depends on."""

    def __init__(self) -> None:
        """Begin with none."""
        self._cases: Shelf[Moveable] = Shelf()
        self._grounds: Shelf[Ground] = Shelf()
        self._plan_sets: Shelf[PlanSet] = Shelf()
        self._pictures: Shelf[ScanPicture] = Shelf()

    def case(self, key: Hashable, make: Callable[[], Moveable]) -> Moveable:
        """Return the case of this revision, made ready now if it is not."""
        return self._cases.kept(key, make)

    def ground(self, key: Hashable, make: Callable[[], Ground]) -> Ground:
        """Return what does not change while limits do, made now if it is not there."""
        return self._grounds.kept(key, make)

    def plan_set(self, sha256: str, make: Callable[[], PlanSet]) -> PlanSet:
        """Return the plans of a file, read from its text now if they were not yet."""
        return self._plan_sets.kept(sha256, make)

    def picture(self, sha256: str, make: Callable[[], ScanPicture]) -> ScanPicture:
        """Return how a scan is shown, read from its file now if it was not yet."""
        return self._pictures.kept(sha256, make)
