"""`finishing can`."""

from __future__ import annotations

import click

from finishing.cli.groups import LateGroup, help_alone

COMMANDS = {
    "add": ("finishing.cli.can.shelf:add", "Put a can of finish on the shelf."),
    "list": ("finishing.cli.can.shelf:list_cans", "The cans on the shelf, and what is left in each."),
    "show": ("finishing.cli.can.shelf:show", "One can, and which batches got it."),
    "empty": ("finishing.cli.can.shelf:empty", "A can is empty and leaves the shelf."),
}


@click.group(cls=LateGroup, late=COMMANDS, invoke_without_command=True)
@click.pass_context
def can(ctx: click.Context) -> None:
    """Cans of finish: add, list, show, empty."""
    help_alone(ctx)
