"""What every route works with."""

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import Depends, Request

from crena.app.jobs.runner import Jobs
from crena.app.server.callers import CALLER, Caller
from crena.app.server.settings import Department, Settings
from crena.records import Author
from crena.store.database import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """The store, the queue and the settings of one server, and who stands before it."""

    store: Store
    jobs: Jobs
    settings: Settings | Department
    caller: Caller | None = None  #: nobody before the guards have looked

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
