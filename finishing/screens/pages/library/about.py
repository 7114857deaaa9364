"""What the three descriptions share: a head, a heading, a figure with its ground, a caution."""

from __future__ import annotations

from collections.abc import Iterator

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from finishing.cure.cautions import DEFER, Caution
from finishing.exchange.plain import plain
from finishing.screens.pages.library.editor import editor
from finishing.shop.own import Broken

Parts = Iterator[RenderableType]


def head(title: str, name: str, whose: str, *lines: str) -> Parts:
    """Title, its name on the command line, whose it is, and what else there is to say of it at once."""
    text = Text()
    text.append(plain(title), style="bold")
    text.append(f"\n{' · '.join(part for part in (plain(name), whose) if part)}", style="dim")
    yield text
    for line in (line for line in lines if line):
        yield Text(plain(line))


def heading(words: str) -> Parts:
    """A heading with a line's space above it."""
    yield Text(f"\n{words}", style="bold")


def figure(name: str, value: str, evidence: str, source: str) -> Parts:
    """A figure, and below it how good its ground is and where it comes from."""
    yield Text.assemble((f"{name}  ", "dim"), (plain(value), "bold"))
    yield ground(evidence, source)


def ground(evidence: str, source: str, before: str = "") -> RenderableType:
    """How good a figure's ground is and where it comes from."""
    said = ": ".join(part for part in (evidence, source) if part)
    return Padding(Text(plain(f"{before}{said}"), style="dim"), (0, 0, 0, 2))


def heed(cautions: list[Caution]) -> Parts:
    """Cautions, each with its source, and what comes before any of them."""
    if not cautions:
        return
    yield from heading("heed")
    for caution in cautions:
        yield Text(plain(f"! {caution.text}"), style="bold" if caution.urgent else "")
        if caution.source:
            yield ground("", caution.source)
    yield Text(DEFER)


def said(words: str, lines: tuple[str, ...]) -> Parts:
    """A heading and lines below it, if there are any."""
    if lines:
        yield from heading(words)
        yield from (Text(f"– {plain(line)}") for line in lines)


def about_broken(broken: Broken) -> Text:
    """A file of the maker's own that can't be read: why, and where it lies."""
    text = Text()
    text.append(f"{plain(broken.file.name)}\n", style="bold")
    text.append(f"can't be read: {plain(broken.problem)}\n\n")
    text.append("o opens it in your editor. " if editor() else "With EDITOR set, o would open it in your editor. ")
    text.append(f"It lies in {plain(str(broken.file.parent))}")
    return text
