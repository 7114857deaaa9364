"""Finishes, schedules and woods: every figure with its source, the maker's own among them, copied and changed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import ClassVar

from rich.console import Group, RenderableType
from rich.text import Text
from textual import on, work
from textual.app import ComposeResult, SuspendNotSupported
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from finishing.clock import Clock, at_zone, now_hour
from finishing.cure.finish import Finish
from finishing.cure.species import Species
from finishing.errors import FinishingError
from finishing.exchange.plain import plain
from finishing.library import Kind
from finishing.library.files import read_text
from finishing.library.kinds import Item
from finishing.screens.pages.batch.cards import Sure
from finishing.screens.pages.library.about import about_broken
from finishing.screens.pages.library.about_finish import about_finish
from finishing.screens.pages.library.about_schedule import PIECES, about_schedule
from finishing.screens.pages.library.about_wood import about_wood
from finishing.screens.pages.library.cards import CopyCard, EditCard, LabelCard, Rejected
from finishing.screens.pages.library.editor import Aside, editor, run
from finishing.screens.pages.library.help import LIBRARY_HELP
from finishing.screens.pages.library.shelf import NAMES, Entry, entries, whose
from finishing.screens.pages.page import LOOK_EVERY, Page
from finishing.shop import own, removal
from finishing.shop.shop import Shop


class KindWord(Static):
    """The name of a list in the line above them; a click goes there."""

    @dataclass
    class Chosen(Message):
        """Go to this list."""

        kind: Kind

    def __init__(self, kind: Kind) -> None:
        super().__init__("", id=f"kind-{kind.value}", classes="kind", markup=False)
        self.kind = kind

    def on_click(self) -> None:
        """Go there."""
        self.post_message(self.Chosen(self.kind))


class LibraryPage(Page):
    """The page."""

    HELP = LIBRARY_HELP
    CSS_PATH = "page.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f", "kind('finish')", "Finishes", show=False),
        Binding("s", "kind('schedule')", "Schedules", show=False),
        Binding("w", "kind('species')", "Woods", show=False),
        Binding("slash", "search", "Search", key_display="/"),
        Binding("y", "copy", "Copy"),
        Binding("e", "edit", "Edit"),
        Binding("o", "open_file", "Open file"),
        Binding("l", "label", "Label"),
        Binding("x", "remove", "Take away"),
        Binding("plus,equals_sign", "pieces(1)", "More pieces", key_display="+"),
        Binding("minus", "pieces(-1)", "Fewer", key_display="-"),
    ]

    @dataclass
    class Read(Message):
        """The files were read, or could not be."""

        catalogue: own.Catalogue | None
        problem: str = ""

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self.catalogue: own.Catalogue | None = None
        self.kind = Kind.FINISH
        self.pieces = 12
        self._lines: list[Entry] = []
        self._at: dict[Kind, str] = {}
        self._asked: own.Mark | None = None
        self._offered: tuple[object, ...] = ()

    def body(self) -> ComposeResult:
        """The lists' names and the search line; the list, and what there is to say of the chosen one."""
        with Horizontal(id="kinds"):
            for kind in Kind:
                yield KindWord(kind)
            yield Input(placeholder="/ to search", id="typed", select_on_focus=False)
        with Horizontal(id="both"):
            yield OptionList(id="things", markup=False)
            with VerticalScroll(id="about"):
                yield Static("reading …", id="said", markup=False)

    def on_mount(self) -> None:
        """Begin in the list, and watch the maker's files: a command or an editor may change them."""
        self.query_one("#things", OptionList).focus()
        self.set_interval(LOOK_EVERY, self._look_at_files)

    def _look_at_files(self) -> None:
        if self.is_current:
            self.try_to_look()

    def title_words(self) -> str:
        """The page, and how many of the maker's own files can't be read."""
        broken = len(self.catalogue.broken) if self.catalogue else 0
        return "library" + (f" · {broken} of your files can't be read" if broken else "")

    def look(self) -> None:
        """Read the files again when the maker's own have changed since."""
        seen = own.mark(self.shop.home)
        if seen != self._asked:
            self._asked = seen
            self._read()

    @work(thread=True, exclusive=True)
    def _read(self) -> None:
        try:
            self.post_message(self.Read(own.catalogue(self.shop.home)))
        except FinishingError as problem:
            self.post_message(self.Read(None, str(problem)))

    def on_library_page_read(self, message: Read) -> None:
        """Show what was read, and let the rest of the program use it."""
        if message.catalogue is None:
            self.query_one("#said", Static).update(Text(plain(message.problem)))
            return
        self.catalogue = message.catalogue
        self.shop.library = message.catalogue.library
        self._fill()
        self.refresh_page()

    # The list ------------------------------------------------------------------------------------------------------

    @on(Input.Changed, "#typed")
    def _fill(self) -> None:
        """The lines of the list that have what was typed, the chosen one kept where it is still there."""
        if self.catalogue is None:
            return
        self._lines = entries(self.catalogue, self.kind, self.query_one("#typed", Input).value)
        things = self.query_one("#things", OptionList)
        things.clear_options()
        things.add_options([Option(line.line(), disabled=line.heading) for line in self._lines])
        keys = [line.key for line in self._lines]
        wanted = self._at.get(self.kind, "")
        first = next((i for i, line in enumerate(self._lines) if not line.heading), None)
        things.highlighted = keys.index(wanted) if wanted and wanted in keys else first
        if first is None:
            self.query_one("#said", Static).update(Text("nothing here has these letters"))
        self._name_kinds()
        self._offer_keys()

    def _name_kinds(self) -> None:
        assert self.catalogue is not None
        for word in self.query(KindWord):
            here = word.kind is self.kind
            key = {Kind.FINISH: "f", Kind.SCHEDULE: "s", Kind.SPECIES: "w"}[word.kind]
            shown = sum(line.item is not None for line in self._lines) if here else None
            all_ = len(self.catalogue.items[word.kind])
            count = f"{all_}" if shown in (None, all_) else f"{shown} of {all_}"
            name = NAMES[word.kind].upper() if here else NAMES[word.kind]
            word.update(Text(f"{'▸' if here else ' '}{key} {name} {count}", style="bold" if here else ""))

    @property
    def chosen(self) -> Entry | None:
        """The line under the cursor."""
        at = self.query_one("#things", OptionList).highlighted
        return self._lines[at] if at is not None and at < len(self._lines) else None

    @on(OptionList.OptionHighlighted, "#things")
    def show_chosen(self) -> None:
        """Everything about the line under the cursor."""
        entry = self.chosen
        if entry is None or self.catalogue is None:
            return
        if self._at.get(self.kind) != entry.key:
            self.query_one("#about", VerticalScroll).scroll_home(animate=False)
        self._at[self.kind] = entry.key
        self.query_one("#said", Static).update(self._about(entry))
        self._offer_keys()

    def _offer_keys(self) -> None:
        """Draw the keys at the foot anew, where others do something now; drawing them takes its time."""
        entry = self.chosen
        item, broken = (None, None) if entry is None else (entry.item, entry.broken)
        offered = (self.kind, item is not None, broken is not None, self._is_own(item))
        if offered != self._offered:
            self._offered = offered
            self.refresh_bindings()

    def _about(self, entry: Entry) -> RenderableType:
        assert self.catalogue is not None
        if entry.broken is not None:
            return about_broken(entry.broken)
        item = entry.item
        assert item is not None
        mine, units = whose(self.catalogue, self.kind, item.name), self.shop.settings.units
        if isinstance(item, Finish):
            return Group(*about_finish(item, mine, units))
        if isinstance(item, Species):
            return Group(*about_wood(item, self.catalogue.classes, mine))
        try:
            finishes = self.catalogue.library.finishes_of(item)
        except FinishingError as problem:
            return Text(f"{plain(item.title)}\nits finish can't be read: {plain(str(problem))}")
        return Group(*about_schedule(item, finishes, mine, self.pieces, units))

    @on(KindWord.Chosen)
    def _go(self, message: KindWord.Chosen) -> None:
        self.action_kind(message.kind.value)

    def action_kind(self, name: str) -> None:
        """Go to another list."""
        self.kind = Kind(name)
        self._fill()
        self.query_one("#things", OptionList).focus()

    def action_search(self) -> None:
        """Into the search line."""
        self.query_one("#typed", Input).focus()

    @on(Input.Submitted, "#typed")
    def _into_list(self) -> None:
        self.query_one("#things", OptionList).focus()

    @on(OptionList.OptionSelected, "#things")
    def _into_text(self) -> None:
        self.query_one("#about", VerticalScroll).focus()

    def action_back(self) -> None:
        """Out of the search or the text first, then off the page."""
        typed, things = self.query_one("#typed", Input), self.query_one("#things", OptionList)
        if typed.value or not things.has_focus:
            typed.value = ""
            things.focus()
        else:
            super().action_back()

    def action_pieces(self, by: int) -> None:
        """The hands' work for more or fewer pieces."""
        place = PIECES.index(self.pieces) + by
        self.pieces = PIECES[min(max(place, 0), len(PIECES) - 1)]
        self.show_chosen()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys only where they do something."""
        entry = self.chosen if self.is_mounted else None
        if action == "label":
            return self.kind is Kind.FINISH
        if action == "pieces":
            return self.kind is Kind.SCHEDULE
        if action in ("copy", "edit"):
            return entry is not None and entry.item is not None
        if action == "remove":
            return entry is not None and (entry.broken is not None or self._is_own(entry.item))
        if action == "open_file":
            return entry is not None and bool(editor()) and (entry.broken is not None or self._is_own(entry.item))
        return True

    def _is_own(self, item: Item | None) -> bool:
        return self.catalogue is not None and item is not None and (self.kind, item.name) in self.catalogue.own

    # The maker's own -----------------------------------------------------------------------------------------------

    def action_copy(self) -> None:
        """A copy of the chosen thing, under a name to be given."""
        entry = self.chosen
        if entry is not None and entry.item is not None and self.catalogue is not None:
            self.app.push_screen(CopyCard(self.catalogue.library, entry.item), self._add)

    def action_label(self) -> None:
        """A finish of the maker's own from the label of a can."""
        if self.catalogue is None:
            return
        generic = tuple(f for f in self.catalogue.items[Kind.FINISH] if isinstance(f, Finish) and not self._is_own(f))
        entry = self.chosen
        here = entry.item if entry is not None and isinstance(entry.item, Finish) else generic[0]
        # One of the maker's own stands for the generic one of its family.
        base = next(
            (f for f in generic if f is here), next((f for f in generic if f.family is here.family), generic[0])
        )
        card = LabelCard(self.catalogue.library, generic, base.name, self.shop.settings.units, self._today())
        self.app.push_screen(card, self._add)

    def _add(self, item: Item | None) -> None:
        if item is not None:
            self._at[self.kind] = item.name
            self.attempt(lambda: own.add(self.shop, item))

    def action_edit(self) -> None:
        """Change the common figures of one of the maker's own."""
        entry = self.chosen
        if entry is None or entry.item is None:
            return
        if not self._is_own(entry.item):
            self.notify("it comes with the program: y makes a copy of your own to change", markup=False)
            return
        item = entry.item
        seen = self._text_of(item)
        if seen is None:
            return
        remarks = any(line.lstrip().startswith("#") for line in seen.splitlines())
        note = "Your remarks (lines with #) in the file are left out when saved from here." if remarks else ""
        card = EditCard(item, self.shop.settings.units, self._today(), note)
        self.app.push_screen(card, lambda new: self._change(new, seen))

    def _change(self, item: Item | None, seen: str) -> None:
        if item is not None:
            self.attempt(lambda: own.change(self.shop, item, seen))

    def action_remove(self) -> None:
        """Take away one of the maker's own, after saying what follows."""
        entry = self.chosen
        if entry is None or (entry.broken is None and not self._is_own(entry.item)):
            return
        kind, name = self.kind, entry.broken.file.stem if entry.broken else entry.key

        def card() -> Sure:
            said = removal.what_follows(self.shop, kind, name, self.clock())
            return Sure(f"Take away your own {kind.value} {name}?", "Take away", [said, "its file is put aside"])

        self.ask(card, lambda _: removal.remove(self.shop, kind, name, self.clock()))

    def _text_of(self, item: Item) -> str | None:
        try:
            return read_text(own.own_file(self.shop.home, self.kind, item.name))
        except FinishingError as problem:
            self.notify(plain(str(problem)), severity="error", markup=False)
            return None

    def _today(self) -> dt.date:
        return at_zone(self.clock(), self.shop.settings.zone).date()

    def action_open_file(self) -> None:
        """The whole file of one of the maker's own, in the maker's editor."""
        entry = self.chosen
        if entry is None or (entry.broken is None and entry.item is None):
            return
        file = entry.broken.file if entry.broken else own.own_file(self.shop.home, self.kind, entry.key)
        try:
            aside = Aside.of(self.kind, file, read_text(file))
        except FinishingError as problem:
            self.notify(plain(str(problem)), severity="error", markup=False)
        else:
            self._edit_aside(aside)

    def _edit_aside(self, aside: Aside) -> None:
        """Edit, then put in place what can be read; else ask whether to go on with it."""
        try:
            with self.app.suspend():
                run(editor(), aside.file)
        except SuspendNotSupported:
            self.notify("no editor can be opened from this terminal", severity="error", markup=False)
            aside.drop()
            return
        except FinishingError as problem:
            self.notify(plain(str(problem)), severity="error", markup=False)
            aside.drop()
            return
        try:
            said = own.put_back(self.shop, aside.kind, aside.file, aside.target, aside.seen)
        except FinishingError as problem:
            self.app.push_screen(Rejected(problem), lambda again: self._again(aside, again))
        else:
            aside.drop()
            self.attempt(lambda: said)

    def _again(self, aside: Aside, again: bool | None) -> None:
        if again:
            self._edit_aside(aside)
        else:
            aside.drop()
