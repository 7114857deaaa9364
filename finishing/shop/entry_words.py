"""Entries in a few words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishing.cure.schedule import Schedule
from finishing.cure.work import (
    AbradeEntry,
    CloseEntry,
    CoatEntry,
    Entry,
    HoldEntry,
    MoveEntry,
    ReleaseEntry,
    StepEntry,
    TestEntry,
    VoidEntry,
)
from finishing.shop.shop import Standing
from finishing.shop.split import split_words
from finishing.shop.words import step_words
from finishing.store.kinds import ChangeEntry, NoteEntry, SplitEntry
from finishing.units import show_volume


def entry_words(batch: Standing, entry: Entry, units: str = "metric") -> str:
    """An entry in a few words."""
    return words_of(batch.batch.schedule, entry, units)


def words_of(schedule: Schedule, entry: Entry, units: str = "metric") -> str:
    """An entry in a few words, by the schedule of its batch."""
    match entry:
        case CoatEntry(step=step, amount_ml=amount):
            return step_words(schedule, step) + (f", {show_volume(amount, units)}" if amount else "")
        case StepEntry(step=step):
            return step_words(schedule, step)
        case AbradeEntry(grit=grit):
            return f"abraded P{grit}" if grit else "abraded"
        case TestEntry(stage=stage, finding=finding):
            return f"touch test: {finding.value} for {stage.words}"
        case MoveEntry(place=place):
            return f"moved to {place}"
        case ReleaseEntry(release=what):
            return f"released to {what.value}"
        case HoldEntry(on=on):
            return "on hold" if on else "off hold"
        case CloseEntry():
            return "closed"
        case VoidEntry(voids=voids, instead=None):
            return f"voided entry {voids}"
        case VoidEntry(voids=voids, instead=instead):
            return f"corrected entry {voids}: it is entry {instead} now"
        case NoteEntry(text=text):
            return f"note: {text}"
        case ChangeEntry(was=was, now=now):
            return f"changed: {'; '.join(change_words(was, now))}"
        case SplitEntry():
            return split_words(entry)
        case _:
            return type(entry).__name__


def change_words(was: Mapping[str, Any], now: Mapping[str, Any]) -> list[str]:
    """What is otherwise than it was, a field each: "pieces 10, was 12"."""
    return [
        f"{name} {field_words(name, now[name])}, was {field_words(name, was[name])}" for name in now if name in SHOWN
    ]


SHOWN = ("what", "pieces", "size", "woods", "schedule", "wanted", "priority", "note")
"""Fields that a maker knows."""


def field_words(name: str, value: Any) -> str:
    """One field as a change has it."""
    if value is None or value == "":
        return "none"
    match name:
        case "size":
            *sides, shape = value
            shown = [f"{side:g}" for side in (sides[1:] if shape == "round" else sides)]
            return f"{'round ' if shape == 'round' else ''}{' × '.join(shown)} mm"
        case "woods":
            return ", ".join(f"{wood} {share:.0%}" for wood, share in value)
        case "wanted":
            return str(value)[:16].replace("T", " ")
        case _:
            return str(value)
