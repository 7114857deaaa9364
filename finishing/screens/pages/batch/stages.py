"""When a coat reaches each stage, as a table that takes two lines a stage where it has not the room for one."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len, set_cell_size
from rich.console import Console, ConsoleOptions, RenderResult
from rich.text import Text

from finishing.cure.coat import Coat, StageTime
from finishing.cure.terms import Stage
from finishing.exchange.plain import plain
from finishing.screens.pages.batch.look import Look
from finishing.shop.window_words import abraded_words
from finishing.shop.words import short_time

LEVELS = ("could be", "likely", "count on")
NAME, LEVEL = 15, 13
"""Cells of a stage's name, and of a time."""


@dataclass(frozen=True, slots=True)
class StageTable:
    """Lines above, the stages with their times at three levels, or one word on them, and lines below."""

    head: str
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    foot: str

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """A line a stage if all fit, else its times below its name."""
        rows = [(name, _spaced(cells)) for name, cells in self.rows]
        levels = _spaced(LEVELS)
        yield Text(self.head)
        if all(NAME + cell_len(cells) <= options.max_width for _, cells in [("", levels), *rows]):
            yield Text(" " * NAME + levels, style="dim")
            for name, cells in rows:
                yield Text(set_cell_size(name, NAME) + cells)
        else:
            yield Text(f"  {levels}", style="dim")
            for name, cells in rows:
                yield Text(f"{name}\n  {cells}")
        yield Text(self.foot)


def stages(look: Look, coat: Coat | None) -> StageTable | Text:
    """When a coat reaches each stage, at the three levels, or when a finger found it."""
    if coat is None:
        return Text("no coat yet")
    when = short_time(coat.at, look.zone, look.now)
    return StageTable(
        head=f"{plain(coat.finish.title)}, {'expected' if coat.expected else 'on since'} {when}",
        rows=tuple((s.words, _three(coat.stages.get(s), look)) for s in Stage if s in coat.finish.stages),
        foot=_window_words(coat, look),
    )


def _spaced(cells: tuple[str, ...]) -> str:
    return "".join(set_cell_size(cell, LEVEL) for cell in cells[:-1]) + cells[-1]


def _three(time: StageTime | None, look: Look) -> tuple[str, ...]:
    if time is None:
        return ("no date: test with a finger",)
    if time.seen is not None:
        return (f"found dry {short_time(time.seen, look.zone, look.now)}",)
    whens = (time.could_be, time.likely, time.count_on)
    return tuple("never" if w is None else short_time(w, look.zone, look.now, narrow=True) for w in whens)


def _window_words(coat: Coat, look: Look) -> str:
    if not look.standing.batch.schedule.recoated(coat.step):
        return "no coat follows"
    opens, shuts = coat.window.opens, coat.window.shuts
    if opens is None:
        return "window: no date"
    until = "stays open" if shuts is None else f"shuts {short_time(shuts, look.zone, look.now)}"
    tight = "; may shut before it is sure to be open" if coat.window.tight else ""
    abraded = abraded_words(look.standing.fold, coat)
    kept = f"; {abraded}" if abraded else tight
    return f"window: opens {short_time(opens, look.zone, look.now)}, {until}{kept}"
