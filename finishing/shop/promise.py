"""Whether a batch makes the date it is wanted by, each step left at its earliest in the maker's hours.

No plan is made for it: what other batches take of hands and racks is left out, so it may come later, hardly sooner.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from finishing.clock import SECONDS
from finishing.cure.forecast import Forecast, Hands
from finishing.cure.progress import Progress
from finishing.cure.terms import Release
from finishing.shop.hours import WorkingHours
from finishing.shop.settings import Settings
from finishing.shop.words import date_words, short_time

AHEAD_HOURS = 120 * 24.0
"""So far ahead hours are looked for."""

DAY = 24.0

KEPT_HOURS = 0.25
"""So long a promise is kept where work could begin at once."""


@dataclass(frozen=True, slots=True)
class Promise:
    """When a batch is wanted by and may be packed at the earliest [hours]; None for no date. left: work for hands is.

    late_days: days begun after the date. held: it is on hold, and nothing is promised.
    """

    wanted: float
    packed: float | None
    left: bool
    held: bool = False

    @property
    def late_days(self) -> int:
        """Days begun after the date; 0 for none, and where it has no date."""
        over = 0.0 if self.packed is None else self.packed - self.wanted
        return 0 if over <= 1.0 / SECONDS else math.ceil(over / DAY)

    @property
    def late(self) -> bool:
        """Whether it doesn't make its date."""
        return not self.held and (self.packed is None or self.late_days > 0)

    def ready_words(self, zone: str, now: float) -> str:
        """When it may be packed: "may be packed now", "ready Fri 16:45", "" for no date."""
        if self.packed is None or self.held:
            return ""
        return "may be packed now" if self.packed <= now else f"ready {short_time(self.packed, zone, now)}"

    def stands(self) -> str:
        """How it stands to its date, in the words of the plan: "in time", "2 days late", "no date", "on hold"."""
        return "on hold" if self.held else date_words(self.packed, self.late_days)

    def words(self, zone: str, now: float) -> str:
        """In a sentence: "wanted Sat 08:00, ready Fri 16:45 at the earliest: in time"."""
        said = f"wanted {short_time(self.wanted, zone, now)}"
        ready = self.ready_words(zone, now)
        if ready:
            said += f", {ready}{' at the earliest' if self.left else ''}"
        return f"{said}: {self.stands()}"


def hands_of(hours: WorkingHours, since: float, zone: str) -> Hands:
    """When there are hands, from an hour on; read up as far as it is asked for."""
    coming: Iterator[tuple[float, float]] = hours.stretches(since, since + AHEAD_HOURS, zone)
    known: list[tuple[float, float]] = []

    def first(hour: float) -> float:
        while not known or known[-1][1] <= hour:
            stretch = next(coming, None)
            if stretch is None:
                return math.inf
            known.append(stretch)
        return max(hour, next(a for a, b in known if b > hour))

    return first


def promise(p: Progress, ahead: Callable[[], Forecast]) -> Promise | None:
    """What can be said of a batch's date, None where it has none. ahead: asked where work is left for the hands."""
    wanted = p.batch.wanted_by
    if wanted is None or p.closed is not None:
        return None
    releases = p.releases if p.finished or p.held else ahead().releases
    return Promise(wanted, p.said.get(Release.PACK, releases[Release.PACK]), not p.finished, p.held)


class Forecasts(Protocol):
    """A batch that can be taken to its end."""

    def ahead(self, now: float, hands: Hands | None = None) -> Forecast:
        """Every step left at its earliest."""


@dataclass(frozen=True, slots=True)
class _Known:
    standing: Forecasts
    settings: Settings
    since: float
    until: float
    promise: Promise | None


class Promises:
    """Promises of the batches, worked out anew where a batch, the air, the settings or the first step ahead changed."""

    def __init__(self) -> None:
        self._known: dict[str, _Known] = {}

    def of(
        self, standings: Mapping[str, Forecasts], progress: Sequence[Progress], settings: Settings
    ) -> dict[str, Promise]:
        """By code, of those that are wanted by a date. progress: how each stands at the hour asked about."""
        hands: Hands | None = None
        found: dict[str, Promise] = {}
        for p in progress:
            if p.batch.wanted_by is None:
                continue
            code, standing, old = p.batch.code, standings[p.batch.code], self._known.get(p.batch.code)
            if (
                old is None
                or not (old.standing is standing and old.settings == settings)
                or not old.since <= p.now <= old.until
            ):
                hands = hands or hands_of(settings.working_hours(), p.now, settings.zone)
                old = self._known[code] = self._made(standing, p, settings, hands)
            if old.promise is not None:
                found[code] = old.promise
        return found

    def _made(self, standing: Forecasts, p: Progress, settings: Settings, hands: Hands) -> _Known:
        first = p.now + KEPT_HOURS

        def ahead() -> Forecast:
            nonlocal first
            found = standing.ahead(p.now, hands)
            first = max(first, found.ahead[0].at) if found.ahead else first
            return found

        said = promise(p, ahead)
        return _Known(standing, settings, p.now, first, said)
