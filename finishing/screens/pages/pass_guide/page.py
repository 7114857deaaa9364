"""The page of the pass guide: shows a session before it begins, goes along with it, and puts it on record."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Button, Static

from finishing.clock import Clock, now_hour
from finishing.codes import natural
from finishing.cure.session_run import Do, Phase, Run
from finishing.errors import FinishingError
from finishing.exchange.plain import plain
from finishing.screens.pages.page import Page
from finishing.screens.pages.pass_guide import look as words
from finishing.screens.pages.pass_guide.cards import Ask, Choice, Closing, RagCard
from finishing.screens.pages.pass_guide.help import GUIDE_HELP
from finishing.screens.widgets.countdown import Bells, Countdown
from finishing.shop import guide as guides
from finishing.shop.guide import Guide, Used
from finishing.shop.guide_plan import Prepared, prepare
from finishing.shop.shop import Shop
from finishing.shop.split import free_part
from finishing.units import counted

TICK_EVERY = 1.0
"""Seconds between turns of the countdowns."""

GIVE_UP = "give_up"

PRESSED = {
    Do.COATED: "piece {coated} coated",
    Do.PASS_COATED: "the whole pass is coated",
    Do.WIPED: "{wiped} wiped",
    Do.PASS_WIPED: "every wet piece is wiped",
    Do.NEXT_PASS: "pass {number} begun",
    Do.PAUSE: "paused",
    Do.RESUME: "going on",
    Do.MIX: "fresh mix, its pot life begins",
    Do.END: "ended here",
    Do.RAGS_SAFE: "rags are safe",
}


class PassGuide(Page):
    """The guide of one coat of one batch; goes on with the batch's running guide if there is one."""

    HELP = GUIDE_HELP
    RINGS = True
    CSS_PATH = "pass_guide.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("s", "start", "Start"),
        Binding("space", "tell('COATED')", "Coated", key_display="space"),
        Binding("a", "tell('PASS_COATED')", "All"),
        Binding("w", "tell('WIPED')", "Wiped"),
        Binding("e", "tell('PASS_WIPED')", "All wiped"),
        Binding("n", "next_pass", "Next"),
        Binding("p", "pause", "Pause"),
        Binding("m", "tell('MIX')", "Mix"),
        Binding("f", "finish", "End"),
        Binding("u", "take_back", "Undo"),
        Binding("x", "give_up", "Give the guide up", show=False),
        Binding("b", "other", "Other"),
    ]

    def __init__(
        self,
        shop: Shop,
        clock: Clock = now_hour,
        code: str = "",
        position: int | None = None,
        bells: Bells | None = None,
    ) -> None:
        """bells: those that have rung already, on other pages."""
        super().__init__(shop, clock)
        self.code = code
        self.position = position
        self.guide: Guide | None = None
        self.run_: Run | None = None
        self.prepared: Prepared | None = None
        self.problem = ""
        self._others: dict[str, Run] = {}
        self._bells = bells or Bells()
        self._card_up = False
        self._phase: Phase | None = None
        self._put_last: dict[str, str] = {}

    def body(self) -> ComposeResult:
        """The sheet before the start, the desk while it runs; what to do and what was said below."""
        yield Static("", id="heading", markup=False)
        yield Static("", id="now", markup=False)
        with VerticalScroll(id="sheet"):
            yield Static("", id="plan", markup=False)
            yield Button("Start the first pass (s)", id="begin", variant="primary")
        with Vertical(id="desk"):
            yield Countdown(id="apply")
            yield Countdown(id="wipe")
            yield Countdown(id="pot")
            with VerticalScroll(id="pieces"):
                yield Static("", id="strip", markup=False)
        yield Static("", id="said", markup=False)
        yield Static("", id="others", markup=False)

    def on_mount(self) -> None:
        """Turn the countdowns, beside what every page does."""
        self.set_interval(TICK_EVERY, self.tick)

    def title_words(self) -> str:
        """The batch."""
        return f"pass guide · {plain(self.code)}"

    def look(self) -> None:
        """Read the guide and the others that run, and show them."""
        now = self.clock()
        self.problem, self.prepared = "", None
        try:
            self._take(guides.resume(self.shop, self.code))
            if self.guide is not None:
                self.position = self.guide.position
            self.prepared = prepare(self.shop, self.code, self.position, now)
            self.position = self.prepared.position
        except FinishingError as trouble:
            self.problem = str(trouble)
        self._others = {g.code: g.run() for g in guides.running(self.shop) if g.code != self.code}
        self._show()

    def _take(self, guide: Guide | None) -> None:
        self.guide, self.run_ = guide, None if guide is None else guide.run()

    def _show(self) -> None:
        running = self.run_ is not None
        self.query_one("#sheet").display = not running
        self.query_one("#desk").display = running
        if not running:
            self._put("#now", "")
        self.query_one("#heading", Static).update(self._heading())
        self._show_sheet()
        if self.run_ is not None:
            self.query_one("#strip", Static).update(words.strip(self.run_, self.shop.settings.zone))
        self.tick()
        self.refresh_bindings()
        self._call_cards()

    def _heading(self) -> Text:
        p = self.prepared
        text = Text(no_wrap=True, overflow="ellipsis")
        if p is None:
            return text.append(plain(self.code), style="bold")
        text.append(f"{plain(p.code)}  {plain(p.pieces)}\n", style="bold")
        text.append(f"{p.words} · {plain(p.finish)}")
        if p.trouble and self.run_ is not None:
            text.append(f"\n! it can't go on record: {plain(p.trouble)}", style="bold")
        return text

    def _show_sheet(self) -> None:
        p, begin = self.prepared, self.query_one("#begin", Button)
        trouble = self.problem or ("" if p is None else p.trouble)
        begin.display = not trouble
        shown = self.query_one("#plan", Static)
        if p is None or trouble:
            shown.update(Text(f"! {plain(trouble)}", style="bold"))
        else:
            shown.update(words.plan_table(p, self.shop.settings.units))

    def tick(self) -> None:
        """Turn the countdowns, and ring what is due, of the other guides too."""
        now, zone, run = self.clock(), self.shop.settings.zone, self.run_
        runs = dict(self._others)
        if run is not None:
            runs[self.code] = run
            self.query_one("#apply", Countdown).show(words.apply_span(run, now))
            self.query_one("#wipe", Countdown).show(words.wipe_span(run, now, zone))
            self.query_one("#pot", Countdown).show(words.pot_span(run, now))
            self._put("#now", words.what_now(run, now, self.shop.settings.units))
        lines = [plain(words.brief(code, other, now, zone)) for code, other in self._others.items()]
        self._put("#others", "\n".join(f"also running (b): {line}" for line in lines))
        self._ring(runs, now)

    def _put(self, selector: str, text: str) -> None:
        """Change a line only when its words do, so that turning a countdown lays nothing out anew."""
        if self._put_last.get(selector) != text:
            self._put_last[selector] = text
            line = self.query_one(selector, Static)
            line.display = bool(text)
            line.update(Text(text))

    def _ring(self, runs: dict[str, Run], now: float) -> None:
        due = self._bells.due(runs, now)
        if due:
            self.app.bell()
        for code, alarm in due:
            self.notify(plain(words.bell_words(code, alarm.call, alarm.number)), severity="warning", markup=False)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only the keys that can be used now."""
        run = self.run_
        if action == "start":
            return run is None and self.prepared is not None and not self.prepared.trouble and not self.problem
        if action == "other":
            return bool(self._others)
        if action == "give_up":
            return run is not None or bool(self.problem)
        if action == "tell":
            return run is not None and self._possible(run, Do[str(parameters[0])])
        if action == "next_pass":
            return run is not None and not run.refusal(Do.NEXT_PASS)
        if action == "pause":
            return run is not None and run.ended is None
        if action == "finish":
            return run is not None
        if action == "take_back":
            return self.guide is not None and len(self.guide.presses) > 1
        return super().check_action(action, parameters)

    @staticmethod
    def _possible(run: Run, do: Do) -> bool:
        """All wiped at once only when all is coated: until then each is told by itself."""
        return not run.refusal(do) and not (do is Do.PASS_WIPED and run.bare)

    @on(Button.Pressed, "#begin")
    def action_start(self) -> None:
        """Begin with the first pass."""
        if self._told(lambda now: guides.begin(self.shop, self.code, self.position, now)):
            self._say(f"started; kept at {self._wall()} (x gives the guide up)")

    def action_tell(self, do: str) -> None:
        """Tell the guide what was done."""
        self._tell(Do[do])

    def _tell(self, do: Do) -> bool:
        seen = len(self.guide.presses) if self.guide else 0
        if not self._told(lambda now: guides.press(self.shop, self.code, do, now, seen)):
            return False
        assert self.run_ is not None
        run = self.run_
        said = PRESSED[do].format(coated=len(run.coated), wiped=len(run.wiped), number=run.index + 1)
        self._say(f"{said}; kept at {self._wall()}")
        return True

    def _told(self, act: Callable[[float], Guide]) -> bool:
        """Do one thing with the guide; show how it stands, or why it was refused."""
        try:
            self._take(act(self.clock()))
        except FinishingError as problem:
            self.look()
            self._say(str(problem), trouble=True)
            return False
        self._show()
        return True

    def _say(self, text: str, *, trouble: bool = False) -> None:
        said = self.query_one("#said", Static)
        said.set_class(trouble, "-trouble")
        said.update(Text(("! " if trouble else "") + plain(text)))

    def _wall(self) -> str:
        return words.wall(self.clock(), self.shop.settings.zone)

    def action_pause(self) -> None:
        """Stop the apply timer, or let it go on. Wet finish takes no notice."""
        paused = self.run_ is not None and self.run_.paused is not None
        self._tell(Do.RESUME if paused else Do.PAUSE)

    def action_take_back(self) -> None:
        """Take back the last thing told."""
        assert self.guide is not None
        seen, last = len(self.guide.presses), self.guide.presses[-1]
        if self._told(lambda now: guides.take_back(self.shop, self.code, now, seen)):
            self._say(f"taken back: {last.do.value} of {words.wall(last.at, self.shop.settings.zone)}")

    def action_next_pass(self) -> None:
        """Begin the next pass; asks if pieces of this one are still wet."""
        wet = len(self.run_.wet) if self.run_ else 0
        if not wet:
            self._tell(Do.NEXT_PASS)
            return
        said = f"{counted(wet, 'piece')} {'is' if wet == 1 else 'are'} still wet."
        question = f"{said} Leave the finish on, and begin the next pass?"
        self._ask(question, [Choice("y", "Leave it on", "NEXT_PASS")], "Wipe first")

    def action_finish(self) -> None:
        """End the session: early if there is still something to do, asked first; then what was used."""
        run = self.run_
        assert run is not None
        if run.ended is not None:
            self._close()
            return
        give_up = Choice("x", "Give it up", GIVE_UP)
        if not run.coated:
            self._ask("Nothing is coated yet.", [give_up], "Go on")
            return
        bare, wet = run.plan.pieces - len(run.coated), len(run.wet)
        question = f"End here? {wet} not wiped." if wet else "End here?"
        if bare:
            part = free_part(self.shop, self.code)
            question += (
                f" {bare} of {run.plan.pieces} not coated: they become batch {part}, with this coat still to do."
            )
        self._ask(question, [Choice("y", "End here", "END"), give_up], "Go on")

    def _ask(self, question: str, choices: list[Choice], back: str) -> None:
        def answered(value: str | None) -> None:
            if value == GIVE_UP:
                self._give_up()
            elif value is not None:
                self._tell(Do[value])

        self.app.push_screen(Ask(question, choices, back), answered)

    def _call_cards(self) -> None:
        """The rags come up by themselves and stay; what was used comes up once."""
        phase = None if self.run_ is None else self.run_.phase
        fresh, self._phase = phase is not self._phase, phase
        if self._card_up or not self.is_current or phase not in (Phase.RAGS, Phase.CLOSING):
            return
        if phase is Phase.RAGS:
            self._rags(then=None)
        elif fresh:
            self._close()

    def _rags(self, then: Callable[[], None] | None) -> None:
        self._card_up = True

        def safe(_: bool | None) -> None:
            self._card_up = False
            if self._tell(Do.RAGS_SAFE) and then is not None:
                then()

        self.app.push_screen(RagCard(self.code), safe)

    def _close(self) -> None:
        if self.prepared is None or self.run_ is None:
            return
        went = guides.run_words(self.run_, self.shop.settings.zone, self.clock())
        self._card_up = True
        self.app.push_screen(Closing(self.prepared, went, self.shop.settings.units), self._save)

    def _save(self, used: Used | None) -> None:
        self._card_up = False
        if used is not None and self.attempt(lambda: guides.finish(self.shop, self.code, used, self.clock())):
            self.action_back()

    def action_give_up(self) -> None:
        """Give the guide up; asks first, and the rags come before it ends."""
        coated = len(self.run_.coated) if self.run_ else 0
        question = f"Give this guide up? Coated: {counted(coated, 'piece')}; only a note of it goes on record, no coat."
        self._ask(question, [Choice("y", "Give it up", GIVE_UP)], "Keep it")

    def _give_up(self) -> None:
        if self.run_ is not None and self.run_.rags_due:
            self._rags(then=self._give_up)
        elif self.attempt(lambda: guides.abandon(self.shop, self.code, self.clock())):
            self.action_back()

    def action_other(self) -> None:
        """Go to the next of the other running guides."""
        if self._others:
            after = sorted(self._others, key=lambda code: (natural(code) <= natural(self.code), natural(code)))
            self.app.switch_screen(PassGuide(self.shop, self.clock, after[0], bells=self._bells))
