"""Everything about a schedule: step by step, what each waits for, and the hands' work for so many pieces."""

from __future__ import annotations

from collections.abc import Mapping

from rich.padding import Padding
from rich.text import Text

from finishing.cure.cautions import hazards
from finishing.cure.finish import Finish
from finishing.cure.schedule import Schedule, Step
from finishing.cure.terms import StepKind
from finishing.exchange.plain import plain
from finishing.screens.pages.library.about import Parts, head, heading, heed, said
from finishing.shop.batches import hands_on_minutes
from finishing.shop.words import step_words
from finishing.units import counted, show_duration, show_work, spoken

PIECES = (1, 2, 4, 6, 8, 12, 16, 24, 36, 48, 72, 100)
"""Numbers of pieces that the hands' work is shown for."""


def about_schedule(schedule: Schedule, finishes: Mapping[str, Finish], whose: str, pieces: int, units: str) -> Parts:
    """Steps, totals, hazards of its finishes, notes."""
    suits = f"suits: {schedule.suits}" if schedule.suits else ""
    yield from head(schedule.title, schedule.name, whose, schedule.summary, suits)
    yield from heading(f"hands' work for {counted(pieces, 'piece')}")
    minutes = hands_on_minutes(schedule, pieces)
    yield Text.assemble(
        (f"{minutes:g} min", "bold"),
        f" ({show_work(minutes)}), {counted(schedule.coats, 'coat')},"
        f" {counted(len(schedule.steps), 'step')}; + and - for more or fewer pieces",
    )
    yield from heading("steps")
    for position, step in enumerate(schedule.steps):
        yield from _step(schedule, position, step, finishes, pieces)
    found = [hazard for finish in finishes.values() for hazard in finish.hazards]
    yield from heed(hazards(found))
    yield from said("notes", tuple(spoken(note, units) for note in schedule.notes))


def _step(schedule: Schedule, position: int, step: Step, finishes: Mapping[str, Finish], pieces: int) -> Parts:
    words = step_words(schedule, position)
    name = "" if step.finish is None else f" · {finishes[step.finish].title}"
    yield Text.assemble((f"{position + 1:>2} ", "dim"), (plain(words), "bold"), plain(name))
    first = not any(s.kind is StepKind.COAT for s in schedule.steps[:position])
    parts = [waits(step, first=first), _minutes(step, pieces), step.note]
    line = "; ".join(part for part in parts if part)
    if line:
        yield Padding(Text(plain(line), style="dim"), (0, 0, 0, 3))


def waits(step: Step, *, first: bool) -> str:
    """What a step waits for; before the first coat nothing has to dry."""
    if step.hours is not None:
        return f"for {show_duration(step.hours)}"
    return "" if step.gate is None or first else f"once {step.gate.words}"


def _minutes(step: Step, pieces: int) -> str:
    each, ready = step.minutes_per_piece, step.setup_minutes
    if not each and not ready:
        return ""
    set_up = f" and {ready:g} min set-up" if ready else ""
    total = each * pieces + ready
    return f"{each:g} min a piece{set_up}, {total:g} min in all" if pieces > 1 else f"{each:g} min{set_up}"
