"""What the three listings share: the library with the maker's own files, what is wrong with those, and adding one."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path
from typing import Any

import click

from finishing.cli import options
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.errors import StoreTrouble
from finishing.exchange.plain import plain
from finishing.home import home_folder
from finishing.library import Kind, Library, add_own


def library() -> Library:
    """What ships, and the maker's own over it."""
    return Library(own=home_folder())


def maker_units() -> str:
    """The shop's units; metric where its record can't be read, which is no matter of these commands."""
    from finishing.shop.shop import Shop

    try:
        with closing(Shop.open(now_hour())) as shop:
            return shop.settings.units
    except StoreTrouble:
        return "metric"


def say_problems(found: Library, kind: Kind) -> None:
    """One line on standard error for each of the maker's files of a kind that can't be read."""
    for problem in found.problems:
        if problem.where.startswith(f"{kind.folder}/"):
            click.echo(f"finishing: {plain(str(problem))}", err=True)


def adder(kind: Kind) -> click.Command:
    """The command that adds a file of a kind to the maker's own."""

    @click.command("add", short_help=f"Add a {kind.value} of your own.")
    @click.argument("file", type=options.FILE)
    @click.option("--replace", is_flag=True, help="in place of your own of that name")
    @options.as_json
    def add(file: Path, replace: bool, as_json: bool) -> None:
        target = add_own(kind, file, home_folder(), replace=replace)
        if as_json:
            say_json({"kind": kind.value, "name": _name(kind, target), "file": str(target)})
        else:
            say(f"{_name(kind, target)}: added to your own, in {target}")

    add.help = (
        f"Add a {kind.value} of your own from a TOML FILE. It is checked first, and copied as it is.\n\n"
        f"One of the name of a shipped {kind.value} is used in its place; "
        "batches begun before keep what they began with."
    )
    return add


def remover(kind: Kind) -> click.Command:
    """The command that takes away one of the maker's own."""

    @click.command("remove", short_help=f"Take away a {kind.value} of your own.")
    @click.argument("name")
    @options.as_json
    def remove(name: str, as_json: bool) -> None:
        from finishing.cli.context import open_shop
        from finishing.shop import removal

        now = now_hour()
        with open_shop(now) as shop:
            said = removal.remove(shop, kind, name, now)
        if as_json:
            say_json({"kind": kind.value, "name": name, "removed": True})
        else:
            say(said)

    remove.help = (
        f"Take away the {kind.value} NAME of your own, unless something open uses it. Its file is put aside, "
        "and can be added again."
    )
    return remove


def _name(kind: Kind, target: Path) -> str:
    """The name a file's thing has; a wood's may have spaces its file has not."""
    from finishing.library.build import read_item

    return read_item(kind.holds, target).name


def figures(item: Any) -> dict[str, Any]:
    """Every figure of a finish, schedule or wood as JSON, under the keys of its file."""
    from finishing.library.adapters import adapter

    plain_item: dict[str, Any] = adapter(type(item)).dump_python(item, mode="json")
    return plain_item


def rounded(value: float) -> str:
    """A figure as people write it: 0.167, 12, 504."""
    return f"{value:.4g}"
