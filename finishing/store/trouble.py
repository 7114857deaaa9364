"""What the database says when it can't, in the maker's words; and what the store itself refuses."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DataError, DBAPIError, OperationalError

from finishing.errors import BadInput, FinishingError, StoreTrouble
from finishing.store.location import is_full


class Conflict(FinishingError):
    """Somebody else wrote to the same batch since it was looked at; nothing was saved."""


class Unsure(Exception):
    """The server was lost while it committed; told as StoreTrouble by `known_trouble`."""


_RESTORE = "finishing restore puts a backup in its place and keeps the damaged file"

RIGHTS = "give yourself the right to write the file and its folder, or work on a copy of the folder"

ROOM = "make room, then enter it again"

_WORDS = {
    sqlite3.SQLITE_BUSY: ("is in use by another program", "let that finish, then try again"),
    sqlite3.SQLITE_LOCKED: ("is in use by another program", "let that finish, then try again"),
    sqlite3.SQLITE_READONLY: ("may not be written to", RIGHTS),
    sqlite3.SQLITE_PERM: ("may not be opened", "give yourself the right to read and write the file"),
    sqlite3.SQLITE_CANTOPEN: ("can't be opened", "check that its folder is there and yours"),
    sqlite3.SQLITE_FULL: ("has no room left on its disk", ROOM),
    sqlite3.SQLITE_IOERR: ("could not be read or written: the disk reports an error", "check the disk"),
    sqlite3.SQLITE_CORRUPT: ("is damaged", _RESTORE),
    sqlite3.SQLITE_NOTADB: ("is no database, or a damaged one", _RESTORE),
}

_NOT_NOW = ("is in use by another bench", "let that finish, then try again")
_STATES = {
    "55P03": _NOT_NOW,
    "40001": _NOT_NOW,
    "40P01": _NOT_NOW,
    "25006": ("may not be written to", "ask whoever keeps the server for the right to write"),
    "42501": ("may not be used by this name", "ask whoever keeps the server for the right to make and write tables"),
    "53100": ("has no room left on its disk", ROOM),
}
"""What a server says, by its SQLSTATE: appendix A of the PostgreSQL manual."""


@contextmanager
def known_trouble(shown: str) -> Iterator[None]:
    """Turn what is known to go wrong with the database `shown` into StoreTrouble; let the rest through."""
    try:
        yield
    except UnicodeEncodeError as error:
        # What was typed in another encoding than the terminal's comes as lone surrogates, which no database takes.
        raise BadInput("text", error.object[:60], "text in UTF-8") from error
    except DataError as error:
        if "NUL" not in str(error.orig):
            raise
        raise BadInput("text", "text with a NUL character in it", "text without one") from error
    except Unsure as lost:
        hint = "when it is back, look whether the entry is on record before you enter it again"
        raise StoreTrouble(f"the database {shown} was lost while it saved", hint) from lost
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
        if code is not None and code & 0xFF == sqlite3.SQLITE_IOERR and is_full(Path(shown).parent):
            words = _WORDS[sqlite3.SQLITE_FULL]  # what it puts beside a file it can't make larger is an I/O error to it
        return None if words is None else StoreTrouble(f"the database {shown} {words[0]}", words[1])
    state = str(getattr(cause, "sqlstate", None) or "")
    if state in _STATES:
        return StoreTrouble(f"the database {shown} {_STATES[state][0]}", _STATES[state][1])
    if isinstance(error, OperationalError):
        return no_answer(shown, str(cause))
    return None


def not_ours(shown: str) -> StoreTrouble:
    """A database that may only be read, where something was to be recorded."""
    return StoreTrouble(f"the database {shown} may not be written to", RIGHTS)


def no_room_left(shown: str) -> StoreTrouble:
    """A database on a full disk, where something was to be recorded."""
    said, hint = _WORDS[sqlite3.SQLITE_FULL]
    return StoreTrouble(f"the database {shown} {said}", hint)


def no_answer(shown: str, said: str) -> StoreTrouble:
    """A server that can't be reached, with the first line of what the driver said of it."""
    first = (said.strip().splitlines() or ["no reason given"])[0]
    return StoreTrouble(f"the database {shown} does not answer: {first}", "check that its server runs")
