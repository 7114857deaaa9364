"""Inserting only what is not there yet, on any database the store knows."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Column, Connection, Select, Table, bindparam, cast, func, select
from sqlalchemy.dialects import sqlite

CHUNK = 500
"""How many keys one query asks for at most."""

BATCH_OF_ROWS = 20_000
"""How many rows one statement is handed at most."""


def insert_new(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    """Insert rows; those whose key is taken are left out. Any other conflict is an error, unlike with IGNORE."""
    statement = _insert(connection, table).on_conflict_do_nothing(index_elements=_key(table))
    for start in range(0, len(rows), BATCH_OF_ROWS):
        connection.execute(statement, rows[start : start + BATCH_OF_ROWS])


def insert_new_columns(connection: Connection, table: Table, columns: dict[Column[Any], list[Any]]) -> int:
    """As `insert_new`, from columns of one length, of numbers that no type turns into others. How many were new.

    A long log has a million rows: past SQLAlchemy's rows and types they take a third of the time.
    """
    if connection.dialect.name == "sqlite":
        statement = _insert(connection, table).on_conflict_do_nothing(index_elements=_key(table))
        text = str(statement.compile(dialect=connection.dialect, column_keys=[c.name for c in columns]))
        rows = list(zip(*columns.values(), strict=True))
        return connection.exec_driver_sql(text, rows, {"preserve_rowcount": True}).rowcount
    from sqlalchemy.dialects.postgresql import ARRAY, insert

    added = 0
    for start in range(0, max(len(values) for values in columns.values()), BATCH_OF_ROWS):
        part = slice(start, start + BATCH_OF_ROWS)
        arrays = [func.unnest(cast(bindparam(None, v[part], ARRAY(c.type)), ARRAY(c.type))) for c, v in columns.items()]
        statement = insert(table).from_select([c.name for c in columns], select(*arrays))
        done = connection.execute(
            statement.on_conflict_do_nothing(index_elements=_key(table)), execution_options={"preserve_rowcount": True}
        )
        added += done.rowcount
    return added


def insert_missing(connection: Connection, table: Table, columns: list[str], rows: Select[Any]) -> int:
    """Insert the rows of a query that has a WHERE; those whose key is taken are left out. How many were new."""
    statement = _insert(connection, table).from_select(columns, rows).on_conflict_do_nothing(index_elements=_key(table))
    return int(connection.execute(statement, execution_options={"preserve_rowcount": True}).rowcount)


def _key(table: Table) -> list[Column[Any]]:
    return list(table.primary_key.columns)


def _insert(connection: Connection, table: Table) -> Any:
    if connection.dialect.name == "sqlite":
        return sqlite.insert(table)
    from sqlalchemy.dialects import postgresql  # loads every driver's dialect: not on the way to the bench

    return postgresql.insert(table)
