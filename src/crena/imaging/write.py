"""Write a volume as a series of MR Image Storage files, one file for each slice."""

import os
import re
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.uid import UID, ExplicitVRLittleEndian, MRImageStorage

from crena.imaging._uids import uid
from crena.records.errors import InputError
from crena.records.scans import Volume

Array = NDArray[np.float64]

_SIGNED_BOUND = 2**15
_UNSIGNED_BOUND = 2**16
_LABEL_LIMIT = 64
_IMPLEMENTATION_UID = uid("crena", "implementation")
_RIGHT_ANGLE_TOLERANCE = 1e-4

_UID_PATTERN = r"|(?=.{3,64}$)(0|[1-9][0-9]*)(\.(0|[1-9][0-9]*))+"
"""Nothing, or an identifier as DICOM PS3.5, 9.1 spells it."""


def write_series(volume: Volume, folder: Path, *, label: str, uid_seed: str | int) -> list[Path]:
    """Write a volume as an MR series in explicit VR little endian.

    The folder appears only when the whole series is in it: the files are first written
    beside it, under another name.

    Parameters
    ----------
    volume : Volume
        The series. Signals are rounded to whole numbers.
    folder : Path
        Where the files go; it must not exist yet, or be empty.
    label : str
        What stands in place of a patient's name, such as ``DEMONSTRATION^ONE``.
    uid_seed : str or int
        The identifiers of study, series and images follow from it alone.

    Returns
    -------
    list of Path
        The files, in slice order.

    Raises
    ------
    InputError
        If the folder is not empty, the label is too long, or the volume cannot be said in
        MR Image Storage.

    Notes
    -----
    Source: DICOM PS3.3, A.4 (MR Image IOD), C.7.6.2 (Image Plane).
    """
    folder = Path(folder)
    _check_place(folder)
    _check_volume(volume, label)
    stack = _Stack(volume, label, uid_seed, bool(np.rint(volume.voxels.min()) < 0))
    folder.parent.mkdir(parents=True, exist_ok=True)
    unfinished = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    try:
        names = [_write_slice(stack, k, unfinished) for k in range(len(volume.voxels))]
        _put_in_place(unfinished, folder)
    except BaseException:
        shutil.rmtree(unfinished, ignore_errors=True)
        raise
    return [folder / name for name in names]


@dataclass(frozen=True, slots=True)
class _Stack:
    """What every slice of the series needs to know."""

    volume: Volume
    label: str
    uid_seed: str | int
    signed: bool


def _check_place(folder: Path) -> None:
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputError(f"{folder} already holds something. Name a folder that is new or empty.")


def _check_volume(volume: Volume, label: str) -> None:
    if not 0 < len(label) <= _LABEL_LIMIT or not label.isprintable() or "\\" in label:
        raise InputError(
            f"The label {label[:_LABEL_LIMIT]!r} cannot stand for a name. "
            f"Give 1 to {_LABEL_LIMIT} printable characters without a backslash."
        )
    if not re.fullmatch(_UID_PATTERN, volume.frame_of_reference_uid):
        raise InputError("The volume's frame of reference is no valid identifier. Leave it empty.")
    if volume.voxels.ndim != 3 or 0 in volume.voxels.shape:
        raise InputError("The volume has no voxels. Give slices, rows and columns.")
    if not np.isfinite(volume.voxels).all():
        raise InputError("The volume holds signals that are no numbers. Replace them first.")
    _check_range(round(float(volume.voxels.min())), round(float(volume.voxels.max())))
    axes = volume.affine[:3, :3] / np.linalg.norm(volume.affine[:3, :3], axis=0)
    if not np.allclose(axes.T @ axes, np.eye(3), atol=_RIGHT_ANGLE_TOLERANCE):
        raise InputError("The volume is sheared. Resample it to right angles first.")


def _check_range(lowest: int, highest: int) -> None:
    fits_unsigned = lowest >= 0 and highest < _UNSIGNED_BOUND
    fits_signed = lowest >= -_SIGNED_BOUND and highest < _SIGNED_BOUND
    if not (fits_unsigned or fits_signed):
        raise InputError(
            f"Signals from {lowest:g} to {highest:g} do not fit 16 bits. Scale them first."
        )


def _write_slice(stack: _Stack, k: int, folder: Path) -> str:
    name = f"IM{k + 1:04d}.dcm"
    half_written = folder / f"{name}.part"
    image = _image(stack, k)
    image.save_as(half_written, enforce_file_format=True)
    os.replace(half_written, folder / name)
    return name


def _put_in_place(unfinished: Path, folder: Path) -> None:
    if folder.exists():
        folder.rmdir()
    unfinished.chmod(0o755)
    os.replace(unfinished, folder)


def _image(stack: _Stack, k: int) -> Dataset:
    image = Dataset()
    _say_who(image, stack)
    _say_how(image, stack.volume)
    _say_where(image, stack, k)
    _put_pixels(image, stack, k)
    image.file_meta = _file_meta(image.SOPInstanceUID)
    return image


def _file_meta(instance_uid: str) -> FileMetaDataset:
    meta = FileMetaDataset()
    meta.MediaStorageSOPClassUID = MRImageStorage
    meta.MediaStorageSOPInstanceUID = UID(instance_uid)
    meta.TransferSyntaxUID = ExplicitVRLittleEndian
    meta.ImplementationClassUID = UID(_IMPLEMENTATION_UID)
    meta.ImplementationVersionName = "CRENA"
    return meta


def _say_who(image: Dataset, stack: _Stack) -> None:
    image.SpecificCharacterSet = "ISO_IR 192"
    image.PatientName = stack.label
    image.PatientID = stack.label.replace("^", "-")
    image.PatientBirthDate = ""
    image.PatientSex = ""
    image.StudyInstanceUID = uid(stack.uid_seed, "study")
    image.StudyDate = ""
    image.StudyTime = ""
    image.StudyID = "1"
    image.AccessionNumber = ""
    image.ReferringPhysicianName = ""
    image.SeriesInstanceUID = uid(stack.uid_seed, "series")
    image.SeriesNumber = 1
    image.SeriesDescription = "T2 fat suppressed, invented"
    image.Modality = "MR"
    image.Manufacturer = "Crena"
    image.BodyPartExamined = "COCCYX"


def _say_how(image: Dataset, volume: Volume) -> None:
    """Describe an invented acquisition, so that the file is complete."""
    image.ImageType = ["ORIGINAL", "PRIMARY", "OTHER"]
    image.ScanningSequence = "SE"
    image.SequenceVariant = "SK"
    image.ScanOptions = "FS"
    image.MRAcquisitionType = "2D"
    image.RepetitionTime = "4000"
    image.EchoTime = "70"
    image.EchoTrainLength = 12
    image.PatientPosition = "FFP" if volume.prone else "FFS"
    image.SliceThickness = _decimal(volume.slice_thickness_mm)
    image.SpacingBetweenSlices = _decimal(_spacing_mm(volume, axis=2))


def _say_where(image: Dataset, stack: _Stack, k: int) -> None:
    volume = stack.volume
    corner = volume.affine @ np.array([0.0, 0.0, k, 1.0])
    along_row = volume.affine[:3, 0] / _spacing_mm(volume, axis=0)
    along_column = volume.affine[:3, 1] / _spacing_mm(volume, axis=1)
    image.SOPClassUID = MRImageStorage
    image.SOPInstanceUID = uid(stack.uid_seed, "image", k)
    image.InstanceNumber = k + 1
    image.FrameOfReferenceUID = volume.frame_of_reference_uid or uid(stack.uid_seed, "frame")
    image.PositionReferenceIndicator = ""
    image.ImagePositionPatient = [_decimal(value) for value in corner[:3]]
    image.ImageOrientationPatient = [_decimal(value) for value in (*along_row, *along_column)]
    image.PixelSpacing = [_decimal(_spacing_mm(volume, axis=axis)) for axis in (1, 0)]


def _put_pixels(image: Dataset, stack: _Stack, k: int) -> None:
    kind = "<i2" if stack.signed else "<u2"
    pixels = np.rint(stack.volume.voxels[k]).astype(kind)
    image.SamplesPerPixel = 1
    image.PhotometricInterpretation = "MONOCHROME2"
    image.Rows, image.Columns = pixels.shape
    image.BitsAllocated = image.BitsStored = 16
    image.HighBit = 15
    image.PixelRepresentation = int(stack.signed)
    _put_window(image, stack.volume.voxels)
    image.add_new("PixelData", "OW", pixels.tobytes())


def _put_window(image: Dataset, voxels: Array) -> None:
    low, high = float(voxels.min()), float(voxels.max())
    image.WindowCenter = _decimal(0.5 * (low + high))
    image.WindowWidth = _decimal(max(high - low, 1.0))


def _spacing_mm(volume: Volume, *, axis: int) -> float:
    return float(np.linalg.norm(volume.affine[:3, axis]))


def _decimal(value: float) -> str:
    """Return a number as a decimal string of at most 16 characters."""
    return format(float(value) + 0.0, ".10g")
