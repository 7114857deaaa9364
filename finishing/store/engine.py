"""Connections: SQLite with real transactions, full syncing and foreign keys; a server's are in `server`.

The driver of its own begins no transaction before a read, which loses updates between processes; so it is told to
begin none, and each begins here: a writer's with BEGIN IMMEDIATE, which waits its turn before it reads.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url

from finishing.errors import StoreTrouble

BUSY_SECONDS = 10.0

BEGIN = "sqlite_begin"
"""Execution option: which BEGIN a connection uses on SQLite."""


def connect(url: str, below: Callable[[], sqlite3.Connection] | None = None) -> Engine:
    """An engine; opens nothing yet. StoreTrouble when the driver the URL asks for is not installed.

    below: how SQLite's own connections are made where the URL doesn't say it all.
    """
    backend = make_url(url).get_backend_name()
    # no implicit transactions; connections are handed from thread to thread, one at a time
    arguments = {"timeout": BUSY_SECONDS, "isolation_level": None, "check_same_thread": False}
    try:
        if below is not None:
            engine = create_engine(url, creator=below)
        else:
            engine = create_engine(url, connect_args=arguments) if backend == "sqlite" else _server(url)
    except ModuleNotFoundError as error:
        hint = "install finishing[postgresql]"
        raise StoreTrouble(f"the database needs the driver {error.name}", hint) from error
    if backend == "sqlite":
        event.listen(engine, "connect", _prepare)
        event.listen(engine, "begin", _begin)
    return engine


def writers(engine: Engine) -> Engine:
    """The same connections, for transactions that write."""
    if engine.dialect.name == "sqlite":
        return engine.execution_options(**{BEGIN: "BEGIN IMMEDIATE"})
    return engine.execution_options(isolation_level="READ COMMITTED")  # see `server.take_turn`


def _server(url: str) -> Engine:
    from finishing.store import server  # not on the way to a SQLite bench

    return server.connect(url)


def driver(connection: Connection) -> sqlite3.Connection:
    """The SQLite connection below, without beginning a transaction."""
    below = connection.connection.driver_connection
    assert isinstance(below, sqlite3.Connection)
    return below


def begun(connection: Connection) -> sqlite3.Connection:
    """The SQLite connection below, in a transaction, which ends when the connection goes back to its pool."""
    below = driver(connection)
    if not below.in_transaction:
        below.execute("BEGIN")
    return below


def _prepare(below: Any, record: Any) -> None:
    """Settings of each new connection; none of them touches the file."""
    for pragma in ("foreign_keys = ON", "synchronous = FULL", "recursive_triggers = ON"):
        # recursive triggers: so that REPLACE runs into the triggers against DELETE too
        below.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    # past SQLAlchemy's own way, which takes longer than many a question
    below = driver(connection)
    if not below.in_transaction:  # as it is where `begun` came first
        below.execute(connection.get_execution_options().get(BEGIN, "BEGIN"))
