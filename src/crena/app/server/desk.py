"""What every route works with."""

import hashlib
from collections import OrderedDict
from dataclasses import dataclass, field, replace
from typing import Annotated

from fastapi import Depends, Request

from crena.app.jobs.runner import Jobs
from crena.app.server.callers import CALLER, Caller
from crena.app.server.grounds import Grounds
from crena.app.server.settings import Department, Settings
from crena.records import Author
from crena.store.database import Store

MOST_SKETCHES = 20
"""So many plan sets without a record are remembered; the oldest is forgotten first."""


class Sketches:
    """Plan sets of cases that are not stored, in memory and by their hash."""

    def __init__(self) -> None:
        """Begin with none."""
        self._contents: OrderedDict[str, bytes] = OrderedDict()

    def keep(self, content: bytes) -> str:
        """Remember a plan set and return its SHA-256."""
        sha256 = hashlib.sha256(content).hexdigest()
        self._contents[sha256] = content
        while len(self._contents) > MOST_SKETCHES:
            self._contents.popitem(last=False)
        return sha256

    def kept(self, sha256: str) -> bytes | None:
        """Return a plan set, or nothing if it was forgotten."""
        return self._contents.get(sha256)


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """The store, the queue and the settings of one server, and who stands before it."""

    store: Store
    jobs: Jobs
    settings: Settings | Department
    caller: Caller | None = None  #: nobody before the guards have looked
    sketches: Sketches = field(default_factory=Sketches)
    grounds: Grounds = field(default_factory=Grounds)

    @property
    def known_caller(self) -> Caller:
        """Return who acts; the guards let no stranger come so far."""
        assert self.caller is not None
        return self.caller

    def author(self, why: str) -> Author:
        """Return who acts, and why."""
        return Author(by=self.known_caller.name, why=why)


def desk_of(request: Request) -> Desk:
    """Return the desk of the application that was asked, with who asks."""
    desk: Desk = request.app.state.desk
    return replace(desk, caller=request.scope[CALLER])


AtDesk = Annotated[Desk, Depends(desk_of)]
