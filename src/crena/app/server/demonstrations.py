"""The demonstration case, taken into the store with its scan."""

import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from crena.app.case_files import read_case
from crena.app.demonstration import write_demonstration
from crena.app.planning_job import voxels_sha256
from crena.imaging import read_series
from crena.records import Dossier, StoredScan, Volume
from crena.records.progress import silent
from crena.store.database import Store
from crena.store.files import keep_file


def demonstration_dossier(store: Store) -> Dossier:
    """Make the demonstration case and keep the files of its scan."""
    with tempfile.TemporaryDirectory(prefix="crena-demo-") as folder:
        case_file = write_demonstration(Path(folder), date.today(), silent)
        scan = Path(folder) / "mri"
        files = [keep_file(store, [each.read_bytes()]) for each in sorted(scan.iterdir())]
        return Dossier(case=read_case(case_file), scan=stored_scan(read_series(scan), files))


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
