"""An invented shop in every state, built through the same use-cases as a real one."""

from __future__ import annotations

import datetime as dt
import math
import random
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from finishing.clock import SECONDS, at_zone, hour_of
from finishing.cure.outlook import UsualDay
from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.library.content import shipped
from finishing.shop import batches, cans, places, record
from finishing.shop.drafts import CanDraft, NewBatchDraft, StepDraft, TestDraft
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.settings import change_setting
from finishing.shop.shop import MARK, Shop
from finishing.store import places as stored_places
from finishing.store import readings as stored_readings
from finishing.store.location import at_file

READING_SECONDS = 600
WEEKS = 3

EVENING = dt.time(19, 40)
"""Slow spells of the weather are counted from the day on which it last was then."""

SPELL = 90.0
"""How far into a spell [hours] that day begins."""


def build_demo(folder: Path, now: float, *, zone: str | None = None) -> Shop:
    """Fill a new database in a folder with the scenario of data/demo/shop.toml, counted back from now.

    zone: of the invented shop; this machine's own.
    """
    shop = Shop.open(now, at_file(folder / "finishing.db"), invented=True)
    if zone is not None:
        change_setting(shop, "zone", zone, now)
        change_setting(shop, "hourly_rate", "28", now)
    scenario = tomllib.loads((shipped("data") / "demo" / "shop.toml").read_text("utf-8"))
    for place in scenario["places"]:
        _place(shop, place, now)
    for can in scenario["cans"]:
        draft = CanDraft(can["finish"], can["volume_ml"], can["lot"], can["price"], opened=True)
        cans.add_can(shop, draft, now - WEEKS * 168)
    numbers = {row.can.finish: row.id for row, _ in cans.shelf(shop)}
    for batch in scenario["batches"]:
        _batch(shop, batch, numbers, now)
    # Readings come last: nothing recorded above depends on them, and every look would read them again.
    for place in scenario["places"]:
        _readings(shop, place, now)
    shop.forget()
    return shop


def open_demo(folder: Path, now: float) -> Shop:
    """A demo that was kept in a folder."""
    return Shop.open(now, at_file(folder / "finishing.db"), invented=True)


def is_demo(folder: Path) -> bool:
    """Whether a folder holds a demo that was kept."""
    return (folder / MARK).exists()


def mark_demo(folder: Path) -> None:
    """Mark a folder as holding a demo."""
    (folder / MARK).write_text("This shop is invented: no such maker, batch, reading or price exists.\n", "utf-8")


def _place(shop: Shop, place: dict[str, Any], now: float) -> None:
    usual = UsualDay(place["low"], place["high"], place["humidity"] + 5, place["humidity"] - 5)
    places.add_place(shop, place["name"], usual, now - WEEKS * 168)


def _readings(shop: Shop, place: dict[str, Any], now: float) -> None:
    seconds, temperature, humidity = weather(place, shop.settings.zone, now)
    with shop.store.write() as w:
        row = stored_places.by_name(w, place["name"])
        stored_readings.add_readings(w, row.id, seconds, temperature, humidity)
        w.commit()


def weather(place: dict[str, Any], zone: str, now: float) -> tuple[Any, Any, Any]:
    """Three weeks of invented readings: a warm afternoon, a cold dawn, slow spells, a little noise."""
    chance = random.Random(place["name"])  # the same weather at every demo
    last = int(now * SECONDS) // READING_SECONDS * READING_SECONDS
    seconds = np.arange(last - WEEKS * 7 * 86400, last + 1, READING_SECONDS, dtype=np.int64)
    offset = (at_zone(now, zone).utcoffset() or at_zone(0, "UTC") - at_zone(0, "UTC")).total_seconds()
    hours = (seconds + offset) / SECONDS
    days = int((_last(now, EVENING, zone) * SECONDS + offset) // 86400)
    day = np.array([_afternoon(h % 24.0) for h in hours])
    spell = place["swing"] * np.sin(2 * math.pi * (hours - 24.0 * days + SPELL) / 97.0 + chance.random() * 6)
    noise = np.array([chance.gauss(0.0, 0.12) for _ in seconds])
    temperature = place["low"] + (place["high"] - place["low"]) * day + spell + noise
    humidity = place["humidity"] - 10.0 * (day - 0.5) - 2.0 * spell + 2.0 * noise
    return seconds, np.round(temperature, 1), np.round(np.clip(humidity, 20.0, 95.0), 0)


def _afternoon(local_hour: float) -> float:
    """0 at six in the morning, 1 at three in the afternoon."""
    if 6.0 <= local_hour < 15.0:
        return (1.0 - math.cos(math.pi * (local_hour - 6.0) / 9.0)) / 2.0
    return (1.0 + math.cos(math.pi * ((local_hour - 15.0) % 24.0) / 15.0)) / 2.0


def _batch(shop: Shop, batch: dict[str, Any], numbers: dict[str, int], now: float) -> None:
    events, zone = batch["events"], shop.settings.zone
    now = _last(now, batch["evening"], zone) if "evening" in batch else now
    begun = _by_day(now - max((e["ago"] for e in events), default=1.0), zone) - 0.2
    wanted = batch.get("wanted_days")
    draft = NewBatchDraft(
        what=batch["what"],
        pieces=batch["pieces"],
        schedule=batch["schedule"],
        place=batch["place"],
        woods=parse_woods(batch["woods"]),
        size=parse_piece_size(batch["size"]),
        code=batch["code"],
        wanted_by=None if wanted is None else _morning(now + wanted * 24.0, zone),
    )
    batches.begin_batch(shop, draft, begun)
    last = begun
    for event in events:
        # Steps keep their order and a few minutes between them, also when a night moved them together.
        last = min(max(_by_day(now - event["ago"], zone), last + 0.1), now)
        _event(shop, batch["code"], event, numbers, last)


def _event(shop: Shop, code: str, event: dict[str, Any], numbers: dict[str, int], at: float) -> None:
    match event["do"]:
        case "step":
            record.record_step(shop, StepDraft(code), at)
        case "coat":
            position = record.coat_position(shop, code, None, None, at)
            can = numbers.get(event.get("can", ""))
            record.record_step(shop, StepDraft(code, position, amount_ml=event["amount_ml"], can=can), at)
        case "test":
            record.note_test(shop, TestDraft(code, Stage(event["stage"]), Finding(event["finding"])), at)
        case "close":
            record.close(shop, code, at)
        case other:
            raise ValueError(f"data/demo/shop.toml: unknown event {other!r}")


def _last(hour: float, evening: dt.time, zone: str) -> float:
    """The last hour at which the clocks showed a time."""
    local = at_zone(hour, zone)
    then = local.set(hour=evening.hour, minute=evening.minute, second=0, microsecond=0)
    return hour_of(then if then <= local else then.subtract(days=1))


def _by_day(hour: float, zone: str) -> float:
    """An hour at which somebody is up: from ten at night to seven in the morning goes to the evening before."""
    local = at_zone(hour, zone)
    if local.hour >= 22:
        return hour_of(local.set(hour=21, minute=40 + local.minute // 4, second=0))
    if local.hour < 7:
        return hour_of(local.subtract(days=1).set(hour=21, minute=40 + local.minute // 4, second=0))
    return hour


def _morning(hour: float, zone: str) -> float:
    return hour_of(at_zone(hour, zone).set(hour=8, minute=0, second=0))
