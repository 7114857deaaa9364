"""A month's report in words and small pictures, for the command and the page alike: no line wider than 80 cells."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pendulum
from rich.cells import cell_len, set_cell_size

from finishing.shop.report import MonthReport, Sum
from finishing.shop.report_view import labour
from finishing.shop.settings import Settings
from finishing.units import counted, show_volume

LEVELS = "▁▂▃▄▅▆▇█"
BAR = 6
NAME = 23


def report_lines(found: MonthReport, settings: Settings) -> list[str]:
    """The whole report."""
    return [
        *_head(found, settings),
        "",
        *_days(found),
        "",
        *_schedules(found, settings),
        *_notes(found, settings.units),
    ]


def _head(found: MonthReport, settings: Settings) -> Iterator[str]:
    year, month = (int(part) for part in found.month.split("-"))
    whole = found.whole
    yield pendulum.date(year, month, 1).format("MMMM YYYY")
    batches = counted(whole.batches, "batch", "batches")
    yield f"  {counted(whole.pieces, 'piece')} in {batches} finished"
    worked = labour(whole.minutes, settings)
    known = _known(whole)
    alone = f" {known[0].split(' h ')[1]}" if len(known) == 1 else ""
    money = "" if worked is None else f", {settings.currency}{worked:.2f}"
    yield f"  {whole.minutes / 60:.1f} h of work{alone}{money}"
    if len(known) > 1:
        yield f"    {', '.join(known)}"
    used = sum(whole.used_ml.values())
    priced = f", {_cost(whole, settings)}" if whole.cost else ""
    yield f"  {show_volume(used, settings.units)} of finish{priced}"
    if whole.promised:
        yield f"  {whole.kept} of {counted(whole.promised, 'promised date')} kept"
    else:
        yield "  no date was promised"


def _known(whole: Sum) -> list[str]:
    """How the hours are known."""
    work = whole.work
    parts = [(work.timed, "as timed"), (work.learned, "at your learned pace"), (work.stated, "as schedules state")]
    return [f"{minutes / 60:.1f} h {words}" for minutes, words in parts if minutes > 0.0]


def _cost(one: Sum, settings: Settings) -> str:
    """What the finish cost, "-" where none of it has a price."""
    return f"{settings.currency}{one.cost:.2f}" if one.cost else "-"


def _days(found: MonthReport) -> Iterator[str]:
    """Two rows of a cell a day, weeks apart by a space; under them the date of each week's first day."""
    columns, column = [], 0
    for n, (date, _, _) in enumerate(found.days):
        column += date.weekday() == 0 and n > 0
        columns.append(column)
        column += 1
    hours, pieces = [day[1] for day in found.days], [float(day[2]) for day in found.days]
    yield f"  hours   {_row(columns, hours)}  most {max(hours):.1f} h"
    yield f"  pieces  {_row(columns, pieces)}  most {max(pieces):.0f}"
    ruler = [" "] * (column + 1)
    for (date, _, _), at in zip(found.days, columns, strict=True):
        if date.weekday() == 0 or at == 0:
            ruler[at : at + len(str(date.day))] = str(date.day)
    yield f"  day     {''.join(ruler).rstrip()}"


def _row(columns: Sequence[int], values: Sequence[float]) -> str:
    most, row = max(values), [" "] * (columns[-1] + 1)
    for at, value in zip(columns, values, strict=True):
        row[at] = "·" if value <= 0.0 else LEVELS[max(round(value / most * 8), 1) - 1]
    return "".join(row)


def _schedules(found: MonthReport, settings: Settings) -> Iterator[str]:
    if not found.schedules:
        yield "  nothing was recorded"
        return
    head = f"{'pieces':>6}  {'hours':>5} {'':{BAR}}  {'finish':>8}  {'cost':>9}  dates"
    yield f"  {set_cell_size('by schedule', NAME)}  {head}"
    most = max(one.minutes for one in found.schedules.values()) or 1.0
    for name, one in found.schedules.items():
        yield _schedule(name, one, most, settings)


def _schedule(name: str, one: Sum, most: float, settings: Settings) -> str:
    bar = "━" * max(round(one.minutes / most * BAR), 1 if one.minutes else 0)
    shown = set_cell_size(name if cell_len(name) <= NAME else f"{name[: NAME - 1]}…", NAME)
    used = show_volume(sum(one.used_ml.values()), settings.units)
    cost = _cost(one, settings)
    dates = f"{one.kept}/{one.promised}" if one.promised else "-"
    return f"  {shown}  {one.pieces:>6}  {one.minutes / 60:>5.1f} {bar:{BAR}}  {used:>8}  {cost:>9}  {dates}"


def _notes(found: MonthReport, units: str) -> Iterator[str]:
    late = [f"{one.code} by {one.days:.1f} d" for one in found.late]
    if late:
        yield ""
        yield f"  late: {', '.join(late)}"
    if found.given_up:
        yield f"  closed before the last coat, not counted: {', '.join(found.given_up)}"
    if found.reckoned:
        yield f"  {counted(found.reckoned, 'coat')} without a recorded amount, taken at the finish's own film"
    if found.unpriced_ml > 0.0:
        yield f"  no price is known of {show_volume(found.unpriced_ml, units)}"
