"""Accounts and sessions of a department; passwords come and stay as hashes."""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from sqlalchemy import delete, insert, select, update

from crena.records import InputError, Record
from crena.store.database import Store, reading, writing
from crena.store.sql_tables import ACCOUNTS, SESSIONS


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


def add_account(store: Store, name: str, role: Role, password_hash: str) -> None:
    """Make an account.

    Raises
    ------
    InputError
        If the name is taken.
    """
    with writing(store) as connection:
        if connection.scalar(select(ACCOUNTS.c.name).where(ACCOUNTS.c.name == name)):
            raise InputError(f"There is already an account {name}.")
        connection.execute(
            insert(ACCOUNTS).values(
                name=name,
                role=role.value,
                password_hash=password_hash,
                failures=0,
                failed_at="",
            )
        )


def account_of(store: Store, name: str) -> Account | None:
    """Return an account, or nothing."""
    with reading(store) as connection:
        row = connection.execute(select(ACCOUNTS).where(ACCOUNTS.c.name == name)).mappings().first()
    return None if row is None else Account(**{**row, "role": Role(row["role"])})


def note_failure(store: Store, name: str) -> None:
    """Count a wrong password."""
    with writing(store) as connection:
        connection.execute(
            update(ACCOUNTS)
            .where(ACCOUNTS.c.name == name)
            .values(failures=ACCOUNTS.c.failures + 1, failed_at=store.clock().isoformat())
        )


def note_success(store: Store, name: str) -> None:
    """Forget the wrong passwords."""
    with writing(store) as connection:
        connection.execute(update(ACCOUNTS).where(ACCOUNTS.c.name == name).values(failures=0))


def open_session(store: Store, account: str, token: str) -> None:
    """Begin a session; the token itself is not stored."""
    now = store.clock().isoformat()
    with writing(store) as connection:
        connection.execute(
            insert(SESSIONS).values(
                token_sha256=_hashed(token), account=account, began_at=now, seen_at=now
            )
        )


def session_of(store: Store, token: str, limits: SessionLimits) -> Account | None:
    """Return whose living session this is, and note that it was used."""
    now, hashed = store.clock(), _hashed(token)
    with writing(store) as connection:
        row = connection.execute(select(SESSIONS).where(SESSIONS.c.token_sha256 == hashed)).first()
        if row is None:
            return None
        seen, began = datetime.fromisoformat(row.seen_at), datetime.fromisoformat(row.began_at)
        if now - seen > limits.idle or now - began > limits.longest:
            connection.execute(delete(SESSIONS).where(SESSIONS.c.token_sha256 == hashed))
            return None
        connection.execute(
            update(SESSIONS)
            .where(SESSIONS.c.token_sha256 == hashed)
            .values(seen_at=now.isoformat())
        )
        name = row.account
    return account_of(store, name)


def close_session(store: Store, token: str) -> None:
    """End a session."""
    with writing(store) as connection:
        connection.execute(delete(SESSIONS).where(SESSIONS.c.token_sha256 == _hashed(token)))


def _hashed(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
