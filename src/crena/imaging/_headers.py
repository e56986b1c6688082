"""Open one file of a series and take from it what the geometry needs, and nothing more.

What lies in these files comes from outside: every number is checked before it is used, and
whatever fault the parser meets becomes one sentence about one file.
"""

import math
import stat
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
from numpy.typing import NDArray
from pydicom import dcmread
from pydicom.dataset import Dataset
from pydicom.filereader import read_file_meta_info
from pydicom.uid import (
    DeflatedExplicitVRLittleEndian,
    EnhancedMRImageStorage,
    MediaStorageDirectoryStorage,
    MRImageStorage,
)

from crena.records.errors import ScanError

Array = NDArray[np.float64]

MAX_ROWS = 2048
"""Most rows, and most columns, of an image that is opened."""

MAX_FILE_BYTES = 64 * 2**20
"""Largest single file that is opened: an image of the largest size, eight times over."""

MAX_HEADER_BYTES = 4 * 2**20
"""More before the pixels is no header of an image but elements without end (assumed)."""

SPACING_RANGE_MM = (0.05, 20.0)
"""Distances between rows, columns or slices that an MR series can have."""

_ORTHONORMAL_TOLERANCE = 1e-3
_PREAMBLE_BYTES = 128

MARKED_BYTES = _PREAMBLE_BYTES + 4
"""So many bytes tell whether a file is DICOM."""

ENHANCED = "an enhanced MR object of several frames"
"""The words for the one other object that holds MR images."""


@dataclass(frozen=True, slots=True)
class Found:
    """An MR image, opened only so far that one can say which series it belongs to."""

    path: Path
    series_uid: str
    series_words: str  #: description of the series, for a person
    patient: str
    transfer_syntax: str
    elements: Dataset  #: all but the pixels, not yet checked


@dataclass(frozen=True, slots=True)
class Other:
    """A DICOM object that is no single MR image, in words."""

    path: Path
    words: str


@dataclass(frozen=True, slots=True)
class Header:
    """What one image says about itself, checked."""

    path: Path
    sop_uid: str
    series_uid: str
    patient: str
    frame_uid: str
    shape: tuple[int, int]  #: rows, columns
    spacing_mm: Array  #: (2,) between rows, between columns
    position_mm: Array  #: (3,) LPS of the first voxel's centre
    orientation: Array  #: (2, 3) along a row, along a column
    thickness_mm: float | None
    echo: tuple[str, ...]  #: what may tell two images at one place apart
    patient_position: str
    transfer_syntax: str


def has_mark(start: bytes) -> bool:
    """Return whether the first bytes of a file carry the DICOM mark after its preamble."""
    return start[_PREAMBLE_BYTES:MARKED_BYTES] == b"DICM"


def is_dicom(path: Path) -> bool:
    """Return whether a regular file carries the DICOM mark after its preamble."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return False
        with path.open("rb") as file:
            return has_mark(file.read(MARKED_BYTES))
    except OSError as fault:
        raise ScanError(f"{path.name} cannot be opened. Check that you may read it.") from fault


def find_image(path: Path) -> Found | Other:
    """Open one DICOM file so far that one can say what it is.

    Parameters
    ----------
    path : Path
        A file that carries the DICOM mark.

    Returns
    -------
    Found or Other
        An MR image and its series, or the words for any other object.

    Raises
    ------
    ScanError
        If the file is too large, deflated or damaged.
    """
    n_bytes = path.stat().st_size
    if n_bytes > MAX_FILE_BYTES:
        raise ScanError(
            f"{path.name} has {n_bytes / 2**20:.0f} MiB; at most {MAX_FILE_BYTES // 2**20} MiB "
            "are read. Export the series as one file for each slice."
        )
    with refusing(f"The header of {path.name} cannot be read. {_AGAIN}"):
        elements, syntax = _parsed(path)
        return _found(path, elements, syntax)


def checked(found: Found) -> Header:
    """Take from an MR image what the geometry needs.

    Parameters
    ----------
    found : Found
        An image of the chosen series.

    Returns
    -------
    Header
        What it says about itself, every number checked.

    Raises
    ------
    ScanError
        If the header is damaged, incomplete or impossible.
    """
    with refusing(f"The header of {found.path.name} is damaged. {_AGAIN}"):
        return _header(found, found.elements)


@contextmanager
def refusing(sentence: str) -> Iterator[None]:
    """Turn whatever fault the parser meets into one refusal, and keep its warnings quiet.

    Parameters
    ----------
    sentence : str
        What to say of a fault that has no better words.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            yield
        except ScanError:
            raise
        except Exception as fault:
            raise ScanError(sentence) from fault


_AGAIN = "Export the series again."


def _parsed(path: Path) -> tuple[Dataset, str]:
    """Read a header without its pixels; a deflated file is refused before it is inflated."""
    syntax = str(read_file_meta_info(path).get("TransferSyntaxUID", ""))
    if syntax == DeflatedExplicitVRLittleEndian:
        raise ScanError(f"{path.name} is deflated. Export the series uncompressed.")
    with path.open("rb") as file:
        return dcmread(_HeaderFile(path, file), stop_before_pixels=True), syntax


@dataclass(frozen=True, slots=True)
class _HeaderFile:
    """A file of which no more is read than a header may have."""

    path: Path
    file: BinaryIO

    @property
    def name(self) -> str:
        return str(self.path)

    def read(self, size: int = -1) -> bytes:
        if size < 0 or self.file.tell() + size > MAX_HEADER_BYTES:
            raise ScanError(
                f"{self.path.name} has a header of more than {MAX_HEADER_BYTES // 2**20} MiB. "
                "Export the series again."
            )
        return self.file.read(size)

    def seek(self, offset: int, whence: int = 0) -> int:
        return self.file.seek(offset, whence)

    def tell(self) -> int:
        return self.file.tell()


def _found(path: Path, elements: Dataset, syntax: str) -> Found | Other:
    if str(elements.file_meta.get("MediaStorageSOPClassUID", "")) == MediaStorageDirectoryStorage:
        return Other(path, "a directory of files")
    kind = _text(path, elements, "SOPClassUID")
    if kind != MRImageStorage:
        return Other(path, _kind_words(elements, kind))
    return Found(
        path=path,
        series_uid=_text(path, elements, "SeriesInstanceUID"),
        series_words=str(elements.get("SeriesDescription", "") or "no description")[:64],
        patient=f"{elements.get('PatientID', '')}\x1f{elements.get('PatientName', '')}",
        transfer_syntax=syntax,
        elements=elements,
    )


def _kind_words(elements: Dataset, kind: str) -> str:
    if kind == EnhancedMRImageStorage:
        return ENHANCED
    return str(elements.get("Modality", "") or "an unknown kind")[:16]


def _header(found: Found, image: Dataset) -> Header:
    path = found.path
    _check_image(path, image, found.transfer_syntax)
    return Header(
        path=path,
        sop_uid=_text(path, image, "SOPInstanceUID"),
        series_uid=found.series_uid,
        patient=found.patient,
        frame_uid=str(image.get("FrameOfReferenceUID", "") or ""),
        shape=_shape(path, image),
        spacing_mm=_spacing(path, image),
        position_mm=_numbers(path, image, "ImagePositionPatient", 3),
        orientation=_orientation(path, image),
        thickness_mm=_thickness(path, image),
        echo=tuple(str(image.get(word, "")) for word in _ECHO_WORDS),
        patient_position=str(image.get("PatientPosition", "") or ""),
        transfer_syntax=found.transfer_syntax,
    )


_ECHO_WORDS = ("EchoTime", "TemporalPositionIdentifier", "AcquisitionNumber", "InversionTime")


def _check_image(path: Path, image: Dataset, syntax: str) -> None:
    if not syntax:
        raise ScanError(f"{path.name} does not say how it is coded. {_AGAIN}")
    if int(image.get("NumberOfFrames", 1) or 1) != 1:
        raise ScanError(
            f"{path.name} holds several frames. Export the series as one file for each slice."
        )
    colour = str(image.get("PhotometricInterpretation", ""))
    if colour != "MONOCHROME2" or int(image.get("SamplesPerPixel", 1)) != 1:
        raise ScanError(
            f"{path.name} is coded as {colour[:16] or 'an unknown colour'}, not MONOCHROME2. "
            "Export the original grey images."
        )


def _shape(path: Path, image: Dataset) -> tuple[int, int]:
    rows, columns = int(image.get("Rows", 0)), int(image.get("Columns", 0))
    if not (0 < rows <= MAX_ROWS and 0 < columns <= MAX_ROWS):
        raise ScanError(
            f"{path.name} has {rows} rows and {columns} columns; 1 to {MAX_ROWS} are read. {_AGAIN}"
        )
    return rows, columns


def _spacing(path: Path, image: Dataset) -> Array:
    spacing = _numbers(path, image, "PixelSpacing", 2)
    low, high = SPACING_RANGE_MM
    if not np.all((spacing >= low) & (spacing <= high)):
        raise ScanError(
            f"{path.name} states a pixel spacing of {spacing[0]:g} x {spacing[1]:g} mm; "
            f"{low:g} to {high:g} mm can be right. {_AGAIN}"
        )
    return spacing


def _orientation(path: Path, image: Dataset) -> Array:
    orientation = _numbers(path, image, "ImageOrientationPatient", 6).reshape(2, 3)
    if not np.allclose(orientation @ orientation.T, np.eye(2), atol=_ORTHONORMAL_TOLERANCE):
        raise ScanError(
            f"The image axes of {path.name} are not at right angles or not of length one. {_AGAIN}"
        )
    along_row = orientation[0] / np.linalg.norm(orientation[0])
    along_column = orientation[1] - along_row * (orientation[1] @ along_row)
    return np.stack([along_row, along_column / np.linalg.norm(along_column)])


def _thickness(path: Path, image: Dataset) -> float | None:
    if image.get("SliceThickness") in (None, ""):
        return None
    thickness = float(image.SliceThickness)
    low, high = SPACING_RANGE_MM
    if not low <= thickness <= high:
        raise ScanError(
            f"{path.name} states a slice thickness of {thickness:g} mm; "
            f"{low:g} to {high:g} mm can be right. {_AGAIN}"
        )
    return thickness


def _numbers(path: Path, image: Dataset, word: str, count: int) -> Array:
    stated = image.get(word)
    if stated is None or stated == "":
        raise ScanError(
            f"{path.name} does not state its {_WORDS[word]}, so its place is unknown. {_AGAIN}"
        )
    values = [float(value) for value in stated]
    if len(values) != count or not all(map(math.isfinite, values)):
        raise ScanError(f"The {_WORDS[word]} of {path.name} is not {count} numbers. {_AGAIN}")
    return np.array(values)


_WORDS = {
    "PixelSpacing": "pixel spacing",
    "ImagePositionPatient": "image position",
    "ImageOrientationPatient": "image orientation",
}


def _text(path: Path, image: Dataset, word: str) -> str:
    text = str(image.get(word, "") or "")
    if not text:
        raise ScanError(f"{path.name} has no identifier ({word}). {_AGAIN}")
    return text
