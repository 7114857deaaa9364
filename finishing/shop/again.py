"""Once more, when another bench wrote to the same batch at the same moment."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from finishing.shop.shop import Shop
from finishing.store import Conflict

TRIES = 10
"""How often an entry that met another bench's is tried before its maker is told."""

T = TypeVar("T")


def again(shop: Shop, act: Callable[[], T]) -> T:
    """Do it; once more, from a fresh look and with every check anew, if another bench wrote to the batch just then.

    Only for what says exactly what it is about: "the next step" would be another one after the other bench's.
    """
    for _ in range(TRIES - 1):
        try:
            return act()
        except Conflict:
            shop.forget()
    return act()
