"""The settings of a department, from a TOML file; its accounts, kept on the terminal."""

import os
import ssl
import stat
import tomllib
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Annotated, Any, Final

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import make_url
from sqlalchemy.exc import ArgumentError

from crena.app.case_files import MOST_FAULTS, fault_sentence
from crena.app.passwords import hashed
from crena.records import Between, InputError, Record
from crena.store.accounts import Role, SessionLimits, remove_account, set_account
from crena.store.database import Store, open_store

HTTPS_PORT = 443

LONGEST_NAME = 40

SIGNS_OF_A_NAME = ".-_"
"""That may stand in an account's name beside letters and digits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DepartmentFile(Record):
    """What the hospital's IT states about the server of a department."""

    database: str  #: as SQLAlchemy writes it
    files: Path  #: folder for scans and plans
    names: tuple[str, ...]  #: that a browser calls the server by
    certificate: Path | None = None  #: of TLS, PEM, with those between
    key: Path | None = None  #: of the certificate, PEM
    behind_proxy: bool = False  #: something before this server does TLS
    listen: str = "127.0.0.1"
    port: Annotated[int, Between(1, 65535)] = 8443
    idle_minutes: Annotated[int, Between(1, 720)] = 15
    longest_hours: Annotated[int, Between(1, 24)] = 12

    @property
    def hosts(self) -> frozenset[str]:
        """Return the names with the port that a browser adds."""
        shown = "" if self.behind_proxy or self.port == HTTPS_PORT else f":{self.port}"
        return frozenset(name.lower() + ("" if ":" in name else shown) for name in self.names)

    @property
    def limits(self) -> SessionLimits:
        """Return how long a session lives."""
        return SessionLimits(
            idle=timedelta(minutes=self.idle_minutes), longest=timedelta(hours=self.longest_hours)
        )


FILES: Final = TypeAdapter(DepartmentFile)


def read_department(path: Path) -> DepartmentFile:
    """Read the settings of a department.

    Parameters
    ----------
    path : Path
        A TOML file; paths in it are taken from its own folder.

    Returns
    -------
    DepartmentFile
        Checked; the certificate and its key belong together.

    Raises
    ------
    InputError
        With one sentence for every fault.
    """
    found = _checked(_parsed(path), path.name)
    found = _beside(found, path.resolve().parent)
    _refuse_unnamed(found, path.name)
    _refuse_open_password(found, path)
    _refuse_without_tls(found, path.name)
    return found


def department_store(found: DepartmentFile) -> Store:
    """Open the database and the files of a department."""
    return open_store(found.database, found.files)


def kept_account(settings: Path, name: str, role: str, password: str) -> str:
    """Make an account, or give one another role and password; say what was done."""
    name, password_hash = account_name(name), hashed(password)
    store = department_store(read_department(settings))
    try:
        is_new = set_account(store, name, Role(role), password_hash)
    finally:
        store.engine.dispose()
    done = "made" if is_new else "changed; its sessions have ended"
    return f"Account {name} {done}. It may {role}."


def removed_account(settings: Path, name: str) -> str:
    """Take an account away and say so."""
    name = account_name(name)
    store = department_store(read_department(settings))
    try:
        remove_account(store, name)
    finally:
        store.engine.dispose()
    return f"Account {name} removed. What it saved stays under this name."


def account_name(typed: str) -> str:
    """Return the name of an account as it is kept: small letters, digits and . - _.

    >>> account_name(" M.Example ")
    'm.example'

    Raises
    ------
    InputError
        If it has other signs or is too long.
    """
    name = typed.strip().casefold()
    letters = all(sign.isalnum() or sign in SIGNS_OF_A_NAME for sign in name)
    if not name or len(name) > LONGEST_NAME or not letters:
        raise InputError(
            f"The name of an account has 1 to {LONGEST_NAME} letters, digits or . - _, like "
            "m.example."
        )
    return name


def _parsed(path: Path) -> dict[str, Any]:
    if not path.is_file():
        raise InputError(f"There is no file {path}. Check the name.")
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(f"{path.name} is not TOML: {error}.") from None


def _checked(raw: dict[str, Any], name: str) -> DepartmentFile:
    try:
        return FILES.validate_python(raw)
    except ValidationError as error:
        faults = [fault_sentence(e) for e in error.errors(include_url=False)[:MOST_FAULTS]]
        raise InputError(f"{name}: {' '.join(dict.fromkeys(faults))}") from None


def _beside(found: DepartmentFile, folder: Path) -> DepartmentFile:
    return replace(
        found,
        files=folder / found.files,
        certificate=folder / found.certificate if found.certificate else None,
        key=folder / found.key if found.key else None,
    )


def _refuse_unnamed(found: DepartmentFile, name: str) -> None:
    odd = [host for host in found.names if not host or set(host) & set("/@ *?#")]
    if odd or not found.names:
        raise InputError(
            f"{name}: names holds what stands in the browser after https://, like "
            '["crena.hospital.example"].'
        )


def _refuse_open_password(found: DepartmentFile, path: Path) -> None:
    """Refuse a file with a password that others of this machine may read."""
    try:
        url = make_url(found.database)
    except ArgumentError:
        raise InputError(
            f"{path.name}: database is no address. Write postgresql+psycopg://user@host/name."
        ) from None
    others = os.name == "posix" and path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO)
    if url.password and others:
        raise InputError(
            f"{path.name} holds the password of the database and others may read it. Let only "
            "its owner read it (chmod 600), or keep the password in the owner's pgpass file."
        )


def _refuse_without_tls(found: DepartmentFile, name: str) -> None:
    if found.behind_proxy:
        if found.certificate or found.key:
            raise InputError(
                f"{name}: either behind_proxy = true, and the proxy does TLS, or a certificate "
                "and its key. Take one of them out."
            )
        return
    if found.certificate is None or found.key is None:
        raise InputError(
            f"{name}: passwords never go over an open line. Give certificate and key, or say "
            "behind_proxy = true if something before this server does TLS."
        )
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(
            found.certificate, found.key
        )
    except OSError as error:
        raise InputError(
            f"{name}: certificate and key cannot be used: {error.strerror or error}."
        ) from None
