"""Whole processes against a floor in the same run: wall time, CPU time and peak memory, the best of several."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Cost:
    """What one process took: seconds of wall and CPU time, peak memory in MiB."""

    wall: float
    cpu: float
    memory: float


def run(arguments: Sequence[str], environ: Mapping[str, str]) -> Cost:
    """Run a Python process to its end and say what it took. RuntimeError if it fails."""
    begun = time.perf_counter()
    process = subprocess.Popen([sys.executable, *arguments], stdout=subprocess.DEVNULL, env={**os.environ, **environ})
    _, status, used = os.wait4(process.pid, 0)
    wall = time.perf_counter() - begun
    if status != 0:
        raise RuntimeError(f"{arguments} ended with {status}")
    return Cost(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def compare(name: str, ours: Sequence[str], floor: Sequence[str], environ: Mapping[str, str], times: int = 24) -> None:
    """Print the ratios of our process to the floor, taking turns, each at its best.

    Many turns, as a shared machine stalls a process now and then.
    """
    rows = [(run(ours, environ), run(floor, environ)) for _ in range(times + 1)][1:]
    best = [Cost(*(min(getattr(pair[i], key) for pair in rows) for key in ("wall", "cpu", "memory"))) for i in (0, 1)]
    mine, base = best
    print(f"{name}: wall {mine.wall:.2f} / {base.wall:.2f} s = {mine.wall / base.wall:.2f}")
    print(f"{name}: CPU {mine.cpu:.2f} / {base.cpu:.2f} s = {mine.cpu / base.cpu:.2f}")
    print(f"{name}: memory {mine.memory:.0f} / {base.memory:.0f} MiB = {mine.memory / base.memory:.2f}")
