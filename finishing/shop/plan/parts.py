"""A batch planned as if it were split: a coat that takes longer than any of the hours goes on in several sessions, and
so does one on more pieces than the rack has room for.

The record has coats of whole batches, so that each part becomes a batch of its own before it is coated: the codes here
are those that `finishing batch split` will give, and a plan kept before holds after it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from finishing.cure.work import CoatEntry, Entry
from finishing.plan.batches import NEVER, Grid, Job
from finishing.shop.split import next_part


@dataclass(frozen=True, slots=True)
class Parts:
    """A batch that is planned in parts. codes, pieces: of each, the first of which keeps the code.

    minutes: what its longest coat takes on all pieces at once, 0 where that fits into the hours. longest: minutes of
    the longest working hours. room: pieces that the rack in its place holds, where they are more than those; else 0.
    """

    codes: tuple[str, ...]
    pieces: tuple[int, ...]
    minutes: float
    longest: float
    place: str = ""
    room: int = 0

    @property
    def code(self) -> str:
        """Of the batch on record."""
        return self.codes[0]

    def part(self, code: str) -> tuple[str, int]:
        """Code and pieces of the part to split off for a code of it: for the batch's own the next one."""
        return next((c, n) for c, n in zip(self.codes[1:], self.pieces[1:], strict=True) if code in (c, self.code))

    @property
    def commands(self) -> tuple[str, ...]:
        """What splits it so."""
        return tuple(f"finishing batch split {self.code} {pieces}" for pieces in self.pieces[1:])


def too_long(job: Job, grid: Grid) -> float:
    """Minutes of its longest coat, if that fits into none of the hours; else 0."""
    found = 0.0
    for task in job.tasks:
        if task.coat is None and task.session is None:
            continue
        shut = task.shut_at < NEVER and task.earliest + task.slots > task.shut_at
        if task.takes(shut) > grid.longest:
            found = max(found, task.works(shut))
    return found


def scarce_room(job: Job, racks: Mapping[str, int]) -> int:
    """Pieces for which there is room where its coats dry, if it has more; else 0."""
    room = racks.get(job.place)
    lies = any(task.handled is not None for task in job.tasks)
    return room if room is not None and lies and job.pieces > room else 0


def fitting(pieces: int, job: Callable[[int], Job], grid: Grid, racks: Mapping[str, int]) -> tuple[int, ...]:
    """The fewest parts, as even as can be, whose every coat fits into the hours and on the rack; all pieces where none
    would.

    job: the work of so many pieces.
    """
    whole = job(pieces)
    minutes, room = too_long(whole, grid), scarce_room(whole, racks)
    if not (minutes or room) or not grid.longest:
        return (pieces,)
    fewest = max(int(minutes * grid.per_hour / 60.0 / grid.longest), -(-pieces // room) if room else 0, 2)
    for parts in range(fewest, pieces + 1):
        share, more = divmod(pieces, parts)
        if not too_long(job(share + (more > 0)), grid):
            return tuple(share + (n < more) for n in range(parts))
    return (pieces,)


def part_codes(code: str, parts: int, taken: Sequence[str]) -> tuple[str, ...]:
    """The codes of so many parts: the batch's own, and those that splitting it would give."""
    found = [code]
    while len(found) < parts:
        found.append(next_part(code, [*taken, *found]))
    return tuple(found)


def history(entries: Sequence[Entry], share: float) -> list[Entry]:
    """A record as a part takes it along: its share of the finish."""
    return [
        replace(e, amount_ml=e.amount_ml * share) if isinstance(e, CoatEntry) and e.amount_ml is not None else e
        for e in entries
    ]
