"""Bringing a database up to date: all of it in one transaction, a copy made before."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Engine

from crena.records import InputError

MIGRATIONS = Path(__file__).parent / "migrations"


def migrate(engine: Engine) -> None:
    """Bring the tables to the version of this program.

    Parameters
    ----------
    engine : Engine
        Of an empty database, or of one of this or an earlier version.

    Raises
    ------
    InputError
        If the database is of a later version.
    """
    settings = _settings()
    found, wanted = _version(engine), ScriptDirectory.from_config(settings).get_current_head()
    if found == wanted:
        return
    if found is not None:
        _refuse_newer(settings, found)
        _copied(engine, found)
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        settings.attributes["connection"] = connection
        command.upgrade(settings, "head")


def _settings() -> Config:
    settings = Config()
    settings.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    return settings


def _version(engine: Engine) -> str | None:
    with engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def _refuse_newer(settings: Config, found: str) -> None:
    try:
        ScriptDirectory.from_config(settings).get_revision(found)
    except CommandError:
        raise InputError(
            f"The database has version {found}, which this program does not know. Use the newer "
            "program that wrote it; nothing was changed."
        ) from None


def _copied(engine: Engine, found: str) -> None:
    """Copy a database of SQLite beside itself, as the library does it while others write."""
    if engine.dialect.name != "sqlite" or not engine.url.database:
        return
    place = Path(engine.url.database)
    copy = place.with_name(f"{place.name}.before-{found}")
    if copy.exists():
        return
    with engine.connect() as connection:
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("VACUUM INTO ?", (str(copy),))
        connection.exec_driver_sql("BEGIN")
