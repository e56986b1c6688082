"""Read an MR series from a folder, and refuse whatever is not certain.

The stack is put together from Image Position and Image Orientation alone. Slices ascend
along row x column, so the affine is right-handed: its 3 x 3 part has a positive determinant.
"""

import os
from collections.abc import Callable
from itertools import islice
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from crena.imaging._headers import ENHANCED, Found, Other, checked, find_image, is_dicom
from crena.imaging._pixels import LOSSY, check_syntax, signals
from crena.imaging._stack import Stack, stacked
from crena.records.errors import InputError, ScanError
from crena.records.scans import Volume

MAX_FILES = 2000
"""Most DICOM files that are looked at in one folder."""

MAX_ENTRIES = 20_000
"""Most files of any kind that a folder and its subfolders may hold."""

MAX_BYTES = 2**30
"""Most bytes that a folder's files, or a series once decoded, may have."""

Progress = Callable[[float, str], None]
"""Called with the share done, 0 to 1, and what is being done."""

_VOXEL_BYTES = 4
_HEADER_SHARE = 0.3
_LISTED = 8
_PRONE = ("HFP", "FFP")


def read_series(
    folder: Path, *, series_uid: str | None = None, progress: Progress | None = None
) -> Volume:
    """Read the MR series in a folder and its subfolders.

    Parameters
    ----------
    folder : Path
        Where the files lie, in any order and under any names.
    series_uid : str or None
        Which series to read, where the folder holds several.
    progress : callable or None
        Called with the share done, 0 to 1, and what is being done.

    Returns
    -------
    Volume
        Signals as float32 in (k, j, i) order, slices ascending along row x column; the
        affine is right-handed. What was noticed on the way is in its notes.

    Raises
    ------
    InputError
        If the folder is missing or holds nothing that could be read.
    ScanError
        If the series is not certainly one regular stack of MR images of one patient.

    Notes
    -----
    Source of the geometry: DICOM PS3.3, C.7.6.2.1.1, equation C.7.6.2.1-1.
    """
    paths, stray = _dicom_files(Path(folder))
    images, others = _images(paths, progress)
    chosen = _one_series(images, series_uid)
    stack = stacked([checked(image) for image in chosen])
    _check_decoded_size(stack)
    voxels = _voxels(stack, progress)
    return Volume(
        voxels=voxels,
        affine=stack.affine,
        slice_thickness_mm=stack.thickness_mm,
        frame_of_reference_uid=stack.headers[0].frame_uid,
        series_uid=stack.headers[0].series_uid,
        prone=stack.headers[0].patient_position in _PRONE,
        notes=stack.notes + _notes(stack, stray, others),
    )


def _dicom_files(folder: Path) -> tuple[list[Path], int]:
    """Return the DICOM files below a folder and how many other files lie there."""
    if not folder.is_dir():
        raise InputError(f"There is no folder {folder}. Name the folder that holds the series.")
    paths: list[Path] = []
    stray, n_bytes = 0, 0
    for path in _files_below(folder):
        if not is_dicom(path):
            stray += 1
            continue
        paths.append(path)
        n_bytes += path.stat().st_size
        _check_amount(len(paths), n_bytes)
    if not paths:
        found = f"no DICOM file among {stray}" if stray else "no file"
        raise InputError(f"{folder} holds {found}. Name the folder that holds the series.")
    return paths, stray


def _files_below(folder: Path) -> list[Path]:
    below = os.walk(folder, onerror=_refuse_unreadable)
    paths = list(
        islice((Path(top) / name for top, _, names in below for name in names), MAX_ENTRIES)
    )
    if len(paths) == MAX_ENTRIES:
        raise ScanError(
            f"{folder} holds {MAX_ENTRIES} files or more. Name the folder of one series."
        )
    return sorted(paths)


def _refuse_unreadable(fault: OSError) -> None:
    raise ScanError(f"{fault.filename} cannot be opened. Check that you may read it.") from fault


def _check_amount(n_files: int, n_bytes: int) -> None:
    if n_files > MAX_FILES:
        raise ScanError(
            f"The folder holds more than {MAX_FILES} DICOM files. Name the folder of one series."
        )
    if n_bytes > MAX_BYTES:
        raise ScanError(
            f"The folder holds more than {MAX_BYTES // 2**20} MiB of DICOM files. "
            "Name the folder of one series."
        )


def _images(paths: list[Path], progress: Progress | None) -> tuple[list[Found], list[Other]]:
    images: list[Found] = []
    others: list[Other] = []
    for count, path in enumerate(paths, start=1):
        found = find_image(path)
        if isinstance(found, Found):
            images.append(found)
        else:
            others.append(found)
        if progress is not None:
            progress(_HEADER_SHARE * count / len(paths), "reading headers")
    if not images:
        _refuse_others({other.words for other in others})
    return images, others


def _refuse_others(kinds: set[str]) -> None:
    if ENHANCED in kinds:
        raise ScanError(f"The folder holds {ENHANCED}. Export it as one file for each slice.")
    raise ScanError(
        f"The folder holds no MR image but {', '.join(sorted(kinds)[:_LISTED])}. "
        "Name the folder of an MR series."
    )


def _one_series(images: list[Found], series_uid: str | None) -> list[Found]:
    series: dict[str, list[Found]] = {}
    for image in images:
        series.setdefault(image.series_uid, []).append(image)
    if series_uid is None and len(series) == 1:
        return images
    if series_uid in series:
        return series[series_uid]
    patients = len({image.patient for image in images})
    of_whom = f" of {patients} patients" if patients > 1 else ""
    missing = "" if series_uid is None else f", but none is {series_uid}"
    raise ScanError(
        f"The folder holds {len(series)} series{of_whom}{missing}. "
        f"Name one by its identifier: {_listed(series)}."
    )


def _listed(series: dict[str, list[Found]]) -> str:
    lines = [
        f"{name} ({group[0].series_words}, {len(group)} images)"
        for name, group in sorted(series.items())
    ]
    more = [f"and {len(lines) - _LISTED} more"] if len(lines) > _LISTED else []
    return "; ".join(lines[:_LISTED] + more)


def _check_decoded_size(stack: Stack) -> None:
    rows, columns = stack.headers[0].shape
    n_bytes = rows * columns * len(stack.headers) * _VOXEL_BYTES
    if n_bytes > MAX_BYTES:
        raise ScanError(
            f"The series needs {n_bytes / 2**20:.0f} MiB; at most {MAX_BYTES // 2**20} MiB are "
            "read. Export fewer or smaller images."
        )
    for header in stack.headers:
        check_syntax(header)


def _voxels(stack: Stack, progress: Progress | None) -> NDArray[np.float32]:
    n_slices = len(stack.headers)
    voxels = np.empty((n_slices, *stack.headers[0].shape), dtype=np.float32)
    for k, header in enumerate(stack.headers):
        voxels[k] = signals(header)
        if progress is not None:
            share = _HEADER_SHARE + (1.0 - _HEADER_SHARE) * (k + 1) / n_slices
            progress(share, "reading pixels")
    return voxels


def _notes(stack: Stack, stray: int, others: list[Other]) -> tuple[str, ...]:
    first = stack.headers[0]
    lossy = any(header.transfer_syntax in LOSSY for header in stack.headers)
    said = (
        (first.patient_position not in _PRONE, _position_note(first.patient_position)),
        (not first.frame_uid, "The series states no frame of reference; overlay nothing on it."),
        (lossy, "The images may have been compressed with loss of detail."),
        (stray > 0, f"Files that are not DICOM were skipped: {stray}."),
        (len(others) > 0, f"DICOM files that are no MR images were skipped: {len(others)}."),
    )
    return tuple(sentence for holds, sentence in said if holds)


def _position_note(patient_position: str) -> str:
    if not patient_position:
        return "The series does not say how the patient lay; if supine, the skin was flattened."
    if patient_position in ("HFS", "FFS"):
        return (
            "The patient was scanned supine: the buttocks were flattened and the cleft was closed, "
            "so the skin is not that of the prone patient at operation."
        )
    return (
        f"The patient was not scanned prone ({patient_position[:16]}), so the skin is not that of "
        "the prone patient at operation."
    )
