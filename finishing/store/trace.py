"""Following finish both ways: which coats came from some cans, where their batches are, and the air they dried in.

The statements are made once, as making one costs more than most of them take to run.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any, NamedTuple

from sqlalchemy import Select, bindparam, func, literal, select, union_all

from finishing.clock import SECONDS, hour_of
from finishing.cure.work import Entry
from finishing.store import cans
from finishing.store.cans import CanRow
from finishing.store.kinds import MOVE, RELEASE, VOID, Columns, entry_of
from finishing.store.tables import BATCH, BATCH_WOOD, CAN, ENTRY, FROZEN, PLACE, READING
from finishing.store.types import maybe_hour
from finishing.store.work import Reader


class CanCoat(NamedTuple):
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


def _statements(cans_meant: Any) -> tuple[Select[Any], Select[Any]]:
    """Coats of some cans with their batches, and what was written of those batches that may change where they are."""
    reached_by = select(ENTRY.c.batch_id).where(ENTRY.c.can_id.in_(cans_meant))
    # Only a coat has a can. Asked for by its kind as well, SQLite would go through all coats there are.
    coats = (
        select(
            ENTRY.c.batch_id, BATCH.c.code, BATCH.c.what, BATCH.c.pieces, BATCH.c.held, BATCH.c.closed_at, PLACE.c.name,
            ENTRY.c.can_id, ENTRY.c.id, ENTRY.c.at, ENTRY.c.step, ENTRY.c.amount_ml, ENTRY.c.maker,
        )
        .join(BATCH, BATCH.c.id == ENTRY.c.batch_id)
        .join(PLACE, PLACE.c.id == BATCH.c.place_id)
        .where(ENTRY.c.can_id.in_(cans_meant))
        .order_by(ENTRY.c.id)
    )  # fmt: skip
    since = (
        select(ENTRY.c.batch_id, ENTRY.c.id, ENTRY.c.kind, ENTRY.c.at, ENTRY.c.body, ENTRY.c.voids)
        .where(ENTRY.c.kind.in_((VOID, MOVE, RELEASE)), ENTRY.c.batch_id.in_(reached_by))
        .order_by(ENTRY.c.id.desc())
    )
    return coats, since


_BY_LOT = _statements(select(CAN.c.id).where(CAN.c.lot == bindparam("lot")))
_BY_CANS = _statements(bindparam("cans", expanding=True))


def reached_by_lot(r: Reader, lot: str) -> tuple[Reached, ...]:
    """Every batch with a standing coat from a can of a lot, in the order they were begun."""
    return _reached(r, _BY_LOT, {"lot": lot})


def reached(r: Reader, numbers: Sequence[int]) -> tuple[Reached, ...]:
    """As `reached_by_lot`, of certain cans."""
    return _reached(r, _BY_CANS, {"cans": list(numbers)})


def _reached(r: Reader, asked_by: tuple[Select[Any], Select[Any]], asked: dict[str, Any]) -> tuple[Reached, ...]:
    connection = r.connection
    dead: set[int] = set()
    turns: defaultdict[int, list[tuple[float, int, str, str]]] = defaultdict(list)
    for batch_id, number, kind, at, body, voids in connection.execute(asked_by[1], asked):
        if number in dead:
            continue
        if kind == VOID:  # read from the last: a void may itself be voided
            dead.add(voids)
        else:
            word = body["place"] if kind == MOVE else body["release"]
            turns[batch_id].append((hour_of(at), number, kind, word))
    heads: dict[int, tuple[str, str, int, Whereabouts]] = {}
    coats: defaultdict[int, list[CanCoat]] = defaultdict(list)
    for key, code, what, pieces, held, closed, place, can, number, at, *rest in connection.execute(asked_by[0], asked):
        if number in dead:
            continue
        if key not in heads:
            heads[key] = code, what, pieces, _where(place, held, maybe_hour(closed), turns[key])
        coats[key].append(CanCoat(can, number, hour_of(at), *rest))
    return tuple(Reached(*heads[key], tuple(coats[key])) for key in sorted(heads))


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


Leg = tuple[str, float, float]
"""A place, and from which hour until which something stood there."""

_READ = READING.c


@cache
def _air(coats: int, legs: int) -> tuple[Any, Any]:
    """Statements for so many coats and legs: one each, made once, as each has a cost of its own."""

    def stood(n: int) -> tuple[Any, Any]:
        place = select(PLACE.c.id).where(PLACE.c.name == bindparam(f"place{n}")).scalar_subquery()
        return _READ.place_id == place, _READ.at.between(bindparam(f"start{n}"), bindparam(f"end{n}"))

    near = [
        select(
            literal(n).label("n"), _READ.temperature_c, _READ.humidity_pct, func.abs(_READ.at - bindparam(f"at{n}"))
        ).where(*stood(n))
        for n in range(coats)
    ]
    over = [
        select(
            literal(n),
            func.count(),
            *(f(c) for c in (_READ.temperature_c, _READ.humidity_pct) for f in (func.min, func.sum, func.max)),
            func.count(_READ.humidity_pct),
        ).where(*stood(n))
        for n in range(legs)
    ]
    return (union_all(*near) if near else None), (union_all(*over) if over else None)


def air_near(r: Reader, coats: Sequence[tuple[str, float]], within: float) -> list[tuple[float, float | None] | None]:
    """°C and % RH of the reading nearest to each place and hour, no further off than so many hours; None without."""
    found: dict[int, tuple[float, float, float | None]] = {}
    asked: dict[str, Any] = {}
    for n, (place, hour) in enumerate(coats):
        at, reach = round(hour * SECONDS), round(within * SECONDS)
        asked |= {f"place{n}": place, f"at{n}": at, f"start{n}": at - reach, f"end{n}": at + reach}
    if coats:
        for n, temperature, humidity, away in r.connection.execute(_air(len(coats), 0)[0], asked):
            if n not in found or away < found[n][0]:
                found[n] = away, temperature, humidity
    return [found[n][1:] if n in found else None for n in range(len(coats))]


def air_over(r: Reader, legs: Sequence[Sequence[Leg]]) -> list[AirRead]:
    """What was read while each of some things stood at its places, one after the other."""
    flat = [(of, leg) for of, its in enumerate(legs) for leg in its]
    known: defaultdict[int, list[tuple[Any, ...]]] = defaultdict(list)
    asked: dict[str, Any] = {}
    for n, (_, (place, start, end)) in enumerate(flat):
        asked |= {f"place{n}": place, f"start{n}": round(start * SECONDS), f"end{n}": round(end * SECONDS)}
    if flat:
        for n, count, *row in r.connection.execute(_air(0, len(flat))[1], asked):
            if count:
                known[flat[n][0]].append((count, *row))
    return [_read(known[of]) for of in range(len(legs))]


def _read(rows: list[tuple[Any, ...]]) -> AirRead:
    count, damp = sum(row[0] for row in rows), [row for row in rows if row[7]]
    return AirRead(
        count,
        _spread([row[1:4] for row in rows], count),
        _spread([row[4:7] for row in damp], sum(row[7] for row in damp)),
    )


def _spread(parts: list[tuple[Any, ...]], count: int) -> tuple[float, float, float] | None:
    """Low, mean and high of stretches given as low, sum and high."""
    if not parts:
        return None
    return min(p[0] for p in parts), sum(p[1] for p in parts) / count, max(p[2] for p in parts)
