"""`finishing schedules`: listed, shown step by step, and added."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.catalogue.shelf import adder, figures, library, maker_units, remover, rounded, say_problems
from finishing.cli.groups import NearestGroup
from finishing.cli.text import say, say_json, table
from finishing.cure.schedule import Schedule, Step
from finishing.library import Kind, Library
from finishing.shop.views import View
from finishing.shop.words import step_words
from finishing.units import show_duration, spoken


@click.group(cls=NearestGroup, invoke_without_command=True)
@options.as_json
@click.pass_context
def schedules(ctx: click.Context, as_json: bool) -> None:
    """Finishing schedules, shipped and your own: listed, or with a command."""
    if ctx.invoked_subcommand is not None:
        return
    found = library()
    items = found.schedules()
    say_problems(found, Kind.SCHEDULE)
    if as_json:
        say_json([_view(found, item) for item in items])
        return
    rows = [
        (
            item.name,
            str(item.coats),
            ", ".join(item.finishes),
            f"{rounded(_minutes(item))} min",
            ("own: " if found.is_own(Kind.SCHEDULE, item.name) else "") + item.title,
        )
        for item in items
    ]
    table(rows, ("schedule", "coats", "finishes", "a piece", ""))


def _view(found: Library, item: Schedule) -> View:
    return {
        "name": item.name,
        "title": item.title,
        "summary": item.summary,
        "suits": item.suits or None,
        "coats": item.coats,
        "finishes": list(item.finishes),
        "hands_on_minutes_per_piece": _minutes(item),
        "hands_on_minutes_set_up": sum(step.setup_minutes for step in item.steps),
        "own": found.is_own(Kind.SCHEDULE, item.name),
    }


def _minutes(item: Schedule) -> float:
    return sum(step.minutes_per_piece for step in item.steps)


@schedules.command()
@click.argument("name")
@options.as_json
def show(name: str, as_json: bool) -> None:
    """Schedule NAME step by step: what, after what, and minutes of hands' work."""
    found = library()
    item = found.schedule(name)
    if as_json:
        say_json({**_view(found, item), "steps": figures(item)["steps"], "notes": list(item.notes)})
        return
    say(f"{item.title} ({item.name})")
    say(f"  {item.summary}")
    if item.suits:
        say(f"  suits: {item.suits}")
    say()
    finishes = found.finishes_of(item)
    rows = [
        (
            str(i + 1),
            step_words(item, i, finishes),
            _waits(step, first=not any(s.finish for s in item.steps[:i])),
            f"{step.minutes_per_piece:g} min" if step.minutes_per_piece else "",
            f"{step.setup_minutes:g} min" if step.setup_minutes else "",
            step.note,
        )
        for i, step in enumerate(item.steps)
    ]
    table(rows, ("", "step", "when", "a piece", "set-up", ""))
    set_up = sum(step.setup_minutes for step in item.steps)
    say()
    say(f"hands' work: {rounded(_minutes(item))} min a piece and {rounded(set_up)} min of set-up")
    for note in item.notes:
        say(f"  {spoken(note, maker_units())}")


def _waits(step: Step, *, first: bool) -> str:
    """What a step waits for; before the first coat nothing has to dry."""
    if step.hours is not None:
        return f"for {show_duration(step.hours)}"
    return "" if step.gate is None or first else step.gate.words


schedules.add_command(adder(Kind.SCHEDULE))
schedules.add_command(remover(Kind.SCHEDULE))
