"""The power is cut 10,000 times while cases are saved: nothing acknowledged is lost."""

import factory
import numpy as np
import pytest
from databases import new_store
from power_cuts import Record, cuts

from crena.records import Author, Dossier
from crena.store import database
from crena.store.database import newest_sqlite
from crena.store.revisions import create_case, save_case

SURGEON = Author(by="surgeon", why="clinic")
SAVES = 25
WITH_FAULTY_LOG = (3, 45, 0)
"""A version for which the store takes the rollback journal instead of the log."""


def recorded(folder, monkeypatch, version=newest_sqlite.sqlite_version_info, weaker=""):
    """Save a case again and again; give the record and the hashes of all revisions."""
    record = Record()
    monkeypatch.setattr(database, "newest_sqlite", record.library(version))
    store = new_store("sqlite", folder)
    begin = len(record.events)
    if weaker:
        with store.engine.connect() as connection:
            connection.exec_driver_sql("COMMIT")
            connection.exec_driver_sql(weaker)
            connection.exec_driver_sql("BEGIN")
    last = create_case(store, Dossier(case=factory.case(seed=1)), SURGEON)
    hashes = [last.sha256]
    record.acknowledge(1)
    for seed in range(2, SAVES + 1):
        dossier = Dossier(case=factory.case(seed=seed))
        last = save_case(store, last.case_id, last.number, dossier, SURGEON)
        hashes.append(last.sha256)
        record.acknowledge(last.number)
    store.engine.dispose()
    return record.events, begin, hashes


def lost(place, acknowledged, left, hashes):
    """Say what a program finds that is started after a cut; nothing if all is well."""
    for old in place.glob("cases.db*"):
        old.unlink()
    for name, content in left.items():
        (place / name).write_bytes(content)
    try:
        connection = newest_sqlite.connect(str(place / "cases.db"))
        found = [
            row[0] for row in connection.execute("SELECT sha256 FROM revisions ORDER BY number")
        ]
        noted = connection.execute("SELECT content_sha256 FROM audit ORDER BY number").fetchall()
        whole = connection.execute("PRAGMA quick_check").fetchone()[0]
    except newest_sqlite.DatabaseError as fault:
        return str(fault)
    finally:
        connection.close()
    if whole != "ok" or found != hashes[: len(found)] or found != [row[0] for row in noted]:
        return "broken"
    return "" if len(found) >= acknowledged else f"{acknowledged - len(found)} lost"


def losses(made, count, place):
    """Cut the power so often, anywhere, and collect what was lost."""
    events, begin, hashes = made
    rng = np.random.default_rng(11)
    points = rng.integers(begin, len(events) + 1, count)
    told = [lost(place, done, left, hashes) for done, left in cuts(events, points, rng)]
    assert len(told) == count
    return [words for words in told if words]


@pytest.mark.slow
def test_ten_thousand_cuts_lose_nothing_that_was_acknowledged(tmp_path, monkeypatch):
    made = recorded(tmp_path / "saved", monkeypatch)
    assert any(name == "cases.db-wal" for _, name, _, _ in made[0])
    (tmp_path / "cut").mkdir()
    assert losses(made, 10_000, tmp_path / "cut") == []


@pytest.mark.slow
def test_the_rollback_journal_loses_nothing_either(tmp_path, monkeypatch):
    made = recorded(tmp_path / "saved", monkeypatch, WITH_FAULTY_LOG)
    assert not any(name == "cases.db-wal" for _, name, _, _ in made[0])
    (tmp_path / "cut").mkdir()
    assert losses(made, 2_000, tmp_path / "cut") == []


@pytest.mark.parametrize(
    ("weaker", "version"),
    [
        ("PRAGMA synchronous = OFF", newest_sqlite.sqlite_version_info),
        ("PRAGMA synchronous = NORMAL", newest_sqlite.sqlite_version_info),
        ("PRAGMA synchronous = FULL", WITH_FAULTY_LOG),
    ],
)
def test_with_weaker_waiting_saves_are_lost(tmp_path, monkeypatch, weaker, version):
    made = recorded(tmp_path / "saved", monkeypatch, version, weaker)
    (tmp_path / "cut").mkdir()
    assert losses(made, 300, tmp_path / "cut") != []
