"""`finishing readings`."""

from __future__ import annotations

import click

from finishing.cli.groups import LateGroup, help_alone

COMMANDS = {
    "import": ("finishing.cli.readings.logs:import_readings", "Read a logger's CSV file in, and say how it was read."),
    "list": ("finishing.cli.readings.logs:list_readings", "The newest readings of a place."),
}


@click.group(cls=LateGroup, late=COMMANDS, invoke_without_command=True)
@click.pass_context
def readings(ctx: click.Context) -> None:
    """Temperature and humidity from a logger: import and list."""
    help_alone(ctx)
