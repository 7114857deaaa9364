"""`finishing trace` and `finishing find`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import number, say, say_json, table
from finishing.clock import now_hour
from finishing.errors import BadInput
from finishing.shop.find import MOST, SHORTEST, find
from finishing.shop.settings import Settings
from finishing.shop.trace import BatchTraced, CoatTraced, Recall, trace
from finishing.shop.trace_views import batch_traced_view, recall_view, where_words
from finishing.shop.views import when
from finishing.shop.words import short_time
from finishing.units import show_duration, show_temperature, show_volume


@click.command("trace")
@click.argument("word", metavar="LOT|CAN|BATCH")
@click.option("--lot", "kind", flag_value="lot", help="it is a lot")
@click.option("--can", "kind", flag_value="can", help="it is a can's number")
@click.option("--batch", "kind", flag_value="batch", help="it is a batch's code")
@options.as_json
def trace_command(word: str, kind: str | None, as_json: bool) -> None:
    """Trace both ways.

    A lot or a can leads to every batch that got it, when, and where that batch is now. A batch leads to its finishes,
    cans and lots, dates, the air they went on and dried in, and who did it.
    """
    now = now_hour()
    with open_shop(now) as shop:
        settings, found = shop.settings, trace(shop, word, now, kind)
    if isinstance(found, Recall):
        if as_json:
            say_json(recall_view(found, settings.zone))
        else:
            _recall(found, settings, now)
    elif as_json:
        say_json(batch_traced_view(found, settings.zone))
    else:
        _batch(found, settings, now)


def _recall(found: Recall, settings: Settings, now: float) -> None:
    for row in found.cans:
        lot = f", lot {row.can.lot}" if row.can.lot else ""
        opened = f", opened {row.can.opened_on.isoformat()}" if row.can.opened_on else ""
        emptied = f", emptied {short_time(row.emptied_at, settings.zone, now)}" if row.emptied_at else ""
        say(f"can {row.id}: {row.can.finish}{lot}{opened}{emptied}")
    if not found.batches:
        say("no coat on record came from it")
        return
    n = len(found.batches)
    say(f"{n} batch{'' if n == 1 else 'es'}, {found.pieces} piece{'' if found.pieces == 1 else 's'}")
    say()
    rows = []
    for batch in found.batches:
        first, last = (short_time(batch.coats[i].at, settings.zone, now) for i in (0, -1))
        on = first if len(batch.coats) == 1 else f"{len(batch.coats)} coats, {first} to {last}"
        where = where_words(batch.where, settings.zone, now)
        rows.append((batch.code, f"{batch.what} ×{batch.pieces}", on, where))
    table(rows, ("batch", "", "coated", "now"))
    say()
    say("Coats recorded without their can are not among these.")


def _batch(found: BatchTraced, settings: Settings, now: float) -> None:
    row = found.row
    say(f"{row.code}: {row.what} ×{row.pieces}")
    say("  " + ", ".join(f"{name} {number(share * 100, 0)} %" for name, share in row.woods))
    say(f"  {row.schedule}, begun {short_time(row.created_at, settings.zone, now)}")
    say(f"  {where_words(found.where, settings.zone, now)}")
    for coat in found.coats:
        say()
        _coat(coat, settings, now)
    say()
    rows = [(str(o.number), short_time(o.at, settings.zone, now), o.words, o.maker) for o in found.others]
    if rows:
        table(rows, ("ALSO", "", "", ""))


def _coat(coat: CoatTraced, settings: Settings, now: float) -> None:
    side = "" if coat.face == "both" else f", {coat.face}"
    by = f", by {coat.maker}" if coat.maker else ""
    say(f"COAT {coat.coat}{side}  {coat.title}, on {short_time(coat.at, settings.zone, now)}{by}")
    can = "can not said" if coat.can is None else f"can {coat.can}{f', lot {coat.lot}' if coat.lot else ', no lot'}"
    amount = "" if coat.amount_ml is None else f", {show_volume(coat.amount_ml, settings.units)}"
    say(f"  {can}{amount}{'' if coat.wiped_back else ', not wiped back'}")
    went = "no reading within the hour" if coat.applied is None else _air(*coat.applied, settings)
    say(f"  went on in {coat.place}: {went}")
    say(f"  dried {show_duration(coat.drying.end - coat.drying.start)}: {_dried(coat, settings)}")


def _air(temperature: float, humidity: float | None, settings: Settings) -> str:
    damp = "" if humidity is None else f", {humidity:.0f} % RH"
    return f"{show_temperature(temperature, settings.units)}{damp}"


def _dried(coat: CoatTraced, settings: Settings) -> str:
    air = coat.drying.air
    if air.temperature_c is None:
        return "no readings"
    low, mean, high = (show_temperature(value, settings.units) for value in air.temperature_c)
    damp = (
        ""
        if air.humidity_pct is None
        else f", {air.humidity_pct[0]:.0f} to {air.humidity_pct[2]:.0f} % RH, mean {air.humidity_pct[1]:.0f} %"
    )
    return f"{low} to {high}, mean {mean}{damp} ({air.readings} readings)"


@click.command("find")
@click.argument("words", nargs=-1, required=True)
@options.as_json
def find_command(words: tuple[str, ...], as_json: bool) -> None:
    """Find any batch, wood, can or note by a few letters of it, or a day such as 2026-11-25 by its date."""
    now, text = now_hour(), " ".join(words)
    if len(text.strip()) < SHORTEST:
        raise BadInput("words", text, f"at least {SHORTEST} letters, or a date such as 2026-11-25")
    with open_shop(now) as shop:
        zone, hits = shop.settings.zone, find(shop, text, now)
    if as_json:
        keys = ("kind", "code", "words", "at", "can")
        rows = [(h.kind, h.code or None, h.words, when(h.at, zone), h.can) for h in hits]
        say_json([dict(zip(keys, row, strict=True)) for row in rows])
        return
    if not hits:
        say("nothing found")
        return
    times = ["" if h.at is None else short_time(h.at, zone, now) for h in hits]
    table([(h.kind, h.code, h.words[:200], at) for h, at in zip(hits, times, strict=True)], ("FOUND", "", "", ""))
    if any(sum(h.kind == kind for h in hits) == MOST for kind in {h.kind for h in hits}):
        say(f"no more than {MOST} of a kind are shown; more letters narrow it down")
