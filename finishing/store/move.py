"""The whole record copied to another database, of either kind, and compared row by row before it is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from itertools import zip_longest
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select, text

from finishing.errors import BadInput, StoreTrouble
from finishing.store.location import Location
from finishing.store.tables import Base
from finishing.store.work import Reader, Store, Writer

AT_ONCE = 5_000
"""How many rows are read and written at a time."""

Progress = Callable[[str, int], None]
"""Told a table's name and how many of its rows are over."""


def move(
    source: Store,
    target: Location,
    now: float,
    progress: Progress = lambda table, rows: None,
    compared: Callable[[], object] = lambda: None,
) -> dict[str, int]:
    """Copy every row to an empty database, compare them all, and only then keep them. Rows by table.

    Nobody can record on either side meanwhile; the source stays as it is. BadInput if the target is the source or has
    rows; StoreTrouble if a row differs, or either side can't be used: the target is then empty. compared: what else is
    done before they are kept.
    """
    if target.url == source.location.url:
        raise BadInput("database", target.shown, "another database than the shop's own")
    tables = Base.metadata.sorted_tables
    with Store.open(target, now) as store, _held(source) as r, store.write() as w:
        full = [table.name for table in tables if _rows(w.connection, table)]
        if full:
            raise BadInput("database", target.shown, f"an empty one; it has rows in {', '.join(full)}")
        for table in tables:
            _copy(r, w, table, progress)
        for table in tables:
            _compare(r, w, table)
            _number_on(w.connection, table)
        counts = {table.name: _rows(w.connection, table) for table in tables}
        compared()
        w.commit()
    return counts


def _held(source: Store) -> AbstractContextManager[Reader]:
    """The source, with nobody writing to it meanwhile; one that nobody may write to is read."""
    return source.read() if source.read_only else source.write()


def _copy(r: Reader, w: Writer, table: Table, progress: Progress) -> None:
    over = 0
    for rows in _in_order(r.connection, table):
        w.connection.execute(insert(table), [dict(row._mapping) for row in rows])
        over += len(rows)
        progress(table.name, over)


def _in_order(connection: Connection, table: Table) -> Iterator[Any]:
    """All rows by key, some thousand at a time: an entry comes after those it may name."""
    query = select(table).order_by(*table.primary_key.columns)
    yield from connection.execute(query.execution_options(yield_per=AT_ONCE)).partitions()


def _compare(r: Reader, w: Writer, table: Table) -> None:
    """Each row against its copy, as the program reads them, in both directions; the text keys in one order on both."""
    for ours, theirs in zip_longest(_by_key(r, table), _by_key(w, table)):
        if ours != theirs:
            key = tuple((ours if ours is not None else theirs)[: len(table.primary_key.columns)])
            hint = "nothing was kept there; the shop is as it was"
            raise StoreTrouble(f"a row of {table.name} did not arrive as it was: {key}", hint)


def _by_key(r: Reader, table: Table) -> Iterator[tuple[Any, ...]]:
    if all(column.type.python_type is not str for column in table.primary_key.columns):
        for rows in _in_order(r.connection, table):
            yield from map(tuple, rows)
        return
    # Two databases order letters in two ways; these tables are short.
    yield from sorted((tuple(row) for row in r.connection.execute(select(table))), key=lambda row: str(row[0]))


def _number_on(connection: Connection, table: Table) -> None:
    """On a server: the next row's number comes after the highest; SQLite sees to that itself."""
    if connection.dialect.name == "sqlite" or "id" not in table.c:
        return
    sequence = connection.scalar(text("SELECT pg_get_serial_sequence(:t, 'id')"), {"t": table.name})
    highest = connection.scalar(select(func.max(table.c.id)))
    if sequence is not None and highest is not None:
        connection.execute(text("SELECT setval(:s, :n)"), {"s": sequence, "n": highest})


def _rows(connection: Connection, table: Table) -> int:
    return connection.scalar(select(func.count()).select_from(table)) or 0
