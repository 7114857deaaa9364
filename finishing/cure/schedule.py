"""A finishing schedule: the ordered steps that put a finish on a piece."""

from __future__ import annotations

from dataclasses import dataclass, field

from finishing.cure.finish import between
from finishing.cure.terms import Face, Stage, StepKind
from finishing.errors import BadInput


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `after`: the stage the faces' last coat must have reached first; `hours`: clock hours to wait.

    Without `after`, a coat, abrading or buffing waits for dry-to-recoat, turning over for dry-to-touch, a rest
    for `cured`. `minutes_per_piece` and `setup_minutes` are hands-on time. `grit`: FEPA P-number.
    """

    kind: StepKind
    finish: str | None = None
    face: Face = Face.BOTH
    minutes_per_piece: float = 0.0
    setup_minutes: float = 0.0
    grit: int | None = None
    after: Stage | None = None
    hours: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if (self.kind is StepKind.COAT) != (self.finish is not None):
            raise BadInput("finish", self.finish, "a finish on a coat step and on no other")
        between("minutes_per_piece", self.minutes_per_piece, 0.0, 24 * 60, "0 to 1,440 minutes")
        between("setup_minutes", self.setup_minutes, 0.0, 24 * 60, "0 to 1,440 minutes")
        if self.grit is not None:
            between("grit", self.grit, 40, 3000, "an abrasive grit from P40 to P3000")
        if self.hours is not None:
            between("hours", self.hours, 0.0, 24 * 90, "0 to 2,160 hours")

    @property
    def gate(self) -> Stage | None:
        """The stage the last coat on these faces must have reached before this step."""
        return self.after or _GATES.get(self.kind)


_GATES = {
    StepKind.COAT: Stage.DRY_TO_RECOAT,
    StepKind.ABRADE: Stage.DRY_TO_RECOAT,
    StepKind.BUFF: Stage.DRY_TO_RECOAT,
    StepKind.TURN: Stage.DRY_TO_TOUCH,
    StepKind.REST: Stage.CURED,
}


@dataclass(frozen=True, slots=True)
class Schedule:
    """The steps, in order. `name` is its handle on the command line; `suits`: what it is good for."""

    name: str
    title: str
    summary: str
    steps: tuple[Step, ...]
    suits: str = ""
    notes: tuple[str, ...] = ()
    _numbers: tuple[int, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not any(s.kind is StepKind.COAT for s in self.steps):
            raise BadInput("steps", len(self.steps), "at least one step of kind coat")
        if len(self.steps) > 60:
            raise BadInput("steps", len(self.steps), "no more than 60 steps")
        # counted once: every look at a batch asks for each
        numbers = tuple(self._count(position) for position in range(len(self.steps)))
        object.__setattr__(self, "_numbers", numbers)

    @property
    def coat_steps(self) -> tuple[int, ...]:
        """Positions of the coat steps."""
        return tuple(i for i, s in enumerate(self.steps) if s.kind is StepKind.COAT)

    @property
    def finishes(self) -> tuple[str, ...]:
        """Names of the finishes used, in order of first use."""
        return tuple(dict.fromkeys(s.finish for s in self.steps if s.finish))

    def coat_number(self, position: int) -> int:
        """Which coat a coat step lays on its faces, from 1."""
        return self._numbers[position]

    def recoated(self, position: int) -> bool:
        """Whether a later coat comes on one of the faces of a coat step."""
        sides = set(self.steps[position].face.sides)
        return any(i > position and sides & set(self.steps[i].face.sides) for i in self.coat_steps)

    def _count(self, position: int) -> int:
        laid = [step.face for step in self.steps[: position + 1] if step.kind is StepKind.COAT]
        return max(sum(side in face.sides for face in laid) for side in self.steps[position].face.sides)

    @property
    def coats(self) -> int:
        """How many coats the schedule lays on the face that gets most."""
        return max(self.coat_number(i) for i in self.coat_steps)
