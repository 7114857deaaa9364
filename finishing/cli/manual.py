"""`finishing manual`: the whole command line as one page, made from the commands themselves."""

from __future__ import annotations

from collections.abc import Iterator

import click

import finishing
from finishing.cli.text import say

ENVIRONMENT = (
    ("FINISHING_HOME", "folder of the record, its backups and your own finishes, schedules and woods"),
    ("FINISHING_DATABASE", "SQLAlchemy URL of another database, SQLite or PostgreSQL"),
    ("FINISHING_MAKER", "who stands at this bench, before the maker among the settings"),
    ("FINISHING_PASSPHRASE", "what finishing serve asks for at the door"),
    ("NO_COLOR", "if set and not empty, the screens use the terminal's two colours alone"),
)

EXIT = (
    ("0", "done"),
    ("1", "finishing check found something wrong"),
    ("2", "refused, in one line"),
    ("130", "stopped"),
)


@click.command()
@click.option("--roff", is_flag=True, help="as a page for man: finishing manual --roff | man -l -")
def manual(roff: bool) -> None:
    """Every command with its arguments and options, in one page."""
    from finishing.cli import cli

    page = list(_page(cli))
    for line in _roff(page) if roff else _plain(page):
        say(line)


Line = tuple[str, str]
"""What kind ("heading", "command", "text", "term", "meaning"), and its words."""


def _page(top: click.Group) -> Iterator[Line]:
    yield "heading", "NAME"
    yield "text", "finishing - when the next coat is due, what may be handled, packed or used, and why"
    yield "heading", "SYNOPSIS"
    yield "text", "finishing [COMMAND] [OPTIONS] [ARGUMENTS]"
    yield "heading", "DESCRIPTION"
    yield from (("text", part) for part in _paragraphs(top.help))
    yield "heading", "COMMANDS"
    yield from _commands(top, click.Context(top, info_name="finishing"))
    for heading, rows in (("ENVIRONMENT", ENVIRONMENT), ("EXIT STATUS", EXIT)):
        yield "heading", heading
        for term, meaning in rows:
            yield "term", term
            yield "meaning", meaning


def _commands(group: click.Group, above: click.Context) -> Iterator[Line]:
    for name in group.list_commands(above):
        command = group.get_command(above, name)
        assert command is not None
        ctx = click.Context(command, info_name=name, parent=above)
        yield "command", f"{ctx.command_path} {' '.join(command.collect_usage_pieces(ctx))}"
        yield from (("text", part) for part in _paragraphs(command.help))
        for parameter in command.get_params(ctx):
            record = parameter.get_help_record(ctx)
            if record is not None and "--help" not in parameter.opts:
                yield "term", record[0]
                yield "meaning", record[1]
        if isinstance(command, click.Group):
            yield from _commands(command, ctx)


def _paragraphs(text: str | None) -> list[str]:
    """Each in one line; one marked \\b as it stands."""
    parts = [part for part in (text or "").split("\n\n") if part.strip()]
    return [part if "\b" in part else " ".join(part.split()) for part in parts]


def _plain(page: list[Line]) -> Iterator[str]:
    yield f"FINISHING(1), version {finishing.__version__}"
    indent = {"heading": 0, "command": 2, "text": 4, "term": 4, "meaning": 8}
    for kind, words in page:
        if kind in ("heading", "command"):
            yield ""
        for line in _wrapped(words, 96 - indent[kind]):
            yield " " * indent[kind] + line


def _wrapped(words: str, width: int) -> list[str]:
    if "\b" in words:
        return [line.strip() for line in words.replace("\b", "").splitlines() if line.strip()]
    return click.formatting.wrap_text(words, width).splitlines() or [""]


def _roff(page: list[Line]) -> Iterator[str]:
    """In the man macros of groff_man(7)."""
    yield f'.TH FINISHING 1 "" "finishing {finishing.__version__}"'
    for kind, words in page:
        lines = words.replace("\b", "").strip("\n").splitlines() if "\b" in words else [words]
        match kind:
            case "heading":
                yield f".SH {_escaped(words)}"
            case "command":
                yield f'.SS "{_escaped(words)}"'
            case "term":
                yield ".TP"
                yield f".B {_escaped(words)}"
            case "meaning":
                yield _escaped(words)
            case _:
                yield ".PP"
                for line in lines:
                    yield _escaped(line.strip())
                    if len(lines) > 1:
                        yield ".br"


def _escaped(words: str) -> str:
    safe = words.replace("\\", "\\e").replace("-", "\\-").replace('"', "\\(dq")
    return f"\\&{safe}" if safe.startswith((".", "'")) else safe
