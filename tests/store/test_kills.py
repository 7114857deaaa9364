"""A short form of the kill campaign; the long one is `python -m tests.store.campaign_kills`."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(sys.platform == "win32", reason="needs a kill that can't be caught")
def test_twelve_kills_lose_nothing() -> None:
    command = [sys.executable, "-m", "tests.store.campaign_kills", "--runs", "12", "--seed", "7"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, ""), done.stdout + done.stderr
    rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in done.stdout.splitlines()[2:]]
    assert [int(row[1]) for row in rows] == [2] * 6
    assert all(row[3] == row[6] == row[7] == "0" for row in rows)
