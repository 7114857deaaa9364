"""What can go wrong in words a maker can act on. Anything else that is raised is a bug.

FinishingError
├── BadInput       a field, its value, what was expected
│   └── NotFound   a name that isn't there, with the nearest that are
├── BadFile        a TOML or CSV file that can't be read as what it should be
└── StoreTrouble   the database is locked, damaged, newer than this program, or not writable
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches


class FinishingError(Exception):
    """A known problem: one line for the maker, and what to do about it.

    message: what is wrong. hint: what to do next, or "".
    """

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return f"{self.message}; {self.hint}" if self.hint else self.message


WORD = re.compile(r"[^\W_]+")

FEW = 6
"""Of so many names all are told where none is near."""


class BadInput(FinishingError):
    """A value that was typed or handed in is not what its field takes."""

    def __init__(self, field: str, value: object, expected: str, hint: str = "") -> None:
        got = "nothing" if value is None or value == "" else repr(value)
        super().__init__(f"{field}: got {got}, expected {expected}", hint)
        self.field = field
        self.value = value
        self.expected = expected


class NotFound(BadInput):
    """A name that nothing here has. `among`: the names there are, to offer the nearest."""

    def __init__(self, field: str, value: str, among: Iterable[str]) -> None:
        names = sorted(set(among))
        near = nearest(value, names)
        few = names if 0 < len(names) <= FEW else []
        hint = f"nearest: {', '.join(near)}" if near else f"there are: {', '.join(few)}" if few else ""
        super().__init__(field, value, f"a known {field}", hint)
        self.nearest = near


class BadFile(FinishingError):
    """A file could not be read as what it should be. `where`: its name and, where known, the line or key."""

    def __init__(self, where: str, problem: str, hint: str = "") -> None:
        super().__init__(f"{where}: {problem}", hint)
        self.where = where
        self.problem = problem


class StoreTrouble(FinishingError):
    """The database can't be used as it is; nothing was changed."""


def nearest(value: str, among: Iterable[str], most: int = 4) -> list[str]:
    """Names close to `value`: those that contain it, those spelt alike, else those that share most of its words."""
    names = sorted(set(among))
    wanted = value.casefold().strip()
    holding = [n for n in names if wanted and wanted in n.casefold()]
    by_fold = {n.casefold(): n for n in names}
    alike = [by_fold[n] for n in get_close_matches(wanted, list(by_fold), n=most, cutoff=0.6)]
    close = list(dict.fromkeys(holding + alike)) or _sharing(wanted, names)
    return close[:most]


def _sharing(wanted: str, names: list[str]) -> list[str]:
    """Names with words of `wanted` in them, those with most of them first."""
    words = {word for word in WORD.findall(wanted) if len(word) > 2}
    shared = {name: len(words & set(WORD.findall(name.casefold()))) for name in names}
    return sorted((name for name in names if shared[name]), key=lambda name: -shared[name])
