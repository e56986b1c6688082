"""Who asks: on a laptop whoever opened the program, in a department an account."""

from dataclasses import dataclass
from typing import Final

from crena.app.server.settings import Department, Settings
from crena.records import Record
from crena.store.accounts import Role, session_of
from crena.store.database import Store

CALLER: Final = "crena.caller"
"""Where the guards leave the caller in the scope of a request."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller(Record):
    """A person and what that person may do."""

    name: str
    role: Role


WHOEVER: Final = Caller(name="user of this computer", role=Role.ADMINISTER)
"""On a laptop there is one person, who may do everything."""


def caller_of(store: Store, settings: Settings | Department, cookie: str) -> Caller | None:
    """Return whose cookie this is, or nothing.

    Parameters
    ----------
    store : Store
        Where sessions are kept.
    settings : Settings or Department
        How this server lets people in.
    cookie : str
        As the browser sent it; may be anything.
    """
    if isinstance(settings, Settings):
        return WHOEVER if settings.is_token(cookie) else None
    account = session_of(store, cookie, settings.limits) if cookie else None
    return None if account is None else Caller(name=account.name, role=account.role)
