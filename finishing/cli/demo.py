"""`finishing demo`: the screens on an invented shop."""

from __future__ import annotations

import tempfile
from pathlib import Path

import click

from finishing.cli.home import show
from finishing.clock import now_hour
from finishing.errors import BadInput
from finishing.shop.demo import build_demo, is_demo, mark_demo, open_demo
from finishing.shop.shop import Shop


@click.command()
@click.option("--keep", type=click.Path(path_type=Path, file_okay=False), help="keep the invented shop in this folder")
def demo(keep: Path | None) -> None:
    """Open an invented shop: twelve batches in different states, three behind it, three weeks of readings, cans.

    Nothing in it is real, and nothing of yours is touched. Without --keep it is gone when you leave.
    """
    now = now_hour()
    if keep is None:
        show_demo()
        return
    if is_demo(keep):
        _show(open_demo(keep, now))
        return
    if keep.exists() and any(keep.iterdir()):
        raise BadInput("--keep", str(keep), "a new or empty folder, or one that holds a demo kept before")
    keep.mkdir(mode=0o700, parents=True, exist_ok=True)
    shop = build_demo(keep, now)
    mark_demo(keep)
    _show(shop)


def show_demo() -> None:
    """The invented shop in a folder that is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="finishing-demo-") as folder:
        _show(build_demo(Path(folder), now_hour()))


def _show(shop: Shop) -> None:
    try:
        show(shop)
    finally:
        shop.close()
