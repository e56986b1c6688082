"""Empty stores on both databases, for the tests."""

import os
import shutil
import socket
import subprocess
import tempfile
import uuid
from functools import cache
from pathlib import Path

import psycopg
import pytest

from crena.store.database import open_store

KINDS = ("sqlite", "postgresql")

BOTH_DATABASES = pytest.mark.parametrize("store", KINDS, indirect=True)
"""Of a test that is tried on both, in a file whose others are not."""

NOBODY = "nobody"


def new_store(kind, folder, **settings):
    """Open a store that nothing is in."""
    return open_store(new_url(kind, folder), Path(folder) / "files", **settings)


def new_url(kind, folder):
    """Give the address of a database that nothing is in; in PostgreSQL, of an empty schema."""
    if kind == "sqlite":
        return f"sqlite:///{folder}/cases.db"
    name = f"t{uuid.uuid4().hex}"
    _ask(f"CREATE SCHEMA {name}")
    return f"{_address('postgres')}?options=-csearch_path%3D{name}"


def new_database(template="template1"):
    """Give the address of a whole database of PostgreSQL, as a copy of another one."""
    name = f"t{uuid.uuid4().hex}"
    _ask(f"CREATE DATABASE {name} TEMPLATE {template}")
    return _address(name)


def _ask(statement):
    place = f"host=127.0.0.1 port={postgresql_port()} user=crena dbname=postgres"
    with psycopg.connect(place, autocommit=True) as server:
        server.execute(statement)


def _address(database):
    return f"postgresql+psycopg://crena@127.0.0.1:{postgresql_port()}/{database}"


@cache
def postgresql_port(fsync="off"):
    """Start a server of Debian's PostgreSQL on loopback, once; skip where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not found:
        pytest.skip("PostgreSQL is not installed here")
    programs, folder = found[-1].parent, Path(tempfile.mkdtemp(prefix="crena-pg-"))
    data, port = folder / "data", free_port()
    if os.geteuid() == 0:
        shutil.chown(folder, NOBODY)
    _call(programs / "initdb", "-D", data, "-U", "crena", "-A", "trust", "--no-sync", "-E", "UTF8")
    options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1 -c fsync={fsync}"
    _call(programs / "pg_ctl", "-D", data, "-w", "-l", folder / "log", "-o", options, "start")
    STARTED.append((programs, data))
    return port


STARTED = []
"""Servers to be stopped at the end."""


def stop_servers():
    """Stop what was started."""
    while STARTED:
        programs, data = STARTED.pop()
        _call(programs / "pg_ctl", "-D", data, "-m", "immediate", "stop")
        shutil.rmtree(data.parent, ignore_errors=True)
    postgresql_port.cache_clear()


def _call(*command):
    user = NOBODY if os.geteuid() == 0 else None
    done = subprocess.run(
        [str(word) for word in command],
        user=user,
        cwd=tempfile.gettempdir(),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        check=False,
    )
    assert done.returncode == 0, f"{command[0]} ended with {done.returncode}"


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]
