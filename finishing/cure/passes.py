"""How many pieces can be coated before the first must be wiped."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.cure.finish import WipeWindow, between


@dataclass(frozen=True, slots=True)
class Pass:
    """One pass: pieces in it, minutes to wait between coating the last and wiping the first, whole length."""

    pieces: int
    wait_minutes: float
    minutes: float


def longest_dwell(pieces: int, apply_minutes: float, wipe_minutes: float, from_minutes: float) -> float:
    """The longest any piece of a pass of n sits wet [min], its coating time not counted.

    Pieces are wiped in the order they were coated. Piece i is coated at the end of i·a and wiped beginning at
    n·a + wait + (i-1)·w, so dwell runs linearly over the pass between (n-1)·a + wait and (n-1)·w + wait.
    """
    shortest = (pieces - 1) * min(apply_minutes, wipe_minutes)
    wait = max(0.0, from_minutes - shortest)
    return (pieces - 1) * max(apply_minutes, wipe_minutes) + wait


def pass_size(
    pieces: int,
    apply_minutes: float,
    wipe_minutes: float,
    window: WipeWindow | None,
    *,
    pot_life_hours: float | None = None,
) -> Pass:
    """The largest pass whose longest dwell stays inside the wipe window, and within the pot life if there is one.

    With no wipe window only the pot life bounds it. At least one piece: if even one cannot be wiped in time it
    is still coated alone.
    """
    between("pieces", pieces, 1, 100_000, "1 to 100,000 pieces")
    between("apply_minutes", apply_minutes, 0.0, 24 * 60, "0 to 1,440 minutes")
    between("wipe_minutes", wipe_minutes, 0.0, 24 * 60, "0 to 1,440 minutes")
    size = pieces
    if pot_life_hours is not None and apply_minutes > 0:
        size = min(size, int(pot_life_hours * 60.0 / apply_minutes + 1e-9))
    if window is None:
        size = max(size, 1)
        return Pass(size, 0.0, size * apply_minutes)
    while size > 1 and longest_dwell(size, apply_minutes, wipe_minutes, window.from_minutes) > window.to_minutes:
        size -= 1
    size = max(size, 1)
    wait = max(0.0, window.from_minutes - (size - 1) * min(apply_minutes, wipe_minutes))
    return Pass(size, wait, size * (apply_minutes + wipe_minutes) + wait)
