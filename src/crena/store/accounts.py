"""Accounts and sessions of a department; passwords come and stay as hashes."""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from sqlalchemy import Connection, delete, insert, select, update

from crena.records import Author, MissingError, Record
from crena.store.audit import Entry, note
from crena.store.database import Store, reading, writing
from crena.store.sql_tables import ACCOUNTS, SESSIONS

MOST_FAILURES = 5
"""So many wrong passwords in a row lock an account (assumed)."""

LOCKED = timedelta(minutes=15)
"""For so long after the last of them (assumed)."""

NOTED_EACH = timedelta(seconds=30)
"""That a session is in use is written down at most so often: each reading would be a write."""


class Role(StrEnum):
    """What an account may do; each role may do what those before it may."""

    READ = "read"
    FOLLOW_UP = "follow up"
    PLAN = "plan"
    ADMINISTER = "administer"


@dataclass(frozen=True, slots=True, kw_only=True)
class Account(Record):
    """A person who may log in."""

    name: str
    role: Role
    password_hash: str
    failures: int  #: wrong passwords in a row
    failed_at: str  #: the last of them, ISO, UTC; or empty


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionLimits(Record):
    """How long a session lives."""

    idle: timedelta = timedelta(minutes=15)
    longest: timedelta = timedelta(hours=12)


def covers(held: Role, needed: Role) -> bool:
    """Tell whether a role may do what another one may.

    >>> covers(Role.PLAN, Role.READ), covers(Role.FOLLOW_UP, Role.PLAN)
    (True, False)
    """
    order = list(Role)
    return order.index(held) >= order.index(needed)


def set_account(store: Store, name: str, role: Role, password_hash: str) -> bool:
    """Make an account, or give one another role and password; its sessions end, its lock too.

    Returns
    -------
    bool
        Whether it is new.
    """
    row = {"role": role.value, "password_hash": password_hash, "failures": 0, "failed_at": ""}
    with writing(store) as connection:
        _end_sessions(connection, name)
        found = connection.execute(update(ACCOUNTS).where(ACCOUNTS.c.name == name).values(**row))
        is_new = found.rowcount == 0
        if is_new:
            connection.execute(insert(ACCOUNTS).values(name=name, **row))
        _note(connection, store, name, "account made" if is_new else "account changed")
    return is_new


def remove_account(store: Store, name: str) -> None:
    """Take an account away; what it saved stays under its name.

    Raises
    ------
    MissingError
        If there is no such account.
    """
    with writing(store) as connection:
        _end_sessions(connection, name)
        if connection.execute(delete(ACCOUNTS).where(ACCOUNTS.c.name == name)).rowcount == 0:
            raise MissingError(f"There is no account {name}. Check the name.")
        _note(connection, store, name, "account removed")


def account_of(store: Store, name: str) -> Account | None:
    """Return an account, or nothing."""
    with reading(store) as connection:
        return _account(connection, name)


def begin_try(store: Store, name: str) -> Account | None:
    """Count a try to log in as a failure before its password is looked at.

    So no two tries at once can share a count, and one that breaks off is counted.

    Returns
    -------
    Account or None
        Nothing if there is no such account or it is locked; a caller cannot tell which.
    """
    now = store.clock()
    with writing(store) as connection:
        account = _account(connection, name)
        if account is None:
            return None
        failures = 0 if _lock_is_over(account, now) else account.failures
        if failures >= MOST_FAILURES:
            return None
        connection.execute(
            update(ACCOUNTS)
            .where(ACCOUNTS.c.name == name)
            .values(failures=failures + 1, failed_at=now.isoformat())
        )
        if failures + 1 == MOST_FAILURES:
            _note(connection, store, name, "last try before lock")
        return account


def open_session(store: Store, account: str, token: str, limits: SessionLimits) -> None:
    """Begin a session after a right password; the token itself is not stored.

    Parameters
    ----------
    store : Store
        Where.
    account : str
        Whose.
    token : str
        What the browser will show.
    limits : SessionLimits
        Sessions that are older are dropped.
    """
    now = store.clock()
    with writing(store) as connection:
        oldest = (now - limits.longest).isoformat()
        connection.execute(delete(SESSIONS).where(SESSIONS.c.began_at < oldest))
        connection.execute(
            update(ACCOUNTS).where(ACCOUNTS.c.name == account).values(failures=0, failed_at="")
        )
        connection.execute(
            insert(SESSIONS).values(
                token_sha256=_hashed(token),
                account=account,
                began_at=now.isoformat(),
                seen_at=now.isoformat(),
            )
        )
        _note(connection, store, account, "logged in")


def session_of(store: Store, token: str, limits: SessionLimits) -> Account | None:
    """Return whose living session this is, and note that it is in use."""
    now, hashed = store.clock(), _hashed(token)
    with reading(store) as connection:
        row = connection.execute(select(SESSIONS).where(SESSIONS.c.token_sha256 == hashed)).first()
        account = None if row is None else _account(connection, row.account)
    if row is None or account is None:
        return None
    seen, began = datetime.fromisoformat(row.seen_at), datetime.fromisoformat(row.began_at)
    if now - seen > limits.idle or now - began > limits.longest:
        close_session(store, token)
        return None
    if now - seen > NOTED_EACH:
        _note_use(store, hashed, now)
    return account


def close_session(store: Store, token: str) -> None:
    """End a session."""
    hashed = SESSIONS.c.token_sha256 == _hashed(token)
    with writing(store) as connection:
        name = connection.scalar(select(SESSIONS.c.account).where(hashed))
        if name is not None:
            connection.execute(delete(SESSIONS).where(hashed))
            _note(connection, store, name, "logged out")


def _account(connection: Connection, name: str) -> Account | None:
    if not name.isprintable():  # not every database could even look for it
        return None
    row = connection.execute(select(ACCOUNTS).where(ACCOUNTS.c.name == name)).mappings().first()
    return None if row is None else Account(**{**row, "role": Role(row["role"])})


def _lock_is_over(account: Account, now: datetime) -> bool:
    return account.failures >= MOST_FAILURES and (
        now - datetime.fromisoformat(account.failed_at) > LOCKED
    )


def _note_use(store: Store, token_sha256: str, now: datetime) -> None:
    with writing(store) as connection:
        connection.execute(
            update(SESSIONS)
            .where(SESSIONS.c.token_sha256 == token_sha256)
            .values(seen_at=now.isoformat())
        )


def _end_sessions(connection: Connection, account: str) -> None:
    connection.execute(delete(SESSIONS).where(SESSIONS.c.account == account))


def _note(connection: Connection, store: Store, name: str, what: str) -> None:
    note(connection, store.clock().isoformat(), Author(by=name, why="account"), Entry(what=what))


def _hashed(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
