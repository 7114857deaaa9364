"""What the shop's calendar holds, and what of it was sent before.

What was sent is kept in the database rather than read back from the file: a calendar program may take the file away,
and the count of an event's changes must never fall back. It is on disk before the file is written, so that a count is
never used twice.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, BinaryIO

import pendulum

from finishing.clock import at_zone, hour_of
from finishing.cure.fold import WAITS, Next, State
from finishing.cure.terms import Release, StepKind
from finishing.cure.work import CloseEntry, standing
from finishing.errors import BadInput
from finishing.exchange.calendar import Happening, Sent, updated, written
from finishing.exchange.files import writing
from finishing.shop.learning.paces import Paces, paced, paces
from finishing.shop.plan import kept
from finishing.shop.shop import Shop, Standing
from finishing.shop.words import RELEASE_WORDS, step_words
from finishing.store import settings as stored
from finishing.store.work import Store
from finishing.units import counted

SENT, IDENTITY, SAMPLES = "calendar_sent", "calendar_shop", "own_samples"

SHOWN_HOURS = 0.5
"""How long an instant is in the calendar, so that it can be seen there."""

SHUTS_MINUTES = 120
WIPE_MINUTES = 5
MORNING_MINUTES = -9 * 60
"""Rung before a window shuts; before a wipe-off; at nine on a day without an hour."""

BEGINS = b"BEGIN:VCALENDAR"
"""How a file begins that may be replaced."""

LAST_DAY = 28
"""Every month has this day; a monthly repeat from a later one would skip some."""


@dataclass(frozen=True, slots=True)
class CalendarMade:
    """What a calendar file holds: events new, changed, cancelled and unchanged since the last; notes in words."""

    file: Path
    new: int
    changed: int
    cancelled: int
    unchanged: int
    notes: tuple[str, ...]


def samples(shop: Shop) -> tuple[str, ...]:
    """Codes of the batches of which the maker keeps a piece to watch it age."""
    with shop.store.read() as r:
        found = stored.all_settings(r).get(SAMPLES)
    return tuple(str(code) for code in found) if isinstance(found, list) else ()


def keep_sample(shop: Shop, code: str, keep: bool, now: float) -> str:
    """Say that the maker keeps a piece of a batch, or no longer does. NotFound for an unknown batch."""
    known = shop.standing(code, now).row.code
    codes = [c for c in samples(shop) if c != known]
    if not keep and len(codes) == len(samples(shop)):
        raise BadInput("sample", code, "a batch of which you keep a piece")
    with shop.store.write() as w:
        stored.put(w, SAMPLES, [*codes, known] if keep else codes, now)
        w.commit()
    shop.forget()
    return f"{known}: {'one piece stays here, to be re-oiled' if keep else 'no piece stays here any more'}, on record"


@dataclass(frozen=True, slots=True)
class Ahead:
    """What a calendar is to hold, worked out at one look at the shop: so that it may be written beside the shop."""

    happenings: tuple[Happening, ...]
    zone: str
    name: str
    notes: tuple[str, ...]


def look_ahead(shop: Shop, now: float, notes: Sequence[str] = ()) -> Ahead:
    """Everything that is to come. notes: what is to be said before what has no date."""
    said = list(notes)
    found = tuple(happening(shop, now, said))
    name = "finishing (invented)" if shop.invented else "finishing"
    return Ahead(found, shop.settings.zone, name, tuple(said))


def export_calendar(
    shop: Shop, file: Path, now: float, *, keep: Sequence[str] = (), drop: Sequence[str] = ()
) -> CalendarMade:
    """Write the calendar; in place of one written before, which it updates. BadInput if the file can't be written.

    keep, drop: codes of batches of which a piece stays here, or no longer does.
    """
    with writing(file, "file", BEGINS) as out:
        notes = [keep_sample(shop, code, True, now) for code in keep]
        notes += [keep_sample(shop, code, False, now) for code in drop]
        made = _write(shop.store, look_ahead(shop, now, notes), file, out, now)
    shop.forget()
    return made


def write_ahead(shop: Shop, ahead: Ahead, file: Path, now: float) -> CalendarMade:
    """Write what was seen ahead, as `export_calendar` does: asks the store alone, so that a thread may do it."""
    with writing(file, "file", BEGINS) as out:
        return _write(shop.store, ahead, file, out, now)


def _write(store: Store, ahead: Ahead, file: Path, out: BinaryIO, now: float) -> CalendarMade:
    with store.write() as w:
        known = stored.all_settings(w)
        identity = known.get(IDENTITY) or str(uuid.uuid4())
        before = {key: _sent(row) for key, row in (known.get(SENT) or {}).items()}
        sent = updated(before, ahead.happenings, now)
        stored.put(w, IDENTITY, identity, now)
        stored.put(w, SENT, {key: asdict(one) for key, one in sent.items()}, now)
        w.commit()
    out.write(written(sent, uuid.UUID(identity), ahead.zone, ahead.name))
    fresh = [one for key, one in sent.items() if before.get(key) != one]
    off = sum(one.cancelled for one in fresh)
    new = sum(key not in before for key in sent)
    return CalendarMade(file, new, len(fresh) - off - new, off, len(sent) - len(fresh), ahead.notes)


def _sent(row: dict[str, Any]) -> Sent:
    return Sent(Happening(**row["what"]), row["sequence"], row["revised"], row["cancelled"])


def happening(shop: Shop, now: float, notes: list[str]) -> Iterator[Happening]:
    """What is to come: windows, planned wipe-offs, releases, re-oiling of samples. notes: what has no date, and why."""
    rack = shop.rack(now)
    plan = kept.plan(shop)
    pace = {} if plan is None else paces(shop)
    for batch in rack.standings.values():
        progress = batch.progress(now)
        if progress.held:
            notes.append(f"{batch.row.code} is on hold: nothing of it is in the calendar")
            continue
        if progress.next is not None:
            yield from _window(batch, progress.next, now)
        if plan is not None:
            yield from _wipes(batch, plan.begins.get(batch.row.code, {}), pace, now)
        for release in Release:
            when = progress.releases[release]
            if when is not None and when > now and release not in progress.said:
                words = f"{batch.row.code} {batch.row.what}: {RELEASE_WORDS[release]}"
                yield _instant(batch, f"release/{release.value}", when, words, 0)
    for code in samples(shop):
        found = _reoiling(shop, code, now)
        if isinstance(found, str):
            notes.append(found)
        else:
            yield found


def _window(batch: Standing, following: Next, now: float) -> Iterator[Happening]:
    words = f"{batch.row.code} {batch.row.what}: {step_words(batch.batch.schedule, following.position)}"
    step = f"step/{following.position}"
    if following.state is State.WAITING and following.opens is not None and following.opens > now:
        yield _instant(batch, f"{step}/opens", following.opens, f"{words} opens", 0)
    if following.state in (State.OPEN, State.WAITING) and following.shuts is not None and following.shuts > now:
        early = WIPE_MINUTES if following.step.kind is StepKind.WIPE else SHUTS_MINUTES
        yield _instant(batch, f"{step}/shuts", following.shuts, f"{words} shuts", early)


def _wipes(batch: Standing, begins: Any, pace: Paces, now: float) -> Iterator[Happening]:
    """Wipe-offs of the plan kept: each from when the first piece may be wiped until it must have been."""
    steps, finishes = paced(batch.batch.schedule, pace).steps, batch.batch.finishes
    for name, hour in begins.items():
        positions = [int(part) for part in name.partition(".")[0].split("-")]
        for position in positions:
            if steps[position].kind is not StepKind.WIPE or position < batch.fold.reached:
                continue
            start, end = float(hour), float(hour) + SHOWN_HOURS
            coat = next((i for i in range(position - 1, -1, -1) if steps[i].kind not in WAITS), position)
            if coat in positions and (wipe := finishes[steps[coat].finish or ""].wipe) is not None:
                sooner = positions[: positions.index(coat)]
                pieces = batch.row.pieces
                first = sum(steps[i].setup_minutes + steps[i].minutes_per_piece * pieces for i in sooner)
                laid = float(hour) + (first + steps[coat].setup_minutes) / 60
                start, end = laid + wipe.from_minutes / 60, laid + wipe.to_minutes / 60
            if start > now:
                about = "planned; from when the first piece may be wiped until it must have been"
                words = f"{batch.row.code} {batch.row.what}: wipe off coat {batch.batch.schedule.coat_number(coat)}"
                key = f"{batch.row.code}/wipe/{name}/{position}"
                yield Happening(key, start, max(end, start + 0.1), words, about, WIPE_MINUTES)


def _instant(batch: Standing, key: str, hour: float, title: str, alarm: int) -> Happening:
    about = f"{counted(batch.row.pieces, 'piece')} in {batch.fold.place}. {batch.batch.schedule.title}."
    return Happening(f"{batch.row.code}/{key}", hour, hour + SHOWN_HOURS, title, about, alarm)


def _reoiling(shop: Shop, code: str, now: float) -> Happening | str:
    """A sample's re-oiling, all day, again and again; or why there is none."""
    batch = shop.standing(code, now)
    coats = batch.fold.coats
    if not coats:
        return f"{code}: no coat is on yet, so no re-oiling"
    schedule = batch.batch.schedule
    finish = batch.batch.finishes[schedule.steps[schedule.coat_steps[-1]].finish or ""]
    months = finish.care.reoil_months
    if months is None:
        return f"{code}: {finish.title} is not re-oiled"
    zone, every = shop.settings.zone, max(round(months), 1)
    used = batch.progress(now).releases[Release.USE]
    closed = [e.at for e in standing(batch.entries) if isinstance(e, CloseEntry)]
    from_ = used if used is not None else (closed[-1] if closed else coats[-1].at)
    local = at_zone(from_, zone).add(months=every)
    day = pendulum.datetime(local.year, local.month, min(local.day, LAST_DAY), tz=zone)
    about = f"{finish.title}. {finish.care.words}"
    title = f"{code} {batch.row.what}: re-oil your sample"
    return Happening(
        f"{code}/reoil", hour_of(day), hour_of(day.add(days=1)), title, about, MORNING_MINUTES, True, every
    )
