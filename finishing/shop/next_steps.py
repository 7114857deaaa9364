"""Which next steps come at another time since something changed for all batches, as the air."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.shop.shop import Shop
from finishing.shop.words import short_time

SHOWN = 3
"""So many are named."""

Opens = dict[str, float | None]
"""When the next step of each open batch can be counted on [hour], by code; None: no date."""


@dataclass(frozen=True, slots=True)
class Step:
    """A next step that comes at another time: its batch, when it can be counted on now, and when before [hours]."""

    code: str
    opens: float | None
    was: float | None


def opens(shop: Shop, now: float) -> Opens:
    """As of now."""
    steps = {code: standing.fold.next(now) for code, standing in shop.rack(now).standings.items()}
    return {code: step.opens for code, step in steps.items() if step is not None}


def moved(shop: Shop, before: Opens, now: float) -> tuple[Step, ...]:
    """Those that come at another minute than before."""
    return tuple(
        Step(code, hour, before[code])
        for code, hour in opens(shop, now).items()
        if code in before and _minute(before[code]) != _minute(hour)
    )


def _minute(hour: float | None) -> int | None:
    return None if hour is None else round(hour * 60.0)


def moved_words(steps: tuple[Step, ...], zone: str, now: float) -> str:
    """ "; B-1 now Tue 14:20, was 11:05", to go on a sentence with."""

    def when(hour: float | None) -> str:
        return "no date" if hour is None else short_time(hour, zone, now)

    said = [f"{s.code} now {when(s.opens)}, was {when(s.was)}" for s in steps if when(s.opens) != when(s.was)]
    if not said:
        return "; no next step moves"
    more = f" and {len(said) - SHOWN} more" if len(said) > SHOWN else ""
    return f"; {'; '.join(said[:SHOWN])}{more}"
