"""Pins as they stand among the settings, and what becomes of them when a batch is split; see `kept` for their use.

Apart from the planner, so that recording needs none of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishing.store import settings as stored
from finishing.store.work import Writer

PINS = "plan_pins"

PARTS = "plan_pins_parts"
"""Pieces of each part that was pinned before it was split off, by the code it is to get."""


def hand_over(w: Writer, code: str, pieces: int, now: float) -> bool:
    """What was pinned of a part goes to the batch that is split off under its code, if that has as many pieces.

    Whether it doesn't, so that its pins are dropped: those of other pieces are nothing to go by.
    """
    found = stored.all_settings(w)
    parts, known = dict(found.get(PARTS) or {}), dict(found.get(PINS) or {})
    if code not in known:
        return False
    fits = parts.pop(code, None) == pieces
    if not fits:
        del known[code]
    put_pins(w, known, parts, now)
    return not fits


def put_pins(w: Writer, pinned: Mapping[str, Mapping[Any, float]], parts: Mapping[str, int], now: float) -> None:
    """Set them all: hours by code and position of the step, and pieces of the parts among them."""
    stored.put(w, PINS, {c: {str(p): h for p, h in r.items()} for c, r in pinned.items()}, now)
    stored.put(w, PARTS, dict(parts), now)
