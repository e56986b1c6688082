"""The demonstration case, taken into the store with its scan."""

import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from crena.app.case_files import read_case, read_plans
from crena.app.demonstration import write_demonstration
from crena.app.keeping import store_in
from crena.app.planning_job import voxels_sha256
from crena.imaging import read_series
from crena.records import Author, Dossier, StoredPlans, StoredScan, Volume
from crena.records.progress import silent
from crena.store.database import Store
from crena.store.files import keep_file
from crena.store.revisions import case_lines, create_case


def demonstration_dossier(store: Store) -> Dossier:
    """Make the demonstration case and keep the files of its scan."""
    with tempfile.TemporaryDirectory(prefix="crena-demo-") as folder:
        case_file = write_demonstration(Path(folder), date.today(), silent)
        scan = Path(folder) / "mri"
        files = [keep_file(store, [each.read_bytes()]) for each in sorted(scan.iterdir())]
        return Dossier(case=read_case(case_file), scan=stored_scan(read_series(scan), files))


def keep_demonstration(data: Path, folder: Path) -> None:
    """Take the demonstration that was planned on the command line into a folder of cases.

    Parameters
    ----------
    data : Path
        Folder of the cases; nothing is done if it holds any.
    folder : Path
        With `case.json`, `mri` and `plan/plan.json`.
    """
    store = store_in(data)
    try:
        if case_lines(store):
            return
        scan = sorted((folder / "mri").iterdir())
        files = [keep_file(store, [each.read_bytes()]) for each in scan]
        made = read_plans(folder / "plan" / "plan.json")
        content = (folder / "plan" / "plan.json").read_bytes()
        dossier = Dossier(
            case=read_case(folder / "case.json"),
            scan=stored_scan(read_series(folder / "mri"), files),
            plans=StoredPlans(
                sha256=keep_file(store, [content]),
                code=made.code,
                inputs_hash=made.inputs_hash,
                made_on=made.made_on,
                version=made.versions["crena"],
            ),
        )
        create_case(store, dossier, Author(by="user of this computer", why="demonstration"))
    finally:
        store.engine.dispose()


def stored_scan(volume: Volume, files: Sequence[str]) -> StoredScan:
    """Describe a series that was read, by the hashes of its files."""
    slices, rows, columns = volume.voxels.shape
    return StoredScan(
        files=tuple(files),
        series_uid=volume.series_uid,
        slices=slices,
        rows=rows,
        columns=columns,
        voxels_sha256=voxels_sha256(volume),
        notes=volume.notes,
    )
