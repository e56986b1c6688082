"""The last few cases that a hand moved about in, kept ready: a preview must not wait."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from typing import TypeVar

from crena.planning.preview import Ground
from crena.records import Case, Plan, PlanSet, Record

T = TypeVar("T")

MOST_KEPT = 4
"""Cases kept ready; the one that was not used for longest makes room."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moveable(Record):
    """One revision of a case with its plans, made ready to be moved."""

    case: Case
    plan_set: PlanSet
    ground: Ground
    old: bool  #: the case is another one than its plans were made for

    def plan(self, letter: str) -> Plan | None:
        """Return a plan by its letter, or nothing."""
        return next((plan for plan in self.plan_set.plans if plan.id == letter), None)


class Grounds:
    """Cases made ready by their revision, and what is slow to make by what it depends on."""

    def __init__(self) -> None:
        """Begin with none."""
        self._cases: OrderedDict[Hashable, Moveable] = OrderedDict()
        self._grounds: OrderedDict[Hashable, Ground] = OrderedDict()
        self._lock = threading.RLock()

    def case(self, key: Hashable, make: Callable[[], Moveable]) -> Moveable:
        """Return the case of this revision, made ready now if it is not."""
        with self._lock:
            return _kept(self._cases, key, make)

    def ground(self, key: Hashable, make: Callable[[], Ground]) -> Ground:
        """Return what does not change while limits do, made now if it is not there."""
        with self._lock:
            return _kept(self._grounds, key, make)


def _kept(shelf: OrderedDict[Hashable, T], key: Hashable, make: Callable[[], T]) -> T:
    if key not in shelf:
        shelf[key] = make()
    shelf.move_to_end(key)
    while len(shelf) > MOST_KEPT:
        shelf.popitem(last=False)
    return shelf[key]
