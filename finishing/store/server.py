"""What is particular to a PostgreSQL server: its connections, writers' turns, and word of changes to other benches."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any
from weakref import WeakKeyDictionary, WeakSet

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import make_url
from sqlalchemy.pool import NullPool

BUSY_SECONDS = 10.0
"""How long a writer waits for its turn."""

CHANNEL = "finishing_changed"
"""Where each commit of a writer is told to the other benches."""

_TURN = 1641
"""Number of the lock that a writer holds until its commit. One writer at a time, as on a SQLite file, because entries
are numbered as they are written, and readers that go on from the newest number must miss none."""

LEAVING = 1642
"""The same among those who leave readings out, which may take long; the other writers go on meanwhile."""

_IDLE_SECONDS = 60
"""How long a bench that froze with its turn may keep the others from theirs."""

_PATIENCE = {
    "connect_timeout": 3,
    "keepalives": 1,
    "keepalives_idle": 5,
    "keepalives_interval": 2,
    "keepalives_count": 2,
    "tcp_user_timeout": 5000,
    "application_name": "finishing",
}
"""Seconds, and one in milliseconds: a pulled cable is noticed within ten seconds, where the URL says nothing else."""

_LINKS: WeakKeyDictionary[Engine, WeakSet[Any]] = WeakKeyDictionary()
"""The open connections of each engine."""


def connect(url: str) -> Engine:
    """An engine; opens nothing yet. A connection that a restarted server left dead is replaced when it is next used."""
    engine = create_engine(url, connect_args=_arguments(url), pool_pre_ping=True, isolation_level="REPEATABLE READ")
    links = _LINKS[engine] = WeakSet()

    def opened(link: Any, _: object) -> None:
        links.add(link)

    event.listen(engine, "connect", opened)
    return engine


def listen(url: str, engine: Engine) -> Listener:
    """Begin to listen, on behalf of an engine: nobody waits on it for a server that is known to be out of reach."""
    listener = Listener(url, lambda: cut_off(engine))

    def try_no_more(*_: object) -> None:
        if listener.lost:
            raise _driver_error()(listener.lost)

    event.listen(engine, "do_connect", try_no_more)
    listener.start()
    return listener


def cut_off(engine: Engine) -> None:
    """End every connection at this end, from another thread: who waits for an answer on one gets an error at once."""
    for link in list(_LINKS[engine]):
        _cut(link)


def _cut(link: Any) -> None:
    # A connection is one thread's at a time, and closing it from here would wait for that; its socket waits for none.
    with suppress(OSError, _driver_error()), socket.fromfd(link.fileno(), socket.AF_INET, socket.SOCK_STREAM) as below:
        below.shutdown(socket.SHUT_RDWR)


def _driver_error() -> type[Exception]:
    import psycopg

    return psycopg.OperationalError


def take_turn(connection: Connection, lock: int = _TURN) -> None:
    """Wait for every writer before, then keep out those behind until commit or rollback.

    The transaction is READ COMMITTED, so what it reads after this is what the writer before it left.
    """
    connection.execute(text(f"SET LOCAL lock_timeout = '{BUSY_SECONDS:g}s'"))
    connection.execute(text(f"SET LOCAL idle_in_transaction_session_timeout = '{_IDLE_SECONDS}s'"))
    connection.execute(text(f"SELECT pg_advisory_xact_lock({lock})"))


def tell(connection: Connection) -> None:
    """Let the other benches know, when this transaction commits and not before."""
    connection.execute(text(f"NOTIFY {CHANNEL}"))


def snapshot(connection: Connection) -> int:
    """A number that rises whenever somebody has written: for programs that look once or twice."""
    return int(connection.scalar(text("SELECT txid_snapshot_xmax(txid_current_snapshot())")) or 0)


def _arguments(url: str) -> dict[str, Any]:
    asked = make_url(url).query
    return {key: value for key, value in _PATIENCE.items() if key not in asked}


class Listener(threading.Thread):
    """Listens on a connection of its own, and connects anew when that is lost, without holding anybody up.

    version rises with each commit told, and whenever listening began anew. lost: what the driver said; "" while
    all is well. Whoever holds a screen reads these two and never waits for the server. silent: called when the server
    gives no answer, as by a pulled cable or a machine at a standstill, which no driver reports.
    """

    RETRY_SECONDS = 1.0
    STEP_SECONDS = 0.5
    BEAT_SECONDS = 1.5
    """How long it may be quiet before the server is asked whether it is there."""
    ANSWER_SECONDS = 3.5
    """How long that may take: it waits for no turn and no disk."""

    def __init__(self, url: str, silent: Callable[[], None]) -> None:
        super().__init__(name="changes", daemon=True)
        self.version = 0
        self.lost = ""
        self._silent = silent
        self._over = threading.Event()
        self._engine = create_engine(
            url, connect_args=_arguments(url), poolclass=NullPool, isolation_level="AUTOCOMMIT"
        )

    def run(self) -> None:
        """Until `stop`."""
        import psycopg
        from sqlalchemy.exc import DBAPIError

        while not self._over.is_set():
            try:
                self._listen()
            except (DBAPIError, psycopg.Error) as error:
                said = str(error.orig if isinstance(error, DBAPIError) else error)
                self.lost = self.lost or (said.strip().splitlines() or ["the connection was lost"])[0]
                self._over.wait(self.RETRY_SECONDS)

    def _listen(self) -> None:
        with self._engine.connect() as connection:
            below: Any = connection.connection.driver_connection
            with self._answer(below):
                connection.execute(text(f"LISTEN {CHANNEL}"))
            self.version += 1  # whatever was committed while nobody listened
            self.lost = ""
            heard = time.monotonic()
            while not self._over.is_set():
                # Each commit is one change however many notices come with it, so the first is enough.
                for _ in below.notifies(timeout=self.STEP_SECONDS, stop_after=1):
                    self.version += 1
                    heard = time.monotonic()
                if time.monotonic() - heard >= self.BEAT_SECONDS:
                    with self._answer(below):
                        below.execute("SELECT 1")
                    heard = time.monotonic()

    @contextmanager
    def _answer(self, below: Any) -> Iterator[None]:
        """An error in here, and word that it is lost, when the server's answer does not come."""

        def give_up() -> None:
            self.lost = f"nothing came from it for {self.ANSWER_SECONDS:g} s"
            _cut(below)
            self._silent()

        timer = threading.Timer(self.ANSWER_SECONDS, give_up)
        timer.daemon = True
        timer.start()
        try:
            yield
        finally:
            timer.cancel()

    def stop(self) -> None:
        """Listen no longer; returns when the connection is closed."""
        self._over.set()
        with suppress(RuntimeError):  # never started
            self.join(self.STEP_SECONDS + 2.0)
