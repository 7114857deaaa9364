"""Inserting only what is not there yet, on any database the store knows."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import sqlite

CHUNK = 500
"""How many keys one query asks for at most."""

BATCH_OF_ROWS = 20_000
"""How many rows one statement is handed at most."""


def insert_new(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    """Insert rows; those whose key is taken are left out. Any other conflict is an error, unlike with IGNORE."""
    statement = _insert(connection, table).on_conflict_do_nothing(index_elements=list(table.primary_key.columns))
    for start in range(0, len(rows), BATCH_OF_ROWS):
        connection.execute(statement, rows[start : start + BATCH_OF_ROWS])


def _insert(connection: Connection, table: Table) -> Any:
    if connection.dialect.name == "sqlite":
        return sqlite.insert(table)
    from sqlalchemy.dialects import postgresql  # loads every driver's dialect: not on the way to the bench

    return postgresql.insert(table)
