"""Is a database file sound? Looked at without changing it, whichever version wrote it."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from finishing.errors import BadInput, StoreTrouble
from finishing.store import copies, schema
from finishing.store.engine import BUSY_SECONDS, connect, driver
from finishing.store.kinds import Columns, entry_of
from finishing.store.still import looking_at
from finishing.store.trouble import known_trouble

MOST_LINES = 20

Schema = dict[tuple[str, str], str]
"""What is made in a database: its SQL by kind and name."""


@dataclass(frozen=True, slots=True)
class Soundness:
    """What a look at a file found. revision: of its layout, "" if it has none. problems: a line each, most telling
    first; `more` of them are not told. batches, entries, readings: how many there are, 0 where they can't be counted.
    """

    file: Path
    revision: str
    problems: tuple[str, ...]
    more: int
    batches: int = 0
    entries: int = 0
    readings: int = 0

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong with it."""
        return not self.problems


def examine(file: Path) -> Soundness:
    """Check a database file of any version: pages, references, layout, triggers, and that each entry can be read.

    BadInput if there is no such file, StoreTrouble if it can't be opened or is locked; damage is a finding, no error.
    """
    if not file.is_file():
        raise BadInput("file", str(file), "a database or a backup of one")
    with known_trouble(str(file)), looking_at(file) as connection:
        try:
            return _look(file, connection)
        except sqlite3.DatabaseError as error:
            if getattr(error, "sqlite_errorcode", 0) & 0xFF not in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
                raise
            return Soundness(file, "", (f"damaged, or no database: {error}",), 0)


def read_only(file: Path) -> sqlite3.Connection:
    """A connection that can't write. The file's name may hold any character."""
    return sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True, timeout=BUSY_SECONDS, isolation_level=None)


def _look(file: Path, connection: sqlite3.Connection) -> Soundness:
    connection.execute("BEGIN")  # one state of it throughout, whoever writes meanwhile
    found = copies.problems(connection)
    made = _made(connection)
    if ("table", "alembic_version") not in made:
        return Soundness(file, "", ("it is another program's, or empty", *found[: MOST_LINES - 1]), 0)
    row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    revision = "" if row is None else str(row[0])
    if revision not in schema.known():
        return Soundness(file, revision, (f"a newer version of this program wrote it ({revision})", *found), 0)
    found += _layout(made, revision)
    if not found:
        found += list(_contents(connection))
        if ("table", "leaving") in made:
            found += list(_left_out(connection))
    counts = [_count(connection, made, table) for table in ("batch", "entry", "reading")]
    return Soundness(file, revision, tuple(found[:MOST_LINES]), max(0, len(found) - MOST_LINES), *counts)


def _count(connection: sqlite3.Connection, made: Schema, table: str) -> int:
    return int(connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0]) if ("table", table) in made else 0


def _made(connection: sqlite3.Connection) -> Schema:
    rows = connection.execute("SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'")
    return {(kind, name): sql or "" for kind, name, sql in rows}


def _layout(made: Schema, revision: str) -> Iterator[str]:
    """Tables, indexes and triggers that are missing or not as this revision makes them."""
    for (kind, name), sql in expected(revision).items():
        if (kind, name) not in made:
            yield f"the {kind} {name} is missing"
        elif made[kind, name] != sql:
            yield f"the {kind} {name} is not as this program makes it"


def expected(revision: str) -> Schema:
    """What the migrations up to a revision make, tried in memory."""
    engine = connect("sqlite://")
    try:
        with engine.begin() as connection:
            schema.migrate(connection, revision)
            return _made(driver(connection))
    finally:
        engine.dispose()


def _contents(connection: sqlite3.Connection) -> Iterator[str]:
    """Entries that can't be read, and frozen schedules that are not what they were."""
    for number, kind, step, body, voids, amount in connection.execute(
        "SELECT id, kind, step, body, voids, amount_ml FROM entry"
    ):
        try:
            entry_of(number, 0.0, Columns(kind, json.loads(body), step, voids, amount))
        except (ValueError, StoreTrouble) as error:
            yield f"entry {number} can't be read: {error}"
    for key, body in connection.execute("SELECT key, body FROM frozen"):
        if hashlib.sha256(str(body).encode()).hexdigest() != key:
            yield f"the schedule kept under {key[:12]} is not what it was"


def _left_out(connection: sqlite3.Connection) -> Iterator[str]:
    """Leavings-out that have lost readings, or have others."""
    for number, said, there in connection.execute(
        "SELECT id, CASE WHEN voids IS NULL THEN readings ELSE 0 END AS said, coalesce(kept, 0) AS there FROM leaving"
        " LEFT JOIN (SELECT leaving_id, count(*) AS kept FROM left_reading GROUP BY leaving_id) ON leaving_id = id"
        " WHERE said <> there"
    ):
        yield f"the readings left out under {number} are {there:,} instead of {said:,}"
