"""What is asked of a comparison of schedules, and what comes of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from finishing.cure.cautions import Caution
from finishing.cure.terms import Release
from finishing.cure.work import Size


class Wish(StrEnum):
    """What the maker wants most."""

    SOONEST = "soonest"
    HANDS_ON = "hands-on"
    CHEAPEST = "cheapest"
    TOUGHEST = "toughest"


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked: pieces of some woods and size, where they dry ("": the usual place), by when [hour], and the wish.

    schedules: by name; () for all there are. busy: around the work already planned. instead: code of the batch that is
    asked about, which then is not planned beside itself; "" for one that does not exist.
    """

    schedules: tuple[str, ...]
    pieces: int
    woods: tuple[tuple[str, float], ...]
    size: Size | None = None
    by: float | None = None
    place: str = ""
    wish: Wish = Wish.SOONEST
    busy: bool = True
    instead: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """One schedule's answer. Hours since the epoch; None for no date, or not known.

    used_ml: by finish title. cost: of the finish, None where an amount or a price is not known. labour: at the hourly
    rate. begins: the first work. latest: the latest start that still makes the date; None: none does, or no date asked.
    limits: what must not be done before when. stopped: why no date is given. parts: pieces of each batch that it is
    planned as, where a coat of all of them fits into none of the hours or not on the rack; else (). parts_fit: which.
    """

    schedule: str
    title: str
    coats: int
    minutes: float
    sessions: int
    used_ml: Mapping[str, float]
    cost: float | None
    labour: float | None
    begins: float | None
    released: Mapping[Release, float | None]
    latest: float | None
    makes_it: bool | None
    protection: int
    upkeep: int
    reoil_months: float | None
    cautions: tuple[Caution, ...]
    limits: tuple[str, ...]
    stopped: str = ""
    parts: tuple[int, ...] = ()
    parts_fit: str = ""

    @property
    def money(self) -> float | None:
        """What finishing all pieces costs, as far as it is known; None if nothing of it is."""
        known = [part for part in (self.cost, self.labour) if part is not None]
        return sum(known) if known else None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every schedule asked for, the best by the wish first. rate, currency: the maker's. notes: what it rests on."""

    wanted: Wanted
    now: float
    zone: str
    place: str
    level: float
    rate: float | None
    currency: str
    woods: tuple[str, ...]
    columns: tuple[Column, ...]
    notes: tuple[str, ...] = field(default=())
