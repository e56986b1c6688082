"""Large files by their hash: scans, voxel blocks, plans, films; never changed."""

import hashlib
import os
import secrets
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from crena.records import CrenaError, InputError, MissingError
from crena.store.database import Store

LARGEST_BYTES = 2 * 1024**3
"""No single file may be larger."""

SHA256_DIGITS = 64

UNFINISHED = ".unfinished"
"""End of the name of a file that is being written."""


def keep_file(store: Store, chunks: Iterable[bytes], limit_bytes: int = LARGEST_BYTES) -> str:
    """Store a file and return its SHA-256; it is on the disk when this returns.

    Parameters
    ----------
    store : Store
        Where.
    chunks : iterable of bytes
        The content.
    limit_bytes : int
        More is refused while it comes in.

    Raises
    ------
    InputError
        If it is larger; nothing is kept then.
    """
    with written(store.files, chunks, limit_bytes) as (place, sha256):
        move_in(store, place, sha256)
    return sha256


@contextmanager
def written(folder: Path, chunks: Iterable[bytes], limit_bytes: int) -> Iterator[tuple[Path, str]]:
    """Write a file under a name of its own; after the block it is gone if it was not moved.

    Parameters
    ----------
    folder : Path
        Where; made when it is not there.
    chunks, limit_bytes
        As of `keep_file`.

    Yields
    ------
    tuple of Path and str
        Where it lies, flushed, and its SHA-256.
    """
    folder.mkdir(parents=True, exist_ok=True)
    place = folder / f".{secrets.token_hex(8)}{UNFINISHED}"
    try:
        yield place, _written(place, chunks, limit_bytes)
    finally:
        place.unlink(missing_ok=True)


def move_in(store: Store, place: Path, sha256: str) -> None:
    """Move a flushed file to where its SHA-256 says; it is on the disk there when this returns."""
    target = place_of(store, sha256)
    if not target.exists():
        target.parent.mkdir(exist_ok=True)
        place.replace(target)
        _flush_folder(target.parent)
        _flush_folder(store.files)


def stored_file(store: Store, sha256: str) -> bytes:
    """Return a stored file, its hash checked.

    Raises
    ------
    MissingError
        If there is no such file.
    CrenaError
        If it is not what was stored.
    """
    place = place_of(store, sha256)
    if not place.is_file():
        raise MissingError("There is no such file in the store.")
    content = place.read_bytes()
    if hashlib.sha256(content).hexdigest() != sha256:
        raise CrenaError(
            "A stored file is not what was stored: the disk or somebody changed it. It is not "
            "used. Restore it from a backup."
        )
    return content


def has_file(store: Store, sha256: str) -> bool:
    """Tell whether a file is there."""
    return place_of(store, sha256).is_file()


def place_of(store: Store, sha256: str) -> Path:
    """Return where a file lies."""
    if len(sha256) != SHA256_DIGITS or not set(sha256) <= set("0123456789abcdef"):
        raise InputError("A stored file is named by 64 hexadecimal digits.")
    return store.files / sha256[:2] / sha256


def paths_of(store: Store, sha256s: Iterable[str]) -> list[str]:
    """Return where files lie, for a process that reads them by their paths."""
    return [str(place_of(store, sha256)) for sha256 in sha256s]


def _written(place: Path, chunks: Iterable[bytes], limit_bytes: int) -> str:
    digest, size = hashlib.sha256(), 0
    with place.open("xb") as file:
        for chunk in chunks:
            size += len(chunk)
            if size > limit_bytes:
                raise InputError(f"The file is larger than {limit_bytes // 1024**2} MiB.")
            digest.update(chunk)
            file.write(chunk)
        file.flush()
        os.fsync(file.fileno())
    return digest.hexdigest()


def _flush_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
