"""Schedules with their finishes and woods, as they were when a batch began; many batches share one."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from sqlalchemy import select

from finishing.store.insert import CHUNK, insert_new
from finishing.store.tables import FROZEN
from finishing.store.work import Reader, Writer


def freeze(w: Writer, body: str) -> str:
    """Keep a text (canonical JSON, so that equal content gives equal text) and return its key, its SHA-256."""
    key = hashlib.sha256(body.encode()).hexdigest()
    insert_new(w.connection, FROZEN, [{"key": key, "body": body}])
    return key


def frozen_bodies(r: Reader, keys: Iterable[str]) -> dict[str, str]:
    """The texts of some keys; a key that isn't there is left out."""
    wanted = sorted(set(keys))
    found: dict[str, str] = {}
    for start in range(0, len(wanted), CHUNK):
        query = select(FROZEN.c.key, FROZEN.c.body).where(FROZEN.c.key.in_(wanted[start : start + CHUNK]))
        found.update((key, body) for key, body in r.connection.execute(query))
    return found
