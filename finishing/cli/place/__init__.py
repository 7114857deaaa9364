"""`finishing place`."""

from __future__ import annotations

import click

from finishing.cli.groups import LateGroup, help_alone

COMMANDS = {
    "add": ("finishing.cli.place.add:add", "A new place where pieces dry, with its usual day."),
    "list": ("finishing.cli.place.show:list_places", "Every place, and the air there now."),
    "show": ("finishing.cli.place.show:show", "One place: readings, usual day, days ahead and the air now."),
    "expect": ("finishing.cli.place.add:expect", "Say what a day ahead will be like at a place."),
}


@click.group(cls=LateGroup, late=COMMANDS, invoke_without_command=True)
@click.pass_context
def place(ctx: click.Context) -> None:
    """Places where pieces dry: add, list, show, and what to expect there."""
    help_alone(ctx)
