"""A batch as the core sees it, and the entries of its record.

Instants are hours since the epoch (see `finishing.clock`). Entries are facts in the past tense; a mistake is
voided by another entry, and both stay.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from finishing.cure.finish import Finish, between
from finishing.cure.schedule import Schedule
from finishing.cure.species import ClassTable, Species
from finishing.cure.terms import Face, Release, Stage


class Shape(StrEnum):
    """Outline of a piece."""

    RECTANGLE = "rectangle"
    ROUND = "round"


@dataclass(frozen=True, slots=True)
class Size:
    """A piece's size [mm]. A round piece has its diameter as length and width."""

    length_mm: float
    width_mm: float
    thickness_mm: float
    shape: Shape = Shape.RECTANGLE

    def __post_init__(self) -> None:
        for name in ("length_mm", "width_mm", "thickness_mm"):
            between(name, getattr(self, name), 0.5, 3000.0, "a size from 0.5 to 3,000 mm")

    def area_m2(self, face: Face = Face.BOTH) -> float:
        """Area coated [m²]: the faces meant; edges go with the top."""
        if self.shape is Shape.ROUND:
            one, edges = math.pi * self.length_mm**2 / 4, math.pi * self.length_mm * self.thickness_mm
        else:
            one = self.length_mm * self.width_mm
            edges = 2 * (self.length_mm + self.width_mm) * self.thickness_mm
        total = {Face.BOTH: 2 * one + edges, Face.TOP: one + edges, Face.BOTTOM: one}[face]
        return total / 1e6


@dataclass(frozen=True, slots=True)
class Batch:
    """Pieces of one design finished together, with the frozen schedule, finishes and woods it began with.

    coated_m2: the whole coated area [m²], where it is known without a size.
    """

    code: str
    schedule: Schedule
    finishes: dict[str, Finish]
    woods: tuple[Species, ...]
    classes: ClassTable
    place: str
    pieces: int = 1
    size: Size | None = None
    wanted_by: float | None = None
    coated_m2: float | None = None

    def area_m2(self, face: Face = Face.BOTH) -> float | None:
        """Area of all pieces [m²], None when neither it nor a size was given."""
        if self.coated_m2 is not None:
            return self.coated_m2 if face is Face.BOTH else self.coated_m2 / 2
        return None if self.size is None else self.size.area_m2(face) * self.pieces


class Finding(StrEnum):
    """What the finger found."""

    TACKY = "tacky"
    DRY = "dry"


@dataclass(frozen=True, slots=True)
class Entry:
    """What every entry has: its number in the record (rising) and when it happened (hour)."""

    number: int
    at: float


@dataclass(frozen=True, slots=True)
class CoatEntry(Entry):
    """A coat was put on: which step of the schedule, how much [mL], and whether it was wiped back.

    minutes_each: hands-on minutes a piece it took, where they were timed.
    """

    step: int
    amount_ml: float | None = None
    wiped_back: bool = True
    minutes_each: float | None = None


@dataclass(frozen=True, slots=True)
class StepEntry(Entry):
    """Any other step was done: prepare, clean, wipe, turn, abrade, buff, rest. minutes_each: as of a coat."""

    step: int
    minutes_each: float | None = None


@dataclass(frozen=True, slots=True)
class AbradeEntry(Entry):
    """Faces were abraded, as a step of the schedule or between (to reopen a shut window)."""

    face: Face = Face.BOTH
    grit: int | None = None
    step: int | None = None


@dataclass(frozen=True, slots=True)
class TestEntry(Entry):
    """A touch test of the last coat on a face: for which stage, and what was found."""

    __test__ = False

    stage: Stage
    finding: Finding
    face: Face = Face.BOTH


@dataclass(frozen=True, slots=True)
class MoveEntry(Entry):
    """The batch went to another place."""

    place: str


@dataclass(frozen=True, slots=True)
class ReleaseEntry(Entry):
    """The maker released the batch: to be handled, packed or used."""

    release: Release


@dataclass(frozen=True, slots=True)
class HoldEntry(Entry):
    """The batch was put on hold, or taken off it."""

    on: bool = True


@dataclass(frozen=True, slots=True)
class CloseEntry(Entry):
    """The batch left the shop, or was given up."""


@dataclass(frozen=True, slots=True)
class VoidEntry(Entry):
    """An earlier entry, by number, does not hold. instead: the number of the one that a correction put in its place."""

    voids: int
    instead: int | None = None


def voided_by(entries: Sequence[Entry]) -> dict[int, int]:
    """Number of each entry that does not hold, and of the one that voids it.

    A void can itself be voided (an undo of an undo); later voids are read first.
    """
    dead: dict[int, int] = {}
    for entry in sorted(entries, key=lambda e: e.number, reverse=True):
        if isinstance(entry, VoidEntry) and entry.number not in dead:
            dead.setdefault(entry.voids, entry.number)
    return dead


def standing(entries: list[Entry]) -> list[Entry]:
    """Entries that hold, in order of when they happened: without the voided, the voids themselves, or both.

    Coats of one hour come in the order of the schedule, as an earlier one may have been entered anew after a later.
    """
    dead = voided_by(entries)
    alive = sorted(
        (e for e in entries if e.number not in dead and not isinstance(e, VoidEntry)), key=lambda e: (e.at, e.number)
    )
    coats = sorted((e for e in alive if isinstance(e, CoatEntry)), key=lambda e: (e.at, e.step, e.number))
    in_turn = iter(coats)
    return [next(in_turn) if isinstance(e, CoatEntry) else e for e in alive]
