"""Places, their usual day, the days ahead, and readings."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from finishing.cure.outlook import DayAhead, UsualDay
from finishing.errors import BadInput
from finishing.store import Store, places, readings
from finishing.store.readings import LogImport, add_readings, readings_since
from tests.store.conftest import NOW


@pytest.fixture
def place_id(store: Store) -> int:
    """A place with nothing known of it."""
    with store.write() as w:
        made = places.create(w, "Bench  Room", NOW, rack_pieces=40)
        w.commit()
    return made


def test_a_name_is_used_once_in_whatever_case(store: Store, place_id: int) -> None:
    with store.write() as w:
        with pytest.raises(BadInput, match="no other place"):
            places.create(w, "BENCH ROOM", NOW)
        other = places.create(w, "Straße", NOW)
        with pytest.raises(BadInput, match="no other place"):
            places.change(w, place_id, "STRASSE", rack_pieces=None)
        places.change(w, place_id, "bench room", rack_pieces=None)
        assert [(p.id, p.name, p.rack_pieces) for p in places.all_places(w)] == [
            (place_id, "bench room", None),
            (other, "Straße", None),
        ]


@pytest.mark.parametrize(("name", "rack", "field"), [(" ", None, "place"), ("x", 0, "rack")])
def test_a_place_that_makes_no_sense(store: Store, name: str, rack: int | None, field: str) -> None:
    with store.write() as w, pytest.raises(BadInput, match=field):
        places.create(w, name, NOW, rack_pieces=rack)


def test_the_latest_word_holds(store: Store, place_id: int) -> None:
    day = dt.date(2026, 1, 2)
    with store.write() as w:
        assert places.usual_days(w) == {}
        places.set_usual(w, place_id, UsualDay(10.0, 20.0, 60.0, 40.0), NOW)
        places.set_usual(w, place_id, UsualDay(12.0, 22.0, 60.0, 40.0), NOW)
        for date, low in ((day, 1.0), (day + dt.timedelta(1), 2.0), (day, 3.0), (day - dt.timedelta(9), 4.0)):
            places.expect(w, place_id, DayAhead(date, low, 9.0), NOW)
        assert places.usual_days(w) == {place_id: UsualDay(12.0, 22.0, 60.0, 40.0)}
        ahead = places.days_ahead(w, day)
        assert ahead == {place_id: (DayAhead(day, 3.0, 9.0), DayAhead(day + dt.timedelta(1), 2.0, 9.0))}


def test_the_same_readings_again_add_nothing(store: Store, place_id: int) -> None:
    seconds = np.arange(1_700_000_000, 1_700_000_000 + 600 * 50_000, 600)
    temperatures = np.linspace(10.0, 20.0, len(seconds))
    humidities = np.where(np.arange(len(seconds)) % 3 == 0, np.nan, 55.5)
    with store.write() as w:
        assert add_readings(w, place_id, seconds, temperatures, humidities) == 50_000
        assert add_readings(w, place_id, seconds, temperatures + 1.0, humidities) == 0
        assert (
            add_readings(w, place_id, seconds[-1:] + np.array([0, 600]), np.array([1.0, 2.0]), np.array([0.0, 1.0]))
            == 1
        )
        w.commit()
    with store.read() as r:
        at, t, h = readings_since(r, place_id, float(seconds[1]) - 0.5)
        assert (at.dtype, t.dtype, h.dtype) == (np.int64, np.float64, np.float64)
        np.testing.assert_array_equal(at[:-1], seconds[1:])
        np.testing.assert_array_equal(t[:-1], temperatures[1:])
        np.testing.assert_array_equal(h[:-1], humidities[1:])
        assert readings.newest(r) == {place_id: int(seconds[-1]) + 600}
        assert [len(column) for column in readings_since(r, place_id, 1e12)] == [0, 0, 0]


def test_a_reading_after_2038(store: Store, place_id: int) -> None:
    with store.write() as w:
        assert add_readings(w, place_id, np.array([2**32]), np.array([20.0]), np.array([0.0])) == 1
        assert readings_since(w, place_id, 0)[0].tolist() == [2**32]


@pytest.mark.parametrize(
    ("temperature", "humidity", "field"),
    [(np.nan, 50.0, "temperature"), (np.inf, 50.0, "temperature"), (20.0, -1.0, "humidity"), (20.0, 100.1, "humidity")],
)
def test_readings_that_are_none(store: Store, place_id: int, temperature: float, humidity: float, field: str) -> None:
    with store.write() as w, pytest.raises(BadInput, match=field):
        add_readings(w, place_id, np.array([1, 2]), np.array([20.0, temperature]), np.array([50.0, humidity]))


def test_lengths_that_differ_and_none_at_all(store: Store, place_id: int) -> None:
    with store.write() as w:
        with pytest.raises(BadInput, match="readings"):
            add_readings(w, place_id, np.array([1, 2]), np.array([20.0]), np.array([50.0, 50.0]))
        assert add_readings(w, place_id, np.empty(0, np.int64), np.empty(0), np.empty(0)) == 0


def test_imported_files_are_remembered(store: Store, place_id: int) -> None:
    logs = [LogImport(place_id, f"log{n}.csv", "0" * 64, 10, n, NOW + n) for n in range(2)]
    with store.write() as w:
        for log in logs:
            readings.remember_import(w, log)
        assert readings.imports(w, place_id) == tuple(reversed(logs))
