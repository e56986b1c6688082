"""Decode the pixels of one image into signals."""

import math
import struct
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydicom import dcmread
from pydicom.dataset import Dataset
from pydicom.encaps import get_frame
from pydicom.pixels.utils import pixel_array
from pydicom.uid import (
    HTJ2K,
    JPEG2000,
    UID,
    ExplicitVRBigEndian,
    ExplicitVRLittleEndian,
    HTJ2KLossless,
    HTJ2KLosslessRPCL,
    ImplicitVRLittleEndian,
    JPEG2000Lossless,
    JPEGLSLossless,
    JPEGLSNearLossless,
    RLELossless,
)

from crena.imaging._headers import Header, refusing
from crena.records.errors import ScanError

NATIVE = (ImplicitVRLittleEndian, ExplicitVRLittleEndian, ExplicitVRBigEndian)
"""Transfer syntaxes whose pixels are not compressed."""

LOSSY = (JPEG2000, JPEGLSNearLossless, HTJ2K)
"""Transfer syntaxes whose pixels may have lost detail."""

DECODED = (
    *NATIVE,
    *LOSSY,
    RLELossless,
    JPEG2000Lossless,
    JPEGLSLossless,
    HTJ2KLossless,
    HTJ2KLosslessRPCL,
)
"""All transfer syntaxes that are read."""

_JPEG_2000_SIZE = (b"\xff\x4f\xff\x51", ">4x4I")
"""Start of codestream and its SIZ segment: skip two fields, then Xsiz, Ysiz, XOsiz, YOsiz.

Source: ITU-T T.800, A.5.1.
"""

_JPEG_LS_SIZE = (b"\xff\xf7", ">3x2H")
"""Start of a JPEG-LS frame: skip length and precision, then rows and columns.

Source: ITU-T T.87, C.2.2.
"""

_SIZES = {
    **dict.fromkeys(
        map(str, (JPEG2000, JPEG2000Lossless, HTJ2K, HTJ2KLossless, HTJ2KLosslessRPCL)),
        _JPEG_2000_SIZE,
    ),
    **dict.fromkeys(map(str, (JPEGLSLossless, JPEGLSNearLossless)), _JPEG_LS_SIZE),
}

_AGAIN = "Export the series again."


def check_syntax(header: Header) -> None:
    """Refuse a transfer syntax that is not decoded here, by its name."""
    if header.transfer_syntax in DECODED:
        return
    with refusing(f"{header.path.name} does not say how it is coded. {_AGAIN}"):
        raise ScanError(
            f"{header.path.name} is coded as {UID(header.transfer_syntax).name}, which is not "
            "read. Export the series uncompressed (explicit VR little endian)."
        )


def signals(header: Header) -> NDArray[np.float32]:
    """Decode the signals of one image.

    Parameters
    ----------
    header : Header
        The image's header.

    Returns
    -------
    (rows, columns) float32
        Stored values times the rescale slope plus the intercept.

    Raises
    ------
    ScanError
        If pixels are missing, cut short or cannot be decoded.
    """
    with refusing(f"The pixels of {header.path.name} cannot be decoded. {_AGAIN}"):
        image = dcmread(header.path)
        stored = _stored(header, image)
        slope, intercept = _rescale(header, image)
        scaled: NDArray[np.float32] = (stored * slope + intercept).astype(np.float32)
    if not np.isfinite(scaled).all():
        raise ScanError(f"Signals of {header.path.name} are out of range. {_AGAIN}")
    return scaled


def _stored(header: Header, image: Dataset) -> NDArray[Any]:
    allocated, used = int(image.BitsAllocated), int(image.BitsStored)
    top, signed = int(image.get("HighBit", used - 1)), int(image.PixelRepresentation)
    if allocated not in (8, 16) or not 0 < used <= allocated or top != used - 1:
        raise ScanError(
            f"{header.path.name} stores {used} of {allocated} bits up to bit {top}, which is not "
            f"read. {_AGAIN}"
        )
    if signed not in (0, 1):
        raise ScanError(f"{header.path.name} does not say whether its values are signed. {_AGAIN}")
    _check_length(header, image, allocated // 8)
    coded = pixel_array(image, raw=True)
    _check_shape(header, coded.shape)
    return _only_used_bits(coded, used, signed=bool(signed))


def _check_length(header: Header, image: Dataset, sample_bytes: int) -> None:
    if "PixelData" not in image or not image.PixelData:
        raise ScanError(f"{header.path.name} has no pixels. {_AGAIN}")
    if header.transfer_syntax not in NATIVE:
        _check_announced(header, get_frame(image.PixelData, 0, number_of_frames=1))
        return
    wanted = header.shape[0] * header.shape[1] * sample_bytes
    found = len(image.PixelData)
    if found not in (wanted, wanted + wanted % 2):
        raise ScanError(f"{header.path.name} holds {found} of {wanted} bytes of pixels. {_AGAIN}")


def _check_announced(header: Header, frame: bytes) -> None:
    """Refuse a compressed image that announces another size, before room is made for it."""
    mark, places = _SIZES.get(header.transfer_syntax, (b"", ""))
    at = frame.find(mark) + len(mark)
    if not mark:
        return
    if at < len(mark) or len(frame) < at + struct.calcsize(places):
        raise ScanError(f"The pixels of {header.path.name} are cut short. {_AGAIN}")
    announced = struct.unpack_from(places, frame, at)
    _check_shape(header, _jpeg_2000_shape(announced) if len(announced) > 2 else announced)


def _jpeg_2000_shape(siz: tuple[int, ...]) -> tuple[int, int]:
    """Return rows and columns: the grid's extent less its offset."""
    width, height, left, top = siz
    return height - top, width - left


def _check_shape(header: Header, shape: tuple[int, ...]) -> None:
    if shape != header.shape:
        raise ScanError(
            f"{header.path.name} announces {header.shape[0]} x {header.shape[1]} pixels and holds "
            f"{' x '.join(map(str, shape))}. {_AGAIN}"
        )


def _only_used_bits(coded: NDArray[Any], used: int, *, signed: bool) -> NDArray[Any]:
    """Drop what lies above the stored bits, and carry the sign from the highest of them."""
    wide = coded.astype(np.int64) & ((1 << used) - 1)
    if not signed:
        return wide
    return wide - ((wide >> (used - 1)) << used)


def _rescale(header: Header, image: Dataset) -> tuple[float, float]:
    slope, intercept = (
        float(default if image.get(word) in (None, "") else image.get(word))
        for word, default in (("RescaleSlope", 1.0), ("RescaleIntercept", 0.0))
    )
    if not (math.isfinite(slope) and math.isfinite(intercept)) or slope == 0.0:
        raise ScanError(
            f"{header.path.name} states a rescale slope of {slope:g} and intercept of "
            f"{intercept:g}, which cannot be right. {_AGAIN}"
        )
    return slope, intercept
