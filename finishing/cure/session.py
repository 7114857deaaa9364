"""The plan of one coating session: passes, each piece's times and wipe window, mixes of a two-part finish.

Times are minutes after the first piece is taken up.
"""

from __future__ import annotations

from dataclasses import dataclass

from finishing.cure.finish import Finish
from finishing.cure.passes import pass_size
from finishing.cure.schedule import Step
from finishing.cure.terms import Hazard

OVER = 0.1
"""What pad, brush and pot take beyond the film on the pieces. Common practice, no source."""

ROUND = 1e-9


@dataclass(frozen=True, slots=True)
class PieceTimes:
    """A piece's planned minutes: coated (at the end of coating it), wiping begun, and its wipe window."""

    number: int
    pass_number: int
    coated: float
    wiping: float | None
    wipe_from: float | None
    wipe_until: float | None


@dataclass(frozen=True, slots=True)
class Mix:
    """One mixing of a two-part finish: at which minute, for how many pieces, how much to mix [mL]."""

    minute: float
    pieces: int
    ready_ml: float | None


@dataclass(frozen=True, slots=True)
class Plan:
    """A session as planned. wipe_minutes None: nothing is wiped off in it; amount_ml: what its own film takes."""

    sizes: tuple[int, ...]
    apply_minutes: float
    setup_minutes: float = 0.0
    wipe_minutes: float | None = None
    wipe_from: float | None = None
    wipe_until: float | None = None
    pot_life_hours: float | None = None
    amount_ml: float | None = None
    rags: bool = False

    @property
    def pieces(self) -> int:
        """All pieces."""
        return sum(self.sizes)

    @property
    def ready_ml(self) -> float | None:
        """What to have poured or mixed [mL]: the film and a little over."""
        return None if self.amount_ml is None else self.amount_ml * (1.0 + OVER)

    @property
    def minutes(self) -> float:
        """From the first piece taken up to the last one coated, or wiped."""
        return sum(self._pass_minutes(size) for size in self.sizes)

    @property
    def pot_too_short(self) -> bool:
        """Whether mixed finish does not even last for one piece."""
        return self.pot_life_hours is not None and self.apply_minutes > self.pot_life_hours * 60.0

    def wait_minutes(self, size: int) -> float:
        """Minutes from coating the last of a pass to wiping the first, so that none is wiped too early."""
        if self.wipe_minutes is None or self.wipe_from is None:
            return 0.0
        return max(0.0, self.wipe_from - (size - 1) * min(self.apply_minutes, self.wipe_minutes))

    def _pass_minutes(self, size: int) -> float:
        return size * (self.apply_minutes + (self.wipe_minutes or 0.0)) + self.wait_minutes(size)

    def timetable(self) -> tuple[PieceTimes, ...]:
        """Every piece, passes one after another without a break: coat all of a pass, wait, wipe in that order."""
        rows: list[PieceTimes] = []
        begin = 0.0
        for number, size in enumerate(self.sizes, 1):
            wiping = begin + size * self.apply_minutes + self.wait_minutes(size)
            for i in range(size):
                coated = begin + (i + 1) * self.apply_minutes
                wiped = None if self.wipe_minutes is None else wiping + i * self.wipe_minutes
                opens, shuts = (None if edge is None else coated + edge for edge in (self.wipe_from, self.wipe_until))
                rows.append(PieceTimes(len(rows) + 1, number, coated, wiped, opens, shuts))
            begin += self._pass_minutes(size)
        return tuple(rows)

    def mixes(self) -> tuple[Mix, ...]:
        """For a two-part finish: each mix serves as many whole passes as are coated within its pot life."""
        if self.pot_life_hours is None:
            return ()
        found: list[tuple[float, int]] = []
        begin = 0.0
        for size in self.sizes:
            end = begin + size * self.apply_minutes
            if not found or end - found[-1][0] > self.pot_life_hours * 60.0 + ROUND:
                found.append((begin, 0))
            found[-1] = (found[-1][0], found[-1][1] + size)
            begin += self._pass_minutes(size)
        return tuple(Mix(at, n, self.ready_for(n)) for at, n in found)

    def ready_for(self, pieces: int) -> float | None:
        """What some of the pieces take, with a little over [mL]."""
        return None if self.ready_ml is None else self.ready_ml * pieces / self.pieces

    def bounds(self, index: int) -> tuple[int, int]:
        """First piece of a pass and the first after it, from 0."""
        first = sum(self.sizes[:index])
        return first, first + self.sizes[index]


def plan_session(pieces: int, coat: Step, wipe: Step | None, finish: Finish, amount_ml: float | None) -> Plan:
    """Plan a coat of all pieces. wipe: the step that wipes it off in the same session, None if there is none.

    Passes are no more than the largest that fits the wipe window needs, and as equal as can be: smaller passes keep
    further from the end of the window, and of equal ones fewest minutes are waited.
    """
    window = None if wipe is None else finish.wipe
    wiping = None if wipe is None else wipe.minutes_per_piece
    pot = finish.pot_life_hours
    most = pass_size(pieces, coat.minutes_per_piece, wiping or 0.0, window, pot_life_hours=pot).pieces
    return Plan(
        sizes=_even(pieces, most),
        apply_minutes=coat.minutes_per_piece,
        setup_minutes=coat.setup_minutes,
        wipe_minutes=wiping,
        wipe_from=None if window is None else window.from_minutes,
        wipe_until=None if window is None else window.to_minutes,
        pot_life_hours=pot,
        amount_ml=amount_ml,
        rags=Hazard.RAGS in finish.hazards,
    )


def _even(pieces: int, most: int) -> tuple[int, ...]:
    passes = -(-pieces // most)
    each, more = divmod(pieces, passes)
    return tuple(each + (i < more) for i in range(passes))
