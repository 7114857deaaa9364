"""What a command costs: each imports only what it needs. Looked at from outside, in processes of their own."""

from __future__ import annotations

import importlib
import subprocess
import sys
from collections.abc import Iterator

import click
import pytest

from finishing.cli import cli
from finishing.cli.groups import LateGroup
from finishing.home import home_folder
from finishing.store import locate

LOOK = """
import sys
from finishing.__main__ import main
try:
    main(sys.argv[1:])
except SystemExit as left:
    assert left.code == 0, left.code
print("LOADED", *sorted(sys.modules))
"""
DATABASE = {"sqlmodel", "sqlalchemy", "alembic"}


def loaded(*words: str) -> set[str]:
    """Modules loaded by a command that did its work."""
    done = subprocess.run([sys.executable, "-c", LOOK, *words], capture_output=True, text=True, check=True, timeout=120)
    return set(done.stdout.rsplit("LOADED", 1)[1].split())


@pytest.mark.parametrize(
    ("words", "not_needed"),
    [
        (["--help"], DATABASE | {"textual", "scipy", "ortools", "numpy", "pendulum", "pydantic"}),
        (["record", "--help"], DATABASE | {"textual", "scipy", "ortools", "numpy", "pendulum"}),
        (["air", "--temperature", "20", "--humidity", "50"], DATABASE | {"textual", "scipy", "ortools", "pydantic"}),
        (
            ["times", "wiped-varnish-four", "--species", "hard maple", "--temperature", "20"],
            DATABASE | {"textual", "scipy", "ortools"},
        ),
        (["schedules", "--json"], DATABASE | {"textual", "scipy", "ortools"}),
    ],
    ids=lambda value: value[0] if isinstance(value, list) else "",
)
def test_only_what_it_needs(words: list[str], not_needed: set[str]) -> None:
    assert not loaded(*words) & not_needed


def late_groups(group: click.Command, path: str = "finishing") -> Iterator[tuple[str, LateGroup]]:
    if isinstance(group, LateGroup):
        yield path, group
        for name in group.late:
            command = group.get_command(click.Context(group), name)
            assert command is not None
            yield from late_groups(command, f"{path} {name}")


def test_the_lists_of_commands_say_what_the_commands_say() -> None:
    """The lists are written apart from the commands, so that help needs no imports; here they are held together."""
    for path, group in late_groups(cli):
        for name, (where, words) in group.late.items():
            module, _, attribute = where.partition(":")
            command = getattr(importlib.import_module(module), attribute)
            assert command.name == name, path
            assert words.endswith("."), f"{path} {name}"


def every_command(group: click.Group, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    for name in group.list_commands(click.Context(group)):
        command = group.get_command(click.Context(group), name)
        yield (*path, name)
        if isinstance(command, click.Group):
            yield from every_command(command, (*path, name))


def test_help_on_everything(run) -> None:  # type: ignore[no-untyped-def]
    for path in every_command(cli):
        said = run.ok(*path, "--help")
        assert said.startswith("Usage: ")
        assert len(said.splitlines()) > 4
        assert all(len(line) <= 100 for line in said.splitlines())
    assert "Commands:" in run.ok("batch")


def test_home_folder_is_the_stores(own_home) -> None:  # type: ignore[no-untyped-def]
    assert home_folder() == locate().home == own_home
    assert home_folder({}) == locate({}).home
    assert home_folder({"FINISHING_HOME": "~/x"}) == locate({"FINISHING_HOME": "~/x"}).home
