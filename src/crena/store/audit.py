"""Who did what: a chain in which every entry carries the hash of all before it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, RowMapping, insert, select

from crena.records import Author, CrenaError, Record
from crena.store.canonical import canonical, sha256_of
from crena.store.database import Store, reading
from crena.store.sql_tables import AUDIT

NO_ENTRY = "0" * 64
"""What the first entry is chained to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Head(Record):
    """The end of the chain: kept outside, it shows any later change of what came before."""

    entries: int
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry(Record):
    """One thing that was done."""

    what: str
    case_id: str = ""
    revision: int = 0
    content_sha256: str = ""


def note(connection: Connection, at: str, author: Author, entry: Entry) -> None:
    """Add an entry within the transaction that does the thing."""
    last = _last(connection)
    row: dict[str, Any] = {
        "number": last.entries + 1,
        "at": at,
        "by": author.by,
        "why": author.why,
        "what": entry.what,
        "case_id": entry.case_id,
        "revision": entry.revision,
        "content_sha256": entry.content_sha256,
    }
    connection.execute(insert(AUDIT).values(**row, chain_sha256=_chained(last.sha256, row)))


def audit_head(store: Store) -> Head:
    """Return the end of the chain."""
    with reading(store) as connection:
        return _last(connection)


def verified_head(connection: Connection, known: Head | None = None) -> Head:
    """Walk the whole chain and return its end.

    Parameters
    ----------
    connection : Connection
        To the database.
    known : Head, optional
        An earlier end, kept outside; the chain must pass through it.

    Raises
    ------
    CrenaError
        With the first entry that does not fit.
    """
    rows = connection.execute(select(AUDIT).order_by(AUDIT.c.number)).mappings()
    return walked(rows, known)


def walked(rows: Iterable[RowMapping | dict[str, Any]], known: Head | None = None) -> Head:
    """Walk the rows of a chain in order; as `verified_head`."""
    count, chain, met = 0, NO_ENTRY, known is None or known.entries == 0
    for row in rows:
        count += 1
        entry = {name: row[name] for name in row if name != "chain_sha256"}
        chain = _chained(chain, entry)
        if row["number"] != count or row["chain_sha256"] != chain:
            raise CrenaError(f"Entry {count} of the audit does not fit the one before it.")
        met = met or (known is not None and known == Head(entries=count, sha256=chain))
    if not met and known is not None:
        raise CrenaError(
            f"The audit does not contain the entry {known.entries} that was kept outside."
        )
    return Head(entries=count, sha256=chain)


def _last(connection: Connection) -> Head:
    newest = select(AUDIT.c.number, AUDIT.c.chain_sha256).order_by(AUDIT.c.number.desc()).limit(1)
    row = connection.execute(newest).first()
    return Head(entries=row[0], sha256=row[1]) if row else Head(entries=0, sha256=NO_ENTRY)


def _chained(before: str, entry: dict[str, Any]) -> str:
    return sha256_of(before + canonical(entry))
