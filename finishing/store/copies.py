"""Copies of a SQLite database, whole and in one file, while others use it; and its checking."""

from __future__ import annotations

import datetime as dt
import os
import secrets
import sqlite3
from contextlib import closing
from pathlib import Path

from finishing.errors import BadInput, StoreTrouble
from finishing.store import beside
from finishing.store.beside import Files
from finishing.store.trouble import known_trouble

PART = ".part"
"""How the name of a copy ends until it is whole."""


def copy(source: sqlite3.Connection, target: Path, *, sound: bool = True, files: Files | None = None) -> None:
    """Copy the database to a new file: complete, sound and on disk, or not there at all.

    sound: whether an unsound copy is refused; what is replaced is kept however it is. files: what to put beside it.
    BadInput if the file exists; StoreTrouble if it can't be written or the copy is unsound.
    """
    if target.exists():
        raise BadInput("backup", str(target), "a file that is not there yet")
    part = target.with_name(f".{target.name}.{secrets.token_hex(4)}{PART}")
    try:
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(part, os.O_CREAT | os.O_TRUNC | os.O_RDWR, 0o600))
    except OSError as error:
        raise StoreTrouble(f"no backup can be put at {target}: {error.strerror}", "choose another folder") from error
    try:
        _fill(source, part, str(target), sound, files)
        _name(part, target)
        sync(target.parent)
    finally:
        part.unlink(missing_ok=True)


def _name(part: Path, target: Path) -> None:
    """Give the whole copy its name. BadInput if another program has given it meanwhile."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise BadInput("backup", str(target), "a file that is not there yet") from None
    except OSError:  # a file system without hard links
        os.replace(part, target)


def _fill(source: sqlite3.Connection, part: Path, shown: str, sound: bool, files: Files | None) -> None:
    with known_trouble(shown), closing(sqlite3.connect(part)) as copied:
        source.backup(copied)
        copied.execute("PRAGMA journal_mode = DELETE")  # one file, with nothing beside it
        if files is not None:
            beside.put(copied, files)
        wrong = problems(copied) if sound else []
    if wrong:
        raise StoreTrouble(f"the database can't be copied soundly: {wrong[0]}", "finishing check says what is wrong")
    sync(part)


def sync(path: Path) -> None:
    """See that a file or folder is on the disk."""
    if os.name == "nt" and path.is_dir():
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def problems(connection: sqlite3.Connection) -> list[str]:
    """What is wrong with the file, a line each: pages and indexes, then rows that point at nothing."""
    found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check") if row[0] != "ok"]
    if not found:
        rows = connection.execute("PRAGMA foreign_key_check")
        found = [f"{table} {row} points at a {parent} that is not there" for table, row, parent, _ in rows]
    return found


def name(now: dt.datetime, why: str) -> str:
    """A backup's file name: when, and why it was made: "before-0003", "daily", "made", "replaced"."""
    return f"finishing-{now.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}-{why}.db"
