"""The last few cases that a hand moved about in, kept ready: a preview must not wait."""

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

from crena.planning.preview import Ground
from crena.records import Case, Plan, PlanSet, Record

MOST_KEPT = 4
"""Cases kept ready; the one that was not used for longest makes room."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moveable(Record):
    """One revision of a case with its plans, made ready to be moved."""

    case: Case
    plan_set: PlanSet
    ground: Ground

    def plan(self, letter: str) -> Plan | None:
        """Return a plan by its letter, or nothing."""
        return next((plan for plan in self.plan_set.plans if plan.id == letter), None)


class Grounds:
    """Cases made ready, by the case and its revision."""

    def __init__(self) -> None:
        """Begin with none."""
        self._kept: OrderedDict[tuple[str, int], Moveable] = OrderedDict()
        self._lock = threading.Lock()

    def of(self, key: tuple[str, int], make: Callable[[], Moveable]) -> Moveable:
        """Return what is kept under a case and its revision, made now if it is not."""
        with self._lock:
            if key not in self._kept:
                self._kept[key] = make()
            self._kept.move_to_end(key)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)
            return self._kept[key]
