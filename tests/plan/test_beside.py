"""A search that runs beside its caller: ended when asked, left alone when it does not hear, its errors passed on."""

from __future__ import annotations

import threading
import time

import pytest

from finishing.plan.solver.beside import PATIENCE_S, beside


def test_what_it_comes_to_is_handed_on() -> None:
    turns = []
    assert beside(lambda: 42, lambda: None, lambda: False, lambda: turns.append(1)) == 42
    assert turns  # at least once after the end


def test_one_that_hears_ends_with_its_answer() -> None:
    asked = threading.Event()
    found = beside(lambda: asked.wait(30) and "the best so far", asked.set, lambda: True)
    assert found == "the best so far"


def test_one_that_does_not_hear_is_left_alone_and_reminded() -> None:
    """As a solver deep in a relaxation: the caller goes on, it is asked again until it ends."""
    times: list[float] = []
    over = threading.Event()

    def deaf() -> str:
        over.wait(30)
        return "too late"

    begun = time.monotonic()
    assert beside(deaf, lambda: times.append(time.monotonic()), lambda: True) is None
    took = time.monotonic() - begun
    before = len(times)
    time.sleep(0.1)
    assert took < PATIENCE_S + 2.0  # room for a busy machine
    assert len(times) > before
    over.set()


def test_its_error_reaches_the_caller() -> None:
    def fails() -> int:
        raise ValueError("refused")

    with pytest.raises(ValueError, match="refused"):
        beside(fails, lambda: None, lambda: False)


def test_an_error_of_the_caller_ends_it() -> None:
    asked = threading.Event()

    def meanwhile() -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        beside(lambda: asked.wait(30), asked.set, lambda: False, meanwhile)
    assert asked.wait(5)
