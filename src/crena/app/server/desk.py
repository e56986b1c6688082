"""What every route works with."""

from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends, Request

from crena.app.jobs.runner import Jobs
from crena.app.server.grounds import Grounds
from crena.app.server.settings import Settings
from crena.records import Author
from crena.store.database import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """The store, the queue and the settings of one server."""

    store: Store
    jobs: Jobs
    settings: Settings
    grounds: Grounds = field(default_factory=Grounds)

    def author(self, why: str) -> Author:
        """Return who acts: on a laptop it is whoever has opened the program."""
        return Author(by="user of this computer", why=why)


def desk_of(request: Request) -> Desk:
    """Return the desk of the application that was asked."""
    desk: Desk = request.app.state.desk
    return desk


AtDesk = Annotated[Desk, Depends(desk_of)]
