"""A process that brings a database up to date until it kills itself."""

import itertools
import multiprocessing
import os
import signal
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import event
from sqlalchemy.engine import Engine

from crena.store import database
from crena.store import migrate as migration

STEPS = '''
"""A step that is only there to be broken off."""

import sqlalchemy as sa
from alembic import op

revision = "9000"
down_revision = "0001"


def upgrade():
    op.create_table(
        "wards",
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("beds", sa.Integer, nullable=False),
    )
    op.add_column("cases", sa.Column("ward", sa.Text, nullable=False, server_default=""))
    op.execute("UPDATE cases SET ward = 'A'")
    op.execute("INSERT INTO wards (name, beds) VALUES ('A', 12)")
    op.create_index("ix_cases_ward", "cases", ["ward"])
    op.drop_index("ix_jobs_case_id", "jobs")
    op.create_index("ix_jobs_state", "jobs", ["state"])
'''


@contextmanager
def settings_with(steps, *, moves=True):
    """Let the store take its steps from another folder, or take none."""
    kept, migrate = migration.MIGRATIONS, database.migrate
    migration.MIGRATIONS = Path(steps)
    if not moves:
        database.migrate = lambda engine: None
    try:
        yield
    finally:
        migration.MIGRATIONS, database.migrate = kept, migrate


def migrate_and_die(url, steps, files, at):
    """Open a store; die at the n-th moment, before a statement or after one, or at a commit."""
    moments = itertools.count()

    def moment(*_):
        if next(moments) == at:
            os.kill(os.getpid(), signal.SIGKILL)

    for name in ("before_cursor_execute", "after_cursor_execute", "commit"):
        event.listen(Engine, name, moment)
    with settings_with(steps):
        database.open_store(url, Path(files))


def start_killers(pipe):
    """Start one such process after the other, as told, and tell how each ended.

    They are forked from here, where all is imported and no connection is open.
    """
    context = multiprocessing.get_context("fork")
    while (order := pipe.recv()) is not None:
        process = context.Process(target=migrate_and_die, args=order)
        process.start()
        process.join()
        pipe.send(process.exitcode)
