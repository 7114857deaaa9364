"""Putting a backup in the place of the database: only a sound one, and what it replaces is kept."""

from __future__ import annotations

import os
import secrets
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from finishing.errors import BadFile, BadInput, StoreTrouble
from finishing.store import beside, copies, engine, kept
from finishing.store.beside import Files
from finishing.store.location import Location
from finishing.store.sound import Soundness, examine, read_only
from finishing.store.still import looking_at
from finishing.store.trouble import known_trouble

Check = Callable[[Files], object]

_BESIDE = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a file; it belongs to that file and no other."""


@dataclass(frozen=True, slots=True)
class Restored:
    """What came back, where what it replaced is now (None where there was nothing), and the files beside it."""

    found: Soundness
    replaced: Path | None
    files: Files


def restore(
    location: Location, source: Path, now: float, files: Files | None = None, check: Check = lambda files: None
) -> Restored:
    """Put a backup in the place of the database. The files beside it are handed back, for whoever knows where they go.

    files: what lies beside the database now, to be kept with what is replaced. check: refuses the backup's files.

    BadFile for a backup that fails its check; StoreTrouble if the database is in use or can't be written. Either way
    the database is as it was. What is replaced is put among the backups first, damaged or not.
    """
    file = location.file
    if file is None:
        raise BadInput("database", location.shown, "a SQLite file; a server has its own means for this")
    if file.exists() and source.exists() and file.samefile(source):
        raise BadInput("file", str(source), "a backup, not the database itself")
    found = examine(source)
    if not found.sound:
        raise BadFile(
            str(source), f"not restored: {found.problems[0]}", "the database is as it was; try another backup"
        )
    part = file.with_name(f".{file.name}.{secrets.token_hex(4)}{copies.PART}")
    try:
        with known_trouble(str(source)), looking_at(source) as good:
            held = beside.read(good)
            check(held)
            copies.copy(good, part, files={})  # the record has no such table
        return Restored(found, _put_in_place(location, file, part, now, files), held)
    finally:
        part.unlink(missing_ok=True)


def _put_in_place(location: Location, file: Path, part: Path, now: float, files: Files | None) -> Path | None:
    if not file.exists() or file.stat().st_size == 0:
        _swap(file, part)
        return None
    try:
        return _overwrite(location, file, part, now, files)
    except sqlite3.DatabaseError as error:
        if getattr(error, "sqlite_errorcode", 0) & 0xFF not in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            with known_trouble(str(file)):
                raise
    aside = _set_aside(location, file, now)
    _swap(file, part)
    return aside


def _overwrite(location: Location, file: Path, part: Path, now: float, files: Files | None) -> Path:
    """Write the copy over a database that can be read, as one transaction, while nobody else has it open.

    The lock is held from before the old content is copied away till the new one is in, so that no entry made
    meanwhile is lost. sqlite3.Error as the driver raises it.
    """
    aside = kept.path_for(location, now, kept.REPLACED)
    with closing(sqlite3.connect(file, timeout=engine.BUSY_SECONDS, isolation_level=None)) as live:
        live.execute("PRAGMA synchronous = FULL")
        live.execute("PRAGMA locking_mode = EXCLUSIVE")
        live.execute("BEGIN EXCLUSIVE")
        live.execute("COMMIT")  # in this mode the lock stays
        copies.copy(live, aside, sound=False, files=files)
        with closing(read_only(part)) as good:
            good.backup(live)
    return aside


def _set_aside(location: Location, file: Path, now: float) -> Path:
    """Copy a file that is no readable database among the backups, with what lies beside it, byte for byte."""
    aside = kept.path_for(location, now, kept.DAMAGED)
    try:
        aside.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        for end in ("", *_BESIDE):
            old = file.with_name(file.name + end)
            if old.exists():
                new = aside.with_name(aside.name + end)
                shutil.copyfile(old, new)
                os.chmod(new, 0o600)
                copies.sync(new)
        copies.sync(aside.parent)
    except OSError as error:
        raise StoreTrouble(f"the damaged database can't be kept at {aside}: {error.strerror}", "make room") from error
    return aside


def _swap(file: Path, part: Path) -> None:
    try:
        for end in _BESIDE:  # a log of the old file must never be played into the new one
            file.with_name(file.name + end).unlink(missing_ok=True)
        os.replace(part, file)
        copies.sync(file.parent)
    except OSError as error:
        raise StoreTrouble(f"the database {file} can't be replaced: {error.strerror}", "check its folder") from error
