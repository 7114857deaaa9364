"""What an entry put right does to the order of the others, and to how each stood when it was done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from finishing.cure.climate import PlaceAir
from finishing.cure.progress import folded
from finishing.cure.work import AbradeEntry, CloseEntry, CoatEntry, Entry, ReleaseEntry, StepEntry, standing
from finishing.errors import BadInput
from finishing.shop import heed
from finishing.shop.allowed import sure_time
from finishing.shop.entry_words import entry_words
from finishing.shop.shop import Standing
from finishing.shop.words import short_time, step_words

Step = CoatEntry | StepEntry | AbradeEntry


def check_order(batch: Standing, old: Entry, new: Entry, shown: str, zone: str, now: float) -> None:
    """Refuse a coat later than what rests on it: its wipe-off, an abrading of it, a release; and all that lies after
    the closing. The record would take none of those before it either."""
    for entry in standing(batch.entries):
        rests = isinstance(entry, CloseEntry) or (isinstance(new, CoatEntry) and _rests(batch, entry, new))
        if rests and entry.number != old.number and old.at <= entry.at < new.at:
            expected = f"a time before {_named(batch, entry)}, {sure_time(entry.at, zone, now)}"
            raise BadInput("time", shown, expected, f"if that was later too, put entry {entry.number} right first")


def _rests(batch: Standing, entry: Entry, coat: CoatEntry) -> bool:
    """Whether an entry says something of a coat that can't be before it is on."""
    if isinstance(entry, ReleaseEntry):
        return coat.step == batch.batch.schedule.coat_steps[-1]
    if isinstance(entry, AbradeEntry) and entry.step is None:
        on = [e.step for e in standing(batch.entries) if isinstance(e, CoatEntry)]
        return coat.step == min(on)  # between coats: of the first there is none below it
    return isinstance(entry, StepEntry | AbradeEntry) and entry.step is not None and entry.step > coat.step


def after(batch: Standing, old: Entry, new: Entry, air: Mapping[str, PlaceAir], zone: str, now: float) -> str:
    """What to heed once an entry is otherwise, as when it is recorded: of itself, and of those that came after it.

    batch: as it stood before; air: of its places, from the first of its entries on. Only what was not so before.
    """
    was = standing(batch.entries)
    new = replace(new, number=old.number)
    are = standing([new if entry.number == old.number else entry for entry in batch.entries])
    said = _crossed(batch, was, old, new, zone, now)
    before = _heeded(batch, was, air, min(old.at, new.at), zone)
    for number, (entry, words) in _heeded(batch, are, air, min(old.at, new.at), zone).items():
        if words and words != before.get(number, (entry, ""))[1]:
            whose = "" if number == new.number else f"{_named(batch, entry)}, {short_time(entry.at, zone, now)}: "
            said.append(f"{whose}{words}")
    return "; ".join(said)


def _heeded(
    batch: Standing, alive: list[Entry], air: Mapping[str, PlaceAir], since: float, zone: str
) -> dict[int, tuple[Entry, str]]:
    """By number each step done from an hour on, and what was to heed as it was: by what came before it alone."""
    found: dict[int, tuple[Entry, str]] = {}
    for i, entry in enumerate(alive):
        if isinstance(entry, Step) and entry.step is not None and entry.at >= since:
            then = folded(batch.batch, alive[:i], air, batch.fold.shop, batch.fold.level)
            found[entry.number] = entry, heed.after(replace(batch, fold=then), entry.step, entry.at, zone)
    return found


def _crosses(entry: Entry, new: Entry) -> bool:
    """Whether a step of the schedule stands on the wrong side of another."""
    if not (isinstance(entry, Step) and isinstance(new, Step)) or entry.step is None or new.step is None:
        return False
    return (entry.step > new.step and entry.at < new.at) or (entry.step < new.step and entry.at > new.at)


def _crossed(batch: Standing, was: list[Entry], old: Entry, new: Entry, zone: str, now: float) -> list[str]:
    """The first step that comes on the wrong side of it; those behind that follow from it."""
    entry = next((e for e in was if _crosses(e, new) and not _crosses(e, old)), None)
    if entry is None:
        return []
    side = "before" if entry.at < new.at else "after"
    return [f"{_named(batch, entry)}, {short_time(entry.at, zone, now)}, stands {side} it"]


def _named(batch: Standing, entry: Entry) -> str:
    """A step as the schedule has it, anything else as the record has it."""
    step = entry.step if isinstance(entry, Step) else None
    return entry_words(batch, entry) if step is None else step_words(batch.batch.schedule, step)
