"""How much more room on a rack would make the dates that it costs."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from finishing.plan.batches import Schedule, first_plan
from finishing.shop.plan.ask import Asked

Late = Mapping[str, int]
"""Days late by batch."""


@dataclass(frozen=True, slots=True)
class Room:
    """The least room in a place with which as many batches make their dates as with room for everything.

    more, pieces: what to add, and what it then is. late: what is late even so.
    """

    place: str
    more: int
    pieces: int
    late: Late


def more_room(
    asked: Asked, late: list[str], base: Late, counted: Callable[[Schedule], Late], placings: int
) -> Iterator[Room]:
    """Places where more room gains days for these late batches.

    base: days late as it is; counted: those of another plan. The least is found by halving, among first plans.
    """
    for place in dict.fromkeys(asked.items[code].job.place for code in late):
        if place not in asked.problem.racks:
            continue
        room = asked.problem.racks[place]
        most = room + sum(item.job.pieces for item in asked.items.values() if item.job.place == place)

        def tried(pieces: int, place: str = place) -> Late:
            changed = replace(asked.problem, racks={**asked.problem.racks, place: pieces})
            return counted(first_plan(changed, placings=placings))

        best = tried(most)
        if sum(best.values()) >= sum(base.values()):
            continue
        aim = _worth(best, late)
        low, high = room + 1, most
        while low < high:
            middle = (low + high) // 2
            found = tried(middle)
            if _worth(found, late) <= aim and sum(found.values()) < sum(base.values()):
                high, best = middle, found
            else:
                low = middle + 1
        yield Room(place, high - room, high, best)


def _worth(after: Late, late: list[str]) -> tuple[int, int]:
    """Dates missed of those late; where none is made by any room, the days."""
    missed = sum(after.get(code, 0) > 0 for code in late)
    return (missed, 0) if missed < len(late) else (missed, sum(after.values()))
