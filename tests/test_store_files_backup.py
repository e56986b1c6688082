"""Files by their hash, archives of everything, and what a kill leaves behind."""

import multiprocessing

import factory
import numpy as np
import pytest
from databases import KINDS, new_store, new_url
from store_writer import kill_writers

from crena.records import Author, CrenaError, Dossier, InputError, StoredPlans
from crena.store.audit import audit_head
from crena.store.backup import backup, inspect_backup, restore
from crena.store.database import open_store
from crena.store.files import has_file, keep_file, place_of, stored_file
from crena.store.revisions import create_case, read_case, save_case
from crena.store.verify import verify

DATABASES = KINDS
SURGEON = Author(by="surgeon", why="clinic")


def plans(store, content=b"plans of the case"):
    """Keep a file and say of it what a case says of its plans."""
    sha256 = keep_file(store, [content])
    return StoredPlans(sha256=sha256, code="C1", inputs_hash="0", made_on="2026-01-01", version="1")


def with_plans(store, *content):
    """Store one case that names a file."""
    made = plans(store, *content)
    return create_case(store, Dossier(case=factory.case(), plans=made), SURGEON), made.sha256


def test_a_file_is_given_back_as_it_was(store):
    sha256 = keep_file(store, [b"one ", b"two"])
    assert stored_file(store, sha256) == b"one two"
    assert keep_file(store, [b"one two"]) == sha256


def test_a_file_beyond_its_limit_leaves_nothing_behind(store):
    with pytest.raises(InputError, match="larger than 1 MiB"):
        keep_file(store, (bytes(2**19) for _ in range(3)), limit_bytes=2**20)
    assert not any(path.is_file() for path in store.files.rglob("*"))


@pytest.mark.parametrize("name", ["../../etc/passwd", "A" * 64, "", "ab", "g" * 64])
def test_a_name_that_is_no_hash_reaches_no_file(store, name):
    with pytest.raises(InputError, match="64 hexadecimal"):
        has_file(store, name)


def test_one_flipped_bit_of_a_file_is_found_before_it_is_used(store):
    _, sha256 = with_plans(store)
    place = place_of(store, sha256)
    content = bytearray(place.read_bytes())
    content[3] ^= 4
    place.write_bytes(content)
    with pytest.raises(CrenaError, match="not what was stored"):
        stored_file(store, sha256)
    assert any("not what was stored" in fault for fault in verify(store).faults)


def test_a_missing_file_is_found(store):
    _, sha256 = with_plans(store)
    place_of(store, sha256).unlink()
    assert any("is not there" in fault for fault in verify(store).faults)


def test_a_missing_file_of_the_plans_made_in_theatre_is_found(store):
    made = create_case(store, Dossier(case=factory.case(), theatre=plans(store)), SURGEON)
    assert verify(store).files == 1
    place_of(store, made.dossier.theatre.sha256).unlink()
    assert any("is not there" in fault for fault in verify(store).faults)


@pytest.mark.parametrize("target", KINDS)
def test_a_backup_is_restored_whole_on_either_database(store, tmp_path, target):
    made, sha256 = with_plans(store)
    report = backup(store, tmp_path / "all.zip")
    assert (report.cases, report.files, report.head) == (1, 1, audit_head(store))
    (tmp_path / "new").mkdir()
    url = new_url(target, tmp_path / "new")
    found = restore(tmp_path / "all.zip", url, tmp_path / "new" / "files")
    assert (found.faults, found.revisions) == ((), 1)
    again = open_store(url, tmp_path / "new" / "files")
    assert read_case(again, made.case_id, SURGEON) == made
    assert stored_file(again, sha256) == b"plans of the case"
    again.engine.dispose()


def test_a_backup_never_goes_over_cases(store, tmp_path):
    with_plans(store)
    backup(store, tmp_path / "all.zip")
    with pytest.raises(InputError, match="cases in that place already"):
        restore(
            tmp_path / "all.zip",
            store.engine.url.render_as_string(hide_password=False),
            tmp_path / "other",
        )


@pytest.fixture(scope="module")
def archive(tmp_path_factory):
    folder = tmp_path_factory.mktemp("archive")
    store = new_store("sqlite", folder)
    with_plans(store, np.random.default_rng(1).bytes(20_000))
    backup(store, folder / "all.zip")
    return (folder / "all.zip").read_bytes()


def test_a_backup_cut_at_any_hundredth_is_refused(archive, tmp_path):
    for n in range(100):
        (tmp_path / "cut.zip").write_bytes(archive[: len(archive) * n // 100])
        with pytest.raises(InputError):
            inspect_backup(tmp_path / "cut.zip")


def test_a_backup_with_a_changed_byte_is_refused_or_holds_the_same(archive, tmp_path):
    """A byte of the archive's own bookkeeping may change without changing what is in it."""
    (tmp_path / "whole.zip").write_bytes(archive)
    whole, rng, refused = inspect_backup(tmp_path / "whole.zip"), np.random.default_rng(2), 0
    for _ in range(300):
        changed = bytearray(archive)
        changed[int(rng.integers(len(archive)))] ^= 1 << int(rng.integers(8))
        (tmp_path / "flipped.zip").write_bytes(changed)
        try:
            assert inspect_backup(tmp_path / "flipped.zip") == whole
        except InputError:
            refused += 1
    assert refused > 250


@pytest.mark.slow
def test_two_hundred_killed_writers_lose_nothing_that_they_acknowledged(tmp_path):
    store = new_store("sqlite", tmp_path)
    made = create_case(store, Dossier(case=factory.case(seed=1)), SURGEON)
    place = (store.engine.url.render_as_string(), store.files, made.case_id)
    killed = 0
    for number, seed in killed_writers(place, np.random.default_rng(3).uniform(0, 0.08, 200)):
        killed += 1
        found = read_case(store, made.case_id, SURGEON)
        assert found.number >= number
        if found.number == number:
            assert found.dossier.case.seed == seed
    assert killed == 200 and verify(store).faults == ()


def killed_writers(place, waits_s):
    """Let processes save until they are killed; give what each acknowledged last."""
    context = multiprocessing.get_context("forkserver")
    here, there = context.Pipe()
    killer = context.Process(target=kill_writers, args=(place, waits_s.tolist(), there))
    killer.start()
    there.close()
    for _ in waits_s:
        yield here.recv()
        here.send("go on")
    killer.join()
    assert killer.exitcode == 0


@pytest.mark.slow
def test_a_thousand_saves_stay_quick_to_read(tmp_path):
    store = new_store("sqlite", tmp_path)
    made = create_case(store, Dossier(case=factory.case(seed=1)), SURGEON)
    for n in range(1, 1001):
        save_case(store, made.case_id, n, Dossier(case=factory.case(seed=n + 1)), SURGEON)
    assert verify(store).revisions == 1001
