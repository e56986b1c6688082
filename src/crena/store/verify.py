"""Going through everything that is stored, and saying what does not fit."""

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Connection, RowMapping, select

from crena.records import CrenaError, Record
from crena.store.audit import Head, verified_head
from crena.store.database import Store, reading
from crena.store.files import has_file, stored_file
from crena.store.revisions import revision_of
from crena.store.sql_tables import AUDIT, CASES, REVISIONS

Told = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Verification(Record):
    """What was gone through, and what was found wrong."""

    cases: int
    revisions: int
    files: int
    head: Head | None  #: none: the chain of the audit is broken
    faults: tuple[str, ...]  #: one sentence each; none: all is as it was saved


def verify(store: Store, known: Head | None = None) -> Verification:
    """Check every revision, the chains, the audit and every file that a case names.

    Parameters
    ----------
    store : Store
        What is checked; nothing is changed.
    known : Head, optional
        An end of the audit that was kept outside.

    Returns
    -------
    Verification
        Counts and faults.
    """
    faults: list[str] = []
    with reading(store) as connection:
        faults += _damage(store, connection)
        named, cases, revisions = _revisions(connection, faults.append)
        head = _head(connection, known, faults.append)
    for sha256 in sorted(named):
        _file(store, sha256, faults.append)
    return Verification(
        cases=cases, revisions=revisions, files=len(named), head=head, faults=tuple(faults)
    )


def _damage(store: Store, connection: Connection) -> list[str]:
    if not store.is_sqlite:
        return []
    lines = connection.exec_driver_sql("PRAGMA integrity_check").scalars().all()
    return [f"The database file is damaged: {line}." for line in lines if line != "ok"]


def _revisions(connection: Connection, tell: Told) -> tuple[set[str], int, int]:
    """Check all chains of revisions; return the files they name, and how many there are."""
    rows = connection.execute(
        select(REVISIONS).order_by(REVISIONS.c.case_id, REVISIONS.c.number)
    ).mappings()
    noted = _noted(connection)
    named: set[str] = set()
    count, last = 0, ("", 0, "")
    ends: dict[str, int] = {}
    for row in rows:
        count += 1
        before = last if last[0] == row["case_id"] else (row["case_id"], 0, "")
        if (row["number"], row["before_sha256"]) != (before[1] + 1, before[2]):
            tell(f"Case {row['case_id']}: revision {row['number']} does not follow its last one.")
        if noted.get((row["case_id"], row["number"])) != row["sha256"]:
            tell(f"Case {row['case_id']}: revision {row['number']} is not the one in the audit.")
        try:
            named |= _files_of(row)
        except CrenaError as fault:
            tell(str(fault))
        last = (row["case_id"], row["number"], row["sha256"])
        ends[last[0]] = last[1]
    _ends(connection, ends, tell)
    return named, len(ends), count


def _noted(connection: Connection) -> dict[tuple[str, int], str]:
    rows = connection.execute(select(AUDIT).where(AUDIT.c.what == "saved"))
    return {(row.case_id, row.revision): row.content_sha256 for row in rows}


def _files_of(row: RowMapping) -> set[str]:
    dossier = revision_of(row).dossier
    named = {*dossier.scan.files, dossier.scan.picture_sha256} if dossier.scan else set()
    made = {each.sha256 for each in (dossier.plans, dossier.map, dossier.theatre) if each}
    return (named | made) - {""}


def _ends(connection: Connection, ends: dict[str, int], tell: Told) -> None:
    for row in connection.execute(select(CASES.c.case_id, CASES.c.number)):
        if ends.get(row.case_id) != row.number:
            tell(f"Case {row.case_id}: revision {row.number} was saved and is not there.")


def _head(connection: Connection, known: Head | None, tell: Told) -> Head | None:
    try:
        return verified_head(connection, known)
    except CrenaError as fault:
        tell(str(fault))
        return None


def _file(store: Store, sha256: str, tell: Told) -> None:
    if not has_file(store, sha256):
        tell(f"The file {sha256[:12]}… that a case names is not there.")
        return
    try:
        stored_file(store, sha256)
    except CrenaError as fault:
        tell(f"{sha256[:12]}…: {fault}")
