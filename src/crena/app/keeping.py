"""A folder of cases: opened, plans put into it; backup, restore, verification as sentences."""

from pathlib import Path

from crena.app.case_files import plans_from_text
from crena.records import CrenaError, InputError, StoredPlans
from crena.store.backup import backup, inspect_backup, restore
from crena.store.database import Store, open_store
from crena.store.files import keep_file
from crena.store.verify import Verification, verify

DATABASE = "cases.db"
"""Name of the database in a folder of cases."""


def store_in(data: Path) -> Store:
    """Open the cases of a folder; it is made when it is not there."""
    return open_store(_url(data), data / "files")


def kept_plans(store: Store, content: bytes) -> StoredPlans:
    """Keep a plan set, given as JSON, and return what a dossier says of it."""
    made = plans_from_text(content.decode(), "The plans")
    return StoredPlans(
        sha256=keep_file(store, [content]),
        code=made.code,
        inputs_hash=made.inputs_hash,
        made_on=made.made_on,
        version=made.versions["crena"],
    )


def backed_up(data: Path, target: Path) -> str:
    """Write all cases of a folder into an archive and say what it holds."""
    store = _existing(data)
    try:
        made = backup(store, target)
    finally:
        store.engine.dispose()
    return (
        f"{target}: {made.cases} cases, {made.revisions} saved states, {made.files} files, read "
        f"back whole. End of the audit: {made.head.entries} {made.head.sha256}"
    )


def restored(source: Path, data: Path) -> str:
    """Make a new folder of cases from an archive and say what it holds."""
    found = restore(source, _url(data), data / "files")
    return f"{data}: {_counted(found)}"


def verified(data: Path, against: Path | None) -> str:
    """Go through a folder of cases and say that all is as it was saved.

    Raises
    ------
    CrenaError
        With every fault that was found.
    """
    known = inspect_backup(against).head if against else None
    store = _existing(data)
    try:
        found = verify(store, known)
    finally:
        store.engine.dispose()
    if found.faults:
        raise CrenaError("\n".join(found.faults))
    return f"{data}: {_counted(found)}"


def _url(data: Path) -> str:
    return f"sqlite:///{(data / DATABASE).resolve()}"


def _counted(found: Verification) -> str:
    return (
        f"{found.cases} cases, {found.revisions} saved states, {found.files} files, all as they "
        "were saved."
    )


def _existing(data: Path) -> Store:
    if not (data / DATABASE).is_file():
        raise InputError(f"There are no cases in {data}. Give their folder with --data.")
    return store_in(data)
