"""The program in a real terminal, by tmux: keys go in as a keyboard's would, and what shows is read off the screen."""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

TMUX = shutil.which("tmux")

SECONDS = 20.0
"""How long anything may take to show, where a test asks for no less."""


class Terminal:
    """One terminal, with a tmux server of its own."""

    def __init__(self, folder: Path, name: str) -> None:
        self._socket = str(folder / f"{name}.tmux")
        self.name = name

    def _tmux(self, *words: str) -> str:
        assert TMUX is not None
        return subprocess.run([TMUX, "-S", self._socket, *words], check=True, capture_output=True, text=True).stdout

    def start(self, size: tuple[int, int], environ: dict[str, str]) -> None:
        """Run the program in it."""
        given = shlex.join(f"{name}={value}" for name, value in environ.items())
        # The terminal's own size, and not what the tests' own environment says of another.
        command = f"env -u COLUMNS -u LINES {given} {shlex.quote(sys.executable)} -m finishing"
        width, height = (str(n) for n in size)
        self._tmux("-f", os.devnull, "new-session", "-d", "-x", width, "-y", height, "-s", "it", command)

    def stop(self) -> None:
        """End the program and the terminal."""
        self._tmux("kill-server")

    def keys(self, *keys: str) -> None:
        """Press keys, by tmux's names."""
        self._tmux("send-keys", "-t", "it", *keys)

    def text(self) -> str:
        """What shows."""
        return self._tmux("capture-pane", "-p", "-t", "it")

    def line(self, words: str) -> str:
        """The first line that some words stand on; "" if none."""
        return next((line for line in self.text().splitlines() if words in line), "")

    def shows(self, *words: str, within: float = SECONDS) -> None:
        """Wait until all of these show."""
        self._until(lambda: all(word in self.text() for word in words), words, within)

    def stands(self, lines: dict[str, str], within: float = SECONDS) -> None:
        """Wait until each of these words stands on the line of another."""
        self._until(lambda: all(words in self.line(where) for where, words in lines.items()), lines, within)

    def _until(self, holds: Callable[[], bool], what: object, within: float) -> None:
        end = time.monotonic() + within
        while not holds():
            assert time.monotonic() < end, f"{self.name} does not show {what}:\n{self.text()}"
            time.sleep(0.05)


@contextmanager
def terminal(folder: Path, name: str, size: tuple[int, int] = (120, 36), **environ: str) -> Iterator[Terminal]:
    """The program in a terminal of its own, ended afterwards."""
    opened = Terminal(folder, name)
    opened.start(size, environ)
    try:
        yield opened
    finally:
        opened.stop()
