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
KILLS = 10


def start(task: str, store: Store, batch_id: int) -> subprocess.Popen[str]:
    """Begin `several.py` on the store's file."""
    script = Path(__file__).with_name("several.py")
    arguments = [sys.executable, str(script), task, store.location.url, str(batch_id)]
    errors = subprocess.PIPE if task == "append" else subprocess.DEVNULL
    return subprocess.Popen(arguments, stdout=subprocess.PIPE, stderr=errors, text=True)


def test_four_processes_that_read_then_append_lose_nothing(store: Store, batch_id: int) -> None:
    running = [start("append", store, batch_id) for _ in range(PROCESSES)]
    said = [process.communicate() for process in running]
    assert [(process.returncode, err) for process, (_, err) in zip(running, said, strict=True)] == [(0, "")] * PROCESSES
    with store.read() as r:
        steps = [
            recorded.entry.step for recorded in entries.of_batch(r, batch_id) if isinstance(recorded.entry, StepEntry)
        ]
        assert steps == list(range(PROCESSES * TURNS))
        assert settings.all_settings(r)["counter"] == PROCESSES * TURNS


@pytest.mark.skipif(sys.platform == "win32", reason="needs a kill that can't be caught")
def test_a_killed_writer_loses_nothing_it_acknowledged(store: Store, batch_id: int, kind: str) -> None:
    acknowledged: list[int] = []
    kills = KILLS if kind == "sqlite" else 3  # a server does not die with its client
    for kill in range(kills):
        process = start("write", store, batch_id)
        assert process.stdout is not None
        for _ in range(1 + 3 * kill):
            acknowledged.append(int(process.stdout.readline()))
        process.kill()
        acknowledged += [int(line) for line in process.stdout.readlines() if line.endswith("\n")]
        assert process.wait() == -9
        process.stdout.close()
    with store.read() as r:
        kept = [recorded.entry.number for recorded in entries.of_batch(r, batch_id)]
    assert set(acknowledged) <= set(kept)
    # between its commit and its word a killed writer may have kept one more, never two
    assert len(kept) <= len(acknowledged) + kills
    if kind == "sqlite":
        assert check(store) == []
