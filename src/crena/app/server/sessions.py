"""Who am I, let me in, log me out."""

import asyncio
import secrets
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any, Final

from fastapi import APIRouter, Request, Response
from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool

from crena.app.passwords import MOST_SIGNS, is_right
from crena.app.server.callers import Caller
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.problems import Problem, problem
from crena.app.server.settings import Department
from crena.records import MissingError, Record
from crena.store.accounts import (
    LOCKED,
    MOST_FAILURES,
    Account,
    Role,
    begin_try,
    close_session,
    covers,
    open_session,
)
from crena.store.database import Store

routes = APIRouter(prefix="/api/session", tags=["session"])

REFUSED_AFTER_S = 1.0
"""A refusal is said after so long, whatever was wrong."""

LOOKING: Final = ThreadPoolExecutor(2, thread_name_prefix="passwords")
"""So many passwords are looked at together: each takes 64 MB and most of a core."""

WRONG = (
    "Name or password is wrong, or the account is locked: after "
    f"{MOST_FAILURES} wrong passwords in a row it is for {LOCKED.seconds // 60} minutes."
)

REFUSED: dict[int | str, dict[str, Any]] = {401: {"model": Problem}, 404: {"model": Problem}}


class Mode(StrEnum):
    """How this server lets people in."""

    LAPTOP = "laptop"
    DEPARTMENT = "department"


@dataclass(frozen=True, slots=True, kw_only=True)
class WhoIsIn(Record):
    """Who asks, and what that person may do."""

    mode: Mode
    name: str  #: empty: nobody is logged in
    may: tuple[Role, ...]
    locks_after: int = MOST_FAILURES  #: wrong passwords in a row
    locked_minutes: int = LOCKED.seconds // 60


class LogIn(BaseModel):
    """Name and password as typed."""

    name: Annotated[str, Field(max_length=200)]
    password: Annotated[str, Field(max_length=MOST_SIGNS)]


@routes.get("")
def who_is_in(desk: AtDesk) -> WhoIsIn:
    """Say who asks and what that person may do; in a department nobody may ask too."""
    return _who(desk, desk.caller)


@routes.post("", status_code=201, responses=REFUSED, response_model=WhoIsIn)
async def log_in(typed: LogIn, desk: AtDesk, response: Response) -> Any:
    """Begin a session and set its cookie; on a laptop there are no accounts."""
    if not isinstance(desk.settings, Department):
        raise MissingError("There are no accounts here: this server is one computer's own.")
    began = time.monotonic()
    account = await asyncio.wrap_future(LOOKING.submit(_proved, desk.store, typed))
    if account is None:
        await asyncio.sleep(began + REFUSED_AFTER_S - time.monotonic())
        return problem(401, WRONG)
    token = secrets.token_urlsafe(32)
    await run_in_threadpool(open_session, desk.store, account.name, token, desk.settings.limits)
    response.set_cookie(
        desk.settings.cookie, token, path="/", secure=True, httponly=True, samesite="strict"
    )
    return _who(desk, Caller(name=account.name, role=account.role))


@routes.delete("", status_code=204)
def log_out(desk: AtDesk, request: Request, response: Response) -> None:
    """End the session; on a laptop nothing happens, it ends with the program."""
    close_session(desk.store, request.cookies.get(desk.settings.cookie, ""))
    response.delete_cookie(
        desk.settings.cookie, path="/", secure=True, httponly=True, samesite="strict"
    )


def _who(desk: Desk, caller: Caller | None) -> WhoIsIn:
    mode = Mode.DEPARTMENT if isinstance(desk.settings, Department) else Mode.LAPTOP
    if caller is None:
        return WhoIsIn(mode=mode, name="", may=())
    may = tuple(role for role in Role if covers(caller.role, role))
    return WhoIsIn(mode=mode, name=caller.name, may=may)


def _proved(store: Store, typed: LogIn) -> Account | None:
    """Return the account if the password is its own."""
    account = begin_try(store, typed.name.strip().casefold())
    right = is_right(typed.password, account.password_hash if account else None)
    return account if right else None
