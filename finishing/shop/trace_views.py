"""A trace as JSON, and where a batch is in words."""

from __future__ import annotations

from finishing.shop.sheets import can_row_view
from finishing.shop.trace import BatchTraced, CoatTraced, Conditions, Recall
from finishing.shop.views import View, when
from finishing.shop.words import short_time
from finishing.store.cans import CanRow
from finishing.store.trace import Reached, Whereabouts


def where_words(where: Whereabouts, zone: str, now: float) -> str:
    """Where a batch is: "on the rack, loft", "released to pack Tue 14:20, loft", "closed 3 Mar 2026"."""
    if where.closed_at is not None:
        return f"closed {short_time(where.closed_at, zone, now)}"
    held = ", on hold" if where.held else ""
    if not where.released:
        return f"on the rack, {where.place}{held}"
    last = max(where.released, key=lambda word: where.released[word])
    return f"released to {last} {short_time(where.released[last], zone, now)}, {where.place}{held}"


def recall_view(found: Recall, zone: str) -> View:
    """Cans, and the batches that got them."""
    return {
        "of": found.of,
        "word": found.word,
        "cans": [_can_view(row, zone) for row in found.cans],
        "pieces": found.pieces,
        "batches": [_reached_view(batch, zone) for batch in found.batches],
        "may_have": [_reached_view(batch, zone) for batch in found.may_have],
    }


def _can_view(row: CanRow, zone: str) -> View:
    view = can_row_view(row, 0.0, zone)
    del view["left_ml"]
    return view


def where_view(where: Whereabouts, zone: str) -> View:
    """Where a batch is."""
    return {
        "state": where.state,
        "place": where.place,
        "held": where.held,
        "released": {word: when(at, zone) for word, at in where.released.items()},
        "closed_at": when(where.closed_at, zone),
    }


def _reached_view(batch: Reached, zone: str) -> View:
    coats = [
        {"entry": c.number, "can": c.can, "at": when(c.at, zone), "amount_ml": c.amount_ml, "maker": c.maker or None}
        for c in batch.coats
    ]
    now = where_view(batch.where, zone)
    return {"code": batch.code, "what": batch.what, "pieces": batch.pieces, "where": now, "coats": coats}


def batch_traced_view(found: BatchTraced, zone: str) -> View:
    """A batch: its coats with their cans and conditions, everything else done to it, who, where it is."""
    row = found.row
    makers = dict.fromkeys([c.maker for c in found.coats if c.maker] + [o.maker for o in found.others if o.maker])
    return {
        "of": "batch",
        "code": row.code,
        "what": row.what,
        "pieces": row.pieces,
        "species": [{"name": name, "share": share} for name, share in row.woods],
        "schedule": row.schedule,
        "added_at": when(row.created_at, zone),
        "begun_at": when(found.begun, zone),
        "where": where_view(found.where, zone),
        "finishes": list(dict.fromkeys(coat.finish for coat in found.coats)),
        "cans": sorted({coat.can for coat in found.coats if coat.can is not None}),
        "lots": sorted({coat.lot for coat in found.coats if coat.lot}),
        "makers": list(makers),
        "coats": [_coat_view(coat, zone) for coat in found.coats],
        "missing": list(found.missing),
        "others": [
            {"entry": o.number, "at": when(o.at, zone), "words": o.words, "maker": o.maker or None}
            for o in found.others
        ],
    }


def _coat_view(coat: CoatTraced, zone: str) -> View:
    temperature, humidity = (None, None) if coat.applied is None else coat.applied
    return {
        "entry": coat.number,
        "coat": coat.coat,
        "face": coat.face,
        "finish": coat.finish,
        "at": when(coat.at, zone),
        "recorded_at": when(coat.recorded_at, zone),
        "can": coat.can,
        "lot": coat.lot or None,
        "amount_ml": coat.amount_ml,
        "wiped_back": coat.wiped_back,
        "maker": coat.maker or None,
        "place": coat.place,
        "applied": {"temperature_c": temperature, "humidity_pct": humidity},
        "drying": _conditions_view(coat.drying, zone),
    }


def _conditions_view(dried: Conditions, zone: str) -> View:
    return {
        "from": when(dried.start, zone),
        "until": when(dried.end, zone),
        "readings": dried.air.readings,
        "temperature_c": _spread_view(dried.air.temperature_c),
        "humidity_pct": _spread_view(dried.air.humidity_pct),
    }


def _spread_view(values: tuple[float, float, float] | None) -> View | None:
    if values is None:
        return None
    low, mean, high = values
    return {"low": low, "mean": round(mean, 3), "high": high}
