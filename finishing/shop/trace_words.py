"""A trace in words, for the command and the page alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.cells import cell_len, set_cell_size

from finishing.exchange.plain import plain
from finishing.shop.cans import opened_on
from finishing.shop.settings import Settings
from finishing.shop.trace import BatchTraced, CoatTraced, Recall
from finishing.shop.trace_views import where_words
from finishing.shop.words import short_time
from finishing.store.trace import Reached
from finishing.units import counted, show_duration, show_temperature, show_volume


def trace_lines(found: Recall | BatchTraced, settings: Settings, now: float) -> list[str]:
    """What was found."""
    return list(_recall(found, settings, now) if isinstance(found, Recall) else _batch(found, settings, now))


def _recall(found: Recall, settings: Settings, now: float) -> Iterator[str]:
    for row in found.cans:
        lot = f", lot {row.can.lot}" if row.can.lot else ""
        day = opened_on(row, settings.zone)
        opened = f", opened {day.isoformat()}" if day else ""
        emptied = f", emptied {short_time(row.emptied_at, settings.zone, now)}" if row.emptied_at else ""
        yield f"can {row.id}: {row.can.finish}{lot}{opened}{emptied}"
    if found.batches:
        yield f"{counted(len(found.batches), 'batch', 'batches')}, {counted(found.pieces, 'piece')}"
        yield ""
        yield from _reached(found.batches, settings, now)
    else:
        yield "no coat on record came from it"
    yield ""
    if found.may_have:
        n = len(found.may_have)
        more = counted(n, "other batch", "other batches") if found.batches else counted(n, "batch", "batches")
        yield f"! {more} may have got it: coated with its finish while it was"
        yield "  on the shelf, from a can that is not on record"
        yield ""
        yield from _reached(found.may_have, settings, now)
    else:
        yield "All coats of its finish while it was on the shelf say their can."


def _reached(batches: Sequence[Reached], settings: Settings, now: float) -> Iterator[str]:
    """Batches with when they were last coated so, and where they are."""
    rows = []
    for batch in batches:
        last = short_time(batch.coats[-1].at, settings.zone, now)
        on = last if len(batch.coats) == 1 else f"{last}, {len(batch.coats)} coats"
        where = where_words(batch.where, settings.zone, now)
        rows.append((batch.code, f"{batch.what} ×{batch.pieces}", on, where))
    yield from columns([("batch", "", "last coated", "now"), *rows])


def _batch(found: BatchTraced, settings: Settings, now: float) -> Iterator[str]:
    row = found.row
    yield f"{row.code}: {row.what} ×{row.pieces}"
    yield "  " + ", ".join(f"{name} {share * 100:.0f} %" for name, share in row.woods)
    since = "added" if found.begun is None else "begun"
    yield f"  {row.schedule}, {since} {short_time(found.begun or row.created_at, settings.zone, now)}"
    yield f"  {where_words(found.where, settings.zone, now)}"
    for coat in found.coats:
        yield ""
        yield from _coat(coat, settings, now)
    if found.missing:
        yield ""
        yield f"! {', '.join(found.missing)}: not on record, though a later coat is: what went on then is not known"
    rows = [(str(o.number), short_time(o.at, settings.zone, now), o.words, o.maker) for o in found.others]
    if rows:
        yield ""
        yield from columns([("ALSO", "", "", ""), *rows])


def _coat(coat: CoatTraced, settings: Settings, now: float) -> Iterator[str]:
    side = "" if coat.face == "both" else f", {coat.face}"
    by = f", by {coat.maker}" if coat.maker else ""
    yield f"COAT {coat.coat}{side}  {coat.title}, on {short_time(coat.at, settings.zone, now)}{by}"
    can = "can not said" if coat.can is None else f"can {coat.can}{f', lot {coat.lot}' if coat.lot else ', no lot'}"
    amount = "" if coat.amount_ml is None else f", {show_volume(coat.amount_ml, settings.units)}"
    yield f"  {can}{amount}{'' if coat.wiped_back else ', not wiped back'}"
    went = "no reading within the hour" if coat.applied is None else _air(*coat.applied, settings)
    yield f"  went on in {coat.place}: {went}"
    yield f"  dried {show_duration(coat.drying.end - coat.drying.start)}: {_dried(coat, settings)}"


def _air(temperature: float, humidity: float | None, settings: Settings) -> str:
    damp = "" if humidity is None else f", {humidity:.0f} % RH"
    return f"{show_temperature(temperature, settings.units)}{damp}"


def _dried(coat: CoatTraced, settings: Settings) -> str:
    air = coat.drying.air
    if air.temperature_c is None:
        return "no readings"
    low, mean, high = (show_temperature(value, settings.units) for value in air.temperature_c)
    damp = ""
    if air.humidity_pct is not None:
        damp = f", {air.humidity_pct[0]:.0f} to {air.humidity_pct[2]:.0f} % RH, mean {air.humidity_pct[1]:.0f} %"
    return f"{low} to {high}, mean {mean}{damp} ({counted(air.readings, 'reading')})"


def columns(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Rows in columns as wide as their widest cell, the last one unpadded."""
    cells = [[plain(cell) for cell in row] for row in rows]
    widths = [max(cell_len(row[i]) for row in cells) for i in range(len(rows[0]))]
    for row in cells:
        padded = [set_cell_size(cell, width) for cell, width in zip(row[:-1], widths[:-1], strict=True)]
        yield "  ".join([*padded, row[-1]]).rstrip()
