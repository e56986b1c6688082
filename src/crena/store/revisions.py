"""Cases as chains of saved states: nothing is overwritten, and nothing silently."""

import json
import secrets
import unicodedata
from typing import Any

from sqlalchemy import Connection, RowMapping, insert, or_, select, update

import crena
from crena.records import (
    Author,
    CaseLine,
    ConflictError,
    CrenaError,
    Dossier,
    MissingError,
    Revision,
    RevisionLine,
    StoredPlans,
)
from crena.store.audit import Entry, note
from crena.store.canonical import canonical, sha256_of
from crena.store.database import Store, reading, writing
from crena.store.schemas import DOSSIERS, dossier_from
from crena.store.sql_tables import CASES, REVISIONS

MOST_LINES = 500
"""Cases that a list gives at most; a search finds the others."""


def create_case(store: Store, dossier: Dossier, author: Author) -> Revision:
    """Store a new case and return its first revision."""
    case_id = secrets.token_hex(8)
    with writing(store) as connection:
        made = _appended(connection, store, (case_id, 1, ""), (dossier, author))
        connection.execute(insert(CASES).values(case_id=case_id, **_line_of(made)))
        return made


def save_case(
    store: Store, case_id: str, based_on: int, dossier: Dossier, author: Author
) -> Revision:
    """Store the next revision of a case.

    Parameters
    ----------
    store : Store
        Where.
    case_id : str
        Which case.
    based_on : int
        The revision that was changed.
    dossier : Dossier
        The new state.
    author : Author
        Who saves, and why.

    Returns
    -------
    Revision
        On the disk when this returns; the last one again if nothing was changed.

    Raises
    ------
    ConflictError
        If somebody else saved another revision meanwhile; nothing is stored then.
    MissingError
        If there is no such case.
    """
    with writing(store) as connection:
        last = revision_of(_row(connection, case_id, None))
        if last.number != based_on:
            raise ConflictError(
                f"The case was saved as revision {last.number} by {last.author.by} meanwhile; this "
                f"change was made on revision {based_on}. Look at both and choose."
            )
        if last.dossier == dossier:
            return last
        made = _appended(connection, store, (case_id, based_on + 1, last.sha256), (dossier, author))
        connection.execute(update(CASES).where(CASES.c.case_id == case_id).values(**_line_of(made)))
        return made


def read_case(store: Store, case_id: str, author: Author, number: int | None = None) -> Revision:
    """Return a revision, its hash checked; the reading itself is noted.

    Parameters
    ----------
    store : Store
        Where.
    case_id : str
        Which case.
    author : Author
        Who reads, and why.
    number : int, optional
        Which revision; the last one when not given.

    Raises
    ------
    MissingError
        If there is no such case or revision.
    CrenaError
        If what is stored is not what was saved; it is not shown.
    """
    with writing(store) as connection:
        found = revision_of(_row(connection, case_id, number))
        entry = Entry(
            what="read", case_id=case_id, revision=found.number, content_sha256=found.sha256
        )
        note(connection, store.clock().isoformat(), author, entry)
        return found


def last_number(store: Store, case_id: str) -> int:
    """Return the number of the last revision of a case; nothing of the case itself is read.

    Raises
    ------
    MissingError
        If there is no such case.
    """
    _refuse_odd_id(case_id)
    chosen = select(CASES.c.number).where(CASES.c.case_id == case_id)
    with reading(store) as connection:
        number = connection.execute(chosen).scalar()
    if number is None:
        raise MissingError("There is no such case.")
    return int(number)


def case_lines(store: Store, words: str = "") -> tuple[CaseLine, ...]:
    """Return the cases whose label or identifier holds the words, the last saved first."""
    chosen = select(CASES).order_by(CASES.c.saved_at.desc(), CASES.c.case_id).limit(MOST_LINES)
    for word in _folded(words).split():
        chosen = chosen.where(CASES.c.searched.contains(word, autoescape=True))
    with reading(store) as connection:
        rows = connection.execute(chosen).mappings().all()
    return tuple(CaseLine(**{k: row[k] for k in row if k != "searched"}) for row in rows)


def plans_once_made(store: Store, case_id: str, code: str) -> StoredPlans | None:
    """Return plans that a case once had by their code, those of theatre too, or nothing.

    Parameters
    ----------
    store : Store
        Where.
    case_id : str
        Which case; that it is read was noted already.
    code : str
        As printed on every page.
    """
    _refuse_odd_id(case_id)
    begins = canonical({"code": code}).removesuffix("}")
    named = (
        REVISIONS.c.dossier.contains(f'"{place}":{begins},', autoescape=True)
        for place in ("plans", "theatre")
    )
    chosen = select(REVISIONS).where(REVISIONS.c.case_id == case_id, or_(*named))
    with reading(store) as connection:
        last = chosen.order_by(REVISIONS.c.number.desc()).limit(1)
        row = connection.execute(last).mappings().first()
    if row is None:
        return None
    dossier = revision_of(row).dossier
    had = (dossier.plans, dossier.theatre)
    return next((stored for stored in had if stored and stored.code == code), None)


def history(store: Store, case_id: str) -> tuple[RevisionLine, ...]:
    """Return the saved states of a case, the first one first."""
    _refuse_odd_id(case_id)
    chosen = select(REVISIONS).where(REVISIONS.c.case_id == case_id).order_by(REVISIONS.c.number)
    with reading(store) as connection:
        rows = connection.execute(chosen).mappings().all()
    if not rows:
        raise MissingError("There is no such case.")
    return tuple(
        RevisionLine(
            number=row["number"],
            sha256=row["sha256"],
            saved_at=row["saved_at"],
            author=Author(by=row["by"], why=row["why"]),
            version=row["version"],
        )
        for row in rows
    )


def revision_of(row: RowMapping | dict[str, Any]) -> Revision:
    """Return a row as a revision, if it is what was saved.

    Raises
    ------
    CrenaError
        If its hash is another one.
    """
    parts = {name: row[name] for name in row if name != "sha256"}
    if sha256_of(canonical(parts)) != row["sha256"]:
        raise CrenaError(
            f"Revision {row['number']} of case {row['case_id']} is not what was saved: the disk or "
            "somebody changed it. It is not shown. Restore it from a backup."
        )
    return Revision(
        case_id=row["case_id"],
        number=row["number"],
        dossier=dossier_from(json.loads(row["dossier"])),
        sha256=row["sha256"],
        before_sha256=row["before_sha256"],
        saved_at=row["saved_at"],
        author=Author(by=row["by"], why=row["why"]),
        version=row["version"],
    )


def _row(connection: Connection, case_id: str, number: int | None) -> RowMapping:
    _refuse_odd_id(case_id)
    chosen = select(REVISIONS).where(REVISIONS.c.case_id == case_id)
    if number is not None:
        chosen = chosen.where(REVISIONS.c.number == number)
    row = connection.execute(chosen.order_by(REVISIONS.c.number.desc()).limit(1)).mappings().first()
    if row is None:
        raise MissingError("There is no such case." if number is None else "No such revision.")
    return row


def _appended(
    connection: Connection,
    store: Store,
    place: tuple[str, int, str],
    content: tuple[Dossier, Author],
) -> Revision:
    (case_id, number, before), (dossier, author) = place, content
    row: dict[str, Any] = {
        "case_id": case_id,
        "number": number,
        "dossier": canonical(DOSSIERS.dump_python(dossier, mode="json")),
        "before_sha256": before,
        "saved_at": store.clock().isoformat(),
        "by": author.by,
        "why": author.why,
        "version": crena.__version__,
    }
    row["sha256"] = sha256_of(canonical(row))
    connection.execute(insert(REVISIONS).values(**row))
    entry = Entry(what="saved", case_id=case_id, revision=number, content_sha256=row["sha256"])
    note(connection, row["saved_at"], author, entry)
    return revision_of(row)


def _line_of(revision: Revision) -> dict[str, Any]:
    case = revision.dossier.case
    label, identifier = case.patient.label, case.patient.identifier
    return {
        "number": revision.number,
        "saved_at": revision.saved_at,
        "label": label,
        "identifier": identifier,
        "searched": _folded(f"{label} {identifier}"),
        "seen_on": case.findings.seen_on.isoformat(),
        "operated_on": case.operation.operated_on.isoformat() if case.operation else "",
    }


def _folded(words: str) -> str:
    """Return words as they are searched: composed, without capitals and hidden signs."""
    shown = "".join(sign for sign in words if sign.isprintable())
    return unicodedata.normalize("NFC", shown).casefold()


def _refuse_odd_id(case_id: str) -> None:
    """Refuse what no database could even look for."""
    if not (case_id.isascii() and case_id.isalnum()):
        raise MissingError("There is no such case.")
