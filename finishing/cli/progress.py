"""How far something long has come, for whoever watches at a terminal; nothing where standard error goes elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

CLEAR = "\r\x1b[K"


@contextmanager
def watched(words: str) -> Iterator[Callable[[int, int], None] | None]:
    """A function to tell so many of all to, None where nobody watches; the line is gone afterwards."""
    if not sys.stderr.isatty():
        yield None
        return
    try:
        yield lambda done, whole: click.echo(f"\r{words} {done / max(whole, 1):4.0%} ", err=True, nl=False)
    finally:
        click.echo(CLEAR, err=True, nl=False)
