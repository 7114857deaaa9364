"""What is to be planned: batches as chains of tasks for the hands, with lags that depend on when they start."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from finishing.cure.coat import Coat
from finishing.cure.session import Plan
from finishing.cure.terms import Stage
from finishing.plan.batches.grid import NEVER, Grid, Slots


@dataclass(frozen=True, slots=True, eq=False)
class Gate:
    """A bound that a coat of the same job sets: `curve[slot]` is its value for a coat of that slot.

    What opens is looked up by the slot at which the coat's task ends, what shuts by the one at which it begins: so
    the last piece coated is ready, and the first one not too late, whatever happened between. stage: the one that
    opens it, None for what shuts.
    """

    task: int
    curve: Slots
    stage: Stage | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """Work done in one go: the steps of the schedule in it (positions), or a part of one.

    part: (number, of) when a long step is spread over several tasks, pieces: the pieces in it. minutes: of hands'
    work; slots: what it takes up. reopened: minutes and slots when shut windows must be abraded first (the same where
    that can't happen). earliest: no sooner, whatever the rest. gap: slots after the end of the task before. gates:
    opening ones. since: the stages of coats already on that it waits for, told in `earliest` too. shuts, shut_at: the
    work must be over by the least of them, or be done reopened. coat: the coat it lays, as far as known before it is
    dated. handled, packed: when that coat may be handled and packed, by the slot at which the task ends. pinned: the
    slot the maker chose.
    """

    steps: tuple[int, ...]
    pieces: int
    minutes: float
    slots: int
    part: tuple[int, int] | None = None
    reopened: tuple[float, int] = (0.0, 0)
    reopen_grit: int | None = None
    earliest: int = 0
    gap: int = 0
    gates: tuple[Gate, ...] = ()
    since: tuple[tuple[Coat, Stage], ...] = ()
    shuts: tuple[Gate, ...] = ()
    shut_at: int = NEVER
    coat: Coat | None = None
    session: Plan | None = None
    handled: Slots | None = None
    packed: Slots | None = None
    pinned: int | None = None

    def takes(self, reopened: bool) -> int:
        """Slots it takes up."""
        return self.reopened[1] if reopened else self.slots

    def works(self, reopened: bool) -> float:
        """Minutes of hands' work."""
        return self.reopened[0] if reopened else self.minutes


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """A batch's remaining work, in order. weight: 1 for most, more for what matters more.

    wanted: slot by which it must be packed, None: no date. packed_at: when the coats already on may be packed. dated:
    whether it can be given a date at all. on_rack_until: slot until which its last coat keeps its room. note: why
    it goes no further than its tasks.
    """

    code: str
    place: str
    pieces: int
    tasks: tuple[Task, ...]
    weight: int = 1
    wanted: int | None = None
    packed_at: int = 0
    dated: bool = True
    on_rack_until: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Taken:
    """Room on a rack that a batch without work to plan keeps until a slot."""

    place: str
    pieces: int
    until: int


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """Jobs to place in the worked stretches of a grid. makers: pairs of hands. racks: pieces that fit, by place.

    A place that is not in `racks` has room for everything.
    """

    grid: Grid
    jobs: tuple[Job, ...]
    makers: int = 1
    racks: Mapping[str, int] = field(default_factory=dict)
    taken: tuple[Taken, ...] = ()

    @property
    def size(self) -> int:
        """How many tasks there are."""
        return sum(len(job.tasks) for job in self.jobs)
