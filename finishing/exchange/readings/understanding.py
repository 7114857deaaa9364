"""What was made of a log, for the maker to check before it is kept."""

from __future__ import annotations

from dataclasses import dataclass

import pendulum

from finishing.exchange.plain import plain

HEADER_SHOWN = 60
IGNORED_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Taken:
    """A column that was used: as what, its number from 1, its header ("" without one) and its unit."""

    role: str
    number: int
    header: str
    unit: str = ""

    def words(self) -> str:
        """The column as shown: column 3 "Room (°C)", in °C."""
        name = f' "{plain(self.header, HEADER_SHOWN)}"' if self.header else ""
        return f"column {self.number}{name}" + (f", {self.unit}" if self.unit else "")


@dataclass(frozen=True, slots=True)
class Skipped:
    """Rows left out for one reason: how many, and the line numbers of the first few."""

    reason: str
    count: int
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LogGap:
    """A stretch without readings: UTC epoch seconds of the readings on either side."""

    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Understanding:
    """How a log was read. Instants are UTC epoch seconds; `zone` is the shop's, in which `lines` shows them.

    header_line: None without a header. ignored: headers of columns not used. interval_seconds: median step,
    None for one reading. gaps: the first GAPS_KEPT over 3 hours of gap_count. notes: what the maker should know.
    """

    name: str
    encoding: str
    delimiter: str
    decimal_mark: str
    header_line: int | None
    columns: tuple[Taken, ...]
    ignored: tuple[str, ...]
    date_order: str
    date_reason: str
    zone: str
    zone_source: str
    rows_read: int
    rows_kept: int
    skipped: tuple[Skipped, ...]
    first: int
    last: int
    interval_seconds: float | None
    gaps: tuple[LogGap, ...]
    gap_count: int
    notes: tuple[str, ...]

    def lines(self) -> list[str]:
        """The understanding in plain text, one fact a line; nothing from the file is shown raw."""
        header = "no header" if self.header_line is None else f"header in line {self.header_line}"
        said = [
            f"{plain(self.name, 80)}: {self.encoding}, parted by {self.delimiter}, "
            f"decimal {self.decimal_mark}, {header}"
        ]
        said += [f"{c.role}: {c.words()}" for c in self.columns]
        if not any(c.role == "humidity" for c in self.columns):
            said.append("humidity: none in this log")
        if self.ignored:
            more = f" and {len(self.ignored) - IGNORED_SHOWN:,} more" if len(self.ignored) > IGNORED_SHOWN else ""
            shown = ", ".join(f'"{plain(h, HEADER_SHOWN)}"' for h in self.ignored[:IGNORED_SHOWN])
            said.append(f"not used: {shown}{more}")
        said.append(f"dates: {self.date_order}: {self.date_reason}")
        said.append(f"zone: {self.zone_source}")
        said.append(f"rows: {self.rows_read:,} read, {self.rows_kept:,} kept")
        said += [f"skipped {s.count:,}: {s.reason} ({_at_lines(s)})" for s in self.skipped]
        said.append(f"from {self._at(self.first)} to {self._at(self.last)}{self._every()}")
        said += [f"gap: {self._at(g.start)} to {self._at(g.end)}, {_length(g.end - g.start)}" for g in self.gaps]
        if self.gap_count > len(self.gaps):
            said.append(f"and {self.gap_count - len(self.gaps):,} more gaps")
        return said + [f"note: {n}" for n in self.notes]

    def _at(self, second: int) -> str:
        return pendulum.from_timestamp(second, tz=self.zone).isoformat()

    def _every(self) -> str:
        return "" if self.interval_seconds is None else f", usually every {_length(self.interval_seconds)}"


def _at_lines(skipped: Skipped) -> str:
    shown = ", ".join(map(str, skipped.lines))
    more = ", ..." if skipped.count > len(skipped.lines) else ""
    return f"line {shown}{more}"


def _length(seconds: float) -> str:
    if seconds < 120:
        return f"{seconds:g} s"
    if seconds < 7200:
        return f"{seconds / 60:.4g} min"
    return f"{seconds / 3600:.1f} h" if seconds < 48 * 3600 else f"{seconds / 86400:.1f} days"
