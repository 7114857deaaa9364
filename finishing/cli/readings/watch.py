"""`finishing readings watch`."""

from __future__ import annotations

import time
from pathlib import Path

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say
from finishing.clock import now_hour
from finishing.exchange.plain import plain
from finishing.moments import zone_named
from finishing.shop.watched import Watched, take_in


@click.command("watch")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--place", required=True, help="where what comes was read")
@click.option("--zone", help="time zone of the logger's clock, such as Europe/Oslo; the shop's own")
@click.option(
    "--every", type=options.Number(0.1, 86_400), default=10.0, show_default=True, help="seconds between looks"
)
@click.option("--once", is_flag=True, help="read in what is there, and end: for a timer of the system")
def watch_folder(folder: Path, place: str, zone: str | None, every: float, once: bool) -> None:
    """Read in each log (csv, txt, tsv) that comes into FOLDER, or changes, once it is whole. Control and c ends it.

    Readings already there stay as they are, and what was left out stays out. Files are left where they are.
    """
    watched = Watched(folder)
    with open_shop(now_hour()) as shop:
        shop.must_take()
        shop.place(place)
        clock = shop.settings.zone if zone is None else zone_named(zone, "--zone")
        watched.whole()
        while True:
            time.sleep(min(every, 1.0) if once else every)
            for words, well in take_in(shop, watched, place, clock, now_hour()):
                if well:
                    say(words)
                else:
                    click.echo(plain(words), err=True)
            if once:
                return
