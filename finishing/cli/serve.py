"""`finishing serve`: the screens in a browser."""

from __future__ import annotations

import ipaddress
import os

import click

from finishing.cli import options
from finishing.cli.text import say
from finishing.errors import BadInput

WORDS = "FINISHING_PASSPHRASE"


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="address to listen on; 0.0.0.0 for all")
@click.option("--port", type=options.Whole(1, 65535), default=8472, show_default=True)
@click.option("--public-url", help="the address browsers use, behind a reverse proxy")
@click.option("--anybody", is_flag=True, help="on a network without a pass-phrase all the same")
def serve(host: str, port: int, public_url: str | None, anybody: bool) -> None:
    """Open the screens in a browser, such as a tablet's by the rack. Control and c ends it.

    Only this machine can reach it, unless --host names an address on a network. There FINISHING_PASSPHRASE is asked for
    at the door. What goes over the network is not encrypted: for more than a network you trust put a reverse proxy with
    TLS before it, and let that ask who comes.
    """
    words = os.environ.get(WORDS, "")
    open_to_network = not is_loopback(host)
    if open_to_network and not words and not anybody:
        raise BadInput(
            WORDS, None, "a pass-phrase, as others can reach this address", "or --anybody for a network you trust"
        )
    try:
        from finishing.screens.web.server import BenchServer
    except ModuleNotFoundError as error:
        raise BadInput("serve", error.name, "its libraries installed", "pip install 'finishing[serve]'") from error
    if open_to_network:
        who = "whoever knows the pass-phrase" if words else "ANYBODY"
        click.echo(
            f"WARNING: {host} is open to the network: {who} there can read and record. "
            "Nothing is encrypted on the way: others on it can read the pass-phrase and the record.",
            err=True,
        )
    shown = public_url or f"http://{'localhost' if not open_to_network else host}:{port}"
    say(f"the bench is at {shown}; control and c ends it")
    BenchServer(host, port, words=words, public_url=public_url).serve()


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach an address."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
