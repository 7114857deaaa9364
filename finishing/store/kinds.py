"""The kinds of entry: how the core's facts lie in a row, and come back out.

A row's `body` holds what only its kind has, under keys that never change their meaning.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from finishing.cure.terms import Face, Release, Stage
from finishing.cure.work import (
    AbradeEntry,
    CloseEntry,
    CoatEntry,
    Entry,
    Finding,
    HoldEntry,
    MoveEntry,
    ReleaseEntry,
    StepEntry,
    TestEntry,
    VoidEntry,
)
from finishing.errors import StoreTrouble

COAT, STEP, ABRADE, TEST, MOVE = "coat", "step", "abrade", "test", "move"
RELEASE, HOLD, CLOSE, VOID = "release", "hold", "close", "void"
NOTE, SPLIT, CHANGE = "note", "split", "change"

MINUTES = "minutes_each"
"""Key of the hands-on minutes a piece, in the body of a coat or step that was timed."""

INSTEAD = "instead"
"""Key of the number of the entry that holds in place of the voided one, in the body of a void that corrects."""


@dataclass(frozen=True, slots=True)
class NoteEntry(Entry):
    """Something worth keeping, in words."""

    text: str


@dataclass(frozen=True, slots=True)
class SplitEntry(Entry):
    """Pieces went from this batch to another (`to`: its code)."""

    to: str
    pieces: int


@dataclass(frozen=True, slots=True)
class ChangeEntry(Entry):
    """What the batch itself is was put otherwise: the fields that changed as they were, and as they are (`changes`)."""

    was: dict[str, Any]
    now: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Columns:
    """The part of a row that the kind decides."""

    kind: str
    body: dict[str, Any]
    step: int | None = None
    voids: int | None = None
    amount_ml: float | None = None


def columns_of(entry: Entry) -> Columns:
    """An entry as columns. TypeError for a kind the store does not know."""
    match entry:
        case CoatEntry(step=step, amount_ml=amount, wiped_back=wiped, minutes_each=minutes):
            return Columns(COAT, {"wiped_back": wiped, **_timed(minutes)}, step=step, amount_ml=amount)
        case StepEntry(step=step, minutes_each=minutes):
            return Columns(STEP, _timed(minutes), step=step)
        case AbradeEntry(face=face, grit=grit, step=abraded):
            return Columns(ABRADE, {"face": face.value, "grit": grit}, step=abraded)
        case TestEntry(stage=stage, finding=finding, face=face):
            return Columns(TEST, {"stage": stage.value, "finding": finding.value, "face": face.value})
        case VoidEntry(voids=voids, instead=instead):
            return Columns(VOID, {} if instead is None else {INSTEAD: instead}, voids=voids)
        case _:
            return _of_the_batch(entry)


def _timed(minutes: float | None) -> dict[str, Any]:
    return {} if minutes is None else {MINUTES: minutes}


def _of_the_batch(entry: Entry) -> Columns:
    """What is about the batch as a whole rather than a coat."""
    match entry:
        case MoveEntry(place=place):
            return Columns(MOVE, {"place": place})
        case ReleaseEntry(release=release):
            return Columns(RELEASE, {"release": release.value})
        case HoldEntry(on=on):
            return Columns(HOLD, {"on": on})
        case CloseEntry():
            return Columns(CLOSE, {})
        case NoteEntry(text=text):
            return Columns(NOTE, {"text": text})
        case SplitEntry(to=to, pieces=pieces):
            return Columns(SPLIT, {"to": to, "pieces": pieces})
        case ChangeEntry(was=was, now=now):
            return Columns(CHANGE, {"was": was, "now": now})
        case _:
            raise TypeError(f"no kind of entry: {type(entry).__name__}")


def entry_of(number: int, at: float, columns: Columns) -> Entry:
    """The entry of a row. StoreTrouble for a row this program can't read."""
    try:
        return _entry(number, at, columns, columns.body)
    except (KeyError, ValueError) as error:
        raise StoreTrouble(f"entry {number} of the record ({columns.kind}) can't be read: {error}") from error


def _entry(number: int, at: float, columns: Columns, body: dict[str, Any]) -> Entry:
    step = columns.step
    match columns.kind:
        case "coat" if step is not None:
            return CoatEntry(number, at, step, columns.amount_ml, body["wiped_back"], body.get(MINUTES))
        case "step" if step is not None:
            return StepEntry(number, at, step, body.get(MINUTES))
        case "abrade":
            return AbradeEntry(number, at, Face(body["face"]), body["grit"], step)
        case "test":
            return TestEntry(number, at, Stage(body["stage"]), Finding(body["finding"]), Face(body["face"]))
        case "void" if columns.voids is not None:
            return VoidEntry(number, at, columns.voids, body.get(INSTEAD))
        case "move":
            return MoveEntry(number, at, body["place"])
        case "release":
            return ReleaseEntry(number, at, Release(body["release"]))
        case "hold":
            return HoldEntry(number, at, body["on"])
        case "close":
            return CloseEntry(number, at)
        case "note":
            return NoteEntry(number, at, body["text"])
        case "split":
            return SplitEntry(number, at, body["to"], body["pieces"])
        case "change":
            return ChangeEntry(number, at, body["was"], body["now"])
        case _:
            raise ValueError("unknown kind")
