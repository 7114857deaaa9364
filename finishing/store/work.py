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
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from sqlalchemy import Connection, Engine, PoolProxiedConnection
from sqlalchemy.exc import OperationalError
from sqlmodel import Session

from finishing.errors import BadInput
from finishing.store import copies, schema
from finishing.store.beside import Beside, Files
from finishing.store.engine import connect, driver, writers
from finishing.store.location import Location
from finishing.store.still import Still
from finishing.store.trouble import Unsure, known_trouble, no_answer, no_room_left, not_ours
from finishing.store.types import instant
from finishing.store.unborn import Unborn, is_missing, no_room

if TYPE_CHECKING:
    from finishing.store.server import Listener

BORN = 1 << 40
"""Added to the data's version when the database is made, so that it differs from any before."""


class Reader:
    """A transaction that sees the database as it was at its first query."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    @property
    def connection(self) -> Connection:
        """The connection to ask."""
        return self._connection


class Writer(Reader):
    """A transaction that has the database to itself for writing."""

    def __init__(self, session: Session, settle: Callable[[Session], None] | None = None) -> None:
        """settle: what else a commit does."""
        super().__init__(session.connection())
        self.session = session
        self._settle = settle

    @property
    def connection(self) -> Connection:
        """The connection below the session, for statements that need no objects."""
        return self.session.connection()

    def take_turn(self) -> None:
        """Wait for the other writers, where `Store.write` was told to leave that for later; again does no harm."""
        if self.connection.dialect.name != "sqlite":
            from finishing.store import server

            server.take_turn(self.connection)

    def take_leaving_turn(self) -> None:
        """Wait for the others that leave readings out or put them back, so that their lines are numbered in the order
        they are committed; those who record go on. `take_turn` comes after it, before the commit."""
        if self.connection.dialect.name != "sqlite":
            from finishing.store import server

            server.take_turn(self.connection, server.LEAVING)

    def commit(self) -> None:
        """Make what was written last: it is on the disk when this returns.

        Unsure when the server was lost before it answered: it may have been kept.
        """
        if self.connection.dialect.name == "sqlite":
            self.session.commit()
            if self._settle is not None:
                self._settle(self.session)
            return
        from finishing.store import server

        server.tell(self.connection)
        try:
            self.session.commit()
        except OperationalError as error:
            raise Unsure(str(error.orig)) from error


class Store:
    """An open database."""

    def __init__(self, location: Location, engine: Engine, now: float, files: Beside = dict) -> None:
        """Use `Store.open`."""
        self.location = location
        self._shown = location.shown  # every unit of work asks
        self._opened_at = now
        self._files = files
        self._engine = engine
        self._writers = writers(engine)
        self._watch: PoolProxiedConnection | None = None
        self._unborn: Unborn | None = None
        self._still: Still | None = None
        self._changes = 0
        self._listener: Listener | None = None

    @classmethod
    def open(cls, location: Location, now: float, *, lazily: bool = False, files: Beside = dict) -> Self:
        """Open it, make it if it isn't there, bring it up to date if it is older (after a backup).

        lazily: a file that isn't there is made by the first commit, with what was committed in it, so that looking or a
        slip leaves nothing behind. StoreTrouble, with the file as it was, if it can't be used; `now` stamps the backup,
        and `files` tells what goes into it beside the record.
        """
        if lazily and is_missing(location):
            unborn = Unborn(location, now)
            store = cls(location, unborn.engine, now, files)
            store._unborn = unborn
            return store
        _make_room(location)
        engine, still = _opened(location, now, files)
        store = cls(location, engine, now, files)
        store._still = still
        return store

    @property
    def read_only(self) -> bool:
        """Whether it is a file that may only be read: every unit of work that would write is refused."""
        return self._still is not None

    def must_take(self) -> None:
        """StoreTrouble where nothing can be recorded: for whoever waits for what is to be."""
        self._look_again()
        if self._still is not None:
            raise no_room_left(self.location.shown) if self.location.full else not_ours(self.location.shown)

    @contextmanager
    def read(self) -> Iterator[Reader]:
        """A unit of work that only reads; several go on at once, beside a writer."""
        self._look_again()
        with known_trouble(self._shown), self._engine.connect() as connection:
            yield Reader(connection)

    @contextmanager
    def write(self, *, turn_later: bool = False) -> Iterator[Writer]:
        """A unit of work that may write, one at a time in all processes. Rolled back unless committed.

        turn_later: on a server the others go on meanwhile, until `Writer.take_turn`. For long work on rows that nobody
        numbers or reads before the commit; what is numbered is written after it. A SQLite file has one writer anyway.
        """
        self.must_take()
        with known_trouble(self._shown), Session(self._writers) as session:
            session.connection()  # on SQLite this takes the turn, before anything is read
            writer = Writer(session, self._be_born if self._unborn is not None else None)
            if not turn_later:
                writer.take_turn()
            yield writer

    def _be_born(self, session: Session) -> None:
        """Put the database, with what was just committed, where it belongs, and go on there."""
        if self._unborn is not None:
            _make_room(self.location, empty=False)
            self._unborn.settle(self.location)
            self._go_over()
            session.bind = self._writers

    def _go_over(self) -> None:
        """From the database that waited to be made to the one that is there now, whoever made it."""
        waited = self._unborn
        assert waited is not None
        self._open_anew()
        self._unborn = None
        waited.close()

    def _open_anew(self) -> None:
        engine, still = _opened(self.location, self._opened_at, self._files)
        if self._watch is not None:
            self._watch.close()
            self._watch = None
        self._engine, self._writers, self._still = engine, writers(engine), still
        self._changes += BORN

    def _look_again(self) -> None:
        """See whether another program has made the database meanwhile, or written to one that is only ours to read."""
        still, before = self._still, self._engine
        if self._unborn is not None and not is_missing(self.location):
            self._go_over()
        elif still is not None and (still.changed or not self.location.read_only):
            self._open_anew()
            before.dispose()
            still.close()

    def listen(self) -> None:
        """From now on be told of changes, for whoever stays: a server tells them, and a SQLite file is asked anyway."""
        if self.location.file is None and self._listener is None:
            from finishing.store import server

            self._listener = server.listen(self.location.url, self._engine)

    def data_version(self) -> int:
        """A number that changes when another connection has committed; cheap enough to ask every second.

        StoreTrouble while the connection to a server is lost.
        """
        self._look_again()
        with known_trouble(self._shown):
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
            return self._changes + int(below.execute("PRAGMA data_version").fetchone()[0])

    def close(self) -> None:
        """Let go of every connection."""
        if self._listener is not None:
            self._listener.stop()
            self._listener = None
        if self._watch is not None:
            self._watch.close()
            self._watch = None
        self._engine.dispose()
        if self._still is not None:
            self._still.close()
        if self._unborn is not None:
            self._unborn.close()
            self._unborn = None

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


def backup(store: Store, target: Path, files: Files | None = None) -> None:
    """Copy the database to a new file, sound and whole, while others go on, with files beside it.

    BadInput if it exists.
    """
    with known_trouble(store.location.shown), store.engine.connect() as connection:
        copies.copy(_sqlite(store, connection), target, files=files)


def check(store: Store) -> list[str]:
    """What is wrong with the database, a line each; empty if nothing is."""
    with known_trouble(store.location.shown), store.engine.connect() as connection:
        return copies.problems(_sqlite(store, connection))


def _opened(location: Location, now: float, files: Beside) -> tuple[Engine, Still | None]:
    """Connections to a database that is there, brought up to date; and how it is read where it may only be read."""
    with ExitStack() as failed, known_trouble(location.shown):
        still = Still(location.file) if location.file is not None and location.read_only else None
        if still is not None:
            failed.callback(still.close)
        engine = connect(location.url) if still is None else still.engine()
        failed.callback(engine.dispose)
        schema.ensure(engine, location, instant(now), files)
        failed.pop_all()
    return engine, still


def _sqlite(store: Store, connection: Connection) -> sqlite3.Connection:
    if store.location.file is None:
        raise BadInput("database", store.location.shown, "a SQLite file; a server has its own means for this")
    return driver(connection)


def _make_room(location: Location, *, empty: bool = True) -> None:
    """The folder and (empty) an empty file, the user's alone. What is there already keeps its permissions."""
    file = location.file
    if file is None:
        return
    try:
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if empty and not file.exists() and "mode=ro" not in location.url:  # it would only hide that it is missing
            os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as error:
        raise no_room(file, error.strerror or str(error)) from error
