"""What batches began with, thawed when they are looked at; each text once."""

from __future__ import annotations

from functools import lru_cache

from finishing.errors import StoreTrouble
from finishing.library import Frozen, thaw
from finishing.store.frozen import frozen_bodies
from finishing.store.work import Reader

MOST = 512

_KNOWN: dict[str, Frozen] = {}
"""By key, which is the hash of the text: whatever database has it, it is the same."""


def thaw_all(r: Reader, keys: set[str]) -> dict[str, Frozen]:
    """By key. StoreTrouble if one is missing from the record."""
    new = keys - _KNOWN.keys()
    bodies = frozen_bodies(r, new) if new else {}
    missing = sorted(new - set(bodies))
    if missing:
        raise StoreTrouble(f"the record lacks what a batch began with ({missing[0][:12]})", "restore a backup")
    found = {key: _KNOWN[key] for key in keys - new} | {key: thaw(body) for key, body in bodies.items()}
    if len(_KNOWN) + len(new) > MOST:
        _KNOWN.clear()
    _KNOWN.update(found)
    return found


@lru_cache(maxsize=MOST)
def thawed(body: str) -> Frozen:
    """What a text holds."""
    return thaw(body)
