"""`finishing learned`."""

from __future__ import annotations

import click

from finishing.cli import options
from finishing.cli.groups import LateGroup

COMMANDS = {
    "exclude": ("finishing.cli.learned.say:exclude", "Leave touch tests out, by the numbers of their entries."),
    "reset": ("finishing.cli.learned.say:reset", "Begin a finish afresh: what its tests taught is forgotten."),
    "take-back": ("finishing.cli.learned.say:take_back", "Take an exclusion or a reset back, by its number."),
}


class FinishOrWord(LateGroup):
    """A group whose first word may be a finish instead of one of its commands."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Keep the first word that is neither an option nor a command as the finish asked about."""
        place = next((i for i, word in enumerate(args) if not word.startswith("-")), None)
        if place is not None and args[place] not in self.late:
            ctx.meta["finish"] = args[place]
            args = [*args[:place], *args[place + 1 :]]
        return super().parse_args(ctx, args)


@click.group(cls=FinishOrWord, late=COMMANDS, invoke_without_command=True, subcommand_metavar="[FINISH] | COMMAND")
@options.as_json
@click.pass_context
def learned(ctx: click.Context, as_json: bool) -> None:
    """What touch tests taught: stated and found times, each test as an interval, and when the next one tells most.

    Without FINISH: every finish in a line, and how many past promises held.
    """
    if ctx.invoked_subcommand is None:
        from finishing.cli.learned.show import show

        show(ctx.meta.get("finish"), as_json)
