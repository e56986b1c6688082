"""The long works on a scan: to read it, and to map the disease on it."""

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

from crena.app.case_files import case_from_text
from crena.app.jobs.work import volume_of
from crena.app.scan_files import SCAN_MAPS, picture_file
from crena.app.workers import processors
from crena.records import InputError, ScanMap
from crena.records.progress import Progress, part_of
from crena.sinus.mapping import frame_of, map_from_scan, probed_on


def read_scan(places: Sequence[Sequence[str]], progress: Progress) -> bytes:
    """Read a series and return the file that it is shown from.

    Parameters
    ----------
    places : sequence of sequence of str
        For each file where it may lie; looked for only now, because it may have been moved.
    progress : callable
        Told what is being done; raises to stop.

    Raises
    ------
    InputError
        If one of them is not there any more.
    """
    found = [next(filter(os.path.isfile, names), "") for names in places]
    if not all(found):
        raise InputError("Some files waited too long. Send the series again.")
    volume = volume_of(found, progress)
    progress("Preparing the slices", 0.8)
    return picture_file(volume)


def mapped(case_text: str, scan_files: Sequence[str], progress: Progress) -> bytes:
    """Map the disease on a scan and return the map as JSON.

    Parameters
    ----------
    case_text : str
        The case as JSON, with its clicks.
    scan_files : sequence of str
        Where the files of its scan lie.
    progress : callable
        Told what is being done; raises to stop.
    """
    case = case_from_text(case_text, "The case")
    if case.clicks is None:
        raise InputError("Nothing is clicked on the scan yet. Click each tract's two ends.")
    frame = frame_of(case.clicks)
    volume = volume_of(scan_files, progress)
    with ThreadPoolExecutor(processors()) as threads:
        found = map_from_scan(case, volume, executor=threads, progress=part_of(progress, 0.15, 1.0))
    return SCAN_MAPS.dump_json(ScanMap(tract_map=found, frame=frame, probed=probed_on(found, case)))
