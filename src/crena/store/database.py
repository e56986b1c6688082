"""Opening the database of the cases: SQLite on a laptop, PostgreSQL for a department.

What was acknowledged must survive a kill and a power cut. So every connection of SQLite is
told to wait for the disk, and is asked back whether it does.
"""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from types import ModuleType
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import OperationalError

from crena.records import CrenaError, InputError
from crena.store.migrate import migrate

try:
    from pysqlite3 import dbapi2 as newest_sqlite
except ImportError:  # pragma: no cover - where no wheel of it exists
    newest_sqlite = sqlite3

BUSY_MS = 5000
"""How long a connection waits for another one to finish writing."""

WRITERS_LOCK = 7_271_366
"""Number of the lock that one writer at a time holds in PostgreSQL."""

FAULTY_SINCE, SOUND_SINCE = (3, 7, 0), (3, 51, 3)
"""Library versions whose write-ahead log may lose commits (sqlite.org, change list of 3.53.0)."""

MENDED = {(3, 44): 6, (3, 50): 7}
"""Older lines that the mend was carried back to, and since which release."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """An open database, the folder of the large files, and the clock."""

    engine: Engine
    files: Path
    clock: Callable[[], datetime]  #: gives UTC
    turn: threading.Lock = field(default_factory=threading.Lock)  #: of the writers of this process

    @property
    def is_sqlite(self) -> bool:
        """Tell which kind it is."""
        return self.engine.dialect.name == "sqlite"


def now_utc() -> datetime:
    """Return the time of now."""
    return datetime.now(UTC)


def open_store(url: str, files: Path, *, clock: Callable[[], datetime] = now_utc) -> Store:
    """Open the database, bring it up to date, and make the folder for files.

    Parameters
    ----------
    url : str
        As SQLAlchemy writes it: ``sqlite:////folder/cases.db`` or ``postgresql+psycopg://...``.
    files : Path
        Folder for scans and plans; made when it is not there.
    clock : callable
        Gives the time, UTC.

    Returns
    -------
    Store
        Ready.

    Raises
    ------
    InputError
        If the database cannot be reached, is of a newer version, or would not wait for the disk.
    """
    files.mkdir(parents=True, exist_ok=True)
    engine = _engine(url)
    try:
        migrate(engine)
    except OperationalError as error:
        reason = str(error.orig).strip().splitlines()[0]
        raise InputError(f"The database cannot be opened: {reason}. Check its address.") from None
    return Store(engine=engine, files=files, clock=clock)


@contextmanager
def writing(store: Store) -> Iterator[Connection]:
    """Open a transaction that no other writer shares; all of it is kept, or nothing.

    Writers of one process queue here, where the next one is woken at once; those of another
    process are waited for by the database, which looks again only now and then.
    """
    with (
        store.turn,
        store.engine.connect().execution_options(writes=True) as connection,
        connection.begin(),
    ):
        if not store.is_sqlite:
            connection.execute(text("SELECT pg_advisory_xact_lock(:n)"), {"n": WRITERS_LOCK})
        yield connection


@contextmanager
def reading(store: Store) -> Iterator[Connection]:
    """Open a transaction that only looks."""
    with store.engine.connect() as connection, connection.begin():
        yield connection


def log_is_sound(version: tuple[int, ...]) -> bool:
    """Tell whether the write-ahead log of this SQLite keeps every commit.

    >>> log_is_sound((3, 53, 4)), log_is_sound((3, 40, 1)), log_is_sound((3, 44, 6))
    (True, False, True)
    """
    if version < FAULTY_SINCE or version >= SOUND_SINCE:
        return True
    return version[2] >= MENDED.get((version[0], version[1]), 1_000)


def _engine(url: str) -> Engine:
    if make_url(url).get_backend_name() != "sqlite":
        return create_engine(url, pool_pre_ping=True)
    place = make_url(url).database
    if place:
        Path(place).parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(url, module=newest_sqlite, connect_args={"timeout": BUSY_MS / 1000})
    event.listen(engine, "connect", lambda connection, _: _made_safe(connection, newest_sqlite))
    event.listen(engine, "begin", _begun)
    return engine


def _begun(connection: Connection) -> None:
    """Take the lock of the writer at the beginning, not in the middle of a transaction."""
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _made_safe(connection: Any, library: ModuleType) -> None:
    """Set what a connection must keep to, and read it back.

    With the log, FULL waits until a commit is on the disk. With the rollback journal a commit is
    the removal of a file, which only EXTRA waits for.
    """
    connection.isolation_level = None
    journal, waits = ("wal", 2) if log_is_sound(library.sqlite_version_info) else ("delete", 3)
    wanted = {
        "journal_mode": journal,
        "synchronous": waits,
        "foreign_keys": 1,
        "busy_timeout": BUSY_MS,
    }
    for name, value in wanted.items():
        connection.execute(f"PRAGMA {name} = {value}")
        found = connection.execute(f"PRAGMA {name}").fetchone()[0]
        if found != value and found != "memory":
            raise CrenaError(
                f"The database does not keep {name} = {value} (it says {found}). Nothing is "
                "stored that could be lost: put the data folder on a local disk."
            )
