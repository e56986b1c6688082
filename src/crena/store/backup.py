"""A backup is one archive with everything, made while others work, and tried before it counts."""

import hashlib
import json
import os
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Table, insert, select

from crena.records import CrenaError, InputError, Record
from crena.store.audit import Head, verified_head
from crena.store.canonical import canonical
from crena.store.database import Store, open_store, reading, writing
from crena.store.files import place_of
from crena.store.sql_tables import ACCOUNTS, AUDIT, CASES, REVISIONS
from crena.store.verify import Verification, verify

BACKUP_SCHEMA = "crena.backup/1"

TABLES: tuple[Table, ...] = (CASES, REVISIONS, AUDIT, ACCOUNTS)
"""What is kept; jobs, sessions and remembered answers are not."""

MANIFEST = "manifest.json"

ROWS_AT_ONCE = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupReport(Record):
    """What a backup holds."""

    cases: int
    revisions: int
    files: int
    head: Head


def backup(store: Store, target: Path) -> BackupReport:
    """Write everything that is stored into one archive, and read it back.

    Parameters
    ----------
    store : Store
        What is kept; others may go on writing.
    target : Path
        The archive; an older one of that name is replaced only by a whole one.

    Raises
    ------
    CrenaError
        If something stored is not as it was saved, or the archive cannot be read back.
    """
    unfinished = target.with_name(f".{target.name}.unfinished")
    try:
        with unfinished.open("wb") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                _write(store, archive)
            file.flush()
            os.fsync(file.fileno())
        report = inspect_backup(unfinished)
        unfinished.replace(target)
        return report
    finally:
        unfinished.unlink(missing_ok=True)


def inspect_backup(source: Path) -> BackupReport:
    """Read a whole archive, hold every part against its hash, and return what it holds.

    Raises
    ------
    InputError
        If it is cut, changed, or no backup.
    """
    with _opened(source) as archive:
        manifest = _manifest(archive, source)
        for name, sha256 in manifest["parts"].items():
            _refuse_changed(archive, name, sha256)
        rows = {name: sum(1 for _ in _rows(archive, name)) for name in ("cases", "revisions")}
        files = sum(name.startswith("files/") for name in manifest["parts"])
        return BackupReport(files=files, head=Head(**manifest["head"]), **rows)


def restore(source: Path, url: str, files: Path) -> Verification:
    """Make a new store from an archive, and check all of it.

    Parameters
    ----------
    source : Path
        The archive.
    url : str
        Of a new, empty database.
    files : Path
        A new folder.

    Raises
    ------
    InputError
        If the archive is not whole, or the place is not empty: a backup never goes over cases.
    """
    inspect_backup(source)
    store = open_store(url, files)
    try:
        _refuse_cases(store)
        with _opened(source) as archive:
            head = Head(**_manifest(archive, source)["head"])
            _restore_files(store, archive)
            _restore_rows(store, archive)
        found = verify(store, head)
    finally:
        store.engine.dispose()
    if found.faults:
        raise CrenaError(f"The restored cases are not whole: {found.faults[0]}")
    return found


def _refuse_cases(store: Store) -> None:
    with reading(store) as connection:
        if connection.execute(select(AUDIT.c.number).limit(1)).first() or any(
            store.files.iterdir()
        ):
            raise InputError(
                "There are cases in that place already. Restore into a new one and compare."
            )


def _restore_rows(store: Store, archive: zipfile.ZipFile) -> None:
    with writing(store) as connection:
        for table in TABLES:
            for batch in _batches(archive, table.name):
                connection.execute(insert(table), batch)


def _write(store: Store, archive: zipfile.ZipFile) -> None:
    parts: dict[str, str] = {}
    with reading(store) as connection:
        head = verified_head(connection)
        for table in TABLES:
            rows = connection.execute(select(table).order_by(*table.primary_key)).mappings()
            lines = (f"{canonical(dict(row))}\n".encode() for row in rows)
            parts[f"{table.name}.jsonl"] = _part(archive, f"{table.name}.jsonl", lines)
    for place in sorted(store.files.glob("[0-9a-f][0-9a-f]/*")):
        name = f"files/{place.name}"
        parts[name] = _part(archive, name, _chunks(place))
        if parts[name] != place.name:
            raise CrenaError(f"The stored file {place.name[:12]}… is not what was stored.")
    manifest = {
        "schema": BACKUP_SCHEMA,
        "made_at": store.clock().isoformat(),
        "head": {"entries": head.entries, "sha256": head.sha256},
        "parts": parts,
    }
    archive.writestr(MANIFEST, canonical(manifest))


def _part(archive: zipfile.ZipFile, name: str, chunks: Iterator[bytes]) -> str:
    digest = hashlib.sha256()
    with archive.open(name, "w", force_zip64=True) as part:
        for chunk in chunks:
            digest.update(chunk)
            part.write(chunk)
    return digest.hexdigest()


def _chunks(place: Path) -> Iterator[bytes]:
    with place.open("rb") as file:
        while chunk := file.read(1 << 20):
            yield chunk


def _opened(source: Path) -> zipfile.ZipFile:
    if not source.is_file():
        raise InputError(f"There is no file {source}. Check the name.")
    try:
        return zipfile.ZipFile(source)
    except zipfile.BadZipFile:
        raise InputError(f"{source.name} is cut short, or no backup. Take another one.") from None


def _manifest(archive: zipfile.ZipFile, source: Path) -> dict[str, Any]:
    try:
        manifest: dict[str, Any] = json.loads(archive.read(MANIFEST))
    except (KeyError, ValueError, OSError, zipfile.BadZipFile, zlib.error):
        raise InputError(f"{source.name} is changed or no backup. Take another one.") from None
    if manifest.get("schema") != BACKUP_SCHEMA:
        raise InputError(f"{source.name} is {manifest.get('schema')}; {BACKUP_SCHEMA} is read.")
    if set(archive.namelist()) != {MANIFEST, *manifest["parts"]}:
        raise InputError(f"{source.name} does not hold what it says. Take another one.")
    return manifest


def _refuse_changed(archive: zipfile.ZipFile, name: str, sha256: str) -> None:
    digest = hashlib.sha256()
    try:
        with archive.open(name) as part:
            while chunk := part.read(1 << 20):
                digest.update(chunk)
    except (OSError, EOFError, zipfile.BadZipFile, zlib.error, NotImplementedError):
        digest.update(b"unreadable")
    if digest.hexdigest() != sha256:
        raise InputError(f"The backup is changed or cut at {name[:40]}. Take another one.")


def _rows(archive: zipfile.ZipFile, table: str) -> Iterator[dict[str, Any]]:
    with archive.open(f"{table}.jsonl") as part:
        for line in part:
            yield json.loads(line)


def _batches(archive: zipfile.ZipFile, table: str) -> Iterator[list[dict[str, Any]]]:
    batch: list[dict[str, Any]] = []
    for row in _rows(archive, table):
        batch.append(row)
        if len(batch) == ROWS_AT_ONCE:
            yield batch
            batch = []
    if batch:
        yield batch


def _restore_files(store: Store, archive: zipfile.ZipFile) -> None:
    for name in archive.namelist():
        if not name.startswith("files/"):
            continue
        place = place_of(store, name.removeprefix("files/"))
        place.parent.mkdir(exist_ok=True)
        with (
            archive.open(name) as part,
            tempfile.NamedTemporaryFile(dir=store.files, delete=False) as file,
        ):
            while chunk := part.read(1 << 20):
                file.write(chunk)
            file.flush()
            os.fsync(file.fileno())
        Path(file.name).replace(place)
