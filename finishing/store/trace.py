"""Following finish both ways: which coats came from some cans, where their batches are, and the air they dried in.

The statements are made once, as making one costs more than most of them take to run.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import BindParameter, bindparam, func, select

from finishing.clock import SECONDS, hour_of
from finishing.cure.work import Entry
from finishing.store import cans
from finishing.store.cans import CanRow
from finishing.store.kinds import MOVE, RELEASE, VOID, Columns, entry_of
from finishing.store.tables import BATCH, BATCH_WOOD, CAN, ENTRY, FROZEN, PLACE, READING
from finishing.store.types import maybe_hour
from finishing.store.work import Reader


@dataclass(frozen=True, slots=True)
class CanCoat:
    """A standing coat that came from a can: entry's number, hour, position in the schedule, amount [mL], who."""

    can: int
    number: int
    at: float
    step: int
    amount_ml: float | None
    maker: str


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where a batch is now, by its record: the place, what it was released for and when, closed at an hour."""

    place: str
    held: bool
    closed_at: float | None
    released: dict[str, float] = field(default_factory=dict)

    @property
    def state(self) -> str:
        """closed, released or on_rack."""
        return "closed" if self.closed_at is not None else "released" if self.released else "on_rack"


@dataclass(frozen=True, slots=True)
class Reached:
    """A batch that some cans went on: what it is, where it is, and the coats, in order of entry."""

    code: str
    what: str
    pieces: int
    where: Whereabouts
    coats: tuple[CanCoat, ...]


@dataclass(frozen=True, slots=True)
class Written:
    """An entry as it was written down: when [hour], by whom, and for a coat from which can and lot."""

    entry: Entry
    recorded_at: float
    maker: str
    can: int | None
    lot: str


@dataclass(frozen=True, slots=True)
class BatchKept:
    """A batch as kept, with what it began with (`frozen`), its woods and shares, and its whole record."""

    code: str
    what: str
    pieces: int
    schedule: str
    frozen: str
    place: str
    created_at: float
    closed_at: float | None
    held: bool
    woods: tuple[tuple[str, float], ...]
    record: tuple[Written, ...]


@dataclass(frozen=True, slots=True)
class AirRead:
    """Readings over a stretch: how many, and low, mean and high of °C and of % RH; None where nothing was read."""

    readings: int
    temperature_c: tuple[float, float, float] | None
    humidity_pct: tuple[float, float, float] | None


_LOT = select(CAN).where(CAN.c.lot == bindparam("lot")).order_by(CAN.c.id)
_LOT_ALIKE = select(CAN).where(func.lower(CAN.c.lot) == bindparam("lot"), CAN.c.lot != "").order_by(CAN.c.id)
_CAN = select(CAN).where(CAN.c.id == bindparam("number"))


def of_lot(r: Reader, lot: str, *, alike: bool = False) -> tuple[CanRow, ...]:
    """The cans of a lot as spelt; alike: in whatever case."""
    query, asked = (_LOT_ALIKE, lot.lower()) if alike else (_LOT, lot)
    return tuple(cans.row_of(row) for row in r.connection.execute(query, {"lot": asked}))


def of_number(r: Reader, number: int) -> tuple[CanRow, ...]:
    """The can of a number, if there is one."""
    return tuple(cans.row_of(row) for row in r.connection.execute(_CAN, {"number": number}))


def lots(r: Reader) -> list[str]:
    """Every lot there is, to offer the nearest."""
    return list(r.connection.scalars(select(CAN.c.lot).where(CAN.c.lot != "").distinct()))


_CANS: BindParameter[Sequence[int]] = bindparam("cans", expanding=True)
_REACHED = select(ENTRY.c.batch_id).where(ENTRY.c.can_id.in_(_CANS))
# Only a coat has a can. Asked for by its kind as well, SQLite would go through all coats there are.
_COATS = (
    select(ENTRY.c.batch_id, ENTRY.c.can_id, ENTRY.c.id, ENTRY.c.at, ENTRY.c.step, ENTRY.c.amount_ml, ENTRY.c.maker)
    .where(ENTRY.c.can_id.in_(_CANS))
    .order_by(ENTRY.c.id)
)
_BATCHES = (
    select(BATCH.c.id, BATCH.c.code, BATCH.c.what, BATCH.c.pieces, BATCH.c.held, BATCH.c.closed_at, PLACE.c.name)
    .join(PLACE, PLACE.c.id == BATCH.c.place_id)
    .where(BATCH.c.id.in_(_REACHED))
    .order_by(BATCH.c.id)
)
_SINCE = (
    select(ENTRY.c.batch_id, ENTRY.c.id, ENTRY.c.kind, ENTRY.c.at, ENTRY.c.body, ENTRY.c.voids)
    .where(ENTRY.c.kind.in_((VOID, MOVE, RELEASE)), ENTRY.c.batch_id.in_(_REACHED))
    .order_by(ENTRY.c.id.desc())
)


def reached(r: Reader, cans: Sequence[int]) -> tuple[Reached, ...]:
    """Every batch with a standing coat from one of these cans, in the order they were begun."""
    asked, connection = {"cans": list(cans)}, r.connection
    dead: set[int] = set()
    turns: defaultdict[int, list[tuple[float, int, str, str]]] = defaultdict(list)
    for batch_id, number, kind, at, body, voids in connection.execute(_SINCE, asked):
        if number in dead:
            continue
        if kind == VOID:  # read from the last: a void may itself be voided
            dead.add(voids)
        else:
            word = body["place"] if kind == MOVE else body["release"]
            turns[batch_id].append((hour_of(at), number, kind, word))
    coats: defaultdict[int, list[CanCoat]] = defaultdict(list)
    for batch_id, can, number, at, step, amount, maker in connection.execute(_COATS, asked):
        if number not in dead:
            coats[batch_id].append(CanCoat(can, number, hour_of(at), step, amount, maker))
    return tuple(
        Reached(code, what, pieces, _where(place, held, maybe_hour(closed), turns[key]), tuple(coats[key]))
        for key, code, what, pieces, held, closed, place in connection.execute(_BATCHES, asked)
        if key in coats
    )


def _where(place: str, held: bool, closed: float | None, turns: list[tuple[float, int, str, str]]) -> Whereabouts:
    moves, released = [], {}
    for at, _, kind, word in sorted(turns):
        if kind == MOVE:
            moves.append(word)
        else:
            released[word] = at
    return Whereabouts(moves[-1] if moves else place, held, closed, released)


_BATCH = (
    select(
        BATCH.c.id, BATCH.c.code, BATCH.c.what, BATCH.c.pieces, BATCH.c.schedule, FROZEN.c.body, PLACE.c.name,
        BATCH.c.created_at, BATCH.c.closed_at, BATCH.c.held,
    )
    .join(PLACE, PLACE.c.id == BATCH.c.place_id)
    .join(FROZEN, FROZEN.c.key == BATCH.c.frozen_key)
    .where(BATCH.c.code == bindparam("code"))
)  # fmt: skip
_WOODS = (
    select(BATCH_WOOD.c.species, BATCH_WOOD.c.share)
    .where(BATCH_WOOD.c.batch_id == bindparam("batch"))
    .order_by(BATCH_WOOD.c.position)
)
_RECORD = (
    select(
        ENTRY.c.id, ENTRY.c.kind, ENTRY.c.at, ENTRY.c.recorded_at, ENTRY.c.step, ENTRY.c.body, ENTRY.c.voids,
        ENTRY.c.maker, ENTRY.c.can_id, ENTRY.c.amount_ml, CAN.c.lot,
    )
    .outerjoin(CAN, CAN.c.id == ENTRY.c.can_id)
    .where(ENTRY.c.batch_id == bindparam("batch"))
    .order_by(ENTRY.c.id)
)  # fmt: skip


def batch_kept(r: Reader, code: str) -> BatchKept | None:
    """A batch by its code, if there is one."""
    connection = r.connection
    found = connection.execute(_BATCH, {"code": code}).one_or_none()
    if found is None:
        return None
    key, code, what, pieces, schedule, body, place, created, closed, held = found
    woods = tuple((species, share) for species, share in connection.execute(_WOODS, {"batch": key}))
    record = tuple(_written(row) for row in connection.execute(_RECORD, {"batch": key}))
    return BatchKept(
        code, what, pieces, schedule, body, place, hour_of(created), maybe_hour(closed), held, woods, record
    )


def _written(row: Any) -> Written:
    number, kind, at, recorded_at, step, body, voids, maker, can, amount, lot = row
    entry = entry_of(number, hour_of(at), Columns(kind, body, step, voids, amount))
    return Written(entry, hour_of(recorded_at), maker, can, lot or "")


_READ = READING.c
_AT_PLACE = _READ.place_id == select(PLACE.c.id).where(PLACE.c.name == bindparam("place")).scalar_subquery()
_BETWEEN = select(
    func.count(),
    *(f(c) for c in (_READ.temperature_c, _READ.humidity_pct) for f in (func.min, func.sum, func.max)),
    func.count(_READ.humidity_pct),
).where(_AT_PLACE, _READ.at.between(bindparam("start"), bindparam("end")))
_NEAREST = (
    select(_READ.temperature_c, _READ.humidity_pct)
    .where(_AT_PLACE, _READ.at.between(bindparam("start"), bindparam("end")))
    .order_by(func.abs(_READ.at - bindparam("at")))
    .limit(1)
)


def air_near(r: Reader, place: str, hour: float, within: float) -> tuple[float, float | None] | None:
    """°C and % RH of the reading nearest to an hour, no further off than `within` hours; None without one."""
    at = round(hour * SECONDS)
    asked = {"place": place, "at": at, "start": at - round(within * SECONDS), "end": at + round(within * SECONDS)}
    found = r.connection.execute(_NEAREST, asked).one_or_none()
    return None if found is None else (found[0], found[1])


def air_over(r: Reader, legs: Sequence[tuple[str, float, float]]) -> AirRead:
    """What was read while a batch stood at places: (name, from, until) [hours], one after the other."""
    rows = []
    for place, start, end in legs:
        asked = {"place": place, "start": round(start * SECONDS), "end": round(end * SECONDS)}
        rows.append(r.connection.execute(_BETWEEN, asked).one())
    known = [(n, *row) for n, *row in rows if n]
    damp = [row for row in known if row[7]]
    temperature = [(row[1], row[2], row[3]) for row in known]
    humidity = [(row[4], row[5], row[6]) for row in damp]
    return AirRead(
        sum(row[0] for row in known),
        _spread(temperature, sum(row[0] for row in known)),
        _spread(humidity, sum(row[7] for row in damp)),
    )


def _spread(parts: list[tuple[float, float, float]], count: int) -> tuple[float, float, float] | None:
    """Low, mean and high of stretches given as low, sum and high."""
    if not parts:
        return None
    return min(p[0] for p in parts), sum(p[1] for p in parts) / count, max(p[2] for p in parts)
