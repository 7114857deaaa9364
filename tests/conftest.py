"""What holds for every test: a home of its own, UTC, and none of the settings of whoever runs it."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from finishing.store import engine
from tests.databases import NONE

# Textual reads this when it is first imported.
os.environ["TEXTUAL_ANIMATIONS"] = "none"

# No deadline: a shared or slow machine is no failure.
settings.register_profile("finishing", deadline=None, max_examples=40, print_blob=True)
settings.load_profile("finishing")

LEFT_ALONE_OTHERWISE = ("NO_COLOR", "FORCE_COLOR", "CLICOLOR", "CLICOLOR_FORCE", "COLUMNS", "LINES", "COLORTERM")


_NUMBERS = count(1)


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Point the program's home at a folder nobody made yet, and clear what would otherwise leak in from outside."""
    for name in [n for n in os.environ if n.startswith("FINISHING_")]:
        monkeypatch.delenv(name)
    for name in LEFT_ALONE_OTHERWISE:
        monkeypatch.delenv(name, raising=False)
    # Not the test's own tmp_path: most tests touch no file, and making a folder for each takes longer than they do.
    home = tmp_path_factory.getbasetemp() / f"home-{next(_NUMBERS)}"
    monkeypatch.setenv("FINISHING_HOME", str(home))
    monkeypatch.setenv("TZ", "UTC")
    if hasattr(time, "tzset"):
        time.tzset()
    return home


@pytest.fixture(scope="module")
def hasty() -> Iterator[None]:
    """Don't wait for the disk at each commit: that entries are on it is what the store's own tests are about.

    A module at a time, for a process may go on with the store's own tests after these.
    """
    prepare = engine._prepare

    def prepare_hastily(below: Any, record: Any) -> None:
        prepare(below, record)
        below.execute("PRAGMA synchronous = OFF")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "_prepare", prepare_hastily)
        yield


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say in one line what was left out for want of a server, which a quiet run would not."""
    skipped = [r for r in terminalreporter.stats.get("skipped", []) if NONE in str(r.longrepr)]
    if skipped:
        terminalreporter.write_line(f"{len(skipped)} tests skipped: {NONE}")
