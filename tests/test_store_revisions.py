"""Cases as chains of saved states, on both databases."""

import hashlib
import json
import os
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import factory
import numpy as np
import pytest
from databases import KINDS, new_store, new_url
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from sqlalchemy import insert, select, text, update
from sqlalchemy.exc import DatabaseError

from crena.records import Author, ConflictError, CrenaError, Dossier, InputError, PatientLabel
from crena.store.audit import Head, audit_head, walked
from crena.store.database import log_is_sound, newest_sqlite, open_store, reading
from crena.store.revisions import case_lines, create_case, history, read_case, save_case
from crena.store.sql_tables import AUDIT, REVISIONS
from crena.store.verify import verify

DATABASES = KINDS
SURGEON = Author(by="surgeon", why="clinic")
NURSE = Author(by="nurse", why="ward")


def dossier(seed=1, label="A. Example"):
    return Dossier(case=factory.case(seed=seed, patient=PatientLabel(label=label)))


def test_a_saved_case_is_read_as_it_was_saved(store):
    made = create_case(store, dossier(3), SURGEON)
    found = read_case(store, made.case_id, NURSE)
    assert found == made
    assert (found.number, found.before_sha256, found.dossier) == (1, "", dossier(3))


def test_every_revision_follows_the_last_and_all_stay(store):
    first = create_case(store, dossier(1), SURGEON)
    second = save_case(store, first.case_id, 1, dossier(2), NURSE)
    assert (second.number, second.before_sha256) == (2, first.sha256)
    assert read_case(store, first.case_id, SURGEON, number=1) == first
    assert [line.author for line in history(store, first.case_id)] == [SURGEON, NURSE]


def test_a_save_on_an_older_revision_is_refused_and_nothing_is_stored(store):
    first = create_case(store, dossier(1), SURGEON)
    save_case(store, first.case_id, 1, dossier(2), NURSE)
    with pytest.raises(ConflictError, match="revision 2 by nurse"):
        save_case(store, first.case_id, 1, dossier(3), SURGEON)
    assert read_case(store, first.case_id, SURGEON).dossier == dossier(2)


def test_saving_the_same_again_makes_no_revision(store):
    first = create_case(store, dossier(1), SURGEON)
    assert save_case(store, first.case_id, 1, dossier(1), NURSE) == first


def test_an_unknown_case_is_said_to_be_unknown(store):
    for act in (
        lambda: read_case(store, "nowhere", SURGEON),
        lambda: save_case(store, "nowhere", 1, dossier(), SURGEON),
        lambda: history(store, "nowhere"),
    ):
        with pytest.raises(InputError, match="no such case"):
            act()


def test_search_ignores_capitals_and_takes_signs_as_they_are(store):
    create_case(store, dossier(1, "MÜLLER one"), SURGEON)
    create_case(store, dossier(2, "100%_sure"), SURGEON)
    assert [line.label for line in case_lines(store, "müller")] == ["MÜLLER one"]
    assert [line.label for line in case_lines(store, "0%_s")] == ["100%_sure"]
    assert case_lines(store, "%") == case_lines(store, "100%")


def test_reading_is_noted_with_who_and_why(store):
    made = create_case(store, dossier(), SURGEON)
    read_case(store, made.case_id, NURSE)
    with reading(store) as connection:
        rows = connection.execute(AUDIT.select().order_by(AUDIT.c.number)).mappings().all()
    assert [(row["what"], row["by"], row["why"]) for row in rows] == [
        ("saved", "surgeon", "clinic"),
        ("read", "nurse", "ward"),
    ]
    assert rows[1]["content_sha256"] == made.sha256


@pytest.mark.parametrize("table", [REVISIONS, AUDIT])
def test_the_database_itself_refuses_to_change_or_remove_a_row(store, table):
    create_case(store, dossier(), SURGEON)
    for statement in (update(table).values(by="other"), table.delete()):
        with (
            pytest.raises(DatabaseError, match="never changed"),
            store.engine.begin() as connection,
        ):
            connection.execute(statement)


def unguarded(store, statement):
    """Run a statement as somebody would who has the database in their hands."""
    with store.engine.begin() as connection:
        for table in ("revisions", "audit"):
            if store.is_sqlite:
                connection.execute(text(f"DROP TRIGGER IF EXISTS {table}_no_update"))
                connection.execute(text(f"DROP TRIGGER IF EXISTS {table}_no_delete"))
            else:
                connection.execute(text(f"DROP TRIGGER IF EXISTS {table}_stay ON {table}"))
        connection.exec_driver_sql(statement)


@pytest.mark.parametrize(
    "change",
    [
        "dossier = replace(dossier, '\"seed\":7', '\"seed\":8')",
        "saved_at = '2020-01-01T00:00:00+00:00'",
        "\"by\" = 'other'",
        "version = '9'",
    ],
)
def test_a_changed_revision_is_not_shown(store, change):
    made = create_case(store, dossier(7), SURGEON)
    unguarded(store, f"UPDATE revisions SET {change}")
    with pytest.raises(CrenaError, match="not what was saved"):
        read_case(store, made.case_id, SURGEON)
    assert any("not what was saved" in fault for fault in verify(store).faults)


def test_a_removed_last_revision_is_found(store):
    made = create_case(store, dossier(1), SURGEON)
    save_case(store, made.case_id, 1, dossier(2), SURGEON)
    unguarded(store, "DELETE FROM revisions WHERE number = 2")
    assert any("was saved and is not there" in fault for fault in verify(store).faults)


def test_an_exchanged_revision_with_a_right_hash_is_found_by_the_audit(store):
    made = create_case(store, dossier(1), SURGEON)
    other = create_case(store, dossier(2), SURGEON)
    unguarded(store, "DELETE FROM audit WHERE number = 1")
    assert verify(store).head is None
    assert made.sha256 != other.sha256


def test_an_older_copy_of_the_whole_database_is_found_by_the_kept_head(store):
    create_case(store, dossier(1), SURGEON)
    kept = audit_head(store)
    later = Head(entries=kept.entries + 1, sha256="f" * 64)
    assert verify(store, kept).faults == ()
    assert verify(store, later).head is None


def test_ten_thousand_tamperings_of_the_audit_are_all_found():
    rows = sample_chain(40)
    head, rng = walked(rows), np.random.default_rng(5)
    for n in range(10_000):
        broken = tampered([dict(row) for row in rows], rng, n % 4)
        with pytest.raises(CrenaError):
            walked(broken, head)


def sample_chain(length):
    """Build a chain in memory through the same functions as the store."""
    store_rows, chain = [], "0" * 64
    for n in range(1, length + 1):
        entry = {
            "number": n, "at": f"2026-01-01T00:00:{n:02d}", "by": "s", "why": "w",
            "what": "saved", "case_id": f"c{n % 3}", "revision": n, "content_sha256": f"{n:064d}",
        }  # fmt: skip
        chain = _link(chain, entry)
        store_rows.append({**entry, "chain_sha256": chain})
    return store_rows


def _link(before, entry):
    """Chain an entry, written independently of the store."""
    written = json.dumps(entry, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256((before + written).encode()).hexdigest()


def tampered(rows, rng, kind):
    """Change, remove, swap or cut rows; the last rebuilds all hashes as an insider would."""
    at = int(rng.integers(0, len(rows) - 1))
    if kind == 0:
        rows[at]["by"] = "other"
    if kind == 1:
        del rows[at]
    if kind == 2:
        rows[at], rows[at + 1] = rows[at + 1], rows[at]
    if kind == 3:
        rows[at]["why"] = "changed"
        chain = rows[at - 1]["chain_sha256"] if at else "0" * 64
        for row in rows[at:]:
            chain = _link(chain, {k: v for k, v in row.items() if k != "chain_sha256"})
            row["chain_sha256"] = chain
    return rows


def test_a_clock_that_runs_backwards_changes_no_order(tmp_path):
    times = iter(datetime(2026, 3, 1, tzinfo=UTC) - timedelta(days=n) for n in range(99))
    store = new_store("sqlite", tmp_path, clock=lambda: next(times))
    made = create_case(store, dossier(1), SURGEON)
    save_case(store, made.case_id, 1, dossier(2), SURGEON)
    assert read_case(store, made.case_id, SURGEON).dossier == dossier(2)


def test_every_connection_waits_for_the_disk(tmp_path):
    store = new_store("sqlite", tmp_path)
    journal = "wal" if log_is_sound(newest_sqlite.sqlite_version_info) else "delete"
    with store.engine.connect() as connection:
        ask = connection.exec_driver_sql
        assert ask("PRAGMA synchronous").scalar() == 2
        assert ask("PRAGMA foreign_keys").scalar() == 1
        assert ask("PRAGMA journal_mode").scalar() == journal


@pytest.mark.parametrize(
    ("version", "sound"),
    [((3, 6, 23), True), ((3, 7, 0), False), ((3, 44, 5), False), ((3, 44, 6), True),
     ((3, 50, 6), False), ((3, 50, 7), True), ((3, 51, 2), False), ((3, 51, 3), True)],
)  # fmt: skip
def test_versions_with_the_faulty_log_are_known(version, sound):
    assert log_is_sound(version) is sound


def test_a_newer_database_is_refused_and_left_as_it_is(tmp_path):
    store = new_store("sqlite", tmp_path)
    with store.engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(InputError, match="version 9999"):
        new_store("sqlite", tmp_path)


def test_a_folder_that_is_no_database_is_refused_in_one_sentence(tmp_path):
    (tmp_path / "cases.db").mkdir()
    with pytest.raises(InputError, match="cannot be opened"):
        new_store("sqlite", tmp_path)


class TwoTabs(RuleBasedStateMachine):
    """Two tabs on one case: whatever they do, no acknowledged save is overwritten unseen.

    Each tab has connections of its own, so that the database itself keeps them apart.
    """

    stores = ()

    @initialize()
    def begin(self):
        made = create_case(self.stores[0], dossier(0), SURGEON)
        self.case_id, self.saved = made.case_id, [0]
        self.seen = [1, 1]
        self.next_seed = 1

    @rule(tab=st.integers(0, 1))
    def look(self, tab):
        found = read_case(self.stores[tab], self.case_id, SURGEON)
        assert (found.number, found.dossier.case.seed) == (len(self.saved), self.saved[-1])
        self.seen[tab] = found.number

    @rule(tab=st.integers(0, 1))
    def save(self, tab):
        self._told([self._sent(tab, self._fresh_seed())])

    @rule()
    def save_at_once(self):
        seeds = self._fresh_seed(), self._fresh_seed()
        with ThreadPoolExecutor(2) as threads:
            self._told(list(threads.map(self._sent, (0, 1), seeds)))

    @invariant()
    def last_is_what_was_last_acknowledged(self):
        assert kept_seeds(self.stores[0], self.case_id)[-1:] == self.saved[-1:]

    def teardown(self):
        assert kept_seeds(self.stores[1], self.case_id) == self.saved

    def _fresh_seed(self):
        self.next_seed += 1
        return self.next_seed

    def _sent(self, tab, seed):
        """Save on what a tab has seen; return tab, seed and revision, or no revision."""
        try:
            made = save_case(self.stores[tab], self.case_id, self.seen[tab], dossier(seed), SURGEON)
        except ConflictError:
            return tab, seed, None
        return tab, seed, made.number

    def _told(self, answers):
        """Hold the answers against what must be: whoever saw the last is taken, and only one."""
        up_to_date = [tab for tab, _, _ in answers if self.seen[tab] == len(self.saved)]
        taken = [answer for answer in answers if answer[2] is not None]
        assert len(taken) == min(1, len(up_to_date))
        for tab, seed, number in taken:
            assert tab in up_to_date and number == len(self.saved) + 1
            self.saved.append(seed)
            self.seen[tab] = number


def kept_seeds(store, case_id):
    """Return what is stored of a case, from the first revision to the last."""
    chosen = select(REVISIONS.c.dossier).where(REVISIONS.c.case_id == case_id)
    with reading(store) as connection:
        rows = connection.execute(chosen.order_by(REVISIONS.c.number)).scalars()
        return [json.loads(each)["case"]["seed"] for each in rows]


RUNS = int(os.environ.get("CRENA_TWO_TABS_RUNS", "400"))
"""So many on each database; docs/store.md says what came of 2,000."""


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_two_tabs_never_overwrite_each_other_silently(kind, tmp_path):
    url = new_url(kind, tmp_path)
    stores = tuple(open_store(url, tmp_path / "files") for _ in range(2))
    machine = type("Tabs", (TwoTabs,), {"stores": stores})
    machine.TestCase.settings = settings(
        max_examples=RUNS,
        stateful_step_count=12,
        deadline=None,
        derandomize=True,
        suppress_health_check=list(HealthCheck),
    )
    machine.TestCase("runTest").runTest()
    assert verify(stores[0]).faults == ()
    for store in stores:
        store.engine.dispose()


def test_an_insert_by_hand_without_the_audit_is_found(store):
    made = create_case(store, dossier(1), SURGEON)
    with reading(store) as connection:
        row = dict(connection.execute(REVISIONS.select()).mappings().one())
    with store.engine.begin() as connection:
        connection.execute(insert(REVISIONS).values(**{**row, "number": 2}))
    assert any("revision 2" in fault for fault in verify(store).faults)
    assert replace(made, number=1) == made


def test_threads_that_save_at_once_lose_nothing(store):
    made = create_case(store, dossier(0), SURGEON)
    with ThreadPoolExecutor(4) as threads:
        told = list(threads.map(lambda n: _tries(store, made.case_id, n), range(4)))
    accepted = sorted(number for numbers in told for number in numbers)
    assert accepted == list(range(2, 2 + len(accepted)))
    assert read_case(store, made.case_id, SURGEON).number == 1 + len(accepted)


def _tries(store, case_id, writer):
    """Save twelve times on what was read; return the revisions that were acknowledged."""
    done = []
    for n in range(12):
        based_on = read_case(store, case_id, SURGEON).number
        try:
            made = save_case(store, case_id, based_on, dossier(100 * writer + n + 1), SURGEON)
            done.append(made.number)
        except ConflictError:
            pass
    return done


def test_the_two_libraries_of_sqlite_are_told_apart():
    assert newest_sqlite.sqlite_version_info >= sqlite3.sqlite_version_info
