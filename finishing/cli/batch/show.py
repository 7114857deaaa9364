"""`finishing batch show`."""

from __future__ import annotations

from collections.abc import Mapping

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import number, say, say_json, table
from finishing.clock import now_hour
from finishing.cure.coat import Coat
from finishing.cure.fold import Fold
from finishing.cure.progress import Progress
from finishing.cure.terms import Release, Stage
from finishing.shop.promise import Promise
from finishing.shop.record import entry_words, next_line
from finishing.shop.sheets import batch_view, corrected, earliest, step_state, voided
from finishing.shop.shop import Standing
from finishing.shop.window_words import abraded_words
from finishing.shop.words import RELEASE_WORDS, short_time, size_words, step_words, unrecorded_words
from finishing.units import show_area, show_duration, spoken


@click.command()
@click.argument("code")
@options.as_json
def show(code: str, as_json: bool) -> None:
    """Everything about batch CODE: steps, coats with their stages and windows, reasons, cautions and record.

    Each stage of a coat has three times: could be (2 in 10 such coats are there), likely (half), count on (9 in 10).
    """
    now = now_hour()
    with open_shop(now) as shop:
        standing, why = shop.standing(code, now), shop.reasons(code, now)
        settings, promise = shop.settings, shop.promise(code, now)
    if as_json:
        say_json(batch_view(standing, why, now, settings.zone))
        return
    p = standing.progress(now)
    _head(standing, p, now, settings.zone, settings.units, promise)
    for line in why:
        say(f"  {line}")
    for caution in p.cautions:
        say(f"! {spoken(caution.text, settings.units)}")
    _steps(p, now, settings.zone)
    for coat in p.coats:
        _coat(standing.fold, coat, now, settings.zone, recoated=standing.batch.schedule.recoated(coat.step))
    _releases(p, earliest(standing, now), now, settings.zone)
    _record(standing, now, settings.zone, settings.units)


def _head(standing: Standing, p: Progress, now: float, zone: str, units: str, promise: Promise | None) -> None:
    row = standing.row
    say(f"{row.code}: {row.what} ×{row.pieces}")
    say("  " + ", ".join(f"{wood.species} {number(wood.share * 100, 0)} %" for wood in row.woods))
    if row.size is not None:
        area = standing.batch.area_m2() or 0.0
        say(f"  {size_words(row.size, units)} each, {show_area(area, units)} in all")
    say(f"  {standing.batch.schedule.title} ({row.schedule}), in {p.place}")
    if promise is not None:
        say(f"  {promise.words(zone, now)}")
    elif row.wanted_by is not None:
        say(f"  wanted {short_time(row.wanted_by, zone, now)}")
    if row.note:
        say(f"  {row.note}")
    if p.closed is not None:
        say(f"closed {short_time(p.closed, zone, now)}")
        return
    say(f"next: {next_line(p, now, zone)}{', on hold' if p.held else ''}")


def _steps(p: Progress, now: float, zone: str) -> None:
    say()
    rows = [
        (
            step_state(p, step.position),
            step_words(p.batch.schedule, step.position, p.batch.finishes),
            unrecorded_words(p, step, zone) if step.at is None else short_time(step.at, zone, now),
        )
        for step in p.steps
    ]
    table(rows, ("STEPS", "", ""))


def _coat(fold: Fold, coat: Coat, now: float, zone: str, *, recoated: bool) -> None:
    say()
    side = "" if coat.face == "both" else f", {coat.face.value}"
    say(f"COAT {coat.number}{side}  {coat.finish.title}, on {short_time(coat.at, zone, now)}")
    if coat.undated:
        say("  no dates: on this wood it may never harden; test with a finger")
        return
    rows = []
    for stage in Stage:
        time = coat.stages.get(stage)
        if time is None:
            continue
        marks = [time.could_be, time.likely, time.count_on]
        cells = ["never in this air" if hour is None else short_time(hour, zone, now) for hour in marks]
        found = "" if time.seen is None else short_time(time.seen, zone, now)
        rows.append((stage.words, show_duration(time.stated_hours), *cells, found))
    table(rows, ("stage", "stated", "could be", "likely", "count on", "found"), indent="  ")
    if recoated:
        say(f"  {_window_words(fold, coat, now, zone)}")


def _window_words(fold: Fold, coat: Coat, now: float, zone: str) -> str:
    window = coat.window
    if window.opens is None:
        return "the next coat has no date"
    shuts = "never shuts" if window.shuts is None else f"shuts {short_time(window.shuts, zone, now)}"
    tight = " (tight: feel the film early)" if window.tight else ""
    abraded = abraded_words(fold, coat)
    kept = f"; {abraded}" if abraded else tight
    return f"for the next coat it opens {short_time(window.opens, zone, now)} and {shuts}{kept}"


def _releases(p: Progress, could_be: Mapping[Release, float | None], now: float, zone: str) -> None:
    say()
    for release in Release:
        when, soonest = p.releases[release], could_be[release]
        words = "not known yet" if soonest is None else f"from {short_time(soonest, zone, now)}"
        if when is None and soonest is not None:
            words += ", if each step is done as soon as it may be"
        if release in p.said:
            words = f"since you said so {short_time(p.said[release], zone, now)}"
        say(f"{RELEASE_WORDS[release]:<16} {words}")


def _record(standing: Standing, now: float, zone: str, units: str) -> None:
    say()
    dead, instead = voided(standing), corrected(standing)
    rows = []
    for recorded in standing.row.record:
        entry = recorded.entry
        now_in = f", now entry {instead[entry.number]}" if entry.number in instead else ""
        void = f"void, by entry {dead[entry.number]}{now_in}" if entry.number in dead else ""
        can = "" if recorded.can_id is None else f"can {recorded.can_id}"
        about = ", ".join(part for part in (recorded.maker, can, void) if part)
        rows.append((str(entry.number), short_time(entry.at, zone, now), entry_words(standing, entry, units), about))
    if rows:
        table(rows, ("RECORD", "", "", ""))
    else:
        say("RECORD  nothing yet")
