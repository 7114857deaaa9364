"""A cable to a server that can be pulled: nothing passes any more, and neither end is told."""

from __future__ import annotations

import select
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

from sqlalchemy import URL

from tests.databases import free_port


class Cable(threading.Thread):
    """Passes on what comes on its port to a server and back. Pulled, it takes connections and what is sent, no more."""

    def __init__(self, server: URL) -> None:
        super().__init__(daemon=True)
        assert server.port is not None
        self._server = (server.host or "127.0.0.1", server.port)
        self.port = free_port()
        self.url = server.set(host="127.0.0.1", port=self.port)
        self._pulled = False
        self._over = threading.Event()
        self._ends: dict[socket.socket, socket.socket] = {}
        self._door = socket.create_server(("127.0.0.1", self.port))

    def pull(self) -> None:
        """From now on nothing arrives, either way."""
        self._pulled = True

    def plug(self) -> None:
        """What is connected from now on works; what was connected before stays dead, as after a long while."""
        for end in list(self._ends):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
        self._pulled = False

    def run(self) -> None:
        while not self._over.is_set():
            ready, _, _ = select.select([self._door, *self._ends], [], [], 0.02)
            for one in ready:
                if one is self._door:
                    self._connect()
                elif one in self._ends:
                    self._pass_on(one)

    def _connect(self) -> None:
        near, _ = self._door.accept()
        far = socket.create_connection(self._server)
        self._ends |= {near: far, far: near}

    def _pass_on(self, one: socket.socket) -> None:
        other = self._ends[one]
        with suppress(OSError):
            came = one.recv(65536)
            if came:
                if not self._pulled:
                    other.sendall(came)
                return
        if self._pulled and one.fileno() != -1:  # whoever hung up is not known to the other
            del self._ends[one]
            one.close()
            return
        for end in (one, other):
            self._ends.pop(end, None)
            end.close()

    def stop(self) -> None:
        """Let go of everything."""
        self._over.set()
        self.join()
        for end in [self._door, *self._ends]:
            end.close()


@contextmanager
def cable(server: URL) -> Iterator[Cable]:
    """A cable to a server, plugged in."""
    laid = Cable(server)
    laid.start()
    try:
        yield laid
    finally:
        laid.stop()
