"""What holds for every test: a home of its own, UTC, and none of the settings of whoever runs it."""

from __future__ import annotations

import os
import time
from itertools import count
from pathlib import Path

import pytest
from hypothesis import settings

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


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say in one line what was left out for want of a server, which a quiet run would not."""
    skipped = [r for r in terminalreporter.stats.get("skipped", []) if NONE in str(r.longrepr)]
    if skipped:
        terminalreporter.write_line(f"{len(skipped)} tests skipped: {NONE}")
