"""`finishing completion`: what a shell needs to complete commands and options."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from finishing.cli import options

SHELLS = ("bash", "zsh", "fish")


@click.command()
@click.argument("shell", type=options.OneOf(SHELLS))
def completion(shell: str) -> None:
    """Print what makes a SHELL complete commands and options with the tab key.

    \b
    bash:  finishing completion bash >> ~/.bashrc
    zsh:   finishing completion zsh >> ~/.zshrc
    fish:  finishing completion fish > ~/.config/fish/completions/finishing.fish
    """
    from finishing.cli import cli

    found = get_completion_class(shell)
    assert found is not None
    click.echo(found(cli, {}, "finishing", "_FINISHING_COMPLETE").source())
