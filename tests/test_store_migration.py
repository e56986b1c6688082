"""A program that dies while it brings a database up to date leaves the old one or the new one."""

import multiprocessing
import shutil
import signal
import sqlite3

import factory
import pytest
from databases import KINDS, new_database, new_url
from migration_killer import STEPS, settings_with, start_killers
from sqlalchemy import make_url

from crena.records import Author, Dossier
from crena.store.database import open_store
from crena.store.migrate import MIGRATIONS, migrate
from crena.store.revisions import create_case, read_case
from crena.store.verify import verify

SURGEON = Author(by="surgeon", why="clinic")


@pytest.fixture(scope="module", params=KINDS)
def old(request, tmp_path_factory):
    """Make a database of today's version with one case in it."""
    folder = tmp_path_factory.mktemp("old")
    url = new_url("sqlite", folder) if request.param == "sqlite" else new_database()
    store = open_store(url, folder / "files")
    case_id = create_case(store, Dossier(case=factory.case()), SURGEON).case_id
    store.engine.dispose()
    return request.param, url, case_id


@pytest.fixture(scope="module")
def steps(tmp_path_factory):
    """Write a step beyond today's version: a table, a column with content, an index, a trigger."""
    folder = tmp_path_factory.mktemp("steps") / "migrations"
    shutil.copytree(MIGRATIONS, folder)
    (folder / "versions" / "v9000_test.py").write_text(STEPS)
    return folder


def copied(old, folder):
    """Copy the old database as a whole."""
    kind, url, _ = old
    if kind == "sqlite":
        with sqlite3.connect(make_url(url).database) as source:
            source.execute("VACUUM INTO ?", (str(folder / "cases.db"),))
        return f"sqlite:///{folder}/cases.db"
    return new_database(make_url(url).database)


@pytest.fixture(scope="module")
def died():
    """Migrate in a process that kills itself at a moment; tell whether it did."""
    context = multiprocessing.get_context("forkserver")
    here, there = context.Pipe()
    killers = context.Process(target=start_killers, args=(there,))
    killers.start()
    there.close()

    def told(url, steps, folder, at):
        here.send((url, str(steps), str(folder / "files"), at))
        ended = here.recv()
        assert ended in (0, -signal.SIGKILL)
        return ended != 0

    yield told
    here.send(None)
    killers.join()


def shape(store):
    """Tell the version of a database and everything that it is made of."""
    if store.is_sqlite:
        asked = "SELECT type || ' ' || name || ' ' || coalesce(sql, '') FROM sqlite_master"
    else:
        asked = (
            "SELECT table_name || ' ' || column_name || ' ' || data_type FROM "
            "information_schema.columns WHERE table_schema = 'public' UNION ALL "
            "SELECT indexdef FROM pg_indexes WHERE schemaname = 'public' UNION ALL "
            "SELECT tgname::text FROM pg_trigger UNION ALL SELECT proname::text FROM pg_proc"
        )
    with store.engine.connect() as connection:
        version = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
        return version, sorted(connection.exec_driver_sql(asked).scalars())


def shape_at(url, folder):
    """Look at a database with today's program, without bringing it up to date."""
    with settings_with(MIGRATIONS, moves=False):
        store = open_store(url, folder / "files")
    found = shape(store)
    store.engine.dispose()
    return found


@pytest.mark.slow
def test_killed_at_every_statement_it_is_the_old_or_the_new_and_never_between(
    old, steps, died, tmp_path
):
    before = shape_at(copied(old, made(tmp_path, "before")), tmp_path)
    url = copied(old, made(tmp_path, "after"))
    assert not died(url, steps, tmp_path, 10_000)
    after = shape_at(url, tmp_path)
    assert before != after and after[0] == "9000"
    seen, at = [], 0
    while True:
        folder = made(tmp_path, f"at{at}")
        url = copied(old, folder)
        if not died(url, steps, folder, at):
            break
        found = shape_at(url, folder)
        assert found in (before, after), f"killed at {at}"
        seen.append(found == after)
        still_works(url, steps, folder, old[2])
        at += 1
    assert at > 20 and seen == sorted(seen) and not seen[0]


def made(folder, name):
    (folder / name).mkdir()
    return folder / name


def still_works(url, steps, folder, case_id):
    """Start the new program on what the dead one left."""
    with settings_with(steps):
        store = open_store(url, folder / "files")
        migrate(store.engine)
    assert read_case(store, case_id, SURGEON).dossier == Dossier(case=factory.case())
    assert verify(store).faults == ()
    assert shape(store)[0] == "9000"
    store.engine.dispose()


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_a_first_start_that_was_killed_leaves_nothing_or_all(kind, died, tmp_path):
    for at in range(0, 40, 3):
        folder = made(tmp_path, f"at{at}")
        url = new_url(kind, folder)
        died(url, MIGRATIONS, folder, at)
        store = open_store(url, folder / "files")
        assert create_case(store, Dossier(case=factory.case()), SURGEON).number == 1
        store.engine.dispose()
