"""What batches began with, thawed when they are looked at; each text once."""

from __future__ import annotations

from functools import lru_cache

from finishing.errors import StoreTrouble
from finishing.library import Frozen, thaw
from finishing.store.frozen import frozen_bodies
from finishing.store.work import Reader


def thaw_all(r: Reader, keys: set[str]) -> dict[str, Frozen]:
    """By key. StoreTrouble if one is missing from the record."""
    bodies = frozen_bodies(r, keys)
    missing = sorted(keys - set(bodies))
    if missing:
        raise StoreTrouble(f"the record lacks what a batch began with ({missing[0][:12]})", "restore a backup")
    return {key: thawed(body) for key, body in bodies.items()}


@lru_cache(maxsize=512)
def thawed(body: str) -> Frozen:
    """What a text holds."""
    return thaw(body)
