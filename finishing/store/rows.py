"""Every table as plain rows, out and in: what an export writes and an import puts back."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import Any

from sqlalchemy import BigInteger, Boolean, Date, Float, Integer, Table, delete, func, insert, select, text
from sqlalchemy.exc import IntegrityError, StatementError

from finishing.clock import hour_of
from finishing.errors import BadFile, BadInput
from finishing.store.kinds import Columns, entry_of
from finishing.store.schema import HEAD
from finishing.store.tables import ENTRY, SETTING, Base
from finishing.store.types import UTC, JsonText
from finishing.store.work import Reader, Writer

Row = tuple[Any, ...]

AT_ONCE = 10_000
"""How many rows are held in memory at a time."""

_KINDS: tuple[tuple[type[Any], str], ...] = (
    (UTC, "instant"),
    (JsonText, "json"),
    (Date, "date"),
    (Boolean, "bool"),
    (BigInteger, "int"),
    (Integer, "int"),
    (Float, "float"),
)


SINCE = {"0001": frozenset[str](), "0002": frozenset({"lesson"}), "0003": frozenset({"leaving", "left_reading"})}
"""By layout, in order, the tables that came with it; those that were there before are the same still."""


def shapes(layout: str = HEAD) -> dict[str, tuple[tuple[str, str, bool], ...]]:
    """By table of a layout, those that others point at first: name, kind and whether it may be empty, of each column.

    Kinds: instant, json, date, bool, int, float, text.
    """
    later = {name for since, names in SINCE.items() if since > layout for name in names}
    return {
        table.name: tuple((c.name, _kind(c.type), bool(c.nullable)) for c in table.columns)
        for table in Base.metadata.sorted_tables
        if table.name not in later
    }


def _kind(column: Any) -> str:
    return next((kind for cls, kind in _KINDS if isinstance(column, cls)), "text")


def rows_of(r: Reader, name: str) -> Iterator[Row]:
    """A table's rows in order of its key, a few at a time."""
    table = _table(name)
    query = select(*table.columns).order_by(*table.primary_key.columns)
    for row in r.connection.execution_options(yield_per=AT_ONCE).execute(query):
        yield tuple(row)


def count_of(r: Reader, name: str) -> int:
    """How many rows a table has."""
    return r.connection.scalar(select(func.count()).select_from(_table(name))) or 0


def is_empty(r: Reader) -> bool:
    """Whether there is nothing but settings."""
    others = (table for table in Base.metadata.sorted_tables if table is not SETTING)
    return not any(r.connection.execute(select(*table.primary_key.columns).limit(1)).first() for table in others)


def put_all(w: Writer, tables: Mapping[str, Iterable[Row]]) -> dict[str, int]:
    """Put rows into the empty tables; how many by table. Settings are replaced.

    BadInput where something is on record already; BadFile for rows that don't go together.
    """
    if not is_empty(w):
        raise BadInput("shop", "not empty", "a shop with nothing on record", "name a new folder with FINISHING_HOME")
    w.connection.execute(delete(SETTING))
    counts = {name: _put(w, _table(name), rows) for name, rows in tables.items()}
    if w.connection.dialect.name == "postgresql":
        _count_on(w)
    return counts


def _put(w: Writer, table: Table, rows: Iterable[Row]) -> int:
    names, count, waiting = [c.name for c in table.columns], 0, iter(rows)
    while some := [dict(zip(names, row, strict=True)) for row in islice(waiting, AT_ONCE)]:
        if table is ENTRY:
            for values in some:
                _readable(values)
        try:
            w.connection.execute(insert(table), some)
        except (IntegrityError, StatementError) as error:
            problem = str(error.orig or error).splitlines()[0]
            raise BadFile(f"table {table.name}", f"rows that don't go together: {problem}") from error
        count += len(some)
    return count


def _readable(values: Mapping[str, Any]) -> None:
    """StoreTrouble for an entry that could not be read afterwards."""
    at = values["at"]
    assert isinstance(at, dt.datetime)
    columns = Columns(values["kind"], values["body"], values["step"], values["voids"], values["amount_ml"])
    entry_of(values["id"], hour_of(at), columns)


def _count_on(w: Writer) -> None:
    """A server numbers on from the highest, as SQLite does by itself."""
    for table in Base.metadata.sorted_tables:
        if "id" in table.columns:
            highest = w.connection.scalar(select(func.max(table.c.id)))
            if highest is not None:
                asked = {"name": table.name, "highest": highest}
                w.connection.execute(text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :highest)"), asked)


def _table(name: str) -> Table:
    return Base.metadata.tables[name]
