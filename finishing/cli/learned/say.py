"""`finishing learned exclude`, `reset` and `take-back`."""

from __future__ import annotations

from collections.abc import Callable

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.shop.learning import word
from finishing.shop.shop import Shop


@click.command()
@click.argument("numbers", metavar="NUMBER...", type=options.NUMBER, nargs=-1, required=True)
@options.note
@options.as_json
def exclude(numbers: tuple[int, ...], note: str, as_json: bool) -> None:
    """Leave touch tests out of learning: of a wrong coat, a run, a cold corner. What they say of their own coat stands.

    NUMBER is a test's entry, as `finishing learned FINISH` and `finishing batch show` name it.
    """
    _put(lambda shop, now: word.exclude(shop, tuple(dict.fromkeys(numbers)), now, note), as_json)


@click.command()
@click.argument("finish")
@options.note
@options.as_json
def reset(finish: str, note: str, as_json: bool) -> None:
    """Begin FINISH afresh: what its tests up to now taught is forgotten, the tests stay on record."""
    _put(lambda shop, now: word.reset(shop, finish, now, note), as_json)


@click.command("take-back")
@click.argument("number", type=options.NUMBER)
@options.note
@options.as_json
def take_back(number: int, note: str, as_json: bool) -> None:
    """Take exclusion or reset NUMBER back, as `finishing learned FINISH` lists them."""
    _put(lambda shop, now: word.take_back(shop, number, now, note), as_json)


def _put(act: Callable[[Shop, float], str], as_json: bool) -> None:
    now = now_hour()
    with open_shop(now) as shop:
        said = act(shop, now)
    if as_json:
        say_json({"said": said})
    else:
        say(said)
