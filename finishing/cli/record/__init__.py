"""`finishing record`."""

from __future__ import annotations

import click

from finishing.cli.groups import LateGroup, help_alone

COMMANDS = {
    "coat": ("finishing.cli.record.coat:coat", "A coat was put on: the next one, or the one named."),
    "step": ("finishing.cli.record.steps:step", "The next step was done, whatever it is."),
    "abrade": ("finishing.cli.record.steps:abrade", "Faces were abraded, as a step or between coats."),
    "test": ("finishing.cli.record.steps:test", "A finger felt the film: tacky or dry for a stage."),
    "move": ("finishing.cli.record.moves:move", "A batch went to another place."),
    "note": ("finishing.cli.record.note:note", "Something worth keeping about a batch, in words."),
    "release": ("finishing.cli.record.moves:release", "You release a batch: to be handled, packed or used."),
    "correct": ("finishing.cli.record.correct:correct", "An entry was otherwise: another takes its place."),
    "void": ("finishing.cli.record.moves:void", "An entry was wrong: void it by its number."),
    "undo": ("finishing.cli.record.moves:undo", "Void a batch's newest entry that holds."),
}


@click.group(cls=LateGroup, late=COMMANDS, invoke_without_command=True)
@click.pass_context
def record(ctx: click.Context) -> None:
    """Put on record what the hands did.

    The record only grows: a mistake is corrected or voided by another entry, and both stay.
    """
    help_alone(ctx)
