"""Files that were sent for a case and that no case names yet.

They wait beside the store and not in it. So nothing that is cleared can be a file that a case
names: a file is moved into the store before a case is saved that names it, and what lies in the
store is never removed.
"""

import hashlib
import os
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from crena.records import InputError, Record
from crena.store.database import Store
from crena.store.files import UNFINISHED, has_file, move_in, place_of

WAITING: Final = "uploads"
"""Folder of the files that wait, in the folder of the files."""

WAITS_H: Final = 24.0
"""So long a file waits after it was sent, or its series entered, for the last time (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload(Record):
    """One file of a series, sent for a case."""

    case_id: str
    series_uid: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting(Record):
    """What waits of one series."""

    files: int
    size_bytes: int


def waiting_folder(store: Store) -> Path:
    """Return the folder of the files that wait."""
    return store.files / WAITING


def let_wait(store: Store, place: Path, upload: Upload) -> None:
    """Move a written file to those that wait; the same file sent again begins to wait anew."""
    os.utime(place)
    place.replace(_place_of(store, upload))


def waiting_of(store: Store, upload: Upload) -> Waiting:
    """Return how much waits of the series that a file belongs to, for this case."""
    series = _series_of(upload)
    sizes = []
    for entry in os.scandir(waiting_folder(store)):
        if entry.name.startswith(series):
            with suppress(FileNotFoundError):  # taken over, or cleared, in this moment
                sizes.append(entry.stat().st_size)
    return Waiting(files=len(sizes), size_bytes=sum(sizes))


def forget(store: Store, upload: Upload) -> None:
    """Remove a file that waits."""
    _place_of(store, upload).unlink(missing_ok=True)


def places_for(store: Store, case_id: str, sha256s: Iterable[str]) -> list[tuple[Path, ...]]:
    """Return for each file that a case may be given where it lies, or will lie once it is taken.

    Parameters
    ----------
    store : Store
        Where.
    case_id : str
        Whose they are to be.
    sha256s : iterable of str
        Which files.

    Returns
    -------
    list of tuple of Path
        One or two places for each: where it waits, and its place in the store.
    """
    waiting = _waiting_for(store, case_id)
    return [(*filter(None, [waiting.get(sha256)]), place_of(store, sha256)) for sha256 in sha256s]


def keep_waiting(store: Store, case_id: str, sha256s: Iterable[str]) -> None:
    """Let files wait anew, because their series is being entered."""
    waiting = _waiting_for(store, case_id)
    for sha256 in waiting.keys() & set(sha256s):
        with suppress(FileNotFoundError):  # cleared in this moment: told when it is needed
            os.utime(waiting[sha256])


def take_over(store: Store, case_id: str, sha256s: tuple[str, ...]) -> None:
    """Move files that wait for a case into the store, where nothing is removed.

    Parameters
    ----------
    store : Store
        Where.
    case_id : str
        Which case is to name them.
    sha256s : tuple of str
        Which files.

    Raises
    ------
    InputError
        If one of them is not there any more; the case must not be saved with them.
    """
    waiting = _waiting_for(store, case_id)
    for sha256 in waiting.keys() & set(sha256s):
        with suppress(FileNotFoundError):  # cleared in this moment
            move_in(store, waiting[sha256], sha256)
            waiting[sha256].unlink(missing_ok=True)
    gone = sum(not has_file(store, sha256) for sha256 in sha256s)
    if gone:
        raise InputError(f"{gone} of {len(sha256s)} files waited too long. Send them again.")


def clear_uploads(store: Store) -> int:
    """Remove what waited too long, and what was never written to its end; return how much."""
    before_s = store.clock().timestamp() - WAITS_H * 3600
    cleared = 0
    for place in (*waiting_folder(store).glob("*"), *store.files.glob(f".*{UNFINISHED}")):
        with suppress(FileNotFoundError):  # entered, or sent to its end, in this moment
            if place.stat().st_mtime < before_s:
                place.unlink()
                cleared += 1
    return cleared


def _waiting_for(store: Store, case_id: str) -> dict[str, Path]:
    found = waiting_folder(store).glob(f"{case_id}.*")
    return {place.name.rpartition(".")[2]: place for place in found}


def _place_of(store: Store, upload: Upload) -> Path:
    return waiting_folder(store) / f"{_series_of(upload)}{upload.sha256}"


def _series_of(upload: Upload) -> str:
    """Return how the names of the files of one series for one case begin."""
    series = hashlib.sha256(upload.series_uid.encode()).hexdigest()[:16]
    return f"{upload.case_id}.{series}."
