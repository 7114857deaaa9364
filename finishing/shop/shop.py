"""The shop: an open record, the reference library and the settings, and how every open batch stands."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Self

from finishing.cure.climate import PlaceAir
from finishing.cure.coat import ShopFactor
from finishing.cure.fold import Fold
from finishing.cure.forecast import Forecast, Hands, forecast
from finishing.cure.learn import Learned
from finishing.cure.progress import Progress, folded, read
from finishing.cure.work import Batch, Entry
from finishing.errors import StoreTrouble
from finishing.library import Frozen, Library
from finishing.shop import beside, climate
from finishing.shop.bench import Bench, lay_out
from finishing.shop.frozen import thaw_all
from finishing.shop.learning.teacher import Look, Teacher
from finishing.shop.promise import Promise, Promises
from finishing.shop.settings import Settings, settings_from
from finishing.shop.words import next_why
from finishing.store import batches as stored
from finishing.store import places as stored_places
from finishing.store import settings as stored_settings
from finishing.store.batches import BatchRow
from finishing.store.location import Location, locate
from finishing.store.places import PlaceRow
from finishing.store.work import Reader, Store
from finishing.units import show_temperature

MAKER = "FINISHING_MAKER"
"""Who stands at this bench, before the maker among the settings that all benches of a shop share."""


@dataclass(frozen=True, slots=True)
class Standing:
    """A batch as stored, as the core sees it, and its record folded."""

    row: BatchRow
    batch: Batch
    fold: Fold

    @property
    def entries(self) -> list[Entry]:
        """The whole record, the voided among it."""
        return [recorded.entry for recorded in self.row.record]

    def rests_on(self, level: float, factors: Mapping[str, ShopFactor]) -> bool:
        """Whether it was folded at this level and with what is learned now."""
        return self.fold.level == level and self.fold.shop == factors

    def progress(self, now: float) -> Progress:
        """How it stands at an hour."""
        return read(self.fold, now)

    def ahead(self, now: float, hands: Hands | None = None) -> Forecast:
        """Every step left at its earliest. hands: when there are any, None for at any hour."""
        fold = self.fold
        return forecast(self.batch, self.entries, fold.climate, fold.shop, now, level=fold.level, hands=hands)


@dataclass(frozen=True, slots=True)
class Rack:
    """Every open batch, the air of every place and what was learned, as of one look at the record."""

    seen_at: float
    version: int
    settings: Settings
    places: tuple[PlaceRow, ...]
    air: Mapping[str, PlaceAir]
    standings: Mapping[str, Standing]
    learned: Learned


@dataclass(frozen=True, slots=True)
class Lost:
    """The database can't be reached: what shows is as of an hour, and nothing can be recorded. said: why, in words."""

    as_of: float
    said: str


MARK = "invented-shop"
"""A file of this name beside a database says that the shop in it is invented, however it is opened."""


class Shop:
    """What screens and commands ask. `invented`: it is the demo, and says so.

    lost: set while the database can't be reached; every answer then rests on what was read last.
    """

    def __init__(self, store: Store, *, invented: bool = False) -> None:
        self.store = store
        self.library = Library(own=store.location.home)
        self.invented = invented or (store.location.file is not None and (store.location.home / MARK).exists())
        self.lost: Lost | None = None
        self._maker = os.environ.get(MAKER, "").strip()
        self._rack: Rack | None = None
        self._again = False
        self._airs = climate.Airs()
        self._teacher = Teacher(store)
        self._promises = Promises()
        self._known: Mapping[str, Standing] = {}
        self._seen: stored.Known | None = None

    @classmethod
    def open(cls, now: float, location: Location | None = None, *, invented: bool = False) -> Self:
        """Open the record where the environment says it is, or elsewhere; it is made when something is first recorded.

        StoreTrouble if it can't be used.
        """
        where = location or locate()
        store = Store.open(where, now, lazily=True, files=lambda: beside.readable(where.home))
        return cls(store, invented=invented)

    @property
    def home(self) -> Path:
        """The folder of the maker's own finishes, schedules and woods, and of backups."""
        return self.store.location.home

    @property
    def read_only(self) -> str:
        """Why nothing can be recorded, in words; "" where it can."""
        if not self.store.read_only:
            return ""
        shown = self.store.location.shown
        if self.store.location.full:
            return (
                f"the disk of {shown} is full: nothing can be recorded until there is room, nor the day's backup made"
            )
        return f"the database {shown} may only be read: nothing can be recorded, and the day's backup is left out"

    def must_take(self) -> None:
        """StoreTrouble where nothing can be recorded: for whoever waits for what is to be."""
        self.store.must_take()

    def close(self) -> None:
        """Let go of the database."""
        self.store.close()

    def rack(self, now: float) -> Rack:
        """Every open batch and the air, read anew when the record changed or the air ahead grew old.

        What was read last where the database can't be reached; `lost` then says so. StoreTrouble if that is nothing.
        """
        old = self._rack
        try:
            if old is None or self._again or self._is_old(old, now):
                self._rack = self._look(now)
                self._again = False
        except StoreTrouble as trouble:
            if old is None:
                raise
            self.lost = Lost(old.seen_at if self.lost is None else self.lost.as_of, str(trouble))
            return old
        self.lost = None
        assert self._rack is not None
        return self._rack

    def _is_old(self, rack: Rack, now: float) -> bool:
        changed = self.store.data_version() != rack.version
        return changed or not 0 <= now - rack.seen_at < climate.RENEW_HOURS

    def listen(self) -> None:
        """From now on hear of what other benches record, and of a server that is gone, without waiting for it."""
        self.store.listen()

    def forget(self) -> None:
        """Look again at the next question: something was recorded here."""
        self._again = True

    def _look(self, now: float) -> Rack:
        version = self.store.data_version()
        with self.store.read() as r:
            settings = self._settings(r)
            seen = stored.read_on(r, self._seen)
            rows = seen.in_order()
            places = stored_places.all_places(r)
            air = self._airs.of(r, places, _earliest(rows, now), settings.zone, now)
            thawed = thaw_all(r, {row.frozen_key for row in rows})
            look = Look((seen.newest, seen.written_at), rows, thawed, air, self._airs.mark, places, settings.zone, now)
            learned = self._teacher.learned(r, look, settings.learning())
        standings = {row.code: self._stand(row, thawed[row.frozen_key], air, settings.level, learned) for row in rows}
        self._known, self._seen = standings, seen
        return Rack(now, version, settings, places, air, standings, learned)

    def _stand(
        self, row: BatchRow, thawed: Frozen, air: Mapping[str, PlaceAir], level: float, learned: Learned
    ) -> Standing:
        """As last folded, where neither its record nor the air nor the level nor its finishes' factors have changed."""
        old, factors = self._known.get(row.code), learned.factors(thawed.finishes.values())
        if old is not None and old.row == row and old.fold.climate is air and old.rests_on(level, factors):
            return old
        return stand(row, thawed, air, level, factors)

    @property
    def settings(self) -> Settings:
        """The settings as last looked at."""
        if self._rack is not None and (self.lost is not None or not self._again):
            return self._rack.settings
        with self.store.read() as r:
            return self._settings(r)

    def _settings(self, r: Reader) -> Settings:
        settings = settings_from(stored_settings.all_settings(r))
        return replace(settings, maker=self._maker) if self._maker else settings

    def places(self) -> tuple[PlaceRow, ...]:
        """Every place."""
        with self.store.read() as r:
            return stored_places.all_places(r)

    def place(self, name: str) -> PlaceRow:
        """A place by name, in whatever case. NotFound with the nearest."""
        with self.store.read() as r:
            return stored_places.by_name(r, name)

    def standing(self, code: str, now: float) -> Standing:
        """One batch, open or closed. NotFound with the nearest codes."""
        rack = self.rack(now)
        if code in rack.standings:
            return rack.standings[code]
        with self.store.read() as r:
            row = stored.by_code(r, code)
            air = climate.airs(r, rack.places, _earliest((row,), now), rack.settings.zone, now)
            thawed = thaw_all(r, {row.frozen_key})[row.frozen_key]
        return stand(row, thawed, air, rack.settings.level, rack.learned.factors(thawed.finishes.values()))

    def air_since(self, since: float, now: float) -> dict[str, PlaceAir]:
        """The air of each place by name, from an earlier hour on than the open batches need."""
        rack = self.rack(now)
        with self.store.read() as r:
            return climate.airs(r, rack.places, since, rack.settings.zone, now)

    def bench(self, now: float, then: float | None = None) -> Bench:
        """The bench as of an hour; or as of an hour ahead (then), if nothing is recorded until then."""
        rack, hour = self.rack(now), now if then is None else then
        standings = [(s.row.what, s.progress(hour)) for s in rack.standings.values()]
        promises = self._promises.of(rack.standings, [p for _, p in standings], rack.settings)
        return lay_out(standings, hour, rack.settings.zone, now, promises)

    def promise(self, code: str, now: float) -> Promise | None:
        """Whether a batch makes the date it is wanted by; None where it has none, or is closed."""
        standing = self.standing(code, now)
        return self._promises.of({code: standing}, [standing.progress(now)], self.settings).get(code)

    def reasons(self, code: str, now: float) -> list[str]:
        """Why a batch's next step comes when it does."""
        standing = self.standing(code, now)
        following = standing.fold.next(now)
        return [] if following is None else next_why(standing.fold, following, self.settings.units)

    def air_lines(self, now: float, then: float | None = None) -> tuple[str, ...]:
        """The air of each place now, or at an hour ahead, in words; "about" where it was not read within the hour."""
        rack = self.rack(now)
        lines = []
        for place in rack.places:
            temperature, humidity = rack.air[place.name].at(now if then is None else then)
            measured = rack.air[place.name].measured
            about = "" if then is None and measured is not None and now - measured[1] <= 1.0 else "about "
            lines.append(f"{place.name} {about}{show_temperature(temperature, rack.settings.units)} {humidity:.0f} %")
        return tuple(lines)


def stand(
    row: BatchRow, thawed: Frozen, air: Mapping[str, PlaceAir], level: float, shop: Mapping[str, ShopFactor]
) -> Standing:
    """A stored batch with its record folded. shop: what was learned of its finishes."""
    batch = Batch(
        row.code,
        thawed.schedule,
        thawed.finishes,
        thawed.woods,
        thawed.classes,
        row.place,
        row.pieces,
        row.size,
        row.wanted_by,
    )
    return Standing(row, batch, folded(batch, [recorded.entry for recorded in row.record], air, shop, level))


def _earliest(rows: tuple[BatchRow, ...], now: float) -> float:
    """From when on the air matters: the first entry of any batch, or now if a clock was set back."""
    return min([now, *(recorded.entry.at for row in rows for recorded in row.record)])
