"""What came up on the bench since it was last looked at: something opened, is about to shut, or may go out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from finishing.shop.bench import Bench, Group


@dataclass(frozen=True, slots=True)
class Reminder:
    """One batch that wants hands, in words."""

    code: str
    words: str


def standing_of(bench: Bench) -> dict[str, tuple[Group, str]]:
    """Group and next work of every batch: what a later look is compared with."""
    return {row.code: (row.group, row.do) for row in bench.rows}


def news(before: Mapping[str, tuple[Group, str]], bench: Bench) -> list[Reminder]:
    """Batches that came into the hands, or are ready to go out, since; in the order of the bench."""
    found = []
    for row in bench.rows:
        if row.group in (Group.NOW, Group.READY) and before.get(row.code) != (row.group, row.do):
            found.append(Reminder(row.code, f"{row.what} ×{row.pieces}: {row.do}, {row.stands}"))
    return found
