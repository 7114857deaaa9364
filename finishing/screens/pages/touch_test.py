"""The touch test: which stages to feel for now, how, and what the finger found. Writes nothing itself.

How to test follows FED-STD-141D, method 4061.3 (2001) and the terms of ASTM D1640 and ISO 9117, in the tools of a shop.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Input, OptionList, Static
from textual.widgets.option_list import Option

from finishing.clock import Clock, now_hour
from finishing.cure.cautions import HAZARDS
from finishing.cure.coat import Coat
from finishing.cure.terms import Face, Hazard, Stage
from finishing.cure.work import Finding
from finishing.errors import BadInput
from finishing.exchange.plain import plain
from finishing.moments import parse_when
from finishing.shop.drafts import TestDraft
from finishing.shop.shop import Standing
from finishing.shop.words import short_time


@dataclass(frozen=True, slots=True)
class HowTo:
    """How a stage is tested, and where that comes from."""

    words: str
    source: str


HOW: dict[Stage, HowTo] = {
    Stage.DUST_FREE: HowTo(
        "Let a few fibres of cotton wool fall on it and blow lightly along the film. Dry if all of them blow off.",
        "ASTM D1640 (dust-free), from memory",
    ),
    Stage.TACK_FREE: HowTo(
        "Kraft paper on the film, a flat weight of 2.8 kg and 5 cm across on it for 5 seconds. Weight off, turn the"
        " piece over: dry if the paper falls off within 10 seconds.",
        "FED-STD-141D, 4061.3, 4.6.3",
    ),
    Stage.DRY_TO_TOUCH: HowTo(
        "A clean finger, lightly; then rub lightly. Dry if nothing sticks to the finger and the film does not rub up.",
        "FED-STD-141D, 4061.3, 4.7.1 and 4.7.2",
    ),
    Stage.DRY_TO_RECOAT: HowTo(
        "Three light strokes of P320 where it won't show. Dry if it comes off as powder; tacky if it rolls up or clogs"
        " the paper.",
        "common practice, no source; ASTM D1640 (from memory): the next coat lifts nothing",
    ),
    Stage.DRY_TO_HANDLE: HowTo(
        "Thumb on the film, arm straight, full pressure, and turn the thumb by 90°. Dry through if nothing loosens,"
        " wrinkles or shows a mark.",
        "FED-STD-141D, 4061.3, 4.7.3; ISO 9117-1",
    ),
    Stage.STACKABLE: HowTo(
        "Clean paper on the film, a full can on it, as long as it would lie packed, an hour at least. Dry if the paper"
        " lifts off by itself and leaves no print.",
        "ISO 9117-2 and 9117-6; weight and time are common practice, no source",
    ),
    Stage.CURED: HowTo(
        "A thumbnail, pressed in hard where it won't show, and your nose. Cured if there is no dent and no smell.",
        "common practice, no source",
    ),
}

SOAKED_IN = HowTo(
    "A dry white cloth, pressed on and drawn along. Dry if the cloth stays clean; tacky if it comes away oily.",
    "common practice, no source; it never hardens, so neither paper nor thumb tells more",
)
"""How every stage but stackable is tested where the finish soaks in and never hardens."""


def how_to(coat: Coat, stage: Stage) -> HowTo:
    """How a stage of a coat is tested."""
    return HOW[stage] if coat.finish.cures or stage is Stage.STACKABLE else SOAKED_IN


class TouchTest(ModalScreen[TestDraft | None]):
    """Choose the stage; `t` says tacky, `d` dry, and that is all."""

    DEFAULT_CSS = """
    TouchTest { align: center middle; background: $background 60%; }
    TouchTest #stages { height: auto; max-height: 9; border: none; background: $panel; padding: 0; }
    TouchTest #how { height: auto; margin: 1 0; }
    TouchTest #lead { height: auto; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "found('tacky')", "Tacky"),
        Binding("d", "found('dry')", "Dry"),
        Binding("f", "face", "Face"),
        Binding("escape", "leave", "Not now"),
    ]

    def __init__(self, standing: Standing, *, zone: str, clock: Clock = now_hour) -> None:
        """standing: a batch with a coat on it. BadInput for one without."""
        super().__init__()
        if not standing.fold.coats:
            raise BadInput("test", standing.row.code, "a batch with a coat on it")
        self.standing = standing
        self.zone = zone
        self.clock = clock
        self.faces = faces_to_choose(standing)
        self.face = self.faces[0]
        self._stages: tuple[Stage, ...] = ()

    def compose(self) -> ComposeResult:
        """What is felt, the stages, how to test the highlighted one, and the two answers."""
        row = self.standing.row
        with VerticalScroll(id="card", can_focus=False):
            yield Static(Text(f"{plain(row.code)}: touch test, {plain(row.what)}", style="bold"), id="what")
            yield Static("", id="lead", markup=False)
            yield OptionList(id="stages", markup=False)
            yield Static("", id="how", markup=False)
            for caution in cautions(self.standing):
                yield Static(Text(f"! {plain(caution)}", style="bold"), classes="caution")
            with Horizontal(classes="buttons"):
                yield Button("Tacky (t)", id="tacky")
                yield Button("Dry (d)", id="dry", variant="primary")
                if len(self.faces) > 1:
                    yield Button("Face (f)", id="face")
                yield Button("Not now (esc)", id="leave")
            yield Static("felt at", classes="label", markup=False)
            yield Input(placeholder="now, or such as 18:30, yesterday 18:30", id="at")
            yield Static("", id="problem", markup=False)

    def on_mount(self) -> None:
        """Begin on the stage most worth feeling for."""
        self._fill()
        self.query_one("#stages", OptionList).focus()

    @property
    def coat(self) -> Coat:
        """The topmost coat on the face that is felt."""
        return topmost(self.standing, self.face)

    def _fill(self) -> None:
        now, coat = self.clock(), self.coat
        self._stages = tuple(stage for stage in Stage if stage in coat.finish.stages)
        best = worth_most(self.standing, coat, self._stages, now)
        stages = self.query_one("#stages", OptionList)
        stages.clear_options()
        stages.add_options([self._line(stage, stage is best, now) for stage in self._stages])
        stages.highlighted = self._stages.index(best)
        self.query_one("#lead", Static).update(Text(self._lead(now)))

    def _lead(self, now: float) -> str:
        coat = self.coat
        slow = coat.factors.species.limiting
        where = f"on the {plain(slow)}, " if slow and len(self.standing.batch.woods) > 1 else ""
        face = "both faces" if self.face is Face.BOTH else f"{self.face.value} face"
        return (
            f"coat {coat.number}, {plain(coat.finish.title)}, on since {short_time(coat.at, self.zone, now)}; {face}."
            f" Feel {where}where it is thickest and coldest: the slowest spot counts."
        )

    def _line(self, stage: Stage, best: bool, now: float) -> Option:
        worth = stage_words(self.coat, stage, now, self.zone)
        line = Text(no_wrap=True, overflow="ellipsis")
        line.append(f"{'▸' if best else ' '} {stage.words:<14} ", style="bold" if best else "")
        line.append(worth)
        return Option(line)

    @on(OptionList.OptionHighlighted, "#stages")
    def explain(self, event: OptionList.OptionHighlighted) -> None:
        """How the highlighted stage is tested."""
        how = how_to(self.coat, self._stages[event.option_index])
        text = Text(how.words)
        text.append(f"\n{how.source}", style="dim")
        self.query_one("#how", Static).update(text)

    @on(Button.Pressed, "#tacky")
    def press_tacky(self) -> None:
        """Tacky, by mouse."""
        self.action_found("tacky")

    @on(Button.Pressed, "#dry")
    def press_dry(self) -> None:
        """Dry, by mouse."""
        self.action_found("dry")

    @on(Button.Pressed, "#face")
    def action_face(self) -> None:
        """Another face."""
        if len(self.faces) > 1:
            self.face = self.faces[(self.faces.index(self.face) + 1) % len(self.faces)]
            self._fill()

    @on(Button.Pressed, "#leave")
    def action_leave(self) -> None:
        """Leave without recording."""
        self.dismiss(None)

    def action_found(self, finding: str) -> None:
        """Hand back what was found of the highlighted stage, or say what is wrong with the time."""
        index = self.query_one("#stages", OptionList).highlighted
        stage = self._stages[index or 0]
        text = self.query_one("#at", Input).value.strip()
        try:
            at = parse_when(text, "felt at", self.zone, self.clock()) if text else None
        except BadInput as problem:
            self.query_one("#problem", Static).update(Text(plain(str(problem))))
            self.query_one("#card").scroll_end(animate=False)
            return
        self.dismiss(TestDraft(self.standing.row.code, stage, Finding(finding), self.face, at, typed=text))


def topmost(standing: Standing, face: Face) -> Coat:
    """The topmost coat on a face; of both, the one put on last."""
    tops = [c for c in (standing.fold.last_coat(side) for side in face.sides) if c is not None]
    return max(tops, key=lambda c: c.at)


def faces_to_choose(standing: Standing) -> tuple[Face, ...]:
    """The faces that can be felt apart: one answer for both where one coat lies on both, else the newest coat first."""
    tops = {side: standing.fold.last_coat(side) for side in (Face.TOP, Face.BOTTOM)}
    coated = [side for side, coat in tops.items() if coat is not None]
    if len(coated) == 2 and tops[Face.TOP] is tops[Face.BOTTOM]:
        return (Face.BOTH,)
    coated.sort(key=lambda side: -topmost(standing, side).at)
    return (*coated, Face.BOTH) if len(coated) == 2 else tuple(coated)


def worth_most(standing: Standing, coat: Coat, stages: Sequence[Stage], now: float) -> Stage:
    """The stage most worth feeling for: what the next step waits for, if it could be; else the first in doubt."""
    following = standing.fold.next(now)
    gate = None if following is None or following.gate is None else following.gate.stage
    doubt = [stage for stage in stages if in_doubt(coat, stage, now)]
    if gate in doubt and following is not None and following.waits_on is coat:
        return gate
    unseen = [stage for stage in stages if not _seen(coat, stage)]
    return next(iter(doubt), next(iter(unseen), stages[-1]))


def in_doubt(coat: Coat, stage: Stage, now: float) -> bool:
    """Whether a look would tell something: the stage could be reached, and is neither found nor sure to be."""
    time = coat.stages.get(stage)
    if time is None:
        return coat.undated  # no date is given: only a finger tells
    if time.seen is not None or time.could_be is None or time.could_be > now:
        return False
    return time.count_on is None or now < time.count_on


def stage_words(coat: Coat, stage: Stage, now: float, zone: str) -> str:
    """Whether a stage is worth testing now, in a few words."""
    time = coat.stages.get(stage)
    if time is None:
        return "worth testing: only a finger tells" if coat.undated else "no date"
    if time.seen is not None:
        return f"found dry {short_time(time.seen, zone, now)}"
    if time.could_be is None:
        return "stands still in this air"
    if now < time.could_be:
        return f"too early: could be from {short_time(time.could_be, zone, now)}"
    if time.count_on is None or now < time.count_on:
        sure = "" if time.count_on is None else f"; count on {short_time(time.count_on, zone, now)}"
        return f"worth testing now{sure}"
    return f"should be, since {short_time(time.count_on, zone, now)}"


def _seen(coat: Coat, stage: Stage) -> bool:
    time = coat.stages.get(stage)
    return time is not None and time.seen is not None


def cautions(standing: Standing) -> list[str]:
    """What touching a film that has not hardened asks for."""
    finishes = {coat.finish.name: coat.finish for coat in standing.fold.coats}.values()
    if any(Hazard.ISOCYANATE in finish.hazards for finish in finishes):
        return [f"Touch it with a glove on. {HAZARDS[Hazard.ISOCYANATE].text}"]
    return []
