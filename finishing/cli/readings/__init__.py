"""`finishing readings`."""

from __future__ import annotations

import click

from finishing.cli.groups import LateGroup, help_alone

COMMANDS = {
    "import": ("finishing.cli.readings.logs:import_readings", "Read a logger's CSV file in, and say how it was read."),
    "watch": ("finishing.cli.readings.watch:watch_folder", "Read in each log that comes into a folder."),
    "listen": ("finishing.cli.readings.mqtt:listen", "Take readings as they come from an MQTT broker."),
    "leave-out": ("finishing.cli.readings.left_out:leave_out", "Leave the readings of a wrong log or time out."),
    "left-out": ("finishing.cli.readings.left_out:left_out", "What was left out, and taken back."),
    "take-back": ("finishing.cli.readings.left_out:take_back", "Put readings that were left out back, by number."),
    "list": ("finishing.cli.readings.logs:list_readings", "The newest readings of a place."),
}


@click.group(cls=LateGroup, late=COMMANDS, invoke_without_command=True)
@click.pass_context
def readings(ctx: click.Context) -> None:
    """Temperature and humidity from a logger: import, watch, leave out and list."""
    help_alone(ctx)
