"""Several processes at once that import what they need only once: each is a fork of one that has."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Callable, Iterable


def at_once(jobs: Iterable[Callable[[], None]]) -> None:
    """Do each job in a process of its own, all at once, and wait. Ends with exit code 1 if one fails."""
    children = [_begin(job) for job in jobs]
    failed = [child for child in children if os.waitpid(child, 0)[1] != 0]
    if failed:
        sys.exit(1)


def _begin(job: Callable[[], None]) -> int:
    child = os.fork()
    if child:
        return child
    code = 1
    try:
        job()
        code = 0
    finally:
        if code:
            traceback.print_exc()
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)
