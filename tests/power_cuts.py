"""A disk that loses its power: what was written and not yet flushed is dropped, kept or torn.

The store runs on a library of SQLite whose file calls are recorded here. A cut is made of the
record: of each file what was flushed before it, and of the rest any part.
"""

import os
from collections import defaultdict
from dataclasses import dataclass, field
from types import SimpleNamespace

import apsw

from crena.store.database import newest_sqlite

SECTOR = 512
"""Bytes that a disk writes whole or not at all."""

PAGES_OF_LOG = 15
"""So small that the log is folded into the database again and again."""


@dataclass
class Record:
    """What was done to the files, in order; acknowledgements stand among it."""

    events: list = field(default_factory=list)

    def acknowledge(self, number):
        self.events.append(("acknowledged", "", number, b""))

    def connect(self, place, **_):
        """Open a database as the modules of Python's standard do."""
        return Connection(apsw.Connection(place, vfs=self.named()))

    def named(self):
        self.disk = RecordedDisk(self.events)
        return self.disk.name

    def library(self, version=newest_sqlite.sqlite_version_info):
        """Give what the store takes for its library of SQLite."""
        errors = {name: getattr(newest_sqlite, name) for name in ERRORS}
        return SimpleNamespace(
            connect=self.connect, sqlite_version_info=version, paramstyle="qmark", **errors
        )


ERRORS = (
    "Error", "DatabaseError", "OperationalError", "IntegrityError", "InterfaceError",
    "InternalError", "ProgrammingError", "NotSupportedError", "DataError", "Warning", "Binary",
)  # fmt: skip


FLUSHED_WITH_THEIR_FOLDER = apsw.SQLITE_OPEN_MAIN_JOURNAL | apsw.SQLITE_OPEN_WAL
"""The library flushes the folder, too, when it first flushes such a file after making it."""


class RecordedDisk(apsw.VFS):
    """The files of this machine, every change of them written down."""

    def __init__(self, events):
        self.name, self.events = f"recorded-{id(self)}", events
        super().__init__(self.name, base="")

    def xOpen(self, name, flags):
        if flags[0] & FLUSHED_WITH_THEIR_FOLDER and not os.path.exists(_words(name)):
            self.events.append(("create", os.path.basename(_words(name)), 0, b""))
        return RecordedFile(name, flags, self.events)

    def xDelete(self, name, flushed):
        self.events.append(("delete", os.path.basename(name), flushed, b""))
        super().xDelete(name, flushed)


class RecordedFile(apsw.VFSFile):
    """One of them."""

    def __init__(self, name, flags, events):
        self.name, self.events = os.path.basename(_words(name)), events
        super().__init__("", name, flags)

    def xWrite(self, data, offset):
        self.events.append(("write", self.name, offset, bytes(data)))
        super().xWrite(data, offset)

    def xTruncate(self, size):
        self.events.append(("truncate", self.name, size, b""))
        super().xTruncate(size)

    def xSync(self, flags):
        self.events.append(("flush", self.name, 0, b""))
        super().xSync(flags)


class Connection:
    """As much of a connection as the store uses."""

    isolation_level = None

    def __init__(self, inner):
        self.inner = inner
        inner.execute(f"PRAGMA wal_autocheckpoint = {PAGES_OF_LOG}")

    def cursor(self):
        return Cursor(self.inner)

    def execute(self, statement, parameters=()):
        made = self.cursor()
        made.execute(statement, parameters)
        return made

    def create_function(self, name, count, function, **_):
        self.inner.create_scalar_function(name, function, count)

    def commit(self):
        if self.inner.in_transaction:
            self.inner.execute("COMMIT")

    def rollback(self):
        if self.inner.in_transaction:
            self.inner.execute("ROLLBACK")

    def close(self):
        self.inner.close()


class Cursor:
    """As much of a cursor as the store uses: all rows are read at once."""

    arraysize, lastrowid = 1, None

    def __init__(self, inner):
        self.inner, self.rows, self.description, self.rowcount = inner, [], None, -1

    def execute(self, statement, parameters=()):
        made, names = self.inner.cursor(), []
        made.exec_trace = lambda cursor, *_: names.extend(cursor.get_description()) or True
        self.rows = list(made.execute(statement, tuple(parameters)))
        self.description = [(name[0], *[None] * 6) for name in names] or None
        self.rowcount = self.inner.changes()

    def fetchone(self):
        return self.rows.pop(0) if self.rows else None

    def fetchall(self):
        rows, self.rows = self.rows, []
        return rows

    def fetchmany(self, size=1):
        rows, self.rows = self.rows[:size], self.rows[size:]
        return rows

    def close(self):
        self.rows = []


def cuts(events, points, rng):
    """Cut the power at each point; yield what was acknowledged and what lies on the disk."""
    disk, acknowledged, at = Disk(), 0, 0
    for point in sorted(points):
        for kind, name, place, data in events[at:point]:
            if kind == "acknowledged":
                acknowledged = place
            else:
                disk.do(kind, name, place, data)
        at = point
        yield acknowledged, disk.after_a_cut(rng)


class Disk:
    """What is surely on the disk, and what may be."""

    def __init__(self):
        self.sure, self.open, self.fresh = {}, defaultdict(list), set()

    def do(self, kind, name, place, data):
        if kind == "create":
            self.fresh.add(name)
            return
        if kind == "flush" and name in self.fresh:
            self.fresh.remove(name)
            self.flush_removals()
        if kind == "flush" or (kind == "delete" and place):
            for step in self.open.pop(name, []):
                _apply(self.sure, name, *step)
            if kind == "delete":
                self.sure.pop(name, None)
        else:
            self.open[name].append((kind, place, data))

    def flush_removals(self):
        """Flush the folder: what was removed from it stays removed."""
        for name, steps in self.open.items():
            removals = [n for n, step in enumerate(steps) if step[0] == "delete"]
            if removals:
                self.sure.pop(name, None)
                del steps[: removals[-1] + 1]

    def after_a_cut(self, rng):
        left = {name: bytearray(content) for name, content in self.sure.items()}
        for name, steps in self.open.items():
            share = (0.0, 0.5, 0.9, 1.0)[rng.integers(4)]
            for kind, place, data in steps:
                if kind == "write":
                    _write_torn(left, name, place, data, (rng, share))
                elif rng.random() < share:
                    _apply(left, name, kind, place, data)
                elif kind == "delete":
                    break  # the folder still names the old file, whatever became of a new one
        return left


def _apply(files, name, kind, place, data):
    if kind == "delete":
        files.pop(name, None)
        return
    content = files.setdefault(name, bytearray())
    if kind == "truncate":
        del content[place:]
        return
    content.extend(bytes(max(0, place + len(data) - len(content))))
    content[place : place + len(data)] = data


def _write_torn(files, name, place, data, chance):
    """Write a sector or leave it, each by itself."""
    rng, share = chance
    at = 0
    while at < len(data):
        end = min(len(data), at + SECTOR - (place + at) % SECTOR)
        if rng.random() < share:
            _apply(files, name, "write", place + at, data[at:end])
        at = end


def _words(name):
    """A database has a name with options, a log a plain one."""
    return name if isinstance(name, str) else name.filename()
