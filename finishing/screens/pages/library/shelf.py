"""The list at the left: the maker's own first, then the shipped, then files that can't be read; and what is typed."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from rich.text import Text

from finishing.cure.finish import Finish
from finishing.cure.schedule import Schedule
from finishing.cure.species import Species
from finishing.exchange.plain import plain
from finishing.library import Kind
from finishing.library.kinds import Item
from finishing.shop.own import Broken, Catalogue

NAMES = {Kind.FINISH: "finishes", Kind.SCHEDULE: "schedules", Kind.SPECIES: "woods"}


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the list: a heading, a thing, or a file that can't be read."""

    words: str
    item: Item | None = None
    broken: Broken | None = None

    @property
    def key(self) -> str:
        """What the line is known by, "" for a heading."""
        if self.broken is not None:
            return f"{self.broken.file.name}"
        return "" if self.item is None else self.item.name

    @property
    def heading(self) -> bool:
        """Whether it can't be chosen."""
        return self.item is None and self.broken is None

    def line(self) -> Text:
        """As shown."""
        text = Text(no_wrap=True, overflow="ellipsis")
        if self.heading:
            text.append(self.words, style="bold")
        elif self.broken is not None:
            text.append(f" ! {plain(self.words)}")
        else:
            text.append(f"   {plain(self.words)}")
        return text


def entries(catalogue: Catalogue, kind: Kind, typed: str) -> list[Entry]:
    """The lines of one list that have what was typed in a name, title, alias or botanical name."""
    wanted = bare(typed).strip()
    found = [item for item in catalogue.items[kind] if wanted in haystack(item)]
    found.sort(key=lambda item: shown_name(item).casefold())
    broken = [b for b in catalogue.broken if b.kind is kind and wanted in bare(f"{b.file.name} {b.problem}")]
    own = [item for item in found if (kind, item.name) in catalogue.own]
    rest = [item for item in found if (kind, item.name) not in catalogue.own]
    return [
        *_group("your own", [Entry(shown_name(item), item) for item in own]),
        *_group("can't be read", [Entry(b.file.name, broken=b) for b in broken]),
        *_group("with the program", [Entry(shown_name(item), item) for item in rest]),
    ]


def _group(words: str, lines: list[Entry]) -> Iterator[Entry]:
    if lines:
        yield Entry(f"{words} · {len(lines)}")
        yield from lines


def shown_name(item: Item) -> str:
    """A title, or a wood's name."""
    return item.name if isinstance(item, Species) else item.title


def haystack(item: Item) -> str:
    """Everything a search looks into."""
    if isinstance(item, Species):
        parts = [item.name, item.botanical, *item.aliases]
    elif isinstance(item, Schedule):
        parts = [item.name, item.title, *item.finishes]
    else:
        assert isinstance(item, Finish)
        parts = [item.name, item.title, item.family.value]
    return bare("\n".join(parts))


def bare(text: str) -> str:
    """Text as it is compared: without case and accents, so that goncalo finds gonçalo."""
    split = unicodedata.normalize("NFKD", text)
    return "".join(c for c in split if not unicodedata.combining(c)).casefold()


def whose(catalogue: Catalogue, kind: Kind, name: str) -> str:
    """Whose a thing is, in words."""
    if (kind, name) in catalogue.replaced:
        return "your own, in place of the program's"
    return "your own" if (kind, name) in catalogue.own else "comes with the program"
