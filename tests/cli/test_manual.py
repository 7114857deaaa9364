"""The page of the whole command line, and what completes it in a shell."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from finishing.cli import cli

from .conftest import Command


def every_command(group: click.Group, above: click.Context) -> Iterator[tuple[str, click.Command]]:
    """Every command and group with its path."""
    for name in group.list_commands(above):
        command = group.get_command(above, name)
        assert command is not None
        ctx = click.Context(command, info_name=name, parent=above)
        yield ctx.command_path, command
        if isinstance(command, click.Group):
            yield from every_command(command, ctx)


def test_every_command_and_option_is_on_the_page(run: Command) -> None:
    page = run.ok("manual")
    for path, command in every_command(cli, click.Context(cli, info_name="finishing")):
        assert f"\n  {path}" in page
        for parameter in command.params:
            if isinstance(parameter, click.Option) and not parameter.hidden:
                assert max(parameter.opts, key=len) in page, (path, parameter.opts)
    assert max(map(len, page.splitlines())) <= 100


@pytest.mark.skipif(shutil.which("groff") is None, reason="no groff on this machine")
def test_the_page_for_man_is_sound_roff(run: Command) -> None:
    # groff is the outside authority on its own macros: -ww warns of everything
    roff = run.ok("manual", "--roff")
    done = subprocess.run(
        ["groff", "-man", "-ww", "-Kutf8", "-Tutf8", "-P-cbou"], input=roff, capture_output=True, text=True
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "finishing record coat" in done.stdout


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_what_completes_is_printed_and_sound(run: Command, shell: str) -> None:
    script = run.ok("completion", shell)
    assert "_FINISHING_COMPLETE" in script
    if shutil.which(shell):
        done = subprocess.run([shell, "-n"], input=script, capture_output=True, text=True)  # reads it, runs nothing
        assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash on this machine")
def test_bash_completes_a_command(run: Command, tmp_path: Path) -> None:
    script = run.ok("completion", "bash")
    program = tmp_path / "finishing"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m finishing "$@"\n')
    program.chmod(0o755)
    typed = "COMP_WORDS=(finishing record coa) COMP_CWORD=2\n_finishing_completion finishing coa"
    ask = f"{script}\n{typed}\necho ${{COMPREPLY[@]}}"
    environ = {**os.environ, "PATH": f"{tmp_path}:{os.environ['PATH']}"}
    done = subprocess.run(["bash", "-c", ask], env=environ, capture_output=True, text=True)
    assert done.stdout.split() == ["coat"], done
