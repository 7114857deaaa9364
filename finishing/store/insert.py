"""Inserting only what is not there yet, on any database the store knows."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite

CHUNK = 500
"""How many keys one query asks for at most."""

BATCH_OF_ROWS = 20_000
"""How many rows one statement is handed at most."""


def insert_new(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    """Insert rows; those whose key is taken are left out. Any other conflict is an error, unlike with IGNORE."""
    insert = sqlite.insert if connection.dialect.name == "sqlite" else postgresql.insert
    statement = insert(table).on_conflict_do_nothing(index_elements=list(table.primary_key.columns))
    for start in range(0, len(rows), BATCH_OF_ROWS):
        connection.execute(statement, rows[start : start + BATCH_OF_ROWS])
