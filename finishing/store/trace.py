"""Following finish both ways: which coats came from some cans, where their batches are, and the air they dried in.

The statements are made once, as making one costs more than most of them take to run.
"""

from __future__ import annotations

import datetime as dt
import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from operator import itemgetter
from typing import Any, NamedTuple

from sqlalchemy import bindparam, false, func, literal, or_, select, union_all

from finishing.clock import SECONDS
from finishing.cure.work import Entry
from finishing.store import cans
from finishing.store.bare import Bare
from finishing.store.cans import CanRow
from finishing.store.kinds import MOVE, RELEASE, VOID, Columns, entry_of
from finishing.store.tables import BATCH, BATCH_WOOD, CAN, ENTRY, FROZEN, PLACE, READING
from finishing.store.types import read_hour
from finishing.store.work import Reader

Instant = str | dt.datetime
"""As the driver hands it over, for `types.read_hour`."""


class CanCoat(NamedTuple):
    """A standing coat: its batch's row, its can if one was said, the entry's number, position in the schedule, amount
    [mL], who."""

    batch: int
    can: int | None
    number: int
    instant: Instant
    step: int
    amount_ml: float | None
    maker: str

    @property
    def at(self) -> float:
        """The hour; worked out when asked, as a lot has many coats."""
        return read_hour(self.instant)


class Whereabouts(NamedTuple):
    """Where a batch is now, by its record: the place, what it was released for and when, and when it was closed."""

    place: str
    held: bool
    closed: Instant | None
    released: dict[str, float]

    @property
    def closed_at(self) -> float | None:
        """The hour it was closed; worked out when asked, as a lot leads to many batches."""
        return None if self.closed is None else read_hour(self.closed)

    @property
    def state(self) -> str:
        """closed, released or on_rack."""
        return "closed" if self.closed is not None else "released" if self.released else "on_rack"


class Reached(NamedTuple):
    """A batch that some cans went on: what it is, where it is, and the coats, the oldest first."""

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
    closed: Instant | None
    held: bool
    woods: tuple[tuple[str, float], ...]
    record: tuple[Written, ...]


@dataclass(frozen=True, slots=True)
class AirRead:
    """Readings over a stretch: how many, and low, mean and high of °C and of % RH; None where nothing was read."""

    readings: int
    temperature_c: tuple[float, float, float] | None
    humidity_pct: tuple[float, float, float] | None


Names = Sequence[str | int]
"""Lots as spelt, or numbers of cans."""


class _Statements(NamedTuple):
    """What is asked of some lots or cans: the cans; their coats, each with its batch; and what was written of these
    batches that may change where they are."""

    cans: Bare
    coats: Bare
    since: Bare


@cache
def _statements(column: str, names: int) -> _Statements:
    named = or_(*(CAN.c[column] == bindparam(f"name{n}") for n in range(names)))
    meant = select(CAN.c.id).where(named)
    # a can's number needs no look at the can
    numbered = or_(*(ENTRY.c.can_id == bindparam(f"name{n}") for n in range(names)))
    from_them = numbered if column == "id" else ENTRY.c.can_id.in_(meant)
    # Only a coat has a can. Asked for by its kind as well, SQLite would go through all coats there are.
    coats = (
        select(
            ENTRY.c.batch_id, ENTRY.c.can_id, ENTRY.c.id, ENTRY.c.at, ENTRY.c.step, ENTRY.c.amount_ml, ENTRY.c.maker,
            BATCH.c.code, BATCH.c.what, BATCH.c.pieces, PLACE.c.name, BATCH.c.held, BATCH.c.closed_at,
        )
        .join(BATCH, BATCH.c.id == ENTRY.c.batch_id)
        .join(PLACE, PLACE.c.id == BATCH.c.place_id)
        .where(from_them)
    )  # fmt: skip
    kinds = or_(*(ENTRY.c.kind == kind for kind in (VOID, MOVE, RELEASE)))
    since = (
        select(ENTRY.c.id, ENTRY.c.batch_id, ENTRY.c.kind, ENTRY.c.at, ENTRY.c.body, ENTRY.c.voids)
        .where(kinds, ENTRY.c.batch_id.in_(select(ENTRY.c.batch_id).where(from_them)))
        .order_by(ENTRY.c.id.desc())
    )
    whole = select(*cans.COLUMNS).where(named).order_by(CAN.c.id)
    return _Statements(Bare(whole), Bare(coats), Bare(since))


def _named(names: Names) -> tuple[_Statements, dict[str, str | int]]:
    column = "lot" if isinstance(names[0], str) else "id"
    return _statements(column, len(names)), {f"name{n}": name for n, name in enumerate(names)}


def cans_of(r: Reader, names: Names) -> tuple[CanRow, ...]:
    """The cans of some lots, or of some numbers; at least one."""
    statements, asked = _named(names)
    return tuple(map(cans.read, statements.cans.rows(r, **asked)))


def lots(r: Reader) -> list[str]:
    """Every lot there is, to offer the nearest."""
    return list(r.connection.scalars(select(CAN.c.lot).where(CAN.c.lot != "").distinct()))


def spellings(r: Reader, lot: str) -> list[str]:
    """Every lot on record that is spelt so, in whatever case; SQLite itself folds a to z only."""
    return [known for known in lots(r) if known.casefold() == lot.casefold()]


def reached(r: Reader, names: Names) -> tuple[Reached, ...]:
    """Every batch with a standing coat from the cans of some lots or numbers, in the order the batches were begun."""
    ask, asked = _named(names)
    rows = ask.coats.rows(r, **asked)
    rows.sort(key=_when)  # here, as the database would sort whole rows
    begun = {row[0]: row for row in rows}
    dead, turns = _since(ask.since.rows(r, **asked))
    coats: defaultdict[int, list[CanCoat]] = defaultdict(list)
    for row in rows:
        if _number(row) not in dead:
            coats[row[0]].append(CanCoat._make(row[:7]))
    batches = []
    for batch in sorted(coats):
        code, what, pieces, place, held, closed = begun[batch][7:]
        released: dict[str, float] = {}
        for at, _, kind, word in sorted(turns[batch]) if batch in turns else ():
            if kind == MOVE:
                place = word
            else:
                released[word] = at
        where = Whereabouts(place, bool(held), closed, released)
        batches.append(Reached(code, what, pieces, where, tuple(coats[batch])))
    return tuple(batches)


_number = itemgetter(2)
_when = itemgetter(3, 4, 2)
"""By when it went on, not by when it was written down: a correction is written last. As `cure.work.standing` does."""

Turns = dict[int, list[tuple[float, int, str, str]]]
"""Of each batch its standing moves and releases: hour, number, kind, the place or what for."""


def _since(rows: list[tuple[Any, ...]]) -> tuple[set[int], Turns]:
    """The voided entries, and what happened to each batch."""
    dead: set[int] = set()
    turns: Turns = {}
    for number, batch, kind, at, body, voids in rows:
        if number in dead:
            continue
        if kind == VOID:  # read from the last: a void may itself be voided
            dead.add(voids)
        else:
            said = json.loads(body)
            word = said["place"] if kind == MOVE else said["release"]
            turns.setdefault(batch, []).append((read_hour(at), number, kind, word))
    return dead, turns


_BATCH = Bare(
    select(
        BATCH.c.id, BATCH.c.code, BATCH.c.what, BATCH.c.pieces, BATCH.c.schedule, FROZEN.c.body, PLACE.c.name,
        BATCH.c.created_at, BATCH.c.closed_at, BATCH.c.held,
    )
    .join(PLACE, PLACE.c.id == BATCH.c.place_id)
    .join(FROZEN, FROZEN.c.key == BATCH.c.frozen_key)
    .where(BATCH.c.code == bindparam("code"))
)  # fmt: skip
_WOODS = Bare(
    select(BATCH_WOOD.c.species, BATCH_WOOD.c.share)
    .where(BATCH_WOOD.c.batch_id == bindparam("batch"))
    .order_by(BATCH_WOOD.c.position)
)
_RECORD = Bare(
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
    found = _BATCH.rows(r, code=code)
    if not found:
        return None
    key, code, what, pieces, schedule, body, place, created, closed, held = found[0]
    woods = tuple((species, share) for species, share in _WOODS.rows(r, batch=key))
    record = tuple(map(_written, _RECORD.rows(r, batch=key)))
    return BatchKept(code, what, pieces, schedule, body, place, read_hour(created), closed, bool(held), woods, record)


def _written(row: tuple[Any, ...]) -> Written:
    number, kind, at, recorded_at, step, body, voids, maker, can, amount, lot = row
    entry = entry_of(number, read_hour(at), Columns(kind, json.loads(body), step, voids, amount))
    return Written(entry, read_hour(recorded_at), maker, can, lot or "")


Leg = tuple[str, float, float]
"""A place, and from which hour until which something stood there."""

_READ = READING.c


@cache
def _air(coats: int, legs: int) -> tuple[Bare, Bare]:
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
    nothing = select(literal(0)).where(false())
    return Bare(union_all(*near) if near else nothing), Bare(union_all(*over) if over else nothing)


def air_near(r: Reader, coats: Sequence[tuple[str, float]], within: float) -> list[tuple[float, float | None] | None]:
    """°C and % RH of the reading nearest to each place and hour, no further off than so many hours; None without."""
    found: dict[int, tuple[float, float, float | None]] = {}
    asked: dict[str, Any] = {}
    for n, (place, hour) in enumerate(coats):
        at, reach = round(hour * SECONDS), round(within * SECONDS)
        asked |= {f"place{n}": place, f"at{n}": at, f"start{n}": at - reach, f"end{n}": at + reach}
    if coats:
        for n, temperature, humidity, away in _air(len(coats), 0)[0].rows(r, **asked):
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
        for n, count, *row in _air(0, len(flat))[1].rows(r, **asked):
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
