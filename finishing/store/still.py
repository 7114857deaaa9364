"""A SQLite file that may only be read, and may lie where nothing can be put beside it.

SQLite asks for files beside one that keeps a log of its writes, even to read it. Where they can't be made, a file
without a log left over is read as one that stands still; one with a log is copied, log and all, to a folder of its own
and read there, since what was recorded last is in the log alone.
"""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
import weakref
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import Engine

from finishing.errors import StoreTrouble
from finishing.store.engine import BUSY_SECONDS, connect

LOGS = ("-wal", "-journal")
"""What SQLite leaves beside a file with what is not in it yet, or has to be undone in it."""

IN_PLACE = "mode=ro"
"""Opened so, it is read as any other: with its locks, its log, and what others write."""

NO_ROOM_BESIDE = (sqlite3.SQLITE_IOERR_SHMOPEN, sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_SHMMAP)
"""What SQLite says where it can't make the file beside a log as large as it needs, as on a full disk."""

Mark = tuple[tuple[int, int] | None, ...]


class Still:
    """A way to read such a file as it is now. Good for as long as `changed` says no."""

    def __init__(self, file: Path) -> None:
        """StoreTrouble where it would have to be copied and can't be; sqlite3.Error as the driver raises it."""
        self._file = file.absolute()
        self._mark = _mark(self._file)
        self._folder: weakref.finalize[..., object] | None = None
        self._base, self._way = self._found()

    def _found(self) -> tuple[str, str]:
        """The file's URI, and how it is opened."""
        base = self._file.as_uri()
        if _opens(f"{base}?{IN_PLACE}"):
            return base, IN_PLACE
        if not any(self._mark[1:]):
            return base, "immutable=1"
        return self._copied().as_uri(), "mode=rw"

    def _copied(self) -> Path:
        try:
            folder = Path(tempfile.mkdtemp(prefix="finishing-read-"))
            # gone with this object, also when nobody closes it or the program ends in an error
            self._folder = weakref.finalize(self, shutil.rmtree, folder, ignore_errors=True)
            for end, there in zip(("", *LOGS), self._mark, strict=True):
                if there:
                    shutil.copyfile(f"{self._file}{end}", folder / f"{self._file.name}{end}")
        except OSError as error:
            said = f"the database {self._file} has to be copied to be read, and can't be: {error.strerror}"
            raise StoreTrouble(
                said, "make room for temporary files, and see that you may read it and what lies beside it"
            ) from error
        return folder / self._file.name

    def engine(self) -> Engine:
        """Connections to it."""
        return connect(f"sqlite:///{self._file}", self.connection)

    def connection(self) -> sqlite3.Connection:
        """One connection to it."""
        uri = f"{self._base}?{self._way}"
        return sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False)

    @property
    def changed(self) -> bool:
        """Whether it is to be opened anew to see what somebody who may has written to it since."""
        return self._way != IN_PLACE and _mark(self._file) != self._mark

    def close(self) -> None:
        """Leave nothing behind."""
        if self._folder is not None:
            self._folder()


@contextmanager
def looking_at(file: Path) -> Iterator[sqlite3.Connection]:
    """A connection that changes nothing of a file, wherever it lies. Its name may hold any character."""
    with closing(Still(file)) as still, closing(still.connection()) as connection:
        yield connection


def _opens(uri: str) -> bool:
    """Whether it can be read in place; what else is wrong with it is for whoever reads it."""
    try:
        with closing(sqlite3.connect(uri, uri=True, timeout=0.0)) as connection:
            connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone()
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorcode", 0)
        return code & 0xFF not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY) and code not in NO_ROOM_BESIDE
    return True


def _mark(file: Path) -> Mark:
    """When each was written last and how long it is; None for one that isn't there, or has nothing in it."""
    found: list[tuple[int, int] | None] = []
    for end in ("", *LOGS):
        try:
            stat = Path(f"{file}{end}").stat()
        except OSError:  # not there, or not for us to see: then SQLite says so
            found.append(None)
        else:
            found.append((stat.st_mtime_ns, stat.st_size) if stat.st_size else None)
    return tuple(found)
