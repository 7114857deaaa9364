"""Groups of commands: those named by text are imported when they are called, so each costs only what it needs."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from typing import Any

import click

from finishing.errors import NotFound

Late = Mapping[str, tuple[str, str]]
"""By name: the module and attribute of a command ("package.module:command"), and the first line of its help."""


class NearestGroup(click.Group):
    """A group that names the nearest commands for an unknown one."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command meant by the first argument. NotFound for an unknown one."""
        if args and not args[0].startswith("-") and args[0] not in self.list_commands(ctx):
            raise NotFound("command", args[0], self.list_commands(ctx))
        return super().resolve_command(ctx, args)


class LateGroup(NearestGroup):
    """A group whose commands are named by text; its help is written without importing any of them."""

    def __init__(self, *args: Any, late: Late, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.late = late

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command's name, in the order of the table."""
        return list(self.late)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a name, imported now."""
        if cmd_name not in self.late:
            return None
        module, _, attribute = self.late[cmd_name][0].partition(":")
        command = getattr(importlib.import_module(module), attribute)
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, from the table alone."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, words) for name, (_, words) in self.late.items()])


def help_alone(ctx: click.Context) -> None:
    """Print a group's help when it was called without a command."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())
