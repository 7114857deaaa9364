"""A solver running beside the thread that asked, so that whoever asked can go on whenever it is enough.

Solvers look up from their work when it suits them: between nodes, which in a large relaxation is seconds apart. One
that does not hear in a moment is left to itself, reminded until it ends, and its answer thrown away.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from threading import Thread
from typing import TypeVar

T = TypeVar("T")

POLL_S = 0.02
PATIENCE_S = 0.3


def beside(
    solve: Callable[[], T],
    end: Callable[[], object],
    enough: Callable[[], bool],
    meanwhile: Callable[[], None] = lambda: None,
) -> T | None:
    """What `solve` comes to; None where it was enough before and it did not end when asked to by `end`.

    meanwhile: called every few hundredths of a second, in the caller's thread, and once after the end.
    """
    pool = ThreadPoolExecutor(1, "plan")
    task = pool.submit(solve)
    pool.shutdown(wait=False)
    try:
        while not _over(task) and not enough():
            meanwhile()
        for _ in range(int(PATIENCE_S / POLL_S)):
            if _over(task):
                break
            end()  # again and again: a request goes unheard while the search is being set up
        meanwhile()
        return task.result() if task.done() else None
    finally:
        if not task.done():
            Thread(target=_remind, args=(task, end), name="plan ends", daemon=True).start()


def _over(task: Future[T]) -> bool:
    """Whether it has ended, or does in a moment."""
    return bool(wait([task], POLL_S).done)


def _remind(task: Future[T], end: Callable[[], object]) -> None:
    while not _over(task):
        end()
