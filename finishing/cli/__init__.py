"""The command line: thin. Commands are imported when they are called, so that each costs only what it needs."""

from __future__ import annotations

import click

import finishing
from finishing.cli.groups import LateGroup

COMMANDS = {
    "due": ("finishing.cli.due:due", "What to do now, what next, what rests, and what is ready to go out."),
    "record": ("finishing.cli.record:record", "Put on record what the hands did."),
    "batch": ("finishing.cli.batch:batch", "Batches: add, list, show, hold, close."),
    "plan": ("finishing.cli.plan:plan", "Every remaining step of every batch, planned into your working hours."),
    "compare": ("finishing.cli.compare:compare_command", "The same batch under several schedules, side by side."),
    "learned": ("finishing.cli.learned:learned", "What touch tests taught: found times, and when to test next."),
    "times": ("finishing.cli.times:times", "How long a schedule takes in some air on some woods, without a batch."),
    "air": ("finishing.cli.air:air", "Dew point, vapour pressure deficit and wood moisture of some air."),
    "place": ("finishing.cli.place:place", "Places where pieces dry: add, list, show, and what to expect there."),
    "readings": ("finishing.cli.readings:readings", "Temperature and humidity from a logger: import, watch and list."),
    "can": ("finishing.cli.can:can", "Cans of finish: add, list, show, empty."),
    "trace": ("finishing.cli.trace:trace_command", "Which batches got a lot or a can; what went on a batch."),
    "find": ("finishing.cli.trace:find_command", "Any batch, wood, can, note or day on record."),
    "calendar": ("finishing.cli.calendar:calendar", "What is to come, for any calendar program."),
    "report": ("finishing.cli.report:report_command", "A month: pieces, hours, finish used, promises kept."),
    "cards": ("finishing.cli.cards:cards", "Cards for the rack and the customer, and a batch's record, as PDF."),
    "export": ("finishing.cli.exporting:export_command", "Everything on record, as CSV or JSON."),
    "import": ("finishing.cli.exporting:import_command", "An export, into an empty shop."),
    "finishes": ("finishing.cli.catalogue.finishes:finishes", "Finishes, shipped and your own."),
    "schedules": ("finishing.cli.catalogue.schedules:schedules", "Finishing schedules, shipped and your own."),
    "species": ("finishing.cli.catalogue.species:species", "Woods, shipped and your own."),
    "settings": ("finishing.cli.settings:settings", "The shop's settings: show or change them."),
    "backup": ("finishing.cli.keeping:backup", "Copy the whole record to one file; list the backups there are."),
    "restore": ("finishing.cli.keeping:restore", "Put a backup in the place of the record; what it replaces is kept."),
    "move-to": ("finishing.cli.move:move", "Copy the whole record to another database, every row compared."),
    "check": ("finishing.cli.keeping:check", "Check that the record, or a backup, is sound."),
    "serve": ("finishing.cli.serve:serve", "The screens in a browser, for a tablet by the rack."),
    "completion": ("finishing.cli.completion:completion", "Complete commands with the tab key in your shell."),
    "manual": ("finishing.cli.manual:manual", "Every command with its options, in one page."),
    "demo": ("finishing.cli.demo:demo", "Open an invented shop; nothing of yours is touched."),
}


@click.group(
    cls=LateGroup,
    late=COMMANDS,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(finishing.__version__, prog_name="finishing")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """When the next coat is due, what may be handled, packed or used, and why.

    Without a command: the screens, or, where nobody is at a terminal, what the first one says.

    What you record is kept in your data folder; FINISHING_HOME names another one.
    """
    if ctx.invoked_subcommand is None:
        from finishing.cli.home import home

        home()
