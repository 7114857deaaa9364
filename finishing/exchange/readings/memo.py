"""A dictionary that works out what it lacks and forgets everything when it is full."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")

MOST = 100_000
"""More entries than a day has seconds, so an ordinary log never fills it."""

LONGEST = 64
"""Longer texts are not kept, so that a hostile file cannot fill the memory."""


class Memo(dict[str, T]):
    """Text to its parsed value. Lookups of known text cost one dictionary access: what makes a log fast to read."""

    def __init__(self, parse: Callable[[str], T]) -> None:
        super().__init__()
        self._parse = parse

    def __missing__(self, text: str) -> T:
        if len(text) > LONGEST:
            return self._parse(text)
        if len(self) >= MOST:
            self.clear()
        value = self[text] = self._parse(text)
        return value
