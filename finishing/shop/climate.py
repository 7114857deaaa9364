"""The air of the shop's places, from what was read and what is expected."""

from __future__ import annotations

from collections.abc import Sequence

from finishing.clock import SECONDS, at_zone
from finishing.cure.climate import PlaceAir, build
from finishing.cure.integral import Series
from finishing.cure.outlook import FIT_DAYS, UsualDay, fit_usual_day
from finishing.store import places as stored
from finishing.store.places import PlaceRow
from finishing.store.readings import readings_since
from finishing.store.signature import air_signature
from finishing.store.work import Reader

FRESH_HOURS = FIT_DAYS * 24.0
"""Readings older than this no longer say what a usual day is; what was typed does."""

UNTOLD = UsualDay(16.0, 20.0, 50.0, 50.0)
"""A place with neither readings nor a typed day, which `place add` does not allow."""


RENEW_HOURS = 0.25
"""The outlook is laid out anew so often, as its beginning moves on with the time."""


class Airs:
    """The air of every place, kept until a reading or an expectation is added or the time has moved on."""

    def __init__(self) -> None:
        self._key: tuple[object, ...] = ()
        self._at = 0.0
        self._since = 0.0
        self._air: dict[str, PlaceAir] = {}

    @property
    def mark(self) -> str:
        """Equal as long as no reading and no expectation was added: for what follows from the air and is kept."""
        return repr(self._key[1:])

    def of(self, r: Reader, places: Sequence[PlaceRow], since: float, zone: str, now: float) -> dict[str, PlaceAir]:
        """As `airs`, the same object as long as it would be the same air."""
        key = (tuple(places), zone, air_signature(r))
        if key != self._key or since < self._since or not 0 <= now - self._at < RENEW_HOURS:
            self._air = airs(r, places, since, zone, now)
            self._key, self._at, self._since = key, now, since
        return self._air


def airs(r: Reader, places: Sequence[PlaceRow], since: float, zone: str, now: float) -> dict[str, PlaceAir]:
    """The air of each place by name, from `since` [hour] on."""
    typed = stored.usual_days(r)
    ahead = stored.days_ahead(r, at_zone(since, zone).date())
    # A day more than is asked for, so that the first coat does not stand before the first reading.
    start = min(since, now - FRESH_HOURS) - 24.0
    found = {}
    for place in places:
        known = _readings(r, place.id, start)
        usual = _usual(known, typed.get(place.id), zone, now)
        found[place.name] = build(known, usual, ahead.get(place.id, ()), zone=zone, start=since, now=now)
    return found


def _readings(r: Reader, place_id: int, start: float) -> Series | None:
    seconds, temperature, humidity = readings_since(r, place_id, start * SECONDS)
    if len(seconds) == 0:
        return None
    return Series(seconds / SECONDS, temperature, humidity)


def _usual(known: Series | None, typed: UsualDay | None, zone: str, now: float) -> UsualDay:
    """What recent readings show, else what was typed."""
    if known is not None and now - float(known.hours[-1]) < FRESH_HOURS:
        expected = (typed or UNTOLD).humidity_at_low
        fitted = fit_usual_day(known, zone, humidity_pct=expected)
        if fitted is not None:
            return fitted
    return typed or UNTOLD
