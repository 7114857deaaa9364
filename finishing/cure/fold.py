"""Folding a batch's record into what has been done, and what comes next.

`Fold` is the one place that knows the order of steps; `progress` reads it as it stands, `forecast` goes on with it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

from finishing.cure.climate import PlaceAir
from finishing.cure.coat import Coat, Factors, ShopFactor, StageTime, lay
from finishing.cure.film import film_ratio
from finishing.cure.finish import Finish
from finishing.cure.schedule import Step
from finishing.cure.species import SpeciesFactor, species_factor
from finishing.cure.terms import Extractives, Face, Release, Stage, StepKind
from finishing.cure.track import Track
from finishing.cure.work import (
    AbradeEntry,
    Batch,
    CloseEntry,
    CoatEntry,
    Entry,
    Finding,
    HoldEntry,
    MoveEntry,
    ReleaseEntry,
    StepEntry,
    TestEntry,
)
from finishing.errors import NotFound

WAITS = (StepKind.SOAK, StepKind.REST)
"""Steps that need time but no hands."""

MINUTE = 1.0 / 60.0


class State(StrEnum):
    """How the next step stands."""

    OPEN = "open"
    WAITING = "waiting"
    SHUT = "shut"
    NEVER = "never"
    TEST_FIRST = "test_first"


@dataclass(frozen=True, slots=True)
class Next:
    """The next step that needs hands. Hours since the epoch; None: never opens / never shuts.

    gate: the stage it waits for and when that comes, if it waits for one. tight: see `coat.Window`.
    shut_grit, remedy: what reopens a shut window.
    """

    position: int
    step: Step
    coat_number: int
    state: State
    opens: float | None
    shuts: float | None
    gate: StageTime | None = None
    waits_on: Coat | None = None
    tight: bool = False
    shut_grit: int | None = None
    remedy: str = ""


FRESH_WIPE_HOURS = 1.0
"""So long after a wipe with solvent an oily wood counts as freshly wiped: its oil comes up again. Makers are told half
an hour; a batch takes its time. Common practice, no source."""


class Fold:
    """A batch's record so far, replayed in order. `apply` takes the next entry; `next` says what follows."""

    def __init__(
        self,
        batch: Batch,
        climate: Mapping[str, PlaceAir],
        shop: Mapping[str, ShopFactor],
        level: float,
        tests: Mapping[int, list[TestEntry]],
        coated_over: Collection[int] = (),
    ) -> None:
        """tests: touch tests by the number of the coat entry they were made of. coated_over: the numbers of coat
        entries that another coat was put on."""
        self.batch, self.climate, self.shop, self.level = batch, climate, shop, level
        self._tests, self._coated_over = tests, coated_over
        self.track = Track([(float("-inf"), self._air(batch.place))])
        self.place = batch.place
        self.coats: list[Coat] = []
        self.done: dict[int, float] = {}
        self.abraded: dict[Face, float] = {}
        self.released: dict[Release, float] = {}
        self.held = False
        self.closed: float | None = None
        self._wiped: float | None = None

    def _air(self, place: str) -> PlaceAir:
        if place not in self.climate:
            raise NotFound("place", place, self.climate)
        return self.climate[place]

    def apply(self, entry: Entry, *, expected: bool = False) -> None:
        """Take in one standing entry."""
        match entry:
            case CoatEntry():
                self._coat(entry, expected)
            case StepEntry():
                self.done[entry.step] = entry.at
            case AbradeEntry():
                if entry.step is not None:
                    self.done[entry.step] = entry.at
                self.abraded.update(dict.fromkeys(entry.face.sides, entry.at))
            case MoveEntry():
                self.track = self.track.moved(entry.at, self._air(entry.place))
                self.place = entry.place
            case ReleaseEntry():
                self.released[entry.release] = entry.at
            case HoldEntry():
                self.held = entry.on
            case CloseEntry():
                self.closed = entry.at
            case _:
                pass  # touch tests were given to their coats beforehand

    def _coat(self, entry: CoatEntry, expected: bool) -> None:
        step = self.batch.schedule.steps[entry.step]
        assert step.finish is not None
        finish = self.batch.finishes[step.finish]
        tests = self._tests.get(entry.number, [])
        hard = any(t.finding is Finding.DRY and t.stage is not Stage.DUST_FREE for t in tests)
        ratio = film_ratio(
            finish.film,
            entry.amount_ml,
            self.batch.area_m2(step.face),
            first=not self._below(step.face),
            wiped_back=entry.wiped_back,
        )
        woods = self._woods(entry.step, finish, proven=hard or entry.number in self._coated_over)
        coat = lay(
            step=entry.step,
            number=self.batch.schedule.coat_number(entry.step),
            face=step.face,
            finish=finish,
            at=entry.at,
            factors=self._factors(entry.number, finish, woods, ratio, tests),
            track=self.track,
            level=self.level,
            tests=tests,
            expected=expected,
            entry=entry.number,
        )
        self.coats.append(coat)
        self.done[entry.step] = entry.at

    def _factors(
        self, entry: int, finish: Finish, woods: SpeciesFactor, ratio: float, tests: list[TestEntry]
    ) -> Factors:
        shop = self.shop.get(finish.name)
        if shop is None:
            return Factors(woods, ratio, ShopFactor())
        if not tests:
            return Factors(woods, ratio, shop.on(woods.extractives))
        others = shop.but_for(entry).on(woods.extractives)
        return Factors(woods, ratio, shop.on(woods.extractives), others, frozenset(t.stage for t in tests))

    def _below(self, face: Face) -> list[Coat]:
        """Coats that already lie on any of the faces."""
        return [c for c in self.coats if set(c.face.sides) & set(face.sides)]

    def _woods(self, position: int, finish: Finish, *, proven: bool = False) -> SpeciesFactor:
        """What the woods do to the coat of a step. One that was coated over or found dry to a finger has proven itself,
        and so has a coat that lies on another."""
        below = self._below(self.batch.schedule.steps[position].face)
        return species_factor(
            self.batch.woods,
            self.batch.classes,
            finish.mechanism,
            coat_on_face=self.batch.schedule.coat_number(position),
            sealed=any(c.finish.barrier for c in below),
            wiped=self._solvent_wiped(position),
            proven=proven or bool(below),
        )

    def next_coat_woods(self, following: Next | None) -> SpeciesFactor | None:
        """What the woods will do to the next coat of the schedule, if one is to come."""
        if following is None:
            return None
        for i in range(following.position, len(self.batch.schedule.steps)):
            name = self.batch.schedule.steps[i].finish
            if name is not None:
                return self._woods(i, self.batch.finishes[name])
        return None

    def _solvent_wiped(self, coat_step: int) -> bool:
        """Whether the schedule wipes the wood with solvent between the last coat and this one."""
        return self._wipe_before(coat_step) is not None

    def _wipe_before(self, coat_step: int) -> int | None:
        """Position of the wipe with solvent between the last coat and this one."""
        for i in range(coat_step - 1, -1, -1):
            kind = self.batch.schedule.steps[i].kind
            if kind is StepKind.CLEAN:
                return i
            if kind is StepKind.COAT:
                return None
        return None

    def stale_wipe(self, position: int, at: float) -> tuple[int, float] | None:
        """The wipe with solvent of oily wood that is no longer fresh for its first coat at an hour: position and hours.

        None where it is fresh, for any other step or wood, and where nobody recorded the wipe.
        """
        step = self.batch.schedule.steps[position]
        oily = any(w.extractives in (Extractives.MODERATE, Extractives.HIGH) for w in self.batch.woods)
        wipe = self._wipe_before(position) if step.kind is StepKind.COAT and oily else None
        if wipe is None or wipe not in self.done or any(c.at < at for c in self._below(step.face)):
            return None
        hours = at - self.done[wipe]
        return (wipe, hours) if hours > FRESH_WIPE_HOURS else None

    def wipe_again(self, now: float) -> int | None:
        """Position of the wipe with solvent that is to be done once more before the next step, which is a coat."""
        following = self.next(now)
        stale = None if following is None else self.stale_wipe(following.position, now)
        return None if stale is None else stale[0]

    @property
    def reached(self) -> int:
        """Position of the first step after the furthest one done."""
        return max(self.done, default=-1) + 1

    @property
    def remaining_hands(self) -> list[int]:
        """Positions of steps still to be done that need hands."""
        steps = self.batch.schedule.steps
        return [i for i in range(self.reached, len(steps)) if steps[i].kind not in WAITS]

    def last_coat(self, face: Face) -> Coat | None:
        """The topmost coat on a single face."""
        return next((c for c in reversed(self.coats) if face in c.face.sides), None)

    def next(self, now: float) -> Next | None:
        """The next step that needs hands as of `now`, or None when only waiting is left."""
        steps = self.batch.schedule.steps
        ready = self.done.get(self.reached - 1)
        for i in range(self.reached, len(steps)):
            step = steps[i]
            if step.kind in WAITS:
                ready = self._after_wait(step, ready)
            elif step.kind is StepKind.WIPE and self._wiped_by_now(i, now):
                continue
            else:
                return self._stand(i, step, ready, now)
        return None

    def held_up(self, position: int, now: float) -> Next | None:
        """How a step stands as of `now` together with those before it that are not done: as the one that holds it up
        the longest. None for a step before one that is done, which nothing holds up."""
        steps, worst = self.batch.schedule.steps, None
        ready = self.done.get(self.reached - 1)
        for i in range(self.reached, position + 1):
            if steps[i].kind in WAITS:
                ready = self._after_wait(steps[i], ready)
            elif i == position or steps[i].kind is not StepKind.WIPE:
                one = self._stand(i, steps[i], ready, now)
                worst = one if worst is None or _weight(one) > _weight(worst) else worst
        return worst

    def _after_wait(self, step: Step, ready: float | None) -> float | None:
        """When a soak or rest between steps is over; None where it can't be known yet."""
        over = ready if ready is not None else (self.coats[-1].at if self.coats else None)
        if over is not None and step.hours is not None:
            over += step.hours
        if step.kind is StepKind.REST and step.gate and (step.after or step.hours is None):
            gates = [g for _, g in self._gates(step.gate, step.face)]
            whens = [None if g is None else g.at_level for g in gates]
            if any(w is None for w in whens):
                return float("inf")
            over = max([w for w in whens if w is not None] + ([over] if over is not None else []), default=over)
        return over

    def _wiped_by_now(self, position: int, now: float) -> bool:
        """Whether a wipe-off with its own window is past: recording a coat says it was wiped back in time."""
        coat = self.coats[-1] if self.coats else None
        if coat is None or coat.finish.wipe is None or self._soaks_before(position):
            return False
        return now >= coat.at + coat.finish.wipe.to_minutes * MINUTE

    def _soaks_before(self, position: int) -> bool:
        return position > 0 and self.batch.schedule.steps[position - 1].kind is StepKind.SOAK

    def _gates(self, stage: Stage, face: Face) -> list[tuple[Coat, StageTime | None]]:
        """The stage's time on the topmost coat of each face meant, where there is a coat."""
        tops = {id(c): c for c in (self.last_coat(side) for side in face.sides) if c is not None}
        return [(c, c.stages.get(stage)) for c in tops.values()]

    def _stand(self, position: int, step: Step, ready: float | None, now: float) -> Next:
        number = self.batch.schedule.coat_number(position) if step.kind is StepKind.COAT else 0
        if step.kind is StepKind.WIPE:
            return self._stand_wipe(position, step, ready, now)
        gates = self._gates(step.gate, step.face) if step.gate else []
        for coat, _ in gates:
            if coat.undated:
                return Next(position, step, number, State.TEST_FIRST, None, None, None, coat, remedy=SEAL_OR_TEST)
        if any(g is None or g.at_level is None for _, g in gates) or ready == float("inf"):
            return Next(position, step, number, State.NEVER, None, None, None, gates[0][0] if gates else None)
        times = [(g.at_level or 0.0, c, g) for c, g in gates if g is not None]
        latest = max(times, key=lambda row: row[0], default=None)
        opens = max([row[0] for row in times] + [t for t in (ready,) if t is not None], default=now)
        shut = self._shuts(step)
        waits_on = latest[1] if latest else None
        gate = latest[2] if latest and latest[0] >= opens else None
        if shut is not None and shut[0] < now and shut[0] < float("inf"):
            hours, coat = shut
            limit = coat.finish.recoat_limit
            assert limit is not None
            return Next(
                position, step, number, State.SHUT, opens, hours, gate, waits_on,
                shut_grit=limit.grit, remedy=limit.instructions,
            )  # fmt: skip
        state = State.OPEN if opens <= now else State.WAITING
        shuts = None if shut is None else shut[0]
        tight = shut is not None and shut[1].window.tight
        return Next(position, step, number, state, opens, shuts, gate, waits_on, tight)

    def _stand_wipe(self, position: int, step: Step, ready: float | None, now: float) -> Next:
        """Wiping off has its own window in minutes after the coat, or follows a soak."""
        coat = self.coats[-1] if self.coats else None
        if coat is None or coat.finish.wipe is None or self._soaks_before(position):
            opens, shuts = (now if ready is None else ready), None
        else:
            opens = coat.at + coat.finish.wipe.from_minutes * MINUTE
            shuts = coat.at + coat.finish.wipe.to_minutes * MINUTE
        state = State.OPEN if opens <= now else State.WAITING
        return Next(position, step, 0, state, opens, shuts, None, coat)

    def _shuts(self, step: Step) -> tuple[float, Coat] | None:
        """When the first window of the faces meant shuts, and whose; None if none does or they were abraded."""
        if step.kind is not StepKind.COAT:
            return None
        rows = []
        for side in step.face.sides:
            coat = self.last_coat(side)
            if coat is None or coat.window.shuts is None:
                continue
            if self.abraded.get(side, float("-inf")) < coat.at:
                rows.append((coat.window.shuts, coat))
        return min(rows, key=lambda row: row[0], default=None)


def _weight(stands: Next) -> tuple[int, float]:
    order = (State.OPEN, State.WAITING, State.SHUT, State.NEVER, State.TEST_FIRST)
    return order.index(stands.state), stands.opens or 0.0


SEAL_OR_TEST = (
    "Seal or test first: on bare oily wood this finish may stay tacky for weeks or never harden. Seal with dewaxed"
    " shellac (wipe the wood with solvent first), or coat a scrap of the same wood and wait until it is dry."
)
