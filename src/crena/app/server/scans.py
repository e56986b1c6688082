"""The scan of a case: its files taken in, its slices shown, its disease mapped."""

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Annotated, Any, Final

import numpy as np
from anyio import from_thread
from fastapi import APIRouter, Header, Query, Request, Response
from pydantic import BaseModel, Field
from starlette.requests import ClientDisconnect

from crena.app.case_files import case_text
from crena.app.jobs.runner import JobOrder
from crena.app.jobs.scan_work import mapped, read_scan
from crena.app.scan_files import SCAN_MAPS, numbers_from, picture_from, stored_scan
from crena.app.server.cases import CHANGED, MISSING
from crena.app.server.desk import AtDesk, Desk
from crena.app.server.entering import enter
from crena.app.server.standing import map_hash
from crena.draw.scan_outlines import scan_outlines
from crena.geometry.slicing import from_voxels, to_voxels
from crena.imaging import (
    MARKED_BYTES,
    MAX_BYTES,
    MAX_FILE_BYTES,
    MAX_FILES,
    Found,
    Other,
    find_image,
    has_mark,
)
from crena.records import (
    Case,
    Dossier,
    InputError,
    Job,
    JobKind,
    MissingError,
    Revision,
    ScanClicks,
    ScanError,
    ScanMap,
    ScanPicture,
    SliceOutline,
    StoredMap,
)
from crena.store.files import keep_file, paths_of, stored_file, written
from crena.store.revisions import last_number, read_case
from crena.store.uploads import (
    Upload,
    forget,
    keep_waiting,
    let_wait,
    places_for,
    take_over,
    waiting_folder,
    waiting_of,
)

routes = APIRouter(prefix="/api/cases/{case_id}", tags=["scan"])

MOST_PLACES = 1000
OCTETS: Final = "application/octet-stream"

OCTET_BODY: Final[dict[str, Any]] = {
    "requestBody": {
        "required": True,
        "content": {OCTETS: {"schema": {"type": "string", "format": "binary"}}},
    }
}

NO_SCAN: Final = "This case has no scan. Add the files of one MR series."
EARLIER_SCAN: Final = "This scan was taken in by an earlier version. Read its files again."

Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
Number = Annotated[float, Field(ge=-10_000, le=10_000, allow_inf_nan=False)]
Triple = tuple[Number, Number, Number]


class KeptFile(BaseModel):
    """One DICOM file that was kept, and the series that it belongs to."""

    sha256: str
    series_uid: str
    series_words: str


class ScanFiles(BaseModel):
    """The files of one series, by their hashes."""

    files: list[Sha256] = Field(min_length=1, max_length=MAX_FILES)


class Voxels(BaseModel):
    """Places in the block: fractional column, row and slice."""

    voxels: list[Triple] = Field(max_length=MOST_PLACES)


class Places(BaseModel):
    """Places in the patient, LPS mm."""

    places_lps_mm: list[Triple] = Field(max_length=MOST_PLACES)


class MapNow(BaseModel):
    """The map that the scan showed last."""

    found: ScanMap
    made_on: str
    old: bool  #: clicks, probing or scan were changed after it was made


@routes.put("/scan/files", responses=MISSING, openapi_extra=OCTET_BODY)
def keep_scan_file(case_id: str, desk: AtDesk, request: Request) -> KeptFile:
    """Keep one file of an MR series, sent as the body; the same file sent twice is kept once."""
    last_number(desk.store, case_id)
    folder = waiting_folder(desk.store)
    with written(folder, _dicom(_chunks(request)), MAX_FILE_BYTES) as (place, sha256):
        found = _image_at(place)
        upload = Upload(case_id=case_id, series_uid=found.series_uid, sha256=sha256)
        let_wait(desk.store, place, upload)
    _refuse_large_series(desk, upload)
    return KeptFile(sha256=sha256, series_uid=found.series_uid, series_words=found.series_words)


@routes.post("/scan", status_code=202, responses=MISSING)
def enter_scan(case_id: str, sent: ScanFiles, desk: AtDesk) -> Job:
    """Begin to read one series and enter it into the case."""
    last_number(desk.store, case_id)
    files = tuple(dict.fromkeys(sent.files))
    places = places_for(desk.store, case_id, files)
    _check_files(places)
    keep_waiting(desk.store, case_id, files)
    order = JobOrder(
        kind=JobKind.SCAN,
        case_id=case_id,
        work=read_scan,
        parts=([[str(place) for place in each] for each in places],),
        finish=lambda content: _enter_scan(desk, case_id, files, content),
    )
    return desk.jobs.start(order)


@routes.delete("/scan", responses=CHANGED)
def take_scan_out(case_id: str, desk: AtDesk) -> Revision:
    """Take the scan and its map out of the case; clicks and files stay kept."""
    read_case(desk.store, case_id, desk.author("to take the scan out"))

    def without_scan(dossier: Dossier) -> Dossier:
        return replace(dossier, case=_with_series(dossier), scan=None, map=None)

    return enter(desk, case_id, without_scan, "took the scan out")


@routes.get("/scan", responses=MISSING)
def get_scan(case_id: str, desk: AtDesk) -> ScanPicture:
    """Return how the scan is shown: its views, its edges in words, its first window."""
    return picture_from(_picture_file(desk, case_id))


@routes.get(
    "/scan/voxels",
    response_class=Response,
    responses={**MISSING, 200: {"content": {OCTETS: {}}}, 304: {"description": "Not changed"}},
)
def get_voxels(
    case_id: str,
    desk: AtDesk,
    slice_number: Annotated[int | None, Query(alias="slice", ge=0, le=MAX_FILES)] = None,
    if_none_match: Annotated[str, Header()] = "",
) -> Response:
    """Return the block as int16, little-endian, in (k, j, i) order; or one slice of it."""
    content = _picture_file(desk, case_id)
    name = hashlib.sha256(content).hexdigest()
    tag = f'"{name}"' if slice_number is None else f'"{name}-{slice_number}"'
    if if_none_match.strip() == tag:
        return Response(status_code=304, headers={"ETag": tag})
    if slice_number is not None and slice_number >= picture_from(content).slices:
        raise MissingError("The scan has no slice of this number.")
    return Response(numbers_from(content, slice_number), media_type=OCTETS, headers={"ETag": tag})


@routes.post("/scan/places", responses=MISSING)
def place_voxels(case_id: str, asked: Voxels, desk: AtDesk) -> Places:
    """Say where places of the block lie in the patient."""
    picture = picture_from(_picture_file(desk, case_id))
    counts = (picture.columns, picture.rows, picture.slices)
    for voxel in asked.voxels:
        inside = (-0.5 <= v <= n - 0.5 for v, n in zip(voxel, counts, strict=True))
        if not all(inside):
            raise InputError("This place lies outside of the scan. Choose one inside.")
    return Places(places_lps_mm=_triples(from_voxels(picture.affine_mm, _rows(asked.voxels)), 2))


@routes.post("/scan/indices", responses=MISSING)
def find_voxels(case_id: str, asked: Places, desk: AtDesk) -> Voxels:
    """Say where places in the patient lie in the block, in it or beside it."""
    picture = picture_from(_picture_file(desk, case_id))
    return Voxels(voxels=_triples(to_voxels(picture.affine_mm, _rows(asked.places_lps_mm)), 3))


@routes.post("/map", status_code=202, responses=MISSING)
def map_disease(case_id: str, desk: AtDesk) -> Job:
    """Begin to map the disease between the clicks, as the case was saved last."""
    dossier = read_case(desk.store, case_id, desk.author("to map")).dossier
    if dossier.scan is None:
        raise MissingError(NO_SCAN)
    name = map_hash(dossier)
    order = JobOrder(
        kind=JobKind.MAP,
        case_id=case_id,
        work=mapped,
        parts=(
            case_text(replace(dossier.case, choice=None)),
            paths_of(desk.store, dossier.scan.files),
        ),
        finish=lambda content: _enter_map(desk, case_id, name, content),
    )
    return desk.jobs.start(order)


@routes.get("/scan/map", responses=MISSING)
def get_scan_map(case_id: str, desk: AtDesk) -> MapNow:
    """Return the map that the scan showed last, and whether it is old."""
    dossier = read_case(desk.store, case_id, desk.author("map")).dossier
    stored = _map(dossier)
    return MapNow(
        found=scan_map_of(desk, stored),
        made_on=stored.made_on,
        old=stored.inputs_hash != map_hash(dossier),
    )


@routes.get("/scan/outlines", responses=MISSING)
def get_outlines(case_id: str, desk: AtDesk) -> tuple[SliceOutline, ...]:
    """Return where the slices of each view cut what was mapped."""
    dossier = read_case(desk.store, case_id, desk.author("outlines")).dossier
    picture = picture_from(_picture_file(desk, case_id))
    return scan_outlines(scan_map_of(desk, _map(dossier)), picture)


def scan_map_of(desk: Desk, stored: StoredMap) -> ScanMap:
    """Return a stored map."""
    return SCAN_MAPS.validate_json(stored_file(desk.store, stored.sha256))


def _map(dossier: Dossier) -> StoredMap:
    if dossier.map is None:
        raise MissingError("The disease was not mapped on the scan yet. Click it, then map it.")
    return dossier.map


def _picture_file(desk: Desk, case_id: str) -> bytes:
    scan = read_case(desk.store, case_id, desk.author("scan")).dossier.scan
    if scan is None:
        raise MissingError(NO_SCAN)
    if not scan.picture_sha256:
        raise MissingError(EARLIER_SCAN)
    return stored_file(desk.store, scan.picture_sha256)


def _enter_scan(desk: Desk, case_id: str, files: tuple[str, ...], content: bytes) -> str:
    take_over(desk.store, case_id, files)
    sha256 = keep_file(desk.store, [content])
    scan = stored_scan(picture_from(content), files, sha256)

    def with_scan(dossier: Dossier) -> Dossier:
        return replace(dossier, case=_with_series(dossier), scan=scan)

    enter(desk, case_id, with_scan, "added a scan")
    return sha256


def _enter_map(desk: Desk, case_id: str, name: str, content: bytes) -> str:
    sha256 = keep_file(desk.store, [content])
    made = StoredMap(sha256=sha256, inputs_hash=name, made_on=date.today().isoformat())
    enter(desk, case_id, lambda d: replace(d, map=made), "mapped")
    return sha256


def _with_series(dossier: Dossier) -> Case:
    """Return the case with its clicks bound to the series that they were made on."""
    clicks, scan = dossier.case.clicks, dossier.scan
    if clicks is None or scan is None:
        return dossier.case
    return replace(dossier.case, clicks=_clicks_with(clicks, scan.series_uid))


def _clicks_with(clicks: ScanClicks, series_uid: str) -> ScanClicks:
    """Return clicks that name their series; those that name one already keep it."""
    return clicks if clicks.series_uid else replace(clicks, series_uid=series_uid)


def _check_files(places: list[tuple[Path, ...]]) -> None:
    found = [next(filter(Path.is_file, each), None) for each in places]
    there = [place for place in found if place is not None]
    if len(there) < len(places):
        missing = len(places) - len(there)
        raise InputError(f"{missing} of {len(places)} files did not arrive. Send them again.")
    _refuse_beyond(len(there), sum(place.stat().st_size for place in there))


def _image_at(place: Path) -> Found:
    """Return the MR image that a file holds; what is something else is refused."""
    try:
        found = find_image(place)
    except ScanError as fault:
        raise InputError(_of_the_file(str(fault), place.name)) from None
    if isinstance(found, Other):
        raise InputError(f"This file is no MR image but {found.words}.")
    return found


def _refuse_large_series(desk: Desk, upload: Upload) -> None:
    """Refuse the file with which its series becomes too large; the others stay."""
    waiting = waiting_of(desk.store, upload)
    try:
        _refuse_beyond(waiting.files, waiting.size_bytes)
    except InputError:
        forget(desk.store, upload)
        raise


def _refuse_beyond(files: int, size_bytes: int) -> None:
    if files > MAX_FILES:
        raise InputError(f"The series has more than {MAX_FILES} files. Send one series only.")
    if size_bytes > MAX_BYTES:
        raise InputError(
            f"The series has {size_bytes / 2**20:.0f} MiB; at most {MAX_BYTES // 2**20} MiB are "
            "read. Send one series only."
        )


def _chunks(request: Request) -> Iterator[bytes]:
    """Give a body as it comes in, from the thread that the route runs in."""
    stream = request.stream()

    async def following() -> bytes | None:
        try:
            return await anext(stream, None)
        except ClientDisconnect:
            raise InputError("The file did not arrive whole. Send it again.") from None

    while (chunk := from_thread.run(following)) is not None:
        yield chunk


def _dicom(chunks: Iterator[bytes]) -> Iterator[bytes]:
    """Let a file through once its first bytes say that it is DICOM."""
    start = b""
    for chunk in chunks:
        start += chunk
        if len(start) >= MARKED_BYTES:
            break
    if not has_mark(start):
        raise InputError("This is no DICOM file.")
    yield start
    yield from chunks


def _of_the_file(sentence: str, name: str) -> str:
    said = sentence.replace(name, "the file")
    return said[:1].upper() + said[1:]


def _rows(points: list[Triple]) -> np.ndarray:
    return np.array(points, dtype=float).reshape(-1, 3)


def _triples(points: np.ndarray, digits: int) -> list[Triple]:
    rounded = np.round(points, digits) + 0.0
    return [(float(x), float(y), float(z)) for x, y, z in rounded]
