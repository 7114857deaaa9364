"""The store, and its units of work: what is not committed did not happen.

    with Store.open(locate(), now) as store:
        with store.write() as w:
            entries.add(w, batch_id, CoatEntry(0, now, step=2), recorded_at=now)
            w.commit()

Instants are epoch hours (see `finishing.clock`) in every signature of this package.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from sqlalchemy import Connection, Engine, PoolProxiedConnection
from sqlalchemy.exc import OperationalError
from sqlmodel import Session

from finishing.errors import BadInput, StoreTrouble
from finishing.store import copies, schema
from finishing.store.engine import connect, driver, writers
from finishing.store.location import Location
from finishing.store.trouble import Unsure, known_trouble, no_answer
from finishing.store.types import instant

if TYPE_CHECKING:
    from finishing.store.server import Listener


@dataclass(frozen=True, slots=True)
class Reader:
    """A transaction that sees the database as it was at its first query."""

    session: Session

    @property
    def connection(self) -> Connection:
        """The connection below, for queries that want rows rather than objects."""
        return self.session.connection()


@dataclass(frozen=True, slots=True)
class Writer(Reader):
    """A transaction that has the database to itself for writing."""

    def commit(self) -> None:
        """Make what was written last: it is on the disk when this returns.

        Unsure when the server was lost before it answered: it may have been kept.
        """
        if self.connection.dialect.name == "sqlite":
            self.session.commit()
            return
        from finishing.store import server

        server.tell(self.connection)
        try:
            self.session.commit()
        except OperationalError as error:
            raise Unsure(str(error.orig)) from error


class Store:
    """An open database."""

    def __init__(self, location: Location, engine: Engine) -> None:
        """Use `Store.open`."""
        self.location = location
        self._engine = engine
        self._writers = writers(engine)
        self._watch: PoolProxiedConnection | None = None
        self._listener: Listener | None = None

    @classmethod
    def open(cls, location: Location, now: float) -> Self:
        """Open it, make it if it isn't there, bring it up to date if it is older (after a backup).

        StoreTrouble, with the file as it was, if it can't be used; `now` stamps the backup.
        """
        _make_room(location)
        engine = connect(location.url)
        with ExitStack() as failed:
            failed.callback(engine.dispose)
            with known_trouble(location.shown):
                schema.ensure(engine, location, instant(now))
            failed.pop_all()
        return cls(location, engine)

    @contextmanager
    def read(self) -> Iterator[Reader]:
        """A unit of work that only reads; several go on at once, beside a writer."""
        with known_trouble(self.location.shown), Session(self._engine) as session:
            yield Reader(session)

    @contextmanager
    def write(self) -> Iterator[Writer]:
        """A unit of work that may write, one at a time in all processes. Rolled back unless committed."""
        with known_trouble(self.location.shown), Session(self._writers) as session:
            connection = session.connection()  # take the turn now, before anything is read
            if connection.dialect.name != "sqlite":
                from finishing.store import server

                server.take_turn(connection)
            yield Writer(session)

    def listen(self) -> None:
        """From now on be told of changes, for whoever stays: a server tells them, and a SQLite file is asked anyway."""
        if self.location.file is None and self._listener is None:
            from finishing.store.server import Listener

            self._listener = Listener(self.location.url)
            self._listener.start()

    def data_version(self) -> int:
        """A number that changes when another connection has committed; cheap enough to ask every second.

        StoreTrouble while the connection to a server is lost.
        """
        with known_trouble(self.location.shown):
            if self._listener is not None:
                if self._listener.lost:
                    raise no_answer(self.location.shown, self._listener.lost)
                return self._listener.version
            if self.location.file is None:
                from finishing.store import server

                with self._engine.connect() as connection:
                    return server.snapshot(connection)
            if self._watch is None:
                self._watch = self._engine.raw_connection()
            below = self._watch.driver_connection
            assert isinstance(below, sqlite3.Connection)
            return int(below.execute("PRAGMA data_version").fetchone()[0])

    def close(self) -> None:
        """Let go of every connection."""
        if self._listener is not None:
            self._listener.stop()
            self._listener = None
        if self._watch is not None:
            self._watch.close()
            self._watch = None
        self._engine.dispose()

    @property
    def engine(self) -> Engine:
        """The engine below, for maintenance."""
        return self._engine

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def backup(store: Store, target: Path) -> None:
    """Copy the database to a new file, sound and whole, while others go on. BadInput if it exists."""
    with known_trouble(store.location.shown), store.engine.connect() as connection:
        copies.copy(_sqlite(store, connection), target)


def check(store: Store) -> list[str]:
    """What is wrong with the database, a line each; empty if nothing is."""
    with known_trouble(store.location.shown), store.engine.connect() as connection:
        return copies.problems(_sqlite(store, connection))


def _sqlite(store: Store, connection: Connection) -> sqlite3.Connection:
    if store.location.file is None:
        raise BadInput("database", store.location.shown, "a SQLite file; a server has its own means for this")
    return driver(connection)


def _make_room(location: Location) -> None:
    """The folder and an empty file, both the user's alone. What is there already keeps its permissions."""
    file = location.file
    if file is None:
        return
    try:
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not file.exists() and "mode=ro" not in location.url:  # it would only hide that it is missing
            os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as error:
        hint = "choose a folder of your own with FINISHING_HOME"
        raise StoreTrouble(f"the database {file} can't be made: {error.strerror}", hint) from error
