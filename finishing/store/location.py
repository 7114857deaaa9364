"""Where the record lives: the user's data folder, unless the environment says otherwise."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from finishing.errors import BadInput
from finishing.home import check_name, home_folder

DATABASE = "FINISHING_DATABASE"

FILE_NAME = "finishing.db"

_EXPECTED = "a SQLAlchemy URL of SQLite or PostgreSQL, such as sqlite:////home/me/shop.db or postgresql+psycopg://me@server/shop"


@dataclass(frozen=True, slots=True)
class Location:
    """home: the folder of backups and, without `FINISHING_DATABASE`, of the database. url: a SQLAlchemy URL."""

    home: Path
    url: str

    @property
    def file(self) -> Path | None:
        """The SQLite file; None for a database server."""
        url = _read(self.url)
        if url.get_backend_name() != "sqlite":
            return None
        return Path((url.database or "").removeprefix("file:"))

    @property
    def read_only(self) -> bool:
        """Whether it is a SQLite file that is there and may only be read, as far as permissions say: its own, and those
        of its folder, where SQLite puts what it needs to write; or as its disk has no room for that."""
        file = self.file
        if file is None or not file.exists():
            return False
        asked = _read(self.url).query.get("mode") == "ro"
        return asked or not (os.access(file, os.W_OK) and os.access(file.parent, os.W_OK)) or is_full(file.parent)

    @property
    def full(self) -> bool:
        """Whether it is a SQLite file whose disk has no room left."""
        return self.file is not None and is_full(self.file.parent)

    @property
    def shown(self) -> str:
        """What messages call the database; never a password."""
        return str(self.file or _read(self.url).render_as_string(hide_password=True))


LEAST_ROOM = 64 * 1024
"""Bytes. SQLite puts 32 KiB beside a file to read it, and what is recorded next comes on top."""


def is_full(folder: Path) -> bool:
    """Whether the disk of a folder has no room left to record anything."""
    try:
        room = shutil.disk_usage(folder)
    except OSError:  # not there: whoever opens it says so
        return False
    return room.total > 0 and room.free < LEAST_ROOM


def locate(environ: Mapping[str, str] = os.environ) -> Location:
    """The place the environment names. Makes nothing. BadInput for a URL that can't be one.

    `FINISHING_HOME` replaces the user's data folder; `FINISHING_DATABASE` names another database. A relative
    SQLite path counts from the present folder, and `~` is the user's home.
    """
    home = home_folder(environ)
    given = environ.get(DATABASE)
    if not given:
        return at_file(home / FILE_NAME, home)
    return at_url(given, home)


def at_url(given: str, home: Path, field: str = DATABASE) -> Location:
    """A database by its URL, with a folder for what goes beside it. BadInput for a URL that can't be one."""
    return Location(home, _whole(given, field).render_as_string(hide_password=False))


def at_file(file: Path, home: Path | None = None) -> Location:
    """A SQLite file, with backups beside it unless `home` says otherwise."""
    whole = file.expanduser().absolute()
    url = URL.create("sqlite", database=str(whole)).render_as_string(hide_password=False)
    return Location(whole.parent if home is None else home, url)


@lru_cache(maxsize=16)
def _read(url: str) -> URL:
    # Every unit of work asks what messages would call the database.
    return make_url(url)


def _whole(given: str, field: str) -> URL:
    """The URL with a whole SQLite path. A database in memory is refused: an entry must be on disk."""
    try:
        url = make_url(given)
    except (ArgumentError, ValueError) as error:
        raise BadInput(field, _without_password(given), _EXPECTED) from error
    backend = url.get_backend_name()
    if backend not in ("sqlite", "postgresql"):
        raise BadInput(field, url.render_as_string(hide_password=True), _EXPECTED)
    if backend != "sqlite":
        return url.set(drivername="postgresql+psycopg")
    path = url.database or ""
    if path in ("", ":memory:") or ":memory:" in path or url.query.get("mode") == "memory":
        raise BadInput(field, given, f"a database on disk: {_EXPECTED}")
    prefix = "file:" if path.startswith("file:") else ""
    whole = Path(path.removeprefix(prefix)).expanduser().absolute()
    check_name(whole, field)
    return url.set(database=f"{prefix}{whole}")


def _without_password(given: str) -> str:
    return re.sub(r"(//[^:/@]*):.*@", r"\1:***@", given)
