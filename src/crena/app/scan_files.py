"""The stored file of a scan that is shown: one line of JSON, then its block of numbers."""

from pydantic import TypeAdapter

from crena.app.planning_job import voxels_sha256
from crena.imaging import picture_of
from crena.records import ScanMap, ScanPicture, StoredScan, Volume

PICTURES = TypeAdapter(ScanPicture)
SCAN_MAPS = TypeAdapter(ScanMap)

NUMBER_BYTES = 2


def picture_file(volume: Volume) -> bytes:
    """Return what is stored of a series so that it can be shown."""
    picture, numbers = picture_of(volume, voxels_sha256(volume))
    return PICTURES.dump_json(picture) + b"\n" + numbers.tobytes()


def picture_from(content: bytes) -> ScanPicture:
    """Return what a stored file says of its block."""
    return PICTURES.validate_json(content[: content.index(b"\n")])


def numbers_from(content: bytes, slice_number: int | None = None) -> bytes:
    """Return the block of a stored file, or one slice of it, as int16, little-endian."""
    start = content.index(b"\n") + 1
    if slice_number is None:
        return content[start:]
    picture = picture_from(content)
    size = NUMBER_BYTES * picture.rows * picture.columns
    return content[start + slice_number * size : start + (slice_number + 1) * size]


def stored_scan(picture: ScanPicture, files: tuple[str, ...], picture_sha256: str) -> StoredScan:
    """Describe a series that was read, by the hashes of its files."""
    return StoredScan(
        files=files,
        series_uid=picture.series_uid,
        slices=picture.slices,
        rows=picture.rows,
        columns=picture.columns,
        voxels_sha256=picture.voxels_sha256,
        picture_sha256=picture_sha256,
        notes=picture.notes,
    )
