"""`finishing batch`."""

from __future__ import annotations

import click

from finishing.cli.groups import LateGroup, help_alone

COMMANDS = {
    "add": ("finishing.cli.batch.add:add", "Put a batch on the bench."),
    "list": ("finishing.cli.batch.listing:list_batches", "The batches on the bench, nearest first."),
    "show": ("finishing.cli.batch.show:show", "Everything about one batch: steps, coats, reasons and record."),
    "change": ("finishing.cli.batch.change:change", "What a batch is: pieces, size, woods, name, when it is wanted."),
    "split": ("finishing.cli.batch.split:split", "Some pieces become a batch of their own."),
    "hold": ("finishing.cli.batch.states:hold", "Put a batch on hold, or take it off."),
    "close": ("finishing.cli.batch.states:close", "A batch leaves the bench: sent out, kept or given up."),
}


@click.group(cls=LateGroup, late=COMMANDS, invoke_without_command=True)
@click.pass_context
def batch(ctx: click.Context) -> None:
    """Batches: add, list, show, change, split, hold, close."""
    help_alone(ctx)
