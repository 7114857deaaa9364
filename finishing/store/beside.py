"""What lies beside the record and goes into its backups: the maker's own files, in a table that only backups have."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping

Files = Mapping[str, bytes]
"""What is in each file, by its path below the shop's folder, such as finishes/my-oil.toml."""

Beside = Callable[[], Files]
"""Tells them when they are wanted."""

TABLE = "own_file"


def put(copy: sqlite3.Connection, files: Files) -> None:
    """Put files into a backup that is being made, in place of any that came with what was copied."""
    with copy:
        copy.execute(f"DROP TABLE IF EXISTS {TABLE}")
        if files:
            copy.execute(f"CREATE TABLE {TABLE} (path TEXT PRIMARY KEY, body BLOB NOT NULL)")
            copy.executemany(f"INSERT INTO {TABLE} VALUES (?, ?)", sorted(files.items()))


def read(backup: sqlite3.Connection) -> dict[str, bytes]:
    """The files in a backup; none in one made before they were kept."""
    if backup.execute("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", (TABLE,)).fetchone() is None:
        return {}
    return {str(path): bytes(body) for path, body in backup.execute(f"SELECT path, body FROM {TABLE}")}
