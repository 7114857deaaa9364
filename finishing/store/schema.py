"""Is the file's schema this program's? If older, a backup is taken and it is brought up to date.

Alembic takes long to import, so the usual case, a file that is up to date, is settled by one plain query.
"""

from __future__ import annotations

import datetime as dt
import time
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine, inspect, text

from finishing.errors import StoreTrouble
from finishing.store import copies
from finishing.store.beside import Beside, Files
from finishing.store.engine import BUSY_SECONDS, driver, writers
from finishing.store.location import Location
from finishing.store.trouble import RIGHTS, ROOM

if TYPE_CHECKING:
    from alembic.config import Config

HEAD = "0003"
"""The newest migration."""

_TURN = 1640
"""Number of the PostgreSQL lock under which one program at a time migrates."""

_NEWER = "use the version of this program that wrote it, or a newer one"


def ensure(engine: Engine, location: Location, now: dt.datetime, files: Beside = dict) -> None:
    """Leave the database at HEAD. A file of a newer program, or of another one, is refused untouched.

    now: stamps the backup that is taken before anything is changed. files: tells what to put beside the record in it.
    """
    with engine.connect() as connection:
        found = _revision(connection, location)
    if found != HEAD:
        if found is not None and found not in known():
            raise StoreTrouble(f"the database {location.shown} was written by a newer version ({found})", _NEWER)
        if location.read_only:
            has = f"has the layout of an earlier version ({found})" if found else "has nothing in it"
            why, hint = ("its disk has no room left", ROOM) if location.full else ("may not be written to", RIGHTS)
            raise StoreTrouble(f"the database {location.shown} {has}, and {why}", hint)
        with writers(engine).connect() as connection:
            _upgrade(engine, connection, location, now, files)
    if location.file is not None and not location.read_only:
        with engine.connect() as connection:
            _keep_readers_going(connection)


def _revision(connection: Connection, location: Location) -> str | None:
    """The schema's revision; None for a database with nothing in it. StoreTrouble if it is of another program."""
    if connection.dialect.name == "sqlite":
        names = set(connection.scalars(text("SELECT name FROM sqlite_master WHERE type = 'table'")))
    else:
        names = set(inspect(connection).get_table_names())
    if not names:
        return None
    found = connection.scalar(text("SELECT version_num FROM alembic_version")) if "alembic_version" in names else None
    if found is None and names - {"alembic_version"}:
        raise StoreTrouble(f"the database {location.shown} is another program's", "name another file")
    return found


def _keep_readers_going(connection: Connection) -> None:
    """Write-ahead logging, kept in the file: readers go on while one writes.

    The switch needs the file to itself and does not wait as other statements do.
    """
    below = driver(connection)
    deadline = time.monotonic() + BUSY_SECONDS
    while below.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            below.execute("PRAGMA journal_mode = WAL").fetchone()
            return
        except below.OperationalError:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.05)


def _upgrade(engine: Engine, connection: Connection, location: Location, now: dt.datetime, files: Beside) -> None:
    """Backup and migration under one lock, so that nothing falls between; whole or not at all."""
    is_sqlite = connection.dialect.name == "sqlite"
    if is_sqlite:
        # rebuilding a table would delete the rows that hang on it; and it can't be set inside a transaction
        driver(connection).execute("PRAGMA foreign_keys = OFF")
    try:
        with connection.begin():
            if not is_sqlite:
                connection.execute(text(f"SELECT pg_advisory_xact_lock({_TURN})"))
            found = _revision(connection, location)
            if found == HEAD:
                return
            if is_sqlite and found is not None:
                _back_up(engine, location, now, files())
            migrate(connection)
            if is_sqlite and (wrong := copies.problems(driver(connection))):
                raise StoreTrouble(f"the database could not be brought up to date: {wrong[0]}", "nothing was changed")
    finally:
        if is_sqlite:
            driver(connection).execute("PRAGMA foreign_keys = ON")


def _back_up(engine: Engine, location: Location, now: dt.datetime, files: Files) -> None:
    with engine.connect() as reader:
        copies.copy(driver(reader), location.home / "backups" / copies.name(now, f"before-{HEAD}"), files=files)


def migrate(connection: Connection, revision: str = "head") -> None:
    """Bring the database of a connection up to a revision."""
    from alembic import command

    config = migrations()
    config.attributes["connection"] = connection
    command.upgrade(config, revision)


def migrations() -> Config:
    """Alembic's settings for the package's own migrations; no ini file is needed."""
    from alembic.config import Config

    config = Config()
    folder = str(Path(__file__).with_name("migrations"))
    config.set_main_option("script_location", folder.replace("%", "%%"))
    return config


def known() -> set[str]:
    """Every revision this program knows."""
    from alembic.script import ScriptDirectory

    return {script.revision for script in ScriptDirectory.from_config(migrations()).walk_revisions()}
