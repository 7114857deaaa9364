"""Where the program starts, and the one place where a known problem becomes a line and an exit code."""

from __future__ import annotations

import gc
import os
import sys

import click

from finishing.cli import cli
from finishing.errors import FinishingError
from finishing.exchange.plain import plain

BAD_INPUT = 2

PRIVATE = 0o077
"""Whatever the program makes (the record, backups, exports, the maker's own files) is for its user alone."""

GARBAGE_EVERY = 200_000
"""Objects made before the collector looks for cycles: at its usual 700 it goes over the imported libraries again and
again, which costs a short command a tenth of its time."""


def main(arguments: list[str] | None = None) -> None:
    """Run the command line. Known problems: one line on standard error, exit code 2."""
    gc.set_threshold(GARBAGE_EVERY)
    os.umask(PRIVATE)
    try:
        code = cli.main(args=arguments, prog_name="finishing", standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("stopped", err=True)
        sys.exit(130)
    except click.ClickException as problem:
        click.echo(f"finishing: {plain(problem.format_message())}", err=True)
        sys.exit(problem.exit_code)
    except FinishingError as problem:
        click.echo(f"finishing: {plain(str(problem))}", err=True)
        sys.exit(BAD_INPUT)
    except BrokenPipeError:
        # Whoever read us has gone (`finishing due | head`); closing quietly is what every tool does.
        sys.stderr.close()
        sys.exit(0)
    gc.freeze()  # at exit nothing is worth a last search for cycles through every imported library
    sys.exit(code if isinstance(code, int) else 0)


if __name__ == "__main__":
    main()
