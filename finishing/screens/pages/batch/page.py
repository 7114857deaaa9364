"""The page of one batch."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from finishing.clock import Clock, now_hour
from finishing.cure.coat import Coat
from finishing.cure.terms import Release
from finishing.cure.work import Entry
from finishing.exchange.plain import plain
from finishing.screens.pages.batch import ask, cards, text
from finishing.screens.pages.batch.change_card import ChangeCard
from finishing.screens.pages.batch.entries import EntryList
from finishing.screens.pages.batch.help import BATCH_HELP
from finishing.screens.pages.batch.look import Look, look
from finishing.screens.pages.batch.stages import stages
from finishing.screens.pages.batch.widgets import Heading
from finishing.screens.pages.page import Page
from finishing.screens.widgets.timeline import Timeline
from finishing.shop import correct as correcting
from finishing.shop import notes, record, split
from finishing.shop.change import change_batch
from finishing.shop.drafts import CorrectDraft, ReleaseDraft, StepDraft
from finishing.shop.shop import Shop

T = TypeVar("T")


class BatchPage(Page):
    """One batch: what it is, its coats against the air, what comes next and why, its record."""

    HELP = BATCH_HELP
    CSS_PATH = "batch.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "coat", "Coat"),
        Binding("d", "step", "Do"),
        Binding("g", "guide", "Guide"),
        Binding("a", "abrade", "Abrade"),
        Binding("t", "touch", "Test"),
        Binding("m", "move", "Move"),
        Binding("h", "hold", "Hold"),
        Binding("u", "undo", "Undo"),
        Binding("s", "split", "Split", show=False),
        Binding("b", "change", "Change", show=False),
        Binding("o", "note", "Note", show=False),
        Binding("x", "void", "Void", show=False),
        Binding("f", "put_right", "Put right", show=False),
        Binding("r", "release", "Release", show=False),
        Binding("e", "close", "Close", show=False),
        Binding("p", "print", "Print", show=False),
        Binding("i", "trace", "Trace", show=False),
        Binding("plus,equals_sign", "zoom(-1)", "Closer", show=False),
        Binding("minus", "zoom(1)", "Wider", show=False),
    ]

    def __init__(self, shop: Shop, clock: Clock = now_hour, code: str = "") -> None:
        super().__init__(shop, clock)
        self.code = code
        self._look: Look | None = None
        self._settled = False

    def body(self) -> ComposeResult:
        """Head, timeline, then the story beside the record."""
        yield Static("", id="head", markup=False)
        yield Timeline(id="timeline")
        with Horizontal(id="below"):
            with VerticalScroll(id="story"):
                yield Heading(
                    "NEXT",
                    ("m", "move", "move"),
                    ("s", "split", "split"),
                    ("h", "hold", "hold"),
                    ("b", "change", "change"),
                )
                yield Static("", id="next", classes="part", markup=False)
                yield Heading(
                    "STEPS",
                    ("c", "coat", "coat"),
                    ("d", "do", "step"),
                    ("g", "guide", "guide"),
                    ("a", "abrade", "abrade"),
                )
                yield Static("", id="steps", classes="part", markup=False)
                yield Heading(
                    "STAGES OF ▸", ("t", "test", "touch"), ("+", "closer", "zoom(-1)"), ("-", "wider", "zoom(1)")
                )
                yield Static("", id="stages", classes="part", markup=False)
                yield Heading("GOING OUT", ("r", "release", "release"), ("e", "close", "close"))
                yield Static("", id="releases", classes="part", markup=False)
                yield Heading("TO HEED")
                yield Static("", id="cautions", classes="part", markup=False)
            with Vertical(id="right"):
                yield Heading(
                    "RECORD",
                    ("o", "note", "note"),
                    ("f", "fix", "put_right"),
                    ("x", "void", "void"),
                    ("u", "undo", "undo"),
                )
                yield EntryList(id="entries")

    def on_mount(self) -> None:
        """Begin in the record, where x and the arrows work."""
        self.query_one(EntryList).focus()
        self.watch(self, "focused", self._give_room, init=False)

    def title_words(self) -> str:
        """The batch's code."""
        return f"batch {plain(self.code)}"

    def look(self) -> None:
        """Read the batch and show it."""
        found = self._look = look(self.shop, self.code, self.clock())
        timeline = self.query_one(Timeline)
        timeline.show(found.lanes, found.standing.fold.track, found.now, found.zone, found.settings.units)
        if not self._settled and found.lanes:
            self._settled = True
            newest = max((i for i, lane in enumerate(found.lanes) if not lane.coat.expected), default=0)
            timeline.choose(newest)
            timeline.widen_to(found.lanes[newest].coat.at)
        self._show("head", text.head(found))
        self._show("next", text.coming(found))
        self._show("steps", text.steps(found))
        self._show("stages", stages(found, self._coat()))
        self._show("releases", text.releases(found))
        self._show("cautions", text.cautions(found.progress.cautions, found.settings.units))
        self.query_one(EntryList).show(found)

    def _show(self, id: str, content: object) -> None:
        self.query_one(f"#{id}", Static).update(content)  # type: ignore[arg-type]

    def _coat(self) -> Coat | None:
        assert self._look is not None
        lanes = self._look.lanes
        return lanes[self.query_one(Timeline).chosen].coat if lanes else None

    def on_timeline_coat_chosen(self) -> None:
        """Another coat's stages."""
        if self._look is not None:
            self._show("stages", stages(self._look, self._coat()))

    def on_resize(self, event: events.Resize) -> None:
        """The timeline takes what the story and the record can spare."""
        self._give_room()

    def _give_room(self) -> None:
        """More for the timeline while it has the focus."""
        timeline = self.query_one(Timeline)
        share = 0.6 if self.focused is timeline else 0.34
        timeline.give_room(max(int(self.size.height * share), 6))

    def action_zoom(self, by: int) -> None:
        """Show more or less time."""
        self.query_one(Timeline).zoom(by)

    def _ask(self, card: Callable[[Look], ModalScreen[T | None]], save: Callable[[T], str]) -> None:
        """Ask with what was last seen of the batch."""
        found = self._look
        assert found is not None
        self.ask(lambda: card(found), save, [self.code])

    def action_coat(self) -> None:
        """Record the next coat."""
        self._ask(lambda found: ask.coat(self.shop, found, self.clock), self._save_step)

    def action_step(self) -> None:
        """Record the next step."""
        self._ask(lambda found: ask.step(self.shop, found, self.clock, None), self._save_step)

    def _save_step(self, draft: StepDraft) -> str:
        return record.record_step(self.shop, draft, self.clock())

    def action_guide(self) -> None:
        """Go to the pass guide of the next coat, or to the one that runs."""
        found = self._look
        assert found is not None
        self.post_message(self.OpenGuide(self.code, found.next_coat))

    def action_abrade(self) -> None:
        """Record abrading."""
        self._ask(ask.abrade, lambda draft: record.abrade(self.shop, draft, self.clock()))

    def action_touch(self) -> None:
        """Record a touch test."""
        from finishing.screens.pages.felt import feel

        feel(self, self.code)

    def action_move(self) -> None:
        """Record that it went to another place."""
        self._ask(
            lambda found: ask.move(self.shop, found),
            lambda place: record.move(self.shop, self.code, place, self.clock()),
        )

    def action_hold(self) -> None:
        """Put it on hold, or take it off."""
        assert self._look is not None
        on = not self._look.progress.held
        self.attempt(lambda: record.hold(self.shop, self.code, self.clock(), on=on))

    def action_split(self) -> None:
        """Make some pieces a batch of their own."""
        found = self._look
        assert found is not None
        self.ask(
            lambda: ask.divide(self.shop, found),
            lambda draft: split.split(self.shop, draft, self.clock()),
            [self.code],
            lambda: self._felt_apart(),
        )

    def _felt_apart(self) -> None:
        """Ask of pieces that were split off as tacky, where that doesn't go with all others."""
        from finishing.screens.pages.felt import ask_of

        ask_of(self, split.newest_part(self.shop, self.code, self.clock()))

    def action_change(self) -> None:
        """Change what it is."""
        self._ask(
            lambda found: ChangeCard(self.shop, found.standing, self.clock),
            lambda draft: change_batch(self.shop, self.code, draft, self.clock()),
        )

    def action_note(self) -> None:
        """Record a note."""
        self.ask(
            lambda: cards.NoteCard(f"{self.code}: note"),
            lambda said: notes.add_note(self.shop, self.code, said, self.clock()),
        )

    def action_release(self) -> None:
        """Record the maker's own release."""
        self._ask(
            ask.release,
            lambda what: record.release(self.shop, ReleaseDraft(self.code, Release(what)), self.clock()),
        )

    def action_close(self) -> None:
        """Close it."""
        self._ask(ask.leave, lambda note: record.close(self.shop, self.code, self.clock(), note))

    def action_print(self) -> None:
        """Print its cards or its record."""
        from finishing.screens.pages.records.page import print_on

        print_on(self, [self.code])

    def action_trace(self) -> None:
        """Its cans and lots, the air its coats dried in, and who did it."""
        self.post_message(self.OpenTrace(self.code, "batch"))

    def action_put_right(self) -> None:
        """Put another entry in the place of the chosen one."""
        number = self.query_one(EntryList).number
        self._ask(
            lambda found: ask.put_right(self.shop, found, self.clock, number),
            self._put_right,
        )

    def _put_right(self, draft: CorrectDraft) -> str:
        heed = correcting.to_heed(self.shop, draft, self.clock())
        said = correcting.correct(self.shop, draft, self.clock())
        return f"{said}. {heed}" if heed else said

    def action_undo(self) -> None:
        """Undo the newest entry, after saying which."""
        self._void(ask.undo, ask.taken_back, record.take_back)

    def action_void(self) -> None:
        """Void the chosen entry, after saying which."""
        number = self.query_one(EntryList).number
        self._void(lambda found: ask.void(found, number), ask.sure, record.void)

    def _void(
        self,
        choose: Callable[[Look], Entry],
        sure: Callable[[Look, Entry], cards.Sure],
        void: Callable[[Shop, str, int, float], str],
    ) -> None:
        """Ask about one entry, and void that one even if another came meanwhile."""
        chosen: list[Entry] = []

        def card(found: Look) -> ModalScreen[bool | None]:
            chosen.append(choose(found))
            return sure(found, chosen[0])

        self._ask(card, lambda _: void(self.shop, self.code, chosen[0].number, self.clock()))
