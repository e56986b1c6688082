"""Files that wait until a case takes them: cleared in time, and never one that a case names."""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from types import SimpleNamespace

import factory
import pytest
from databases import KINDS

from crena.records import Author, Dossier, InputError, StoredScan
from crena.store.files import LARGEST_BYTES, has_file, keep_file, move_in, stored_file, written
from crena.store.revisions import create_case
from crena.store.uploads import (
    WAITS_H,
    Upload,
    Waiting,
    clear_uploads,
    let_wait,
    take_over,
    waiting_folder,
    waiting_of,
)
from crena.store.verify import verify

DATABASES = KINDS
SURGEON = Author(by="surgeon", why="clinic")
REALLY_MOVE_IN = move_in


def sent(store, content, case_id="c1", series_uid="1.2"):
    with written(waiting_folder(store), [content], LARGEST_BYTES) as (place, sha256):
        upload = Upload(case_id=case_id, series_uid=series_uid, sha256=sha256)
        let_wait(store, place, upload)
    return upload


def later(store, hours):
    """Look at a store when so many hours have gone by."""
    now = store.clock() + timedelta(hours=hours)
    return replace(store, clock=lambda: now)


def taken(store, case_id, sha256s):
    """Take files over and save a case that names them."""
    take_over(store, case_id, sha256s)
    scan = StoredScan(
        files=sha256s, series_uid="1.2", slices=1, rows=1, columns=1, voxels_sha256=""
    )
    return create_case(store, Dossier(case=factory.case(), scan=scan), SURGEON)


def test_a_file_taken_over_while_its_series_is_counted_does_not_wait_any_more(store, monkeypatch):
    upload, other = sent(store, b"one"), sent(store, b"other")

    def seen_then_taken(folder):
        seen = list(os.scandir(folder))
        take_over(store, "c1", (other.sha256,))
        return seen

    with monkeypatch.context() as patched:
        patched.setattr("crena.store.uploads.os", SimpleNamespace(scandir=seen_then_taken))
        assert waiting_of(store, upload) == Waiting(files=1, size_bytes=3)


def test_an_upload_waits_for_a_day_and_is_cleared_then(store):
    upload = sent(store, b"one")
    assert clear_uploads(later(store, WAITS_H - 0.1)) == 0
    assert waiting_of(store, upload).files == 1
    assert clear_uploads(later(store, WAITS_H + 0.1)) == 1
    assert waiting_of(store, upload).files == 0


def test_what_waits_is_counted_by_series_and_by_case(store):
    upload = sent(store, b"one")
    sent(store, b"three")
    sent(store, b"another series", series_uid="1.3")
    sent(store, b"another case", case_id="c2")
    assert waiting_of(store, upload) == Waiting(files=2, size_bytes=8)


def test_what_waits_is_no_file_of_the_store_until_a_case_takes_it(store):
    upload = sent(store, b"one")
    assert not has_file(store, upload.sha256)
    take_over(store, "c1", (upload.sha256,))
    assert stored_file(store, upload.sha256) == b"one"
    assert waiting_of(store, upload) == Waiting(files=0, size_bytes=0)


def test_a_file_in_the_store_is_taken_again_without_being_sent(store):
    sha256 = keep_file(store, [b"one"])
    take_over(store, "c1", (sha256,))
    sent(store, b"one")
    take_over(store, "c1", (sha256,))
    assert stored_file(store, sha256) == b"one"


def test_one_case_does_not_take_what_was_sent_for_another(store):
    upload = sent(store, b"one")
    with pytest.raises(InputError, match="1 of 1 files waited too long. Send them again."):
        take_over(store, "c2", (upload.sha256,))
    assert not has_file(store, upload.sha256)


def test_two_cases_take_the_same_file_and_neither_loses_it(store):
    one, _ = sent(store, b"one"), sent(store, b"one", case_id="c2")
    for case_id in ("c1", "c2"):
        taken(store, case_id, (one.sha256,))
    clear_uploads(later(store, 10_000))
    assert verify(store).faults == ()


def test_a_file_that_was_never_written_to_its_end_is_cleared_in_time(store):
    for folder in (waiting_folder(store), store.files):
        folder.mkdir(exist_ok=True)
        (folder / ".0123.unfinished").write_bytes(b"half")
    assert clear_uploads(later(store, 1)) == 0
    assert clear_uploads(later(store, WAITS_H + 1)) == 2


def test_clearing_at_the_moment_of_entering_never_takes_a_file_from_a_case(store):
    """Whoever is first: the case names files that are there, or it is not saved."""
    too_late = later(store, 10_000)
    saved = refused = 0
    with ThreadPoolExecutor(2) as threads:
        for n in range(60):
            sha256s = tuple(sent(store, f"{n} {k}".encode()).sha256 for k in range(5))
            cleared = threads.submit(clear_uploads, too_late)
            entered = threads.submit(taken, store, "c1", sha256s)
            cleared.result()
            if isinstance(entered.exception(), InputError):
                refused += 1
            else:
                saved += bool(entered.result())
    assert saved + refused == 60
    found = verify(store)
    assert (found.cases, found.faults) == (saved, ())


@pytest.mark.parametrize("at", range(6))
def test_clearing_between_any_two_files_that_are_taken_leaves_a_whole_case_or_none(
    store, monkeypatch, at
):
    """The same race, each of its moments once: before the first, the second ... after the last."""
    sha256s = tuple(sent(store, f"file {k}".encode()).sha256 for k in range(5))
    moves = []

    def move_in(store, place, sha256):
        if len(moves) == at:
            clear_uploads(later(store, 10_000))
        moves.append(sha256)
        REALLY_MOVE_IN(store, place, sha256)

    monkeypatch.setattr("crena.store.uploads.move_in", move_in)
    if at < 5:
        with pytest.raises(InputError, match=f"{5 - at} of 5 files waited too long"):
            taken(store, "c1", sha256s)
    else:
        taken(store, "c1", sha256s)
    clear_uploads(later(store, 10_000))
    found = verify(store)
    assert (found.cases, found.faults) == (int(at == 5), ())
