"""A coating session as it really goes, press by press: pure, and the same however often it is replayed.

Instants are hours since the epoch; lengths that come from the plan are minutes.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from finishing.cure.session import ROUND, Plan
from finishing.errors import BadInput

MINUTE = 1.0 / 60.0


class Do(StrEnum):
    """What the maker tells the guide."""

    START = "start"
    COATED = "piece coated"
    PASS_COATED = "pass coated"
    WIPED = "piece wiped"
    PASS_WIPED = "pass wiped"
    NEXT_PASS = "next pass"
    PAUSE = "pause"
    RESUME = "go on"
    MIX = "fresh mix"
    END = "end"
    RAGS_SAFE = "rags safe"


@dataclass(frozen=True, slots=True)
class Press:
    """One thing told, and when."""

    do: Do
    at: float


class Phase(StrEnum):
    """How far a session is."""

    COATING = "coating"
    WIPING = "wiping"
    BETWEEN = "between passes"
    RAGS = "rags"
    CLOSING = "closing"


class Wipe(StrEnum):
    """Whether the next piece may be wiped."""

    NOT_YET = "not yet"
    NOW = "wipe now"
    LATE = "late"


@dataclass(frozen=True, slots=True)
class Watch:
    """The wet pieces of a pass. opens..shuts: the window of the next one to wipe.

    go: begin then and none is wiped too early; latest: begin no later, or some will be late. None: no window.
    """

    number: int
    wet: int
    opens: float
    shuts: float | None
    go: float
    latest: float | None

    def stands(self, now: float) -> Wipe:
        """Whether the next piece may be wiped at an hour."""
        if now < self.go:
            return Wipe.NOT_YET
        return Wipe.LATE if self.shuts is not None and now > self.shuts else Wipe.NOW


class Run:
    """A session as it went so far: presses are applied in order, each refused (BadInput) if it can't be.

    coated: when each piece was, in order. wiped: when, by place in `coated`. left: those never wiped.
    """

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.begun: list[float] = []
        self.coated: list[float] = []
        self.wiped: dict[int, float] = {}
        self.left: set[int] = set()
        self.paused: float | None = None
        self.mixed: list[float] = []
        self.ended: float | None = None
        self.rags_safe: float | None = None
        self.last = float("-inf")
        self.coat_hours = 0.0
        self.wipe_hours = 0.0
        self.since = 0.0
        """When what the hands do now was begun."""
        self.carried = 0.0
        """Hours of it before a pause."""

    @property
    def index(self) -> int:
        """The pass that is on, from 0."""
        return max(len(self.begun) - 1, 0)

    @property
    def bare(self) -> int:
        """Pieces of this pass still to coat."""
        return self.plan.bounds(self.index)[1] - len(self.coated)

    @property
    def wet(self) -> list[int]:
        """Pieces coated, and to be wiped, in that order; from 0."""
        if self.plan.wipe_minutes is None:
            return []
        return [i for i in range(len(self.coated)) if i not in self.wiped and i not in self.left]

    @property
    def more(self) -> bool:
        """Whether another pass is to come."""
        return self.index + 1 < len(self.plan.sizes)

    @property
    def rags_due(self) -> bool:
        """Whether there are rags not yet said to be safe."""
        return self.plan.rags and bool(self.coated) and self.rags_safe is None

    @property
    def phase(self) -> Phase:
        """How far it is."""
        if self.ended is not None:
            return Phase.RAGS if self.rags_due else Phase.CLOSING
        if self.bare:
            return Phase.COATING
        return Phase.WIPING if self.wet else Phase.BETWEEN

    @property
    def late(self) -> list[int]:
        """Pieces whose wiping began after their window had shut, as far as the presses tell."""
        until, taking = self.plan.wipe_until, self.plan.wipe_minutes or 0.0
        if until is None:
            return []
        late = (until + taking) * MINUTE + ROUND
        return [i for i, at in self.wiped.items() if at - self.coated[i] > late]

    @property
    def pot_ends(self) -> float | None:
        """When the finish mixed last should no longer be put on."""
        pot = self.plan.pot_life_hours
        return None if pot is None or not self.mixed else self.mixed[-1] + pot

    def on_hand(self, now: float) -> float:
        """Hours spent so far on what the hands do now, pauses left out."""
        return self.carried + (0.0 if self.paused is not None else max(now - self.since, 0.0))

    def watch(self) -> Watch | None:
        """The wipe window of the wet pieces; None while there are none."""
        wet = self.wet
        if not wet:
            return None
        coated, each = [self.coated[i] for i in wet], (self.plan.wipe_minutes or 0.0) * MINUTE
        opens = coated[0] + (self.plan.wipe_from or 0.0) * MINUTE
        if self.plan.wipe_until is None:
            return Watch(wet[0] + 1, len(wet), opens, None, opens, None)
        early, late = (self.plan.wipe_from or 0.0) * MINUTE, self.plan.wipe_until * MINUTE
        latest = min(at + late - k * each for k, at in enumerate(coated))
        go = max(at + early - k * each for k, at in enumerate(coated))
        return Watch(wet[0] + 1, len(wet), opens, coated[0] + late, max(opens, min(go, latest)), latest)

    def refusal(self, do: Do) -> str:
        """What it would take for a press to be possible, "" if it is."""
        if do is Do.START:
            return "a session not started yet" if self.begun else ""
        if not self.begun:
            return "a session that was started"
        if do is Do.RAGS_SAFE:
            return "" if self.coated else "a piece coated first"
        if self.ended is not None:
            return "a session that is still going on"
        done = not self.bare and not self.wet and self.more
        possible = {
            Do.COATED: (bool(self.bare) or done, "the coated pieces wiped, or the next pass begun, first"),
            Do.PASS_COATED: (bool(self.bare), "a pass with a piece left to coat"),
            Do.WIPED: (bool(self.wet), "a piece that is coated and to be wiped"),
            Do.PASS_WIPED: (bool(self.wet), "a piece that is coated and to be wiped"),
            Do.NEXT_PASS: (not self.bare and self.more, "every piece of this pass coated, and a pass left"),
            Do.PAUSE: (self.paused is None, "a session that is not paused"),
            Do.RESUME: (self.paused is not None, "a session that is paused"),
            Do.MIX: (self.plan.pot_life_hours is not None, "a finish that is mixed of two parts"),
            Do.END: (bool(self.coated), "a piece coated; or give the guide up"),
        }
        return "" if possible[do][0] else possible[do][1]

    def apply(self, press: Press) -> None:
        """Take in one press. A clock that was set back counts as standing still."""
        if why := self.refusal(press.do):
            raise BadInput("guide", press.do.value, why)
        at = max(press.at, self.last)
        if self.paused is not None and press.do not in (Do.RAGS_SAFE, Do.MIX, Do.END):
            self.paused, self.since = None, at
        match press.do:
            case Do.START | Do.NEXT_PASS:
                self._begin_pass(at)
            case Do.COATED | Do.PASS_COATED:
                self._coat(at, 1 if press.do is Do.COATED else self.bare)
            case Do.WIPED | Do.PASS_WIPED:
                self._wipe(at, 1 if press.do is Do.WIPED else len(self.wet))
            case Do.PAUSE:
                self.paused, self.carried = at, self.on_hand(at)
            case Do.MIX:
                self.mixed.append(at)
                self.since, self.carried = at, 0.0
            case Do.END:
                self._end(at)
            case Do.RAGS_SAFE:
                self.rags_safe = at
            case Do.RESUME:
                pass  # what every press does that follows a pause
        self.last = at

    def _begin_pass(self, at: float) -> None:
        self.left |= set(self.wet)
        self.begun.append(at)
        self.since, self.carried = at, 0.0
        if not self.mixed and self.plan.pot_life_hours is not None:
            self.mixed.append(at)

    def _coat(self, at: float, pieces: int) -> None:
        """Several at once count as coated evenly since the last thing told."""
        if not self.bare:  # the next pass was begun without a word: with this piece
            self._begin_pass(max(self.last, at - self.plan.apply_minutes * MINUTE))
        base = min(self.since - self.carried, at)
        self.coated += [base + (at - base) * (k + 1) / pieces for k in range(pieces)]
        self.coat_hours += self.on_hand(at)
        self._hands_free(at)

    def _wipe(self, at: float, pieces: int) -> None:
        """The hands are taken to have begun as soon as the first piece might be wiped, or else with the press."""
        watch, wet = self.watch(), self.wet[:pieces]
        assert watch is not None
        waited = max(min(watch.opens, at) - self.since, 0.0)
        base = self.since + waited
        self.wiped |= {i: base + (at - base) * (k + 1) / pieces for k, i in enumerate(wet)}
        self.wipe_hours += self.on_hand(at) - waited
        self._hands_free(at)

    def _hands_free(self, at: float) -> None:
        self.since, self.carried, self.rags_safe = at, 0.0, None
        if len(self.coated) == self.plan.pieces and not self.wet:
            self._end(at)

    def _end(self, at: float) -> None:
        self.left |= set(self.wet)
        self.ended, self.paused = at, None


def replay(plan: Plan, presses: Iterable[Press]) -> Run:
    """A session after all its presses."""
    run = Run(plan)
    for press in presses:
        run.apply(press)
    return run


class Call(StrEnum):
    """What a bell says."""

    WIPE = "wiping may begin"
    HURRY = "wipe now, or some will be late"
    LATE = "late to be wiped"
    POT_SOON = "the mixed finish is nearly past its pot life"
    POT_OVER = "the mixed finish is past its pot life"


@dataclass(frozen=True, slots=True)
class Alarm:
    """A bell to ring: for what, for which pass or mix (from 1), at which hour."""

    call: Call
    number: int
    at: float


def alarms(run: Run) -> list[Alarm]:
    """The bells of a session as it stands. Wiping may begin: not before the whole pass is coated."""
    found: list[Alarm] = []
    if run.ended is not None:
        return found
    watch, number = run.watch(), run.index + 1
    if watch is not None and not run.bare:
        found.append(Alarm(Call.WIPE, number, watch.go))
    if watch is not None and watch.latest is not None and watch.shuts is not None:
        length = (run.plan.wipe_until or 0.0) - (run.plan.wipe_from or 0.0)
        shortly = min(max(length / 10.0, 0.5), 3.0) * MINUTE
        found.append(Alarm(Call.HURRY, number, watch.latest - shortly))
        found.append(Alarm(Call.LATE, number, watch.shuts))
    ends, pot = run.pot_ends, run.plan.pot_life_hours
    if ends is not None and pot is not None and len(run.coated) < run.plan.pieces:
        found.append(Alarm(Call.POT_SOON, len(run.mixed), ends - min(pot / 10.0, 10.0 * MINUTE)))
        found.append(Alarm(Call.POT_OVER, len(run.mixed), ends))
    return found
