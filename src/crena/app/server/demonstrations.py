"""The demonstration case, taken into the store with its scan."""

import tempfile
from datetime import date
from pathlib import Path

from crena.app.case_files import read_case
from crena.app.demonstration import LABEL, write_demonstration
from crena.app.keeping import kept_plans, store_in
from crena.app.scan_files import picture_file, picture_from, stored_scan
from crena.app.server.standing import placed
from crena.imaging import read_series
from crena.records import Author, Dossier, StoredScan
from crena.records.progress import silent
from crena.store.database import Store
from crena.store.files import keep_file
from crena.store.revisions import case_lines, create_case


def demonstration_dossier(store: Store) -> Dossier:
    """Make the demonstration case and keep the files of its scan."""
    with tempfile.TemporaryDirectory(prefix="crena-demo-") as folder:
        case_file = write_demonstration(Path(folder), date.today(), silent)
        scan = Path(folder) / "mri"
        return Dossier(case=read_case(case_file), scan=_kept_scan(store, scan))


def keep_demonstration(data: Path, folder: Path) -> str:
    """Take the demonstration that was planned on the command line into a folder of cases.

    Parameters
    ----------
    data : Path
        Folder of the cases; nothing is changed if it holds the demonstration already.
    folder : Path
        With `case.json`, `mri` and `plan/plan.json`.

    Returns
    -------
    str
        The case that it is.
    """
    store = store_in(data)
    try:
        kept = [line.case_id for line in case_lines(store, LABEL) if line.label == LABEL]
        if kept:
            return kept[0]
        dossier = Dossier(
            case=read_case(folder / "case.json"),
            scan=_kept_scan(store, folder / "mri"),
            plans=kept_plans(store, (folder / "plan" / "plan.json").read_bytes()),
        )
        author = Author(by="user of this computer", why="demonstration")
        return create_case(store, placed(dossier), author).case_id
    finally:
        store.engine.dispose()


def _kept_scan(store: Store, folder: Path) -> StoredScan:
    """Keep the files of a series, and the one that it is shown from."""
    files = tuple(keep_file(store, [each.read_bytes()]) for each in sorted(folder.iterdir()))
    shown = picture_file(read_series(folder))
    return stored_scan(picture_from(shown), files, keep_file(store, [shown]))
