"""How far an import has come, shown only to who watches."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from finishing.cli.progress import watched

from .conftest import Command


class Terminal(io.StringIO):
    """Standard error at a terminal."""

    def isatty(self) -> bool:
        """It is one."""
        return True


def test_at_a_terminal_it_is_told_and_wiped_away(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", screen := Terminal())
    with watched("reading") as heard:
        assert heard is not None
        heard(1, 4)
        heard(4, 4)
    assert screen.getvalue() == "\rreading  25% \rreading 100% \r\x1b[K"


def test_elsewhere_nothing_is_written(shop: Command, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text("time,temperature (C)\n2026-03-01 10:00,20\n")
    assert "1 reading added" in shop.ok("readings", "import", str(path), "--place", "loft")


def test_an_interrupted_work_leaves_a_clear_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", screen := Terminal())
    with pytest.raises(KeyboardInterrupt), watched("adding"):
        raise KeyboardInterrupt
    assert screen.getvalue().endswith("\r\x1b[K")
