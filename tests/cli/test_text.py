"""Lines on a terminal are broken between words; elsewhere, as in a pipe, they stay whole."""

from __future__ import annotations

import os
import sys

import pytest

from finishing.cli import text

LONG = "! T-1: " + "oily rags heat up and catch fire by themselves, often within hours; " * 3 + "till stiff."


@pytest.mark.parametrize("columns", [40, 80, 120])
def test_a_long_line_on_a_terminal(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(text.shutil, "get_terminal_size", lambda: os.terminal_size((columns, 24)))
    text.say(LONG)
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 1
    assert all(len(line) <= columns for line in lines)
    assert all(line.startswith("  ") for line in lines[1:])
    assert " ".join(" ".join(lines).split()) == LONG
    text.say("short  as it  is")
    text.say(f"  {'x' * 150}")
    assert capsys.readouterr().out.splitlines()[0] == "short  as it  is"


def test_in_a_pipe_it_stays_whole(capsys: pytest.CaptureFixture[str]) -> None:
    text.say(LONG)
    assert capsys.readouterr().out == f"{LONG}\n"


def test_the_last_column_of_a_table_is_broken_within_itself(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(text.shutil, "get_terminal_size", lambda: os.terminal_size((40, 24)))
    text.table([("O-09", "coat 2", "open, shuts Fri 00:20 (1 h 09 left)"), ("B-1", "rest", "open")], ("NOW", "", ""))
    assert capsys.readouterr().out.splitlines() == [
        "NOW",
        "O-09  coat 2  open, shuts Fri 00:20 (1 h",
        "              09 left)",
        "B-1   rest    open",
    ]
