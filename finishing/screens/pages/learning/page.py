"""What touch tests taught of each finish: stated and found, each coat as an interval, the next test, promises kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from finishing.clock import Clock, now_hour
from finishing.cure.learn.surprise import Verdict
from finishing.screens.pages.batch.cards import Sure
from finishing.screens.pages.learning import lines as draw
from finishing.screens.pages.page import Page
from finishing.shop.learning import word, words
from finishing.shop.learning.sheet import LearnedSheet, Line, lines, sheet, total
from finishing.shop.shop import Shop

LEARNING_HELP = """Learning

How much slower (above ×1) or faster each finish hardens in this shop than stated,
as your touch tests show. A coat found tacky at one hour and dry at another hardened
in between; the hours are counted at the pace of the air it stood in, so that a cold
night is no slow finish, and its wood and film are reckoned in.

  before, after   how likely each factor was before any test of it, and is now
  ├───┤           what one coat says; ◂ and ▸: open, only ever found dry or tacky
  ┆ and │         the stated time, and what was found
  !               this coat doesn't go with the others: a wrong coat, a heavy one,
                  a cold spot? It hardly moves anything; x leaves it out
  62%             counts so much: tests fade with age, and a split coat counts in part

Nothing is taken as learned before two coats were felt. Promises: of the coats felt,
how many were there by the hour you could count on (9 in 10) before you felt them.

Keys
  up, down      choose a finish, or a coat
  tab           from the finishes to the coats, and to the words
  enter         on a coat: open its batch
  t             make the test that tells most
  x             leave the chosen coat's tests out of learning
  r             begin the finish afresh: a new make of it, or a shop that has moved
  u             take the newest of these back"""
"""The help of the learning page."""


class LearningPage(Page):
    """The page."""

    HELP = LEARNING_HELP
    CSS_PATH = "learning.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "feel", "Test"),
        Binding("x", "exclude", "Leave out"),
        Binding("r", "reset", "Begin afresh"),
        Binding("u", "undo", "Take back"),
    ]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self.found: tuple[Line, ...] = ()
        self.sheet: LearnedSheet | None = None
        self._title = ""

    def body(self) -> ComposeResult:
        """The finishes, then of the chosen one: the scale with both curves, its coats, and the words."""
        yield Static("", id="head", markup=False)
        yield OptionList(id="finishes", markup=False)
        yield Static("", id="curves", markup=False)
        yield OptionList(id="looks", markup=False)
        yield Static("", id="look", markup=False)
        with VerticalScroll(id="words"):
            yield Static("", id="story", markup=False)

    def on_mount(self) -> None:
        """Begin in the list of finishes."""
        self.query_one("#finishes", OptionList).focus()

    def title_words(self) -> str:
        """How past promises of all finishes came out."""
        return self._title

    def look(self) -> None:
        """Read what was learned, and show it."""
        now = self.clock()
        found = lines(self.shop, now)
        if found != self.found:
            self.found = found
            score = total(self.shop, found, now)
            kept = f" · {score.held} of {score.decided} promises held" if score.decided else ""
            self._title = f"learning{kept}"
            self._fill()
        else:
            self._show()

    def on_resize(self) -> None:
        """The scale takes what width there is."""
        if self.found:
            self._fill()

    @property
    def _width(self) -> int:
        return self.size.width - 5

    def _fill(self) -> None:
        """The list, with the cursor on the finish it was on."""
        listed = self.query_one("#finishes", OptionList)
        keep = None if self.sheet is None else self.sheet.finish.name
        names = [line.finish.name for line in self.found]
        self.query_one("#head", Static).update(Text(draw.head(self._width), no_wrap=True))
        listed.clear_options()
        listed.add_options([Option(Text(draw.finish_row(line, self._width))) for line in self.found])
        if names:
            listed.highlighted = names.index(keep) if keep in names else 0
        self._show()

    @property
    def chosen(self) -> Line | None:
        """The finish under the cursor."""
        at = self.query_one("#finishes", OptionList).highlighted
        return self.found[at] if at is not None and at < len(self.found) else None

    @property
    def verdict(self) -> Verdict | None:
        """The coat under the cursor."""
        at = self.query_one("#looks", OptionList).highlighted
        looks = () if self.sheet is None else self._newest_first
        return looks[at] if at is not None and at < len(looks) else None

    @property
    def _newest_first(self) -> tuple[Verdict, ...]:
        assert self.sheet is not None
        return tuple(reversed(self.sheet.looks))

    @on(OptionList.OptionHighlighted, "#finishes")
    def show_finish(self) -> None:
        """Another finish."""
        self._show()

    def _show(self) -> None:
        """The chosen finish in full."""
        line, now, zone = self.chosen, self.clock(), self.shop.settings.zone
        if line is None:
            self.sheet = None
            self.query_one("#story", Static).update(Text("nothing to learn of yet: begin a batch, and feel its coats"))
            return
        before = self.sheet
        self.sheet = sheet(self.shop, line.finish.name, now)
        self.query_one("#curves", Static).update(draw.curves(self.sheet, self._width))
        self.query_one("#story", Static).update(draw.story(self.sheet, zone, now))
        self._fill_looks(before)
        self.refresh_bindings()

    def _fill_looks(self, before: LearnedSheet | None) -> None:
        """The coats, newest first, with the cursor on the one it was on."""
        assert self.sheet is not None
        listed, now, zone = self.query_one("#looks", OptionList), self.clock(), self.shop.settings.zone
        at = listed.highlighted
        keep = at if before is not None and before.finish.name == self.sheet.finish.name else None
        listed.clear_options()
        listed.add_options(
            [Option(Text(draw.look_row(v, self.sheet, zone, now, self._width))) for v in self._newest_first]
        )
        listed.display = bool(self.sheet.looks)
        if self.sheet.looks:
            listed.highlighted = min(keep or 0, len(self.sheet.looks) - 1)
        self.show_look()

    @on(OptionList.OptionHighlighted, "#looks")
    def show_look(self) -> None:
        """The chosen coat in words."""
        verdict = self.verdict
        text = Text("no coat of it was felt yet") if verdict is None else draw.look_words(verdict)
        self.query_one("#look", Static).update(text)
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Keys only where they do something."""
        if not self.is_mounted or action not in ("feel", "exclude", "reset", "undo"):
            return True
        if self.sheet is None:
            return False
        if action == "feel":
            return self.sheet.next.best is not None
        if action == "exclude":
            return self.verdict is not None and bool(self.verdict.observation.tests)
        return bool(self.sheet.said if action == "undo" else self.sheet.looks)

    @on(OptionList.OptionSelected, "#looks")
    def open_batch(self) -> None:
        """Go to the batch of the chosen coat."""
        if self.verdict is not None:
            self.post_message(self.OpenBatch(self.verdict.observation.batch))

    def action_feel(self) -> None:
        """Record the touch test that tells most."""
        if self.sheet is not None and self.sheet.next.best is not None:
            from finishing.screens.pages.felt import feel

            feel(self, self.sheet.next.best.code)

    def action_exclude(self) -> None:
        """Leave the chosen coat's tests out, after saying what will happen."""
        one, verdict = self.sheet, self.verdict
        if one is not None and verdict is not None:
            said = words.if_excluded(one, verdict)
            title = f"{verdict.observation.batch} coat {verdict.observation.coat}: leave it out of learning?"
            tests = verdict.observation.tests
            self._sure(title, "Leave it out", said, lambda now: word.exclude(self.shop, tests, now))

    def action_reset(self) -> None:
        """Begin the chosen finish afresh, after saying what will happen."""
        one = self.sheet
        if one is not None:
            name = one.finish.name
            title = f"{one.finish.title}: begin afresh?"
            self._sure(title, "Begin afresh", words.if_reset(one), lambda now: word.reset(self.shop, name, now))

    def action_undo(self) -> None:
        """Take the newest exclusion or reset back, after saying which."""
        one = self.sheet
        if one is not None and one.said:
            newest = max(one.said, key=lambda said: said.lesson.number)
            said = words.said_words(newest, self.shop.settings.zone, self.clock())
            number = newest.lesson.number
            then = "Its tests count again. All of it stays on record."
            self._sure(
                "Take this back?", "Take it back", [said, then], lambda now: word.take_back(self.shop, number, now)
            )

    def _sure(self, title: str, yes: str, said: list[str], act: Callable[[float], str]) -> None:
        self.ask(lambda: Sure(title, yes, said), lambda _: act(self.clock()))
