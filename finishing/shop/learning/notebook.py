"""What touch tests came to, kept beside the record so that no look reads closed batches again.

It is no part of the record: whatever it holds follows from the record and the readings, and it is made anew when it is
missing, unreadable, of another database or of another version of the program.
"""

from __future__ import annotations

import hashlib
import json
import math
import os
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from finishing.cure.learn import Observation
from finishing.cure.terms import Extractives, Mechanism, Stage
from finishing.store.location import Location

VERSION = 3
"""Raised whenever the same touch tests come to something else."""

NAME = "touch-tests.json"


@dataclass(frozen=True, slots=True)
class Leaf:
    """One batch's observations. left_out: tests not counted. soft: looks that no reading covers yet."""

    observations: tuple[Observation, ...]
    left_out: tuple[int, ...] = ()
    soft: bool = False

    @property
    def last(self) -> float:
        """The hour of the last look."""
        return max((o.at for o in self.observations), default=0.0)


@dataclass(slots=True)
class Notebook:
    """seen, stamp: the newest entry taken in, and when it was written down. air: signature of the readings taken in.

    left: number and hour of the newest leaving-out of readings taken in. pending: ids of batches still to be read,
    newest first. leaves: by a batch's id.
    """

    seen: int = 0
    stamp: float = 0.0
    air: str = ""
    left: tuple[int, float] = (0, 0.0)
    pending: list[int] = field(default_factory=list)
    leaves: dict[int, Leaf] = field(default_factory=dict)


def load(location: Location) -> Notebook | None:
    """The notebook of a database; None if there is none that can be used."""
    try:
        found = json.loads(_file(location).read_text("utf-8"))
        if found["version"] != VERSION or found["of"] != _of(location):
            return None
        leaves = {int(i): _leaf(leaf) for i, leaf in found["leaves"].items()}
        number, at = found.get("left", (0, 0.0))
        return Notebook(found["seen"], found["stamp"], found["air"], (number, at), found["pending"], leaves)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def save(location: Location, notebook: Notebook) -> bool:
    """Keep it, whole or not at all. False where the folder can't be written to: then it is made anew next time."""
    body = {
        "version": VERSION,
        "of": _of(location),
        "seen": notebook.seen,
        "stamp": notebook.stamp,
        "air": notebook.air,
        "left": notebook.left,
        "pending": notebook.pending,
        "leaves": {str(i): _leaf_row(leaf) for i, leaf in notebook.leaves.items()},
    }
    file = _file(location)
    part = file.with_name(f".{file.name}.{os.getpid()}.part")
    try:
        handle = os.open(part, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            out.write(json.dumps(body, separators=(",", ":")))  # at once: `dump` goes piece by piece in Python
        os.replace(part, file)
    except OSError:
        return False
    finally:
        with suppress(OSError):  # on a disk that may only be read not even what isn't there can be removed
            part.unlink(missing_ok=True)
    return True


def drop(location: Location) -> None:
    """Forget it, so that all is read again."""
    _file(location).unlink(missing_ok=True)


def _file(location: Location) -> Path:
    return location.home / NAME


def _of(location: Location) -> str:
    """Which database it is of, without giving away a password."""
    return hashlib.sha256(location.url.encode()).hexdigest()[:16]


def _leaf_row(leaf: Leaf) -> list[Any]:
    return [list(leaf.left_out), leaf.soft, [_row(o) for o in leaf.observations]]


def _leaf(row: list[Any]) -> Leaf:
    left_out, soft, rows = row
    return Leaf(tuple(_observation(r) for r in rows), tuple(left_out), soft)


def _row(o: Observation) -> list[Any]:
    return [
        o.finish, o.mechanism.value, o.spread, o.noise, o.woods.value, o.woods_spread, o.never, o.low,
        None if math.isinf(o.high) else o.high, o.at, o.batch, o.coat, o.entry, list(o.tests),
        [s.value for s in o.stages], o.pieces, o.clashing, o.split_of,
    ]  # fmt: skip


def _observation(row: list[Any]) -> Observation:
    (finish, mechanism, spread, noise, woods, woods_spread, never, low, high, at, batch, coat, entry, tests,
     stages, pieces, clashing, split_of) = row  # fmt: skip
    return Observation(
        finish, Mechanism(mechanism), spread, noise, Extractives(woods), woods_spread, never, low,
        math.inf if high is None else high, at, batch, coat, entry, tuple(tests),
        tuple(Stage(s) for s in stages), pieces, clashing, None if split_of is None else tuple(split_of),
    )  # fmt: skip
