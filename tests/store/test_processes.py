"""Several programs on one file lose nothing; one that is killed loses nothing it acknowledged."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from finishing.cure.work import StepEntry
from finishing.store import Store, check, entries, settings
from tests.store.several import TURNS

PROCESSES = 4
KILLS = 3


ROOT = Path(__file__).parents[2]


def start(task: str, store: Store, batch_id: int, processes: int = 1) -> subprocess.Popen[str]:
    """Begin `several.py` on the store's file."""
    arguments = [sys.executable, "-m", "tests.store.several", task, store.location.url, str(batch_id), str(processes)]
    errors = subprocess.PIPE if task == "append" else subprocess.DEVNULL
    return subprocess.Popen(arguments, cwd=ROOT, stdout=subprocess.PIPE, stderr=errors, text=True)


def test_four_processes_that_read_then_append_lose_nothing(store: Store, batch_id: int) -> None:
    running = start("append", store, batch_id, PROCESSES)
    _, said = running.communicate()
    assert (running.returncode, said) == (0, "")
    with store.read() as r:
        steps = [
            recorded.entry.step for recorded in entries.of_batch(r, batch_id) if isinstance(recorded.entry, StepEntry)
        ]
        assert steps == list(range(PROCESSES * TURNS))
        assert settings.all_settings(r)["counter"] == PROCESSES * TURNS


@pytest.mark.skipif(sys.platform == "win32", reason="needs a kill that can't be caught")
def test_a_killed_writer_loses_nothing_it_acknowledged(store: Store, batch_id: int, kind: str) -> None:
    acknowledged: list[int] = []
    for kill in range(KILLS):
        process = start("write", store, batch_id)
        assert process.stdout is not None
        for _ in range(1 + 8 * kill):
            acknowledged.append(int(process.stdout.readline()))
        process.kill()
        acknowledged += [int(line) for line in process.stdout.readlines() if line.endswith("\n")]
        assert process.wait() == -9
        process.stdout.close()
    with store.read() as r:
        kept = [recorded.entry.number for recorded in entries.of_batch(r, batch_id)]
    assert set(acknowledged) <= set(kept)
    # between its commit and its word a killed writer may have kept one more, never two
    assert len(kept) <= len(acknowledged) + KILLS
    if kind == "sqlite":
        assert check(store) == []
