"""A stretch of time laid over columns of text: which hour a column is, where night lies, and the hours above it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from finishing.clock import at_zone, hour_of
from finishing.shop.bench import Mark, Stretch

NIGHT_FROM, NIGHT_TO = 20, 6
"""Local hours shaded as night: after the shop has closed and before it warms. Our own choice."""

GLYPH = {
    Mark.HARDENING: "─",
    Mark.OPEN: "━",
    Mark.SHUT: "╳",
    Mark.RESTING: "┄",
    Mark.FREE: "═",
}

SPANS = (24.0, 48.0, 96.0, 240.0)
"""Hours an axis may show, from close to wide."""


@dataclass(frozen=True, slots=True)
class Axis:
    """`width` columns from `start` over `span` hours, in a zone."""

    start: float
    span: float
    width: int
    zone: str

    @classmethod
    def around(cls, now: float, span: float, width: int, zone: str) -> Axis:
        """An axis with now a sixth of the way along."""
        return cls(now - span / 6, span, max(width, 1), zone)

    def hour(self, column: float) -> float:
        """The hour at a column's left edge."""
        return self.start + self.span * column / self.width

    def column(self, hour: float) -> int:
        """The column an hour falls in; may lie outside 0..width-1."""
        return int((hour - self.start) * self.width // self.span)

    def is_night(self, column: int) -> bool:
        """Whether the middle of a column is night."""
        local = at_zone(self.hour(column + 0.5), self.zone).hour
        return local >= NIGHT_FROM or local < NIGHT_TO

    def nights(self) -> tuple[bool, ...]:
        """Night or day for every column."""
        return _nights(self)

    def bar(self, stretches: tuple[Stretch, ...]) -> list[Mark | None]:
        """The mark in each column: of the stretch that its middle falls in."""
        marks: list[Mark | None] = [None] * self.width
        for stretch in stretches:
            first = max(self.column(stretch.start), 0)
            last = self.width - 1 if stretch.end is None else min(self.column(stretch.end), self.width - 1)
            if stretch.end is not None and stretch.end <= self.start:
                continue
            for column in range(first, last + 1):
                marks[column] = stretch.mark
        return marks

    def ticks(self) -> list[tuple[int, str]]:
        """Columns and their labels: the day's name at midnight, the hour in between, never touching."""
        every = next((h for h in (3, 6, 12) if self.width * h / self.span >= 5), 24)
        local = at_zone(self.start, self.zone).start_of("day")
        found: list[tuple[int, str]] = []
        while (hour := hour_of(local)) < self.start + self.span:
            if hour >= self.start:
                label = local.format("ddd D") if local.hour == 0 else local.format("HH")
                column = self.column(hour)
                clear = not found or column > found[-1][0] + len(found[-1][1])
                if clear and column + len(label) <= self.width:
                    found.append((column, label))
            # By the wall clock, so that midnight stays midnight over a daylight-saving night.
            local = (
                local.add(days=1).start_of("day")
                if every >= 24 or local.hour + every >= 24
                else local.set(hour=local.hour + every)
            )
        return found

    def ruler(self) -> str:
        """The labels as one line of text."""
        line = [" "] * self.width
        for column, label in self.ticks():
            line[column : column + len(label)] = label
        return "".join(line)


@lru_cache(maxsize=4)
def _nights(axis: Axis) -> tuple[bool, ...]:
    """Kept, because every line of a screen asks for the same columns and telling the local hour takes a while."""
    return tuple(axis.is_night(c) for c in range(axis.width))
