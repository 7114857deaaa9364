"""`finishing times`: how long a schedule takes, with no batch and no database."""

from __future__ import annotations

from pathlib import Path

import click
import numpy as np

from finishing.cli import options
from finishing.cli.text import number, say, say_json, table
from finishing.clock import at_zone, now_hour
from finishing.cure.climate import PlaceAir
from finishing.cure.coat import Coat
from finishing.cure.integral import Series
from finishing.cure.schedule import Schedule
from finishing.cure.spread import LIKELY
from finishing.cure.terms import Release, Stage
from finishing.errors import BadInput
from finishing.home import home_folder
from finishing.library import Library
from finishing.moments import machine_zone, parse_moment, zone_named
from finishing.shop.views import times_view
from finishing.shop.whatif import Answer, ask, daily_air, read_air, steady_air
from finishing.shop.words import RELEASE_WORDS
from finishing.units import show_duration, spoken


@click.command()
@click.argument("schedule")
@click.option("--species", required=True, help="woods, with commas between: maple,padauk")
@click.option("--temperature", callback=options.temperature, help="the same all day: 18, 18C, 64F")
@click.option("--low", callback=options.temperature, help="each night's low (with --high)")
@click.option("--high", callback=options.temperature, help="each day's high (with --low)")
@click.option("--readings", type=options.FILE, help="a logger's CSV file")
@click.option(
    "--humidity", callback=options.humidity, default="50", show_default=True, help="relative humidity, per cent"
)
@click.option("--start", help="when the first coat goes on; now, or the log's first reading")
@click.option("--zone", help="time zone, such as Europe/Oslo; this machine's own")
@click.option("--amount", callback=options.volume, help="finish on each coat, all pieces: 120mL (with --area)")
@click.option("--area", callback=options.area, help="area coated, all pieces: 1.4m2 (with --amount)")
@click.option("--level", callback=options.level, default="50", show_default=True, help="level of certainty, per cent")
@click.option("--day-first/--month-first", "day_first", default=None, help="how the log writes its dates")
@click.option("--json", "as_json", is_flag=True, help="print JSON")
def times(
    schedule: str,
    species: str,
    temperature: float | None,
    low: float | None,
    high: float | None,
    readings: Path | None,
    humidity: float,
    start: str | None,
    zone: str | None,
    amount: float | None,
    area: float | None,
    level: float | None,
    day_first: bool | None,
    as_json: bool,
) -> None:
    """How long each coat and the whole SCHEDULE take in this air on these woods, every coat at its earliest.

    Give the air as one --temperature, as --low and --high, or as --readings.
    """
    local = zone_named(zone, "--zone") if zone else machine_zone()
    now = now_hour()
    names = [name.strip() for name in species.split(",") if name.strip()]
    if not names:
        raise BadInput("--species", species, "one wood or more, with commas between")
    log = None if readings is None else _read_log(readings, local, day_first)
    begin = parse_moment(start, "--start", local, now) if start else now if log is None else float(log.hours[0])
    air = _air(temperature, low, high, log, humidity, local, begin)
    library = Library(own=home_folder())
    answer = ask(library, schedule, names, air, begin, level=level or LIKELY, amount_ml=amount, area_m2=area)
    if as_json:
        say_json(times_view(answer, local))
    else:
        _print(answer, local)


def _read_log(path: Path, zone: str, day_first: bool | None) -> Series:
    from finishing.exchange.readings import read_log

    log = read_log(path, zone=zone, day_first=day_first)
    hours = np.asarray(log.seconds, dtype=float) / 3600.0
    if len(hours) < 2:
        raise BadInput("--readings", str(path), "a log with two readings or more")
    return Series(hours, log.temperature_c, log.humidity_pct)


def _air(
    temperature: float | None,
    low: float | None,
    high: float | None,
    log: Series | None,
    humidity: float,
    zone: str,
    start: float,
) -> PlaceAir:
    ways = [temperature is not None, low is not None or high is not None, log is not None]
    if sum(ways) != 1:
        raise BadInput("the air", f"{sum(ways)} of three", "one of --temperature, --low with --high, or --readings")
    if log is not None:
        return read_air(log, humidity, zone, start)
    if temperature is not None:
        return steady_air(temperature, humidity, start)
    if low is None or high is None:
        raise BadInput("--low" if low is None else "--high", None, "both --low and --high")
    return daily_air(low, high, humidity, zone, start)


def _print(answer: Answer, zone: str) -> None:
    question = answer.question
    woods = ", ".join(wood.name for wood in question.woods)
    say(f"{question.schedule.title}")
    say(f"on {woods}, from {_clock(question.start, zone)}")
    say()
    rows = [_row(coat, question.schedule, zone) for coat in answer.ahead.coats]
    table(rows, ("coat", "finish", "on at", "dry to touch", "recoat from", "until", "count on it by"))
    say()
    for release in Release:
        when = answer.ahead.releases[release]
        after = "" if when is None else f"   after {show_duration(when - question.start)}"
        say(f"{RELEASE_WORDS[release]:<16} {'no date' if when is None else _clock(when, zone)}{after}")
    say()
    _print_factors(answer)
    for caution in answer.cautions:
        say(f"! {spoken(caution.text, options.typed_units())}")
    for note in answer.notes:
        say(f"  {note}")


def _row(coat: Coat, schedule: Schedule, zone: str) -> list[str]:
    recoat, touch = coat.stages[Stage.DRY_TO_RECOAT], coat.stages[Stage.DRY_TO_TOUCH]
    side = "" if coat.face == "both" else f" {coat.face.value}"
    window = coat.window
    begun = [
        f"{coat.number}{side}",
        coat.finish.name,
        _clock(coat.at, zone),
        "-" if touch is None or touch.likely is None else f"+{show_duration(touch.likely - coat.at)}",
    ]
    if not schedule.recoated(coat.step):  # no coat follows, so none waits for it
        return [*begun, "-", "-", "-"]
    return [
        *begun,
        "no date"
        if window.opens is None
        else f"{_clock(window.opens, zone)} (+{show_duration(window.opens - coat.at)})",
        "any time"
        if window.opens and window.shuts is None
        else "-"
        if window.shuts is None
        else _clock(window.shuts, zone),
        "-" if recoat is None or recoat.count_on is None else _clock(recoat.count_on, zone),
    ]


def _print_factors(answer: Answer) -> None:
    slow = max((c.factors for c in answer.ahead.coats), key=lambda f: f.species.factor, default=None)
    if slow is None:
        return
    wood = f" ({slow.species.limiting}, an estimate)" if slow.species.factor != 1.0 else ""
    say(f"slowed by the woods ×{number(slow.species.factor, 2)}{wood}, film {number(slow.film_ratio, 2)} of the usual")


def _clock(hour: float, zone: str) -> str:
    return at_zone(hour, zone).format("ddd D MMM HH:mm")
