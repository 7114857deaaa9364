"""Databases for tests: SQLite files, and databases of their own on a PostgreSQL server, where one is given.

FINISHING_TEST_DATABASE names a server by URL, whose user may make databases. Without it the tests on PostgreSQL skip.
`python -m tests.databases COMMAND...` runs a command with a private server given, which ends with it.
"""

from __future__ import annotations

import atexit
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import URL, create_engine, make_url, text
from sqlalchemy.exc import OperationalError

GIVEN = os.environ.get("FINISHING_TEST_DATABASE", "")

KINDS = ("sqlite", "postgresql")

NONE = "no PostgreSQL server is given (python -m tests.databases python -m pytest gives one)"

IN_MEMORY = Path("/dev/shm")
ROOM = 2 << 30
"""Bytes a private server may need, of memory rather than disk where there are so many."""

_NUMBERS = count(1)


class Server:
    """A private server on a port of its own, which can be stopped and started again; ends with its process."""

    OPTIONS = (
        "-c",
        "max_connections=200",
        "-c",
        "shared_buffers=32MB",
        "-c",
        "listen_addresses=127.0.0.1",
    )

    def __init__(self, programs: Path, *, durable: bool = False) -> None:
        # durable: waits for the disk at each commit, as a real one does; tests need not
        self._options = (*self.OPTIONS, "-c", f"fsync={'on' if durable else 'off'}")
        self._programs = programs
        room = not durable and IN_MEMORY.is_dir() and shutil.disk_usage(IN_MEMORY).free > ROOM
        self.folder = Path(tempfile.mkdtemp(prefix="finishing-postgresql-", dir=IN_MEMORY if room else None))
        # The server refuses to run as root, and whoever it runs as must own its folder.
        self._user = "postgres" if os.geteuid() == 0 else None
        if self._user is not None:
            shutil.chown(self.folder, self._user)
        self.port = free_port()
        self._process: subprocess.Popen[bytes] | None = None
        # With the order of letters of a language, unlike SQLite's and Python's: what leans on that shows.
        order = ("--locale=C.UTF-8", "--encoding=UTF8", "--locale-provider=icu", "--icu-locale=en")
        arguments = ("-D", str(self._data), "--no-sync", "--auth=trust", "--username=finishing", *order)
        subprocess.run([programs / "initdb", *arguments], user=self._user, check=True, capture_output=True, cwd="/")
        self.start()

    @property
    def _data(self) -> Path:
        return self.folder / "data"

    @property
    def url(self) -> URL:
        """Where it is."""
        return make_url(f"postgresql+psycopg://finishing@127.0.0.1:{self.port}/postgres")

    def start(self) -> None:
        """Start it and wait until it answers."""
        sockets = f"unix_socket_directories={self.folder}"
        arguments = (self._programs / "postgres", "-D", self._data, "-p", str(self.port), *self._options, "-c", sockets)
        # A shell that ends the server when its own input does: also when the tests are killed.
        wait = '"$@" & pid=$!; read _; kill -QUIT $pid; wait $pid'
        with (self.folder / "log").open("ab") as log:
            self._process = subprocess.Popen(
                ["/bin/sh", "-c", wait, "sh", *arguments],
                user=self._user, stdin=subprocess.PIPE, stdout=log, stderr=log, cwd="/", start_new_session=True,
            )  # fmt: skip
        engine = create_engine(self.url)
        for _ in range(300):
            try:
                engine.connect().close()
                break
            except OperationalError:
                time.sleep(0.1)
        else:
            raise RuntimeError((self.folder / "log").read_text("utf-8")[-2000:])
        engine.dispose()

    def stop(self) -> None:
        """End it at once, as a pulled plug would."""
        if self._process is not None:
            self._process.communicate(b"\n")
            self._process = None

    def remove(self) -> None:
        """End it and take its folder away."""
        self.stop()
        shutil.rmtree(self.folder, ignore_errors=True)


def kinds_for(test: pytest.Item) -> list[str]:
    """The kinds of database a test runs on: both, unless it is marked as about one of them."""
    return [kind for kind in KINDS if all(test.get_closest_marker(f"{k}_only") is None for k in KINDS if k != kind)]


def free_port() -> int:
    """A port on which nobody listens."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@cache
def programs() -> Path | None:
    """The folder of PostgreSQL's programs; Debian keeps them off the path."""
    found = shutil.which("initdb")
    candidates = ([Path(found).resolve().parent] if found else []) + sorted(
        Path("/usr/lib/postgresql").glob("*/bin"), reverse=True
    )
    return next((folder for folder in candidates if (folder / "postgres").exists()), None)


def private_server() -> Server:
    """A server to be stopped and started; skips where none is given for the others, or no program for it is here."""
    if not GIVEN:
        pytest.skip(NONE)
    folder = programs()
    if folder is None:
        pytest.skip("no PostgreSQL: initdb and postgres are not on this machine")
    return Server(folder)


@cache
def server_url() -> URL:
    """The server that is given. Skips where there is none."""
    if not GIVEN:
        pytest.skip(NONE)
    return make_url(GIVEN)


@cache
def template(name: str, fill: Callable[[str], None]) -> str:
    """A database to copy, filled once: fill(url). Returns its name."""
    full = f"finishing_{name}_{os.getpid()}"
    _administer(f'CREATE DATABASE "{full}"')
    atexit.register(_drop, full)
    fill(_url(full))
    return full


@contextmanager
def database(like: str = "template1") -> Iterator[str]:
    """The URL of a new database, a copy of another, dropped afterwards."""
    name = f"finishing_test_{os.getpid()}_{next(_NUMBERS)}"
    _administer(f'CREATE DATABASE "{name}" TEMPLATE "{like}"')
    try:
        yield _url(name)
    finally:
        _drop(name)


def _url(name: str) -> str:
    return server_url().set(database=name).render_as_string(hide_password=False)


def _drop(name: str) -> None:
    _administer(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def _administer(statement: str) -> None:
    engine = create_engine(server_url(), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(statement))
    engine.dispose()


def with_server(command: list[str]) -> int:
    """Run a command with a private server given to it, and end the server. Returns the command's exit code."""
    folder = programs()
    if folder is None:
        sys.stderr.write("no PostgreSQL: initdb and postgres are not on this machine; its tests will skip\n")
        return subprocess.run(command).returncode
    server = Server(folder)
    try:
        given = server.url.render_as_string(hide_password=False)
        return subprocess.run(command, env={**os.environ, "FINISHING_TEST_DATABASE": given}).returncode
    finally:
        server.remove()


if __name__ == "__main__":
    sys.exit(with_server(sys.argv[1:]))
