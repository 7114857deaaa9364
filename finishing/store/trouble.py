"""What the database says when it can't, in the maker's words; and what the store itself refuses."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, OperationalError

from finishing.errors import BadInput, FinishingError, StoreTrouble


class Conflict(FinishingError):
    """Somebody else wrote to the same batch since it was looked at; nothing was saved."""


_RESTORE = "finishing restore puts a backup in its place and keeps the damaged file"

_WORDS = {
    sqlite3.SQLITE_BUSY: ("is in use by another program", "let that finish, then try again"),
    sqlite3.SQLITE_LOCKED: ("is in use by another program", "let that finish, then try again"),
    sqlite3.SQLITE_READONLY: ("may not be written to", "give yourself the right to write the file and its folder"),
    sqlite3.SQLITE_PERM: ("may not be opened", "give yourself the right to read and write the file"),
    sqlite3.SQLITE_CANTOPEN: ("can't be opened", "check that its folder is there and yours"),
    sqlite3.SQLITE_FULL: ("has no room left on its disk", "make room, then enter it again"),
    sqlite3.SQLITE_IOERR: ("could not be read or written: the disk reports an error", "check the disk"),
    sqlite3.SQLITE_CORRUPT: ("is damaged", _RESTORE),
    sqlite3.SQLITE_NOTADB: ("is no database, or a damaged one", _RESTORE),
}


@contextmanager
def known_trouble(shown: str) -> Iterator[None]:
    """Turn what is known to go wrong with the database `shown` into StoreTrouble; let the rest through."""
    try:
        yield
    except UnicodeEncodeError as error:
        # What was typed in another encoding than the terminal's comes as lone surrogates, which no database takes.
        raise BadInput("text", error.object[:60], "text in UTF-8") from error
    except (DBAPIError, sqlite3.Error) as error:
        trouble = _trouble(error, shown)
        if trouble is None:
            raise
        raise trouble from error


def _trouble(error: DBAPIError | sqlite3.Error, shown: str) -> StoreTrouble | None:
    cause = error.orig if isinstance(error, DBAPIError) else error
    if isinstance(cause, sqlite3.Error):
        # the code of an error the module raises itself, such as on a closed connection, is missing: a bug
        code = getattr(cause, "sqlite_errorcode", None)
        words = None if code is None else _WORDS.get(code & 0xFF)
        return None if words is None else StoreTrouble(f"the database {shown} {words[0]}", words[1])
    if isinstance(error, OperationalError):
        said = (str(cause).strip().splitlines() or ["no reason given"])[0]
        return StoreTrouble(f"the database {shown} does not answer: {said}", "check that its server runs")
    return None
