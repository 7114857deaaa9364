"""The server: each browser gets the screens as a process of its own, as a terminal would."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path
from typing import Any

from aiohttp import web
from textual_serve.server import Server

from finishing.screens.web.door import Door

LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})


class BenchServer(Server):
    """Serves the terminal UI; pages and scripts come from this machine alone."""

    def __init__(self, host: str, port: int, *, words: str = "", public_url: str | None = None) -> None:
        command = shlex.join([sys.executable, "-m", "finishing"])
        folder = Path(__file__).parent / "templates"
        super().__init__(command, host, port, title="finishing", public_url=public_url, templates_path=folder)
        self.public_url = self.public_url.rstrip("/")
        self._relative = public_url is None
        hosts = LOOPBACK if host in LOOPBACK and public_url is None else frozenset[str]()
        self._door = Door(hosts, words, public_url or "")

    def initialize_logging(self) -> None:
        """Nothing is logged but what goes wrong."""

    async def on_startup(self, app: web.Application) -> None:
        """Say nothing: the command has said where to look."""

    async def _make_app(self) -> web.Application:
        app = await super()._make_app()
        app.middlewares.append(self._door.middleware)
        return app

    async def handle_index(self, request: web.Request) -> Any:
        """The page, its addresses those that the browser asked by, whatever name this machine has for it."""
        if self._relative:
            self.public_url = f"{request.scheme}://{request.host}"
        return await super().handle_index(request)
