"""The rows of a log, streamed into a spool; a row that can't be read is counted with its reason, never guessed."""

from __future__ import annotations

import csv
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from finishing.exchange.readings.cells import humidity_pct, temperature_c, to_celsius
from finishing.exchange.readings.columns import Chosen
from finishing.exchange.readings.layout import Layout, split_line, trimmed
from finishing.exchange.readings.memo import Memo
from finishing.exchange.readings.spool import Spool
from finishing.exchange.readings.stamps import Stamper
from finishing.exchange.readings.understanding import Skipped

Array = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

LINES_SHOWN = 5
LOW_C, HIGH_C = -40.0, 60.0
"""As everywhere in this program a temperature is taken for air (see `finishing.cure.air.air`)."""

NOT_A_DATE = "not a date and time"
BAD_NUMBER = "not a number"
OUT_OF_RANGE = "out of -40 to 60 °C or 0 to 100 % RH"
TOO_FEW = "too few cells"
TOO_MANY = "more cells than the header or the other rows"
DOUBLE = "the same time as an earlier row"

READ = [("date", "i4"), ("line", "i4"), ("code", "i8"), ("temperature", "f8"), ("humidity", "f8")]
"""A row as read: its date's number, its line, its time of day (see `times`), °C and % RH."""


class Skips:
    """Rows left out, by reason: counts and the first line numbers."""

    def __init__(self) -> None:
        self._found: dict[str, tuple[int, list[int]]] = {}

    def add(self, reason: str, lines: Sequence[int] | npt.NDArray[np.int64]) -> None:
        """Count rows at these lines."""
        if len(lines):
            count, first = self._found.get(reason, (0, []))
            shown = sorted(first + [int(n) for n in np.sort(np.asarray(lines))[:LINES_SHOWN]])[:LINES_SHOWN]
            self._found[reason] = (count + len(lines), shown)

    def all(self) -> tuple[Skipped, ...]:
        """Every reason, most rows first."""
        found = [Skipped(reason, count, tuple(lines)) for reason, (count, lines) in self._found.items()]
        return tuple(sorted(found, key=lambda s: (-s.count, s.reason)))


class Rows:
    """Lays the readings of a log aside block by block, each a READ, in the order of the file."""

    def __init__(self, name: str, layout: Layout, chosen: Chosen, decimal_comma: bool) -> None:
        self.skips = Skips()
        self.read = 0
        self.spool = Spool(name, READ)
        self.stamper = Stamper(chosen, layout.sample)
        self._layout = layout
        self._chosen = chosen
        self._comma = decimal_comma
        self._need = max(chosen.used) + 1
        self._temperatures = Memo(lambda cell: temperature_c(cell, chosen.unit))
        self._humidities = Memo(lambda cell: humidity_pct(cell, chosen.fraction))

    def add(self, lines: list[str], first: int) -> None:
        """Read whole lines, the first of them with the line number `first`."""
        rows, numbers = self._regular(self._cells(lines), first)
        if not rows:
            return
        ids, codes = self.stamper.read(rows)
        temperature, humidity = self._values(rows)
        dated = (ids >= 0) & (codes >= 0)
        blank = [i for i in np.flatnonzero(~dated) if not trimmed(rows[i])]
        number = np.isfinite(temperature) & ~np.isinf(humidity)
        with np.errstate(invalid="ignore"):
            inside = (temperature >= LOW_C) & (temperature <= HIGH_C) & ~((humidity < 0) | (humidity > 100))
        undated = ~dated
        undated[blank] = False
        self.read += len(rows) - len(blank)
        self.skips.add(NOT_A_DATE, numbers[undated])
        self.skips.add(BAD_NUMBER, numbers[dated & ~number])
        self.skips.add(OUT_OF_RANGE, numbers[dated & number & ~inside])
        good = dated & number & inside
        kept = np.empty(int(np.count_nonzero(good)), dtype=READ)
        kept["date"], kept["line"], kept["code"] = ids[good], numbers[good], codes[good]
        kept["temperature"], kept["humidity"] = temperature[good], humidity[good]
        self.spool.add(kept)

    def _cells(self, lines: list[str]) -> list[list[str]]:
        delimiter = self._layout.delimiter
        try:
            rows = list(csv.reader(lines, delimiter=delimiter, skipinitialspace=True))
            if len(rows) == len(lines):
                return rows
        except csv.Error:
            pass  # A quote left open ran over the reader's limit; below, each line ends its own quotes.
        return [split_line(line, delimiter) for line in lines]

    def _regular(self, rows: list[list[str]], first: int) -> tuple[list[list[str]], npt.NDArray[np.int64]]:
        """Rows with the cells they need and no more than the layout has, and their line numbers."""
        numbers = np.arange(first, first + len(rows), dtype=np.int64)
        lengths = np.fromiter(map(len, rows), dtype=np.int64, count=len(rows))
        odd = np.flatnonzero((lengths < self._need) | (lengths > self._layout.width))
        if odd.size == 0:
            return rows, numbers
        keep = np.ones(len(rows), dtype=bool)
        few: list[int] = []
        many: list[int] = []
        for i in odd:
            cells = trimmed(rows[i])
            keep[i] = lengths[i] >= self._need and len(cells) <= self._layout.width
            if cells and not keep[i]:
                (few if lengths[i] < self._need else many).append(int(numbers[i]))
        self.read += len(few) + len(many)
        self.skips.add(TOO_FEW, few)
        self.skips.add(TOO_MANY, many)
        return [rows[i] for i in np.flatnonzero(keep)], numbers[keep]

    def _values(self, rows: list[list[str]]) -> tuple[Array, Array]:
        chosen = self._chosen
        cells = [r[chosen.temperature] for r in rows]
        temperature = self._floats(cells)
        if temperature is None:
            temperature = np.array([self._temperatures[c] for c in cells])
        else:
            temperature = to_celsius(temperature, chosen.unit)
        if chosen.humidity is None:
            return temperature, np.full(len(rows), np.nan)
        cells = [r[chosen.humidity] for r in rows]
        humidity = self._floats(cells)
        if humidity is None:
            return temperature, np.array([self._humidities[c] for c in cells])
        return temperature, humidity * 100.0 if chosen.fraction else humidity

    def _floats(self, cells: list[str]) -> Array | None:
        """The cells as bare numbers, the fast way; None when one of them is not."""
        try:
            if self._comma:
                return np.array([float(c.replace(",", ".")) for c in cells])
            return np.array(list(map(float, cells)))
        except ValueError:
            return None
