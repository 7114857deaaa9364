"""Statements that are run past SQLAlchemy's rows and types, where making those would cost more than the question."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Dialect
from sqlalchemy.sql import ClauseElement

from finishing.store.engine import begun
from finishing.store.work import Reader


class Bare:
    """A statement whose text is made once for each kind of database. No list of values may stand in it (IN)."""

    def __init__(self, statement: ClauseElement) -> None:
        self._statement = statement
        self._texts: dict[str, tuple[str, tuple[str, ...] | None, dict[str, Any]]] = {}

    def rows(self, r: Reader, **asked: Any) -> list[tuple[Any, ...]]:
        """Every row as the driver hands it over: instants for `types.read_hour`, JSON as text, truth as 0 and 1."""
        connection = r.connection
        dialect = connection.dialect
        text, order, fixed = self._texts.get(dialect.name) or self._make(dialect)
        values = fixed | asked
        given = values if order is None else tuple([values[name] for name in order])
        if dialect.name == "sqlite":
            return begun(connection).execute(text, given).fetchall()
        with connection.exec_driver_sql(text, given) as result:
            assert result.cursor is not None
            return list(result.cursor.fetchall())

    def _make(self, dialect: Dialect) -> tuple[str, tuple[str, ...] | None, dict[str, Any]]:
        compiled = self._statement.compile(dialect=dialect)
        names = getattr(compiled, "positiontup", None)
        made = str(compiled), None if names is None else tuple(names), dict(compiled.params)
        self._texts[dialect.name] = made
        return made
