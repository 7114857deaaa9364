"""What is on record of one batch, place or can, as JSON: stable keys, times in ISO 8601 with offset."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from finishing.cure.air import Air
from finishing.cure.outlook import DayAhead, UsualDay
from finishing.cure.progress import Progress
from finishing.cure.terms import Release
from finishing.cure.work import VoidEntry, voided_by
from finishing.shop.bench import Row
from finishing.shop.cans import CanSheet, opened_on
from finishing.shop.places import PlaceSheet, Reading
from finishing.shop.record import entry_words, next_line
from finishing.shop.shop import Standing
from finishing.shop.views import View, caution_view, coat_view, next_view, releases_view, when
from finishing.shop.words import step_words
from finishing.store.batches import BatchRow
from finishing.store.cans import CanRow
from finishing.store.entries import Recorded
from finishing.store.kinds import columns_of


def batch_view(standing: Standing, why: Sequence[str], now: float, zone: str) -> View:
    """Everything about one batch."""
    row, p = standing.row, standing.progress(now)
    size = row.size
    return {
        "code": row.code,
        "what": row.what,
        "pieces": row.pieces,
        "size": None
        if size is None
        else {
            "length_mm": round(size.length_mm, 6),
            "width_mm": round(size.width_mm, 6),
            "thickness_mm": round(size.thickness_mm, 6),
            "shape": size.shape.value,
        },
        "area_m2": standing.batch.area_m2(),
        "species": [{"name": wood.species, "share": wood.share} for wood in row.woods],
        "schedule": row.schedule,
        "place": p.place,
        "wanted_by": when(row.wanted_by, zone),
        "note": row.note,
        "priority": row.priority,
        "added_at": when(row.created_at, zone),
        "closed_at": when(row.closed_at, zone),
        "held": p.held,
        "steps": [_step_view(p, i, zone) for i in range(len(p.steps))],
        **next_views(p, why, now, zone),
        "earliest": releases_view(earliest(standing, now), zone),
        "coats": [coat_view(coat, zone, recoated=standing.batch.schedule.recoated(coat.step)) for coat in p.coats],
        "record": record_view(standing, row.record, zone),
    }


def earliest(standing: Standing, now: float) -> Mapping[Release, float | None]:
    """When a batch could be handled, packed and used, each step that is left at its earliest; None for no date."""
    p = standing.progress(now)
    if p.closed is not None or all(p.releases[release] is not None for release in Release):
        return p.releases
    return standing.ahead(now).releases


def next_views(p: Progress, why: Sequence[str], now: float, zone: str) -> View:
    """What comes next for a batch and why, what it may be used for, and what to heed."""
    return {
        "next": next_view(p, p.next, zone),
        "next_words": next_line(p, now, zone),
        "why": list(why),
        "released": releases_view(p.releases, zone),
        "may": {release.value: p.may(release) for release in Release},
        "cautions": [caution_view(caution) for caution in p.cautions],
    }


def step_state(p: Progress, position: int) -> str:
    """done, taken (as done: nobody recorded it), next or ahead."""
    if p.next is not None and p.next.position == position:
        return "next"
    state = p.steps[position]
    return "taken" if state.taken else "done" if state.done else "ahead"


def _step_view(p: Progress, position: int, zone: str) -> View:
    step = p.steps[position]
    return {
        "step": position,
        "kind": step.step.kind.value,
        "face": step.step.face.value,
        "coat": step.coat_number or None,
        "finish": step.step.finish,
        "words": step_words(p.batch.schedule, position),
        "state": step_state(p, position),
        "at": when(step.at, zone),
    }


def record_view(standing: Standing, record: Sequence[Recorded], zone: str) -> list[View]:
    """Entries in the order they were written down, the voided among them."""
    dead, instead = voided(standing), corrected(standing)
    return [
        {
            "number": recorded.entry.number,
            "kind": columns_of(recorded.entry).kind,
            "at": when(recorded.entry.at, zone),
            "recorded_at": when(recorded.recorded_at, zone),
            "words": entry_words(standing, recorded.entry),
            "maker": recorded.maker or None,
            "can": recorded.can_id,
            "voided_by": dead.get(recorded.entry.number),
            "replaced_by": instead.get(recorded.entry.number) if recorded.entry.number in dead else None,
        }
        for recorded in record
    ]


def voided(standing: Standing) -> dict[int, int]:
    """Number of each entry that does not hold, and of the entry that voids it."""
    return voided_by(standing.entries)


def corrected(standing: Standing) -> dict[int, int]:
    """Number of each entry that a correction put another in the place of, and of that other."""
    return {e.voids: e.instead for e in standing.entries if isinstance(e, VoidEntry) and e.instead is not None}


def place_view(found: PlaceSheet, zone: str) -> View:
    """Everything about one place."""
    return {
        "name": found.place.name,
        "rack_pieces": found.place.rack_pieces,
        "batches": list(found.batches),
        "last_reading": None if found.last is None else reading_view(found.last, zone),
        "usual_day": _usual_view(found.typed),
        "usual_day_lately": _usual_view(found.lately),
        "days_ahead": [_day_view(day) for day in found.ahead],
        "air_now": _air_view(found.air, found.measured),
    }


def reading_view(reading: Reading, zone: str) -> View:
    """One reading."""
    return {
        "at": when(reading.at, zone),
        "temperature_c": reading.temperature_c,
        "humidity_pct": reading.humidity_pct,
    }


def _usual_view(usual: UsualDay | None) -> View | None:
    if usual is None:
        return None
    return {
        "low_c": usual.low_c,
        "high_c": usual.high_c,
        "humidity_at_low_pct": usual.humidity_at_low,
        "humidity_at_high_pct": usual.humidity_at_high,
    }


def _day_view(day: DayAhead) -> View:
    return {
        "date": day.date.isoformat(),
        "low_c": day.low_c,
        "high_c": day.high_c,
        "humidity_pct": day.humidity_pct,
    }


def _air_view(air: Air, measured: bool) -> View:
    return {
        "measured": measured,
        "temperature_c": air.temperature_c,
        "humidity_pct": air.humidity_pct,
        "dew_point_c": air.dew_point_c if air.dew_point_c > -273.15 else None,
        "vapour_pressure_deficit_kpa": air.vapour_pressure_deficit_kpa,
        "wood_moisture_pct": air.wood_moisture_pct,
        "warnings": list(air.warnings),
    }


def can_row_view(row: CanRow, left_ml: float, zone: str) -> View:
    """One can."""
    can, opened = row.can, opened_on(row, zone)
    return {
        "can": row.id,
        "finish": can.finish,
        "lot": can.lot or None,
        "volume_ml": can.volume_ml,
        "left_ml": left_ml,
        "price": can.price,
        "bought_on": None if can.bought_on is None else can.bought_on.isoformat(),
        "opened_on": None if opened is None else opened.isoformat(),
        "use_within_days": can.use_within_days,
        "emptied_at": when(row.emptied_at, zone),
    }


def can_view(found: CanSheet, zone: str) -> View:
    """One can and the coats that came from it."""
    uses = [
        {"batch": use.code, "entry": use.number, "at": when(use.at, zone), "amount_ml": use.amount_ml}
        for use in found.uses
    ]
    return {**can_row_view(found.row, found.left_ml, zone), "uses": uses}


def open_view(row: Row, zone: str) -> View:
    """A batch on the bench, in a list of batches."""
    p = row.progress
    return {
        "code": row.code,
        "what": row.what,
        "pieces": row.pieces,
        "species": list(row.woods),
        "schedule": p.batch.schedule.name,
        "place": p.place,
        "wanted_by": when(p.batch.wanted_by, zone),
        "closed_at": None,
        "held": p.held,
        "group": row.group.value,
        "do": row.do,
        "stands": row.stands,
    }


def closed_view(row: BatchRow, zone: str) -> View:
    """A batch that has left the bench, in a list of batches."""
    return {
        "code": row.code,
        "what": row.what,
        "pieces": row.pieces,
        "species": [wood.species for wood in row.woods],
        "schedule": row.schedule,
        "place": row.place,
        "wanted_by": when(row.wanted_by, zone),
        "closed_at": when(row.closed_at, zone),
        "held": row.held,
        "group": None,
        "do": None,
        "stands": None,
    }
