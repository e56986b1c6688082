"""The scan of a case over HTTP: files in, slices out, clicks placed, disease mapped."""

import asyncio
import hashlib
import json
import os
import signal
import time
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import factory
import numpy as np
import pytest
from databases import KINDS
from served_cases import SETTINGS, served

from crena.app.case_files import CASES
from crena.app.demonstration import demonstration_case
from crena.app.jobs.runner import ENDED
from crena.app.server import scans
from crena.app.server.guards import MOST_UPLOAD_BYTES
from crena.imaging import MAX_FILE_BYTES, PhantomRecipe, read_series, render, write_series
from crena.records import (
    BodyEntry,
    Choice,
    Dossier,
    InputError,
    JobState,
    Precision,
    ScanClicks,
    StoredScan,
    TractClicks,
)
from crena.store.uploads import WAITS_H, clear_uploads, waiting_folder
from crena.store.verify import verify

DATABASES = KINDS
NO_DICOM = b"%PDF-1.7 " + bytes(4000)


@pytest.fixture(scope="module")
def phantom():
    """Render the demonstration's own phantom, so that its clicks fit."""
    return render(PhantomRecipe(seed=12))


@pytest.fixture(scope="module")
def series(phantom, tmp_path_factory):
    """Write the phantom as DICOM and give its folder."""
    folder = tmp_path_factory.mktemp("series")
    write_series(phantom.volume, folder / "one", label="TEST^ONE", uid_seed="one")
    write_series(phantom.volume, folder / "two", label="TEST^ONE", uid_seed="two")
    return folder


def made_case(client, case=None):
    sent = CASES.dump_python(case or factory.case(), mode="json")
    answer = client.post("/api/cases", json=sent)
    assert answer.status_code == 201
    return f"/api/cases/{answer.json()['case_id']}"


def contents(folder):
    return [each.read_bytes() for each in sorted(folder.iterdir())]


def sent(client, path, files):
    """Send files and return their hashes."""
    answers = [client.put(f"{path}/scan/files", content=each) for each in files]
    assert [a.status_code for a in answers] == [200] * len(answers), answers[-1].text
    return [answer.json()["sha256"] for answer in answers]


def files_in(store):
    """List every file that lies on the disk, finished or not."""
    return [each for each in store.files.rglob("*") if each.is_file()]


def ended(client, answer):
    assert answer.status_code == 202, answer.text
    until = time.monotonic() + 120
    while time.monotonic() < until:
        job = client.get(f"/api/jobs/{answer.json()['job_id']}").json()
        if JobState(job["state"]) in ENDED:
            return job
        time.sleep(0.05)
    raise AssertionError(f"the job did not end: {job}")


def entered(client, path, folder):
    """Send a whole series and wait until it is read."""
    files = sent(client, path, contents(folder))
    job = ended(client, client.post(f"{path}/scan", json={"files": files}))
    assert job["state"] == "done", job["reason"]
    return files


# --- files


def test_a_file_is_kept_once_under_its_own_hash_and_says_its_series(client, series, store):
    path, file = made_case(client), contents(series / "one")[0]
    first, again = (client.put(f"{path}/scan/files", content=file) for _ in range(2))
    assert first.json() == again.json()
    assert first.json()["sha256"] == hashlib.sha256(file).hexdigest()
    assert first.json()["series_uid"]
    (kept,) = files_in(store)
    assert kept.name.endswith(first.json()["sha256"])


@pytest.mark.parametrize("content", [b"", b"DICM", NO_DICOM, bytes(128) + b"DICO"])
def test_what_is_no_dicom_is_refused_in_one_sentence_and_not_kept(client, content, store):
    path = made_case(client)
    answer = client.put(f"{path}/scan/files", content=content)
    assert (answer.status_code, answer.json()["detail"]) == (422, "This is no DICOM file.")
    assert not files_in(store)


def test_a_damaged_header_is_refused_in_words_without_its_name_and_not_kept(client, series, store):
    path, file = made_case(client), contents(series / "one")[0]
    answer = client.put(f"{path}/scan/files", content=file[:300])
    assert answer.status_code == 422
    assert "the file" in answer.json()["detail"].lower()
    assert "unfinished" not in answer.text and not files_in(store)


@pytest.mark.parametrize("length", [str(3 * 1024**3), str(MOST_UPLOAD_BYTES + 1), "many"])
def test_a_file_that_says_it_is_too_large_is_refused_unread(client, length):
    path = made_case(client)
    headers = {"Content-Length": length}
    answer = client.put(f"{path}/scan/files", content=b"x", headers=headers)
    assert answer.status_code == 413


def test_a_file_that_does_not_say_how_large_it_is_is_cut_while_it_comes_in(
    client, store, monkeypatch
):
    monkeypatch.setattr("crena.app.server.lingering.LINGER_S", 0.0)
    path = made_case(client)
    status, said, taken = asyncio.run(streamed(client.app, f"{path}/scan/files"))
    assert (status, said["detail"]) == (422, "The file is larger than 64 MiB.")
    assert taken <= MAX_FILE_BYTES / 2**20 + 2
    assert not files_in(store)


async def streamed(app, path):
    """Send an endless body in pieces, as a server gives it, and return what comes of it."""
    taken = 0

    async def receive():
        nonlocal taken
        taken += 1
        start = bytes(128) + b"DICM" if taken == 1 else b""
        return {"type": "http.request", "body": start + bytes(2**20), "more_body": True}

    answer = await answered(app, path, receive)
    body = b"".join(message.get("body", b"") for message in answer)
    return answer[0]["status"], json.loads(body), taken


async def answered(app, path, receive):
    """Ask as a server does and return the messages of the answer."""
    answer = []

    async def send(message):
        answer.append(message)

    headers = [(b"host", b"127.0.0.1:8765"), (b"cookie", f"crena={SETTINGS.token}".encode())]
    scope = {
        "type": "http", "method": "PUT", "path": path, "raw_path": path.encode(),
        "root_path": "", "query_string": b"", "headers": headers, "http_version": "1.1",
    }  # fmt: skip
    await app(scope, receive, send)
    return answer


def test_a_file_that_breaks_off_is_not_kept(client, store):
    path, parts = made_case(client), iter([bytes(128) + b"DICM", None])

    async def receive():
        part = next(parts)
        if part is None:
            return {"type": "http.disconnect"}
        return {"type": "http.request", "body": part, "more_body": True}

    asyncio.run(answered(client.app, f"{path}/scan/files", receive))
    assert not files_in(store)


@pytest.mark.parametrize("name", ["../../etc/passwd", "..%2F..%2Fetc%2Fpasswd", "a" * 63, "A" * 64])
def test_files_have_no_names_so_that_none_can_lead_elsewhere(client, name):
    path = made_case(client)
    answer = client.post(f"{path}/scan", json={"files": [name]})
    assert answer.status_code == 422
    assert client.put(f"{path}/scan/files/{name}", content=b"x").status_code in (404, 405)


def test_a_file_that_did_not_arrive_is_said_before_anything_is_read(client):
    path = made_case(client)
    answer = client.post(f"{path}/scan", json={"files": ["0" * 64]})
    assert answer.status_code == 422
    assert answer.json()["detail"] == "1 of 1 files did not arrive. Send them again."


def test_only_what_begins_as_dicom_is_let_through():
    parts = [bytes(100), bytes(28) + b"DI", b"CM", b"the rest"]
    assert b"".join(scans._dicom(iter(parts))) == b"".join(parts)
    for other in ([NO_DICOM], [bytes(128), b"DIC"], []):
        with pytest.raises(InputError, match="no DICOM file"):
            list(scans._dicom(iter(other)))


# --- the cap of a series, and what no case takes


def test_the_file_with_which_a_series_becomes_too_large_is_refused(
    client, series, store, monkeypatch
):
    path, (first, second, third, *_) = made_case(client), contents(series / "one")
    monkeypatch.setattr(scans, "MAX_BYTES", len(first) + len(second))
    sent(client, path, [first, second, first])
    answer = client.put(f"{path}/scan/files", content=third)
    assert answer.status_code == 422
    assert "at most 0 MiB are read. Send one series only." in answer.json()["detail"]
    assert len(files_in(store)) == 2
    sent(client, path, contents(series / "two")[:2])
    sent(client, made_case(client), [third])


def test_a_series_of_too_many_files_is_refused_while_it_is_sent(client, series, monkeypatch):
    path, files = made_case(client), contents(series / "one")
    monkeypatch.setattr(scans, "MAX_FILES", 2)
    sent(client, path, files[:2])
    answer = client.put(f"{path}/scan/files", content=files[2])
    assert answer.status_code == 422
    assert answer.json()["detail"] == "The series has more than 2 files. Send one series only."


def grown_old(store, hours=WAITS_H + 1):
    """Let everything on the disk have been written so long ago."""
    then = time.time() - 3600 * hours
    for each in files_in(store):
        os.utime(each, (then, then))


def test_files_that_no_case_took_are_cleared_and_then_did_not_arrive(client, series, store):
    path = made_case(client)
    files = sent(client, path, contents(series / "one")[:3])
    grown_old(store)
    assert clear_uploads(store) == 3 and not files_in(store)
    answer = client.post(f"{path}/scan", json={"files": files})
    assert answer.json()["detail"] == "3 of 3 files did not arrive. Send them again."


def test_what_a_case_took_is_never_cleared_however_old(client, series, store):
    path = made_case(client)
    entered(client, path, series / "one")
    grown_old(store, 10_000)
    assert clear_uploads(store) == 0
    assert verify(store).faults == ()


def test_a_series_that_is_in_the_store_is_entered_for_another_case_without_being_sent(
    client, series, store
):
    files = entered(client, made_case(client), series / "one")
    other = made_case(client)
    job = ended(client, client.post(f"{other}/scan", json={"files": files}))
    assert job["state"] == "done", job["reason"]
    assert len(files_in(store)) == len(files) + 1


def test_files_that_are_cleared_while_they_are_to_be_read_leave_the_case_as_it_was(
    client, series, store, monkeypatch
):
    def cleared_first(self, turn):
        grown_old(store)
        clear_uploads(store)
        return turn.order.work(*turn.order.parts, lambda step, share: None)

    monkeypatch.setattr("crena.app.jobs.runner.Jobs._computed", cleared_first)
    path = made_case(client)
    files = sent(client, path, contents(series / "one"))
    job = ended(client, client.post(f"{path}/scan", json={"files": files}))
    assert (job["state"], job["reason"]) == (
        "failed",
        "Some files waited too long. Send the series again.",
    )
    assert client.get(path).json()["dossier"]["scan"] is None


def test_to_enter_a_series_lets_its_files_wait_anew(client, series, store):
    path = made_case(client)
    files = sent(client, path, contents(series / "one"))
    grown_old(store, WAITS_H - 1)
    answer = client.post(f"{path}/scan", json={"files": files})
    grown = store.clock() + timedelta(hours=2)
    assert clear_uploads(replace(store, clock=lambda: grown)) == 0
    assert ended(client, answer)["state"] == "done"


def test_a_server_clears_when_it_starts_and_while_it_runs(store, tmp_path, monkeypatch):
    monkeypatch.setattr("crena.app.server.clearing.EVERY_S", 0.02)
    folder = waiting_folder(store)
    folder.mkdir()
    with served(store, tmp_path):
        for name in ("case.series.one", ".0.unfinished"):
            (folder / name).write_bytes(b"old")
            grown_old(store)
            until = time.monotonic() + 20
            while files_in(store) and time.monotonic() < until:
                time.sleep(0.01)
            assert not files_in(store)


# --- the series


def test_a_series_is_read_shown_and_named_in_the_case(client, series, store):
    path = made_case(client)
    assert client.get(f"{path}/scan").status_code == 404
    files = entered(client, path, series / "one")
    scan = client.get(path).json()["dossier"]["scan"]
    assert scan["files"] == files and scan["slices"] == len(files)
    picture = client.get(f"{path}/scan").json()
    assert picture["voxels_sha256"] == scan["voxels_sha256"]
    assert [view["name"] for view in picture["views"]] == ["across", "side", "behind"]
    assert verify(store).faults == ()


def test_the_voxels_are_those_of_the_series_and_come_once(client, series):
    path = made_case(client)
    entered(client, path, series / "one")
    answer = client.get(f"{path}/scan/voxels")
    volume = read_series(series / "one")
    shown = np.frombuffer(answer.content, "<i2").reshape(volume.voxels.shape)
    assert np.array_equal(np.where(shown < 0, -1 - shown, shown), np.rint(volume.voxels))
    tag = {"If-None-Match": answer.headers["etag"]}
    assert client.get(f"{path}/scan/voxels", headers=tag).status_code == 304
    one = client.get(f"{path}/scan/voxels?slice=7")
    assert one.content == shown[7].tobytes()
    assert client.get(f"{path}/scan/voxels?slice=400").status_code == 404


def test_two_series_mixed_are_refused_with_the_readers_sentence(client, series):
    path = made_case(client)
    files = sent(client, path, contents(series / "one")[:9] + contents(series / "two")[:9])
    job = ended(client, client.post(f"{path}/scan", json={"files": files}))
    assert job["state"] == "failed" and "holds 2 series" in job["reason"]
    assert client.get(path).json()["dossier"]["scan"] is None


def test_a_reader_that_is_killed_leaves_the_case_as_it_was_and_says_so(client, series):
    path = made_case(client)
    files = sent(client, path, contents(series / "one"))
    answer = client.post(f"{path}/scan", json={"files": files})
    killed = kill_the_worker()
    job = ended(client, answer)
    assert killed and job["state"] == "failed" and "ended without a word" in job["reason"]
    assert client.get(path).json()["dossier"]["scan"] is None


def kill_the_worker():
    """Kill the youngest process that forked from this one's fork server, as soon as it is there."""
    until = time.monotonic() + 20
    while time.monotonic() < until:
        for pid in workers_of(os.getpid()):
            os.kill(pid, signal.SIGKILL)
            return True
        time.sleep(0.005)
    return False


def workers_of(pid):
    return [worker for server in children(pid) for worker in children(server)]


def children(pid):
    try:
        tasks = list(Path(f"/proc/{pid}/task").iterdir())
        return [int(word) for task in tasks for word in (task / "children").read_text().split()]
    except OSError:
        return []


def test_clicks_stay_bound_to_the_series_that_they_were_made_on(client, series, phantom):
    path = made_case(client, demonstration_case(phantom, factory.TODAY))
    entered(client, path, series / "one")
    first = client.get(f"{path}/scan").json()["series_uid"]
    assert client.get(path).json()["dossier"]["case"]["clicks"]["series_uid"] == ""
    entered(client, path, series / "two")
    assert client.get(f"{path}/scan").json()["series_uid"] != first
    assert client.get(path).json()["dossier"]["case"]["clicks"]["series_uid"] == first
    job = ended(client, client.post(f"{path}/map"))
    assert job["state"] == "failed" and "on another series" in job["reason"]


def test_a_scan_is_taken_out_and_the_case_goes_on_without(client, series):
    path = made_case(client)
    entered(client, path, series / "one")
    assert client.delete(f"{path}/scan").json()["dossier"]["scan"] is None
    assert client.get(f"{path}/scan").status_code == 404


# --- clicks and map


def test_places_go_to_the_patient_and_back(client, series):
    path = made_case(client)
    entered(client, path, series / "one")
    voxels = [[10, 200, 3], [0, 0, 0], [128.5, 40.25, 39]]
    placed = client.post(f"{path}/scan/places", json={"voxels": voxels}).json()
    affine = read_series(series / "one").affine
    expected = np.array(voxels) @ affine[:3, :3].T + affine[:3, 3]
    assert np.allclose(placed["places_lps_mm"], expected, atol=0.006)
    back = client.post(f"{path}/scan/indices", json=placed).json()["voxels"]
    assert np.allclose(back, voxels, atol=0.02)
    outside = client.post(f"{path}/scan/places", json={"voxels": [[0, 0, 40]]})
    assert outside.status_code == 422 and "outside of the scan" in outside.json()["detail"]


def test_the_hash_of_a_map_is_another_after_everything_it_is_made_from():
    case = factory.case(clicks=ScanClicks(tracts=(TractClicks(name="T1"),)))
    scan = StoredScan(files=(), series_uid="1", slices=1, rows=1, columns=1, voxels_sha256="a")
    plain = Dossier(case=case, scan=scan)
    moved = TractClicks(name="T1", pit_lps_mm=(1.0, 2.0, 3.0))
    others = [
        replace(plain, scan=replace(scan, voxels_sha256="b")),
        replace(plain, case=replace(case, clicks=ScanClicks(tracts=(moved,)))),
        replace(plain, case=replace(case, probings=())),
        replace(plain, case=replace(case, pits=())),
        replace(plain, case=replace(case, body=BodyEntry(presacral_depth_mm=33))),
        replace(plain, case=replace(case, precision=Precision(click_sd_mm=3))),
    ]
    names = [scans.map_hash(dossier) for dossier in (plain, *others)]
    assert len(set(names)) == len(names)
    chosen = replace(plain, case=replace(case, choice=Choice(plan="A"), seed=77))
    assert scans.map_hash(chosen) == names[0]


def test_clicks_without_a_series_are_bound_to_the_one_they_were_made_on():
    clicks = ScanClicks()
    assert scans._clicks_with(clicks, "1.2").series_uid == "1.2"
    assert scans._clicks_with(replace(clicks, series_uid="9"), "1.2").series_uid == "9"


@pytest.mark.slow
def test_the_disease_is_mapped_and_the_map_is_old_once_a_click_is_moved(client, series, phantom):
    path = made_case(client, demonstration_case(phantom, factory.TODAY))
    assert client.post(f"{path}/map").status_code == 404
    entered(client, path, series / "one")
    assert client.get(f"{path}/scan/map").status_code == 404
    job = ended(client, client.post(f"{path}/map"))
    assert job["state"] == "done", job["reason"]
    now = client.get(f"{path}/scan/map").json()
    assert now["old"] is False
    assert {each["tract"] for each in now["found"]["tract_map"]["disagreements"]} == {"T1", "T2"}
    assert [each["name"] for each in now["found"]["probed"]] == ["T1", "T2"]
    outlines = client.get(f"{path}/scan/outlines").json()
    assert {each["kind"] for each in outlines} >= {"tract", "cavity", "probe"}
    revision = client.get(path).json()
    revision["dossier"]["case"]["clicks"]["coccyx_tip_lps_mm"][2] += 1
    client.put(path, json=revision["dossier"], headers={"If-Match": f'"{revision["number"]}"'})
    assert client.get(f"{path}/scan/map").json()["old"] is True


def test_a_map_without_every_landmark_says_which_are_missing(client, series, phantom):
    case = demonstration_case(phantom, factory.TODAY)
    clicks = replace(case.clicks, anal_verge_lps_mm=None, sacral_crest_lps_mm=None)
    path = made_case(client, replace(case, clicks=clicks))
    entered(client, path, series / "one")
    job = ended(client, client.post(f"{path}/map"))
    assert job["state"] == "failed"
    assert "over the sacral crest, the anal verge" in job["reason"]
