"""The command line: thin. Commands are imported when they are called, so that each costs only what it needs."""

from __future__ import annotations

import importlib

import click

import finishing

COMMANDS = {
    "air": "finishing.cli.air:air",
    "batch": "finishing.cli.batch:batch",
    "can": "finishing.cli.can:can",
    "demo": "finishing.cli.demo:demo",
    "due": "finishing.cli.due:due",
    "finishes": "finishing.cli.catalogue:finishes",
    "place": "finishing.cli.place:place",
    "readings": "finishing.cli.readings:readings",
    "record": "finishing.cli.record:record",
    "schedules": "finishing.cli.catalogue:schedules",
    "settings": "finishing.cli.settings:settings",
    "species": "finishing.cli.catalogue:species",
    "times": "finishing.cli.times:times",
}


class LateGroup(click.Group):
    """A group whose commands are modules named by text and imported when asked for (click's lazy loading)."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command's name."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a name, imported now."""
        if cmd_name not in COMMANDS:
            return None
        module, _, attribute = COMMANDS[cmd_name].partition(":")
        command = getattr(importlib.import_module(module), attribute)
        assert isinstance(command, click.Command)
        return command


@click.group(cls=LateGroup, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(finishing.__version__, prog_name="finishing")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """When the next coat is due, what may be handled, packed or used, and why.

    Without a command: the screens, or, where nobody is at a terminal, what the first one says.
    """
    if ctx.invoked_subcommand is None:
        from finishing.cli.home import home

        home()
