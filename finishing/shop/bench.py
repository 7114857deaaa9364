"""The bench: every open batch under what the hands can do now, today, later, what rests, and what may go out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType

from finishing.clock import at_zone, hour_of
from finishing.codes import natural
from finishing.cure.fold import Next, State
from finishing.cure.progress import Progress
from finishing.cure.terms import Release, StepKind
from finishing.shop.promise import Promise
from finishing.shop.words import RELEASE_WORDS, brief_step, brief_words, next_words, short_time, step_words

NONE: Mapping[str, Promise] = MappingProxyType({})


class Group(StrEnum):
    """The five groups of the bench, nearest first."""

    NOW = "now"
    TODAY = "today"
    LATER = "later"
    RESTING = "resting"
    READY = "ready"

    @property
    def heading(self) -> str:
        """The group's heading."""
        return "ready to go out" if self is Group.READY else self.value

    @property
    def heading_then(self) -> str:
        """The same, of the bench at a time ahead."""
        words = {Group.NOW: "then", Group.TODAY: "later that day", Group.LATER: "after that day"}
        return words.get(self, self.heading)


class Mark(StrEnum):
    """What a stretch of a row's bar means."""

    HARDENING = "hardening"
    OPEN = "open"
    SHUT = "shut"
    RESTING = "resting"
    FREE = "free"


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of a row's bar [hours]; end None: on and on."""

    mark: Mark
    start: float
    end: float | None


@dataclass(frozen=True, slots=True)
class Row:
    """One batch on the bench. do: the step; stands: when; brief_do, brief: the same in a few cells.

    promise: whether it makes its date, None where it has none.
    """

    group: Group
    code: str
    what: str
    pieces: int
    woods: tuple[str, ...]
    do: str
    brief_do: str
    stands: str
    brief: str
    opens: float | None
    shuts: float | None
    stretches: tuple[Stretch, ...]
    progress: Progress
    promise: Promise | None = None


@dataclass(frozen=True, slots=True)
class Bench:
    """All rows in order, as of an hour. now: when it was asked for; ahead: whether that is before the hour."""

    as_of: float
    zone: str
    rows: tuple[Row, ...]
    now: float

    @property
    def ahead(self) -> bool:
        """Whether it is the bench to come."""
        return self.now < self.as_of

    def group(self, group: Group) -> tuple[Row, ...]:
        """The rows of one group, in order."""
        return tuple(row for row in self.rows if row.group is group)

    @property
    def wanted(self) -> tuple[tuple[Row, Promise], ...]:
        """The rows that are wanted by a date, the nearest first."""
        found = [(row, row.promise) for row in self.rows if row.promise is not None]
        return tuple(sorted(found, key=lambda each: (each[1].wanted, natural(each[0].code))))


def lay_out(
    standings: Sequence[tuple[str, Progress]],
    now: float,
    zone: str,
    asked: float | None = None,
    promises: Mapping[str, Promise] = NONE,
) -> Bench:
    """Group and order open batches. standings: what the pieces are, and how each batch stands at the hour `now`.

    asked: an hour before it, at which the question is put. promises: of those that are wanted by a date, by code.
    """
    asked = now if asked is None else asked
    end_of_day = hour_of(at_zone(now, zone).end_of("day"))
    rows = [
        replace(_row(what, p, now, zone, end_of_day, asked < now), promise=promises.get(p.batch.code))
        for what, p in standings
        if p.closed is None
    ]
    order = list(Group)
    rows.sort(key=lambda r: (order.index(r.group), *_urgency(r), natural(r.code)))
    return Bench(now, zone, tuple(rows), asked)


def _urgency(row: Row) -> tuple[float, float]:
    far = float("inf")
    first = row.shuts if row.group is Group.NOW else row.opens
    wanted = row.progress.batch.wanted_by
    return (far if first is None else first, far if wanted is None else wanted)


def _row(what: str, p: Progress, now: float, zone: str, end_of_day: float, ahead: bool) -> Row:
    batch, following = p.batch, p.next
    if following is None:
        group, do, stands, opens = _resting(p, now, zone)
        shuts, short, brief = None, do, _brief_rest(p, opens, now, zone)
    else:
        group = _group(p, following, end_of_day)
        do = step_words(batch.schedule, following.position)
        short = brief_step(batch.schedule, following.position)
        stands = "on hold" if p.held else next_words(following, now, zone, ahead=ahead)
        brief = "on hold" if p.held else brief_words(following, now, zone)
        opens, shuts = following.opens, following.shuts
    woods = tuple(w.name for w in batch.woods)
    return Row(
        group, batch.code, what, batch.pieces, woods, do, short, stands, brief, opens, shuts, tuple(_stretches(p)), p
    )


def _group(p: Progress, following: Next, end_of_day: float) -> Group:
    if p.held or following.state in (State.NEVER, State.TEST_FIRST):
        return Group.RESTING
    if following.state in (State.OPEN, State.SHUT):
        return Group.NOW
    assert following.opens is not None
    return Group.TODAY if following.opens <= end_of_day else Group.LATER


def _resting(p: Progress, now: float, zone: str) -> tuple[Group, str, str, float | None]:
    """A batch with no hands' work left: ready once it may be packed, resting until then."""
    if p.held:
        return Group.RESTING, "finished", "on hold", None
    if p.may(Release.PACK):
        use = p.releases[Release.USE]
        words = RELEASE_WORDS[Release.USE if p.may(Release.USE) else Release.PACK]
        stands = f"since {_since(p, now, zone)}"
        if not p.may(Release.USE) and use is not None:
            # What is still to be waited for says more than since when it may be packed.
            stands = f"{RELEASE_WORDS[Release.USE]} from {short_time(use, zone, now)}"
        return Group.READY, words, stands, p.releases[Release.PACK]
    coming = next(r for r in (Release.HANDLE, Release.PACK) if not p.may(r))
    when = p.releases[coming]
    if when is None:
        return (
            Group.RESTING,
            "hardens",
            "no date: test with a finger" if p.test_first else "stands still in this air",
            None,
        )
    return Group.RESTING, "hardens", f"{RELEASE_WORDS[coming]} from {short_time(when, zone, now)}", when


def _brief_rest(p: Progress, opens: float | None, now: float, zone: str) -> str:
    if p.held:
        return "on hold"
    if p.may(Release.PACK):
        return "use it" if p.may(Release.USE) else "pack it"
    return "no date" if opens is None else short_time(opens, zone, now)


def _since(p: Progress, now: float, zone: str) -> str:
    release = Release.USE if p.may(Release.USE) else Release.PACK
    when = p.said.get(release, p.releases[release])
    return short_time(when if when is not None else now, zone, now)


def _stretches(p: Progress) -> list[Stretch]:
    """The bar of a batch: hardening since the last coat, then open, then shut; or resting, then free."""
    if not p.coats:
        return [Stretch(Mark.OPEN, p.now, None)] if p.next and p.next.state is State.OPEN else []
    begun = p.coats[-1].at
    following = p.next
    if following is None:
        pack = p.releases[Release.PACK]
        if pack is None:
            return [Stretch(Mark.RESTING, begun, None)]
        return [Stretch(Mark.RESTING, begun, pack), Stretch(Mark.FREE, pack, None)]
    if following.opens is None:
        return [Stretch(Mark.HARDENING, begun, None)]
    if following.step.kind is StepKind.WIPE and following.shuts is not None:
        # A wipe-off that is past is taken as done; no recoat window shuts with it.
        wipe = Stretch(Mark.OPEN, following.opens, following.shuts)
        return [Stretch(Mark.HARDENING, begun, wipe.start), wipe, Stretch(Mark.HARDENING, following.shuts, None)]
    bar = [Stretch(Mark.HARDENING, begun, following.opens), Stretch(Mark.OPEN, following.opens, following.shuts)]
    if following.shuts is not None:
        bar.append(Stretch(Mark.SHUT, following.shuts, None))
    return bar
