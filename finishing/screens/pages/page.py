"""What every page has in common: the masthead, the keys at the foot, looking again when something changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import ModalScreen, Screen
from textual.widgets import Footer

from finishing.clock import Clock, at_zone, now_hour
from finishing.errors import FinishingError, StoreTrouble
from finishing.exchange.plain import plain
from finishing.screens.connection import Steady, can_do, lost_words
from finishing.screens.pages.help import HelpScreen
from finishing.screens.pages.working import Outcome, Tell, WorkCard
from finishing.screens.widgets.masthead import Masthead
from finishing.shop import meanwhile
from finishing.shop.shop import Lost, Rack, Shop

T = TypeVar("T")

LOOK_EVERY = 1.0
"""Seconds between looks at whether another process changed the record."""

TURN_EVERY = 30.0
"""Seconds between looks for the passing of time."""


class Page(Steady, Screen[None]):
    """A full page. A subclass gives `body`, `look` and HELP, and keeps to `attempt` for whatever it records."""

    HELP: ClassVar[str] = ""
    """What the page is for and what its keys and marks mean, for `?`."""

    RINGS: ClassVar[bool] = False
    """Whether the page itself rings the bells of running guides; over all others the app does."""

    @dataclass
    class OpenBatch(Message):
        """Somebody wants the page of a batch."""

        code: str

    @dataclass
    class OpenPage(Message):
        """Somebody wants another page, by its name in the app's list."""

        name: str

    @dataclass
    class OpenTrace(Message):
        """Somebody wants to see where a word leads; kind: batch, lot or can."""

        word: str
        kind: str

    @dataclass
    class OpenGuide(Message):
        """Somebody wants the pass guide of a batch's coat; position None: its next one, or the guide that runs."""

        code: str
        position: int | None = None

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark", "help", "Help", key_display="?"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__()
        self.shop = shop
        self.clock = clock
        self._seen: Rack | None = None
        self._lost: Lost | None = None
        self._shown = False

    def compose(self) -> ComposeResult:
        """Masthead, the page's own body, keys."""
        yield Masthead(id="masthead")
        yield from self.body()
        yield Footer(show_command_palette=False, compact=True)

    def body(self) -> ComposeResult:
        """The page between masthead and keys."""
        raise NotImplementedError

    def look(self) -> None:
        """Read the shop and show it; called first, and whenever the record or the time has moved on."""
        raise NotImplementedError

    def title_words(self) -> str:
        """What the masthead says at the left."""
        raise NotImplementedError

    def on_mount(self) -> None:
        """First look, then again whenever something changed."""
        self.refresh_page()
        self.set_interval(LOOK_EVERY, self._look_if_changed)
        self.set_interval(TURN_EVERY, self.refresh_page)

    def on_screen_resume(self) -> None:
        """Something may have been recorded on the page that covered this one."""
        if self.is_mounted:
            self.refresh_page()

    def _look_if_changed(self) -> None:
        # Not what changed since anyone looked: a page below in sight looks too, and would take the news for itself.
        rack = self.shop.rack(self.clock()) if self.is_current else self._seen
        if rack is not self._seen or (self.is_current and self.shop.lost != self._lost):
            self.refresh_page()

    def refresh_page(self) -> None:
        """Look, and bring the masthead up to date. Without a connection what shows stays, and the masthead says so."""
        now = self.clock()
        self._seen = self.shop.rack(now)
        if self.shop.lost is None or not self._shown:
            self.try_to_look()
        self._tell_of_connection()
        masthead = self.query_one(Masthead)
        invented = "invented shop · " if self.shop.invented else ""
        masthead.title = invented + self.title_words()
        masthead.clock = at_zone(now, self.shop.settings.zone).format("ddd D MMM HH:mm")
        masthead.air = tuple(plain(line) for line in self.shop.air_lines(now))
        masthead.lost = lost_words(self.shop)
        masthead.word = "READ ONLY" if self.shop.read_only else ""

    def try_to_look(self) -> None:
        """Look, or leave what shows where the database is out of reach."""
        try:
            self.look()
            self._shown = True
        except StoreTrouble:
            self.shop.rack(self.clock())  # says that it is lost, if it still is

    def _tell_of_connection(self) -> None:
        """Once when it is lost, once when it is back; keys that need it go and come."""
        lost, before = self.shop.lost, self._lost
        self._lost = lost
        if (lost is None) == (before is None):
            return
        if lost is None:
            self.notify("the connection is back: what shows is up to date", markup=False)
        else:
            said = f"{lost.said}. What shows is as it was; nothing is recorded until the connection is back"
            self.notify(plain(said), severity="error", timeout=10, markup=False)
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Greyed while there is no connection to do it with."""
        return True if can_do(self.shop, action) else None

    def may_record(self) -> bool:
        """Whether anything can be recorded; where not it says so, before a card is filled in for nothing."""
        if self.shop.read_only:
            self.notify(plain(self.shop.read_only), severity="error", timeout=8, markup=False)
        return not self.shop.read_only

    def attempt(self, act: Callable[[], str]) -> bool:
        """Record something. Says what was done once it is on disk, or why not; whether it was done."""
        try:
            said = act()
        except FinishingError as problem:
            self.notify(plain(str(problem)), severity="error", timeout=8, markup=False)
            done = False
        else:
            self.notify(plain(said), markup=False)
            done = True
        self.refresh_page()
        return done

    def ask(
        self,
        card: Callable[[], ModalScreen[T | None]],
        save: Callable[[T], str],
        about: Sequence[str] = (),
        then: Callable[[], None] | None = None,
    ) -> None:
        """Open a card and record its answer; says so when things are not in a state for it.

        about: codes of the batches it rests on. What came on their record while the card was open is said, and
        nothing is recorded over it unseen. then: done once it is recorded.
        """
        if not self.may_record():
            return
        try:
            seen = meanwhile.as_seen(self.shop, about, self.clock())
            shown = card()
        except FinishingError as problem:
            self.notify(plain(str(problem)), severity="error", timeout=8, markup=False)
            return

        def save_unmoved(answer: T) -> str:
            meanwhile.unmoved(self.shop, seen, self.clock())
            return save(answer)

        def saved(answer: T | None) -> None:
            if answer is not None and self.attempt(lambda: save_unmoved(answer)) and then is not None:
                then()

        self.app.push_screen(shown, saved)

    def work_at(self, words: str, act: Callable[[Tell], str], nothing: str) -> None:
        """Do what takes its time in a thread, under a card that shows how far it is; then say what came of it.

        act: must not touch widgets. nothing: what is left done where the maker stops it.
        """

        def ended(outcome: Outcome | None) -> None:
            if outcome is not None:
                self.notify(plain(outcome.words), severity=outcome.severity, timeout=8, markup=False)
            self.refresh_page()

        self.app.push_screen(WorkCard(words, act, nothing), ended)

    def action_help(self) -> None:
        """What this page is for and its keys."""
        self.app.push_screen(HelpScreen(self.HELP))

    def action_back(self) -> None:
        """Back to the page below; the bench stays."""
        if len(self.app.screen_stack) > 2:
            self.app.pop_screen()
