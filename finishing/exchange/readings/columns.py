"""Which columns of a log are its time, temperature and humidity."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, auto
from itertools import pairwise

from finishing.errors import BadInput, NotFound
from finishing.exchange.plain import plain
from finishing.exchange.readings import words
from finishing.exchange.readings.cells import Kind, kind_of, number_and_unit
from finishing.exchange.readings.layout import LONGEST_NAME, Layout

TEMPERATURE_OPTION, HUMIDITY_OPTION, TIME_OPTION = "--temperature-column", "--humidity-column", "--time-column"
UNIT_OPTION = "--temperature-unit"
WARMEST_UNSAID_C = 45.0
"""Without a unit anywhere, a log whose median is above this is not taken for °C: no workshop is so warm."""


@dataclass(frozen=True, slots=True)
class Columns:
    """The maker's choice, each "" to let it be found: a header's text or a column's number from 1.

    date: only where the time stands in its own column. temperature_unit: "C", "F" or "K".
    """

    time: str = ""
    date: str = ""
    temperature: str = ""
    humidity: str = ""
    temperature_unit: str = ""


class StampKind(Enum):
    """How the time of a row is written."""

    JOINED = auto()
    PARTED = auto()
    DATE_ONLY = auto()
    EPOCH_S = auto()
    EPOCH_MS = auto()


@dataclass(frozen=True, slots=True)
class Chosen:
    """Columns by index from 0. clock: the time's own column (PARTED). offset: seconds east that the header states.

    unit_assumed: nothing in the file names the temperature's unit. fraction: humidity runs from 0 to 1.
    """

    stamp: StampKind
    time: int
    clock: int | None
    offset: int | None
    temperature: int
    unit: str
    unit_assumed: bool
    humidity: int | None
    fraction: bool

    @property
    def used(self) -> tuple[int, ...]:
        """Every column used."""
        return tuple(c for c in (self.time, self.clock, self.temperature, self.humidity) if c is not None)


class Sample:
    """The sample's cells by column, and what each column mostly holds."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        rows = layout.sample
        self.width = layout.width
        self.cells = [[r[j] for r in rows if j < len(r)] for j in range(self.width)]
        self.kinds = [_main_kind(column) for column in self.cells]

    def name(self, column: int) -> str:
        """The column's header."""
        return self.layout.name(column)

    def shown(self, columns: list[int]) -> str:
        """Columns as a message names them."""
        named = [f'"{plain(self.name(c), 40)}"' if self.name(c) else f"column {c + 1}" for c in columns[:12]]
        return ", ".join(named) + (", ..." if len(columns) > 12 else "")

    def find(self, field: str, wanted: str) -> int:
        """The column that the maker named by header or number. NotFound otherwise."""
        folded = words.fold(wanted).strip()
        plain_names = [words.fold(self.name(c)).strip() for c in range(self.width)]
        alone = [words.fold(h[:LONGEST_NAME]).strip() for h in self.layout.headers]
        for names in (plain_names, alone):
            if folded in names:
                return names.index(folded)
        if wanted.isdecimal() and 1 <= int(wanted) <= self.width:
            return int(wanted) - 1
        raise NotFound(field, wanted, [plain(self.name(c), 60) or str(c + 1) for c in range(self.width)])

    def values(self, column: int) -> list[tuple[float, str]]:
        """Numbers and units of a column's cells."""
        return [found for cell in self.cells[column] if (found := number_and_unit(cell))]

    def cell_unit(self, column: int) -> str:
        """The unit that stands in most of a column's cells, ""."""
        units = [u for _, u in self.values(column) if u]
        return statistics.mode(units) if units and len(units) * 2 >= len(self.values(column)) else ""


def _main_kind(cells: list[str]) -> Kind:
    kinds = [k for k in map(kind_of, cells) if k is not Kind.MISSING]
    if not kinds:
        return Kind.MISSING
    main = statistics.mode(kinds)
    return main if kinds.count(main) >= 0.5 * len(kinds) else Kind.TEXT


def choose(layout: Layout, wanted: Columns) -> Chosen:
    """The columns to read. BadInput when there is no time or temperature, or several fit alike."""
    sample = Sample(layout)
    stamp, time, clock = _time(sample, wanted)
    free = [c for c in range(sample.width) if c not in (time, clock)]
    temperature = _temperature(sample, wanted, free, time)
    unit, assumed = _unit(sample, wanted, temperature)
    humidity = _humidity(sample, wanted, [c for c in free if c != temperature], temperature, time)
    fraction = humidity is not None and words.says_fraction(sample.name(humidity))
    offsets = [words.header_offset(sample.name(c)) for c in (clock, time) if c is not None]
    offset = next((o for o in offsets if o is not None), None)
    return Chosen(stamp, time, clock, offset, temperature, unit, assumed, humidity, fraction)


_KINDS = {
    Kind.STAMP: StampKind.JOINED,
    Kind.DATE: StampKind.DATE_ONLY,
    Kind.EPOCH_S: StampKind.EPOCH_S,
    Kind.EPOCH_MS: StampKind.EPOCH_MS,
}


def _time(sample: Sample, wanted: Columns) -> tuple[StampKind, int, int | None]:
    if wanted.date:
        date = sample.find("date column", wanted.date)
        clock = sample.find("time column", wanted.time) if wanted.time else _clock(sample)
        return (StampKind.DATE_ONLY if clock is None else StampKind.PARTED), date, clock
    if wanted.time:
        column = sample.find("time column", wanted.time)
        if sample.kinds[column] not in _KINDS:
            raise BadInput("time column", plain(wanted.time), "a column with a date in every row")
        return _KINDS[sample.kinds[column]], column, None
    stamped = [c for c in range(sample.width) if sample.kinds[c] in _KINDS]
    stamped = [c for c in stamped if not words.says_elapsed(sample.name(c))]
    stamped = [c for c in stamped if _could_be_time(sample, c)]
    if not stamped:
        seen = sample.shown(list(range(sample.width)))
        raise BadInput("time column", seen, "a column of dates and times", f"name it with {TIME_OPTION}")
    best = max(stamped, key=lambda c: (_exactness(sample, c), -c))
    if sample.kinds[best] is Kind.DATE and (clock := _clock(sample)) is not None:
        return StampKind.PARTED, best, clock
    return _KINDS[sample.kinds[best]], best, None


def _could_be_time(sample: Sample, column: int) -> bool:
    """A column of bare counts must be called a time, unless there are no names."""
    bare = sample.kinds[column] in (Kind.EPOCH_S, Kind.EPOCH_MS)
    return not bare or not sample.layout.headers or words.says_time(sample.name(column))


def _exactness(sample: Sample, column: int) -> int:
    """Instants that need no zone come before wall-clock times, and those before dates."""
    kind, name = sample.kinds[column], sample.name(column)
    if kind is Kind.DATE:
        return 0
    fixed = words.header_offset(name) is not None or any(_fixed(c) for c in sample.cells[column][:5])
    return 3 if fixed else 2 if kind is not Kind.STAMP else 1


def _fixed(cell: str) -> bool:
    tail = cell.strip()[10:].upper()
    return tail.endswith(("Z", "UTC", "GMT")) or "+" in tail or (":" in tail and "-" in tail)


def _clock(sample: Sample) -> int | None:
    clocks = [c for c in range(sample.width) if sample.kinds[c] is Kind.CLOCK]
    clocks = [c for c in clocks if not words.says_elapsed(sample.name(c))]
    return max(clocks, key=lambda c: (words.says_time(sample.name(c)), -c), default=None)


def _temperature(sample: Sample, wanted: Columns, free: list[int], time: int) -> int:
    if wanted.temperature:
        return sample.find("temperature column", wanted.temperature)
    numeric = [c for c in free if sample.kinds[c] in (Kind.NUMBER, Kind.MISSING)]
    if not sample.layout.headers:
        return _nameless(sample, numeric, time)
    called = [c for c in numeric if words.says_temperature(sample.name(c))]
    called += [c for c in numeric if c not in called and _has_degrees(sample, c)]
    best = _nearest_room([c for c in called if not words.says_humidity(sample.name(c))], sample)
    if not best:
        seen = sample.shown(list(range(sample.width)))
        hint = f"name it with {TEMPERATURE_OPTION}"
        raise BadInput("temperature column", seen, "a column with the temperature of the air", hint)
    return _only_one(sample, best, "temperature", TEMPERATURE_OPTION)


def _has_degrees(sample: Sample, column: int) -> bool:
    return bool(words.temperature_unit(sample.name(column)) or sample.cell_unit(column) in ("C", "F", "K"))


def _nearest_room(columns: list[int], sample: Sample) -> list[int]:
    rank: Callable[[int], int] = lambda c: words.nearness(sample.name(c))  # noqa: E731
    top = max(map(rank, columns), default=0)
    return [c for c in columns if rank(c) == top] if top else []


def _only_one(sample: Sample, columns: list[int], what: str, option: str) -> int:
    """The one of columns that fit alike: the same quantity in two units counts once, °C first."""
    if len({words.bare_name(sample.name(c)) for c in columns}) == 1:
        units = [words.temperature_unit(sample.name(c)) for c in columns]
        if len(set(units)) == len(columns):
            return columns[units.index("C")] if "C" in units else columns[0]
    if len(columns) > 1:
        raise BadInput(f"{what} column", sample.shown(columns), "one that stands out", f"choose with {option}")
    return columns[0]


def _nameless(sample: Sample, numeric: list[int], time: int) -> int:
    """Without a header: the column in degrees, else the first of one or two that are not a row count."""
    degrees = [c for c in numeric if sample.cell_unit(c) in ("C", "F", "K")]
    if degrees:
        return _only_one(sample, degrees, "temperature", TEMPERATURE_OPTION)
    plain_numbers = [c for c in numeric if not _counts_up(sample, c, time) and sample.cell_unit(c) != "%"]
    plain_numbers = [c for c in plain_numbers if sample.kinds[c] is Kind.NUMBER]
    if 1 <= len(plain_numbers) <= 2:
        return plain_numbers[0]
    seen = sample.shown(list(range(sample.width)))
    raise BadInput(
        "temperature column",
        seen,
        "a header, or one or two columns of numbers",
        f"choose with {TEMPERATURE_OPTION} and {HUMIDITY_OPTION}",
    )


def _counts_up(sample: Sample, column: int, time: int) -> bool:
    """Whether a column numbers the rows; right of the time two rows are too few to tell a count from a reading."""
    values = [v for v, _ in sample.values(column)]
    steps = {b - a for a, b in pairwise(values)}
    return len(values) > (1 if column < time else 2) and values[0].is_integer() and steps in ({1.0}, {-1.0})


def _unit(sample: Sample, wanted: Columns, column: int) -> tuple[str, bool]:
    if wanted.temperature_unit:
        unit = wanted.temperature_unit.strip(" °").upper()
        if unit not in ("C", "F", "K"):
            raise BadInput("temperature unit", wanted.temperature_unit, "C, F or K")
        return unit, False
    said = words.temperature_unit(sample.name(column)) or sample.cell_unit(column)
    if said:
        return said, False
    values = [v for v, _ in sample.values(column)]
    middle = statistics.median(values) if values else math.nan
    if middle > WARMEST_UNSAID_C:
        expected = "a unit in the header or the cells, for readings this high"
        raise BadInput("temperature unit", f"median {middle:g}", expected, f"say it with {UNIT_OPTION}")
    return "C", True


def _humidity(sample: Sample, wanted: Columns, free: list[int], temperature: int, time: int) -> int | None:
    if wanted.humidity:
        return sample.find("humidity column", wanted.humidity)
    numeric = [c for c in free if sample.kinds[c] in (Kind.NUMBER, Kind.MISSING)]
    if not sample.layout.headers:
        marked = [c for c in numeric if sample.cell_unit(c) == "%"]
        others = [c for c in numeric if sample.kinds[c] is Kind.NUMBER and not sample.cell_unit(c)]
        left = marked or [c for c in others if c > temperature and not _counts_up(sample, c, time)]
        return left[0] if len(left) == 1 else None
    called = [c for c in numeric if words.says_humidity(sample.name(c))]
    best = _nearest_room(called, sample)
    if not best:
        return None
    beside = [c for c in best if _digits(sample.name(c)) == _digits(sample.name(temperature))]
    return _only_one(sample, beside if len(beside) == 1 else best, "humidity", HUMIDITY_OPTION)


def _digits(header: str) -> str:
    return "".join(c for c in words.bare_name(header) if c.isdigit())
