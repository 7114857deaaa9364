"""The air of a place: its curves, where finishes stand still, what typing a day moves, and logs added whole or not."""

from __future__ import annotations

import datetime as dt
import math
import warnings
from pathlib import Path

import numpy as np
import psychrolib
import pytest

from finishing.clock import at_zone
from finishing.cure.advice import stall
from finishing.cure.outlook import DayAhead, UsualDay
from finishing.cure.rates import TOO_COLD, TOO_DAMP
from finishing.errors import BadFile, NotFound
from finishing.exchange.readings import LogReading, read_log
from finishing.shop import places, weather
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store import left_out
from tests.shop.built import NOW, ZONE, begin, local
from tests.shop.doing import coat

psychrolib.SetUnitSystem(psychrolib.SI)


def log_of(folder: Path, hours: list[float], celsius: float = 18.0, humidity: float = 60.0) -> tuple[Path, LogReading]:
    """A logger's file with a reading at each hour before now."""
    path = folder / "log.csv"
    stamps = [dt.datetime.fromtimestamp((NOW + h) * 3600, dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ") for h in hours]
    lines = [f"{stamp},{celsius},{humidity}" for stamp in stamps]
    path.write_text("\n".join(["time,temperature °C,humidity %", *lines]) + "\n")
    return path, read_log(path, zone=ZONE)


def hourly(back: int, until: int = 0) -> list[float]:
    return [float(-h) for h in range(back, until - 1, -1)]


def test_curves_against_psychrolib(shop: Shop, tmp_path: Path) -> None:
    """Dew points against psychrolib (ASHRAE Handbook, Fundamentals 2017); the Magnus form differs by under 0.1 °C."""
    weather.add_log(shop, "cellar", *log_of(tmp_path, hourly(48), 15.6, 70.0), NOW)
    found = weather.weather(shop, "cellar", NOW).curves(NOW - 24, NOW + 48)
    assert len(found.hours) == weather.SAMPLES
    assert (found.hours[0], found.hours[-1]) == (NOW - 24, NOW + 48)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        expected = [
            psychrolib.GetTDewPointFromRelHum(float(t), float(h) / 100)
            for t, h in zip(found.temperature_c, found.humidity_pct, strict=True)
        ]
    assert found.dew_point_c == pytest.approx(np.array(expected), abs=0.1)
    # USDA Wood Handbook, table 4-2: at 60 °F (15.6 °C) and 70 % RH wood goes to 13.3 %.
    assert found.wood_moisture_pct[0] == pytest.approx(13.3, abs=0.06)


def test_what_was_read_is_told_from_what_was_not(shop: Shop, tmp_path: Path) -> None:
    weather.add_log(shop, "loft", *log_of(tmp_path, hourly(40, 20) + hourly(8, 2)), NOW)
    found = weather.weather(shop, "loft", NOW)
    (gap,) = found.gaps
    assert (gap.start - NOW, gap.end - NOW) == pytest.approx((-20.0, -8.0))
    curves = found.curves(NOW - 60, NOW + 12)
    assert curves.hours[0] == pytest.approx(NOW - 40)  # nothing is known of the time before
    for hour, sure in zip(curves.hours - NOW, curves.measured, strict=True):
        assert bool(sure) == (hour <= -20 or -8 <= hour <= -2), hour
        assert bool(sure) == found.air.measured_at(hour + NOW)


def test_a_place_never_read_is_all_expected(shop: Shop) -> None:
    found = weather.weather(shop, "LOFT", NOW)
    assert found.sheet.last is None
    assert not found.curves(NOW, NOW + 24).measured.any()
    with pytest.raises(NotFound, match="nearest: loft"):
        weather.weather(shop, "lofft", NOW)


def test_standing_still_begins_and_ends_where_the_curve_crosses(shop: Shop) -> None:
    """The outlook is half a cosine from a high at 15 h to a low at 6 h and back: the crossings in closed form."""
    code = begin(shop, place="cellar")
    coat(shop, code, NOW)
    places.expect(shop, "cellar", DayAhead(dt.date(2026, 3, 10), 10.0, 12.0), NOW)
    places.expect(shop, "cellar", DayAhead(dt.date(2026, 3, 11), -4.0, 12.0), NOW)
    (still,) = weather.weather(shop, "cellar", NOW).stills
    least = still.finish.limits.minimum_c
    assert -4.0 < least < 10.0
    share = math.acos(1 - 2 * (12.0 - least) / 16.0) / math.pi
    down = local("2026-03-10 15:00") + 15 * share  # from the high of the one day to the low of the next
    up = local("2026-03-11 06:00") + 9 * (1 - share)
    ((start, end),) = still.stretches
    assert start == pytest.approx(down, abs=0.15)  # the outlook has a point every half hour, linear between
    assert end == pytest.approx(up, abs=0.15)
    assert (still.codes, still.why, still.hours) == ((code,), TOO_COLD, pytest.approx(end - start))
    assert still.coldest_c == pytest.approx(-4.0, abs=0.1)
    fold = shop.standing(code, NOW).fold
    hours, coldest = stall(fold, fold.coats[0], NOW, NOW + weather.AHEAD_HOURS)
    assert (still.hours, still.coldest_c) == pytest.approx((hours, coldest), abs=1e-9)  # the plan and cautions go by it
    said = weather.still_words(still, "imperial", ZONE, NOW)
    assert f"on {code}: stands still" in said
    assert f"{at_zone(start, ZONE).format('HH:mm')} to Wed {at_zone(end, ZONE).format('HH:mm')}" in said
    assert "down to 25 °F" in said


def test_too_damp_is_standing_still_too(shop: Shop) -> None:
    code = begin(shop, schedule="waterborne-three")
    coat(shop, code, NOW)
    places.expect(shop, "loft", DayAhead(dt.date(2026, 3, 11), 20.0, 21.0, 96.0), NOW)
    (still,) = weather.weather(shop, "loft", NOW).stills
    assert still.why == TOO_DAMP
    assert 0 < still.hours < 48
    assert "above 85 % RH" in weather.still_words(still, "metric", ZONE, NOW)


def test_only_what_still_hardens_here_counts(shop: Shop) -> None:
    coat(shop, begin(shop, "B-1"), NOW)
    begin(shop, "B-2")  # no coat on it
    coat(shop, begin(shop, "B-3"), NOW)
    (still,) = weather.weather(shop, "loft", NOW).stills
    assert (still.codes, still.stretches) == (("B-1", "B-3"), ())
    assert weather.weather(shop, "cellar", NOW).stills == ()
    years = NOW + 2 * 8766
    assert weather.weather(shop, "loft", years).stills == ()


@pytest.mark.parametrize(
    ("at", "date"),
    [("2026-03-10 20:00", 11), ("2026-03-10 05:59", 10), ("2026-03-10 06:00", 11), ("2026-03-29 03:30", 29)],
)
def test_tonight_is_the_low_that_comes_next(at: str, date: int) -> None:
    assert weather.night_of(local(at), ZONE) == dt.date(2026, 3, date)


def test_a_cold_night_typed_in_says_what_it_moves(shop: Shop) -> None:
    coat(shop, begin(shop), NOW)
    begin(shop, "B-2")
    said = weather.expect_day(shop, "loft", DayAhead(dt.date(2026, 3, 10), 2.0, 6.0), NOW + 0.5)
    assert said.startswith("loft: 2 °C to 6 °C expected on Tue 10 Mar; B-1 now ")
    assert ", was " in said
    assert "B-2" not in said
    again = weather.expect_day(shop, "loft", DayAhead(dt.date(2026, 4, 10), 2.0, 6.0), NOW + 0.5)
    assert again.endswith("; no next step moves")
    found = weather.weather(shop, "loft", NOW + 0.5)
    assert weather.expected(found, dt.date(2026, 3, 10)) == UsualDay(2.0, 6.0, 50.0, 50.0)
    assert weather.expected(found, dt.date(2026, 3, 12)) == UsualDay(21.0, 21.0, 50.0, 50.0)


def test_another_usual_day(shop: Shop, other: Shop, tmp_path: Path) -> None:
    change_setting(shop, "units", "imperial", NOW)
    said = weather.set_usual(shop, "loft", UsualDay(5.0, 15.0, 60.0, 40.0), NOW)
    assert said == "loft: usually 41 °F to 59 °F; no next step moves"
    assert places.sheet(other, "loft", NOW).typed == UsualDay(5.0, 15.0, 60.0, 40.0)
    weather.add_log(shop, "loft", *log_of(tmp_path, hourly(72)), NOW)
    said = weather.set_usual(shop, "loft", UsualDay(5.0, 15.0, 60.0, 40.0), NOW)
    assert said.endswith("the readings of the last two weeks hold before it")


def test_a_log_is_added_whole_with_progress(shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(left_out, "BATCH_OF_ROWS", 10)
    told: list[tuple[int, int]] = []
    log = log_of(tmp_path, hourly(24))
    done = weather.add_log(shop, "loft", *log, NOW, lambda at, of: told.append((at, of)))
    assert told == [(10, 25), (20, 25), (25, 25)]
    assert weather.imported_words(done, "metric") == "loft: 25 readings added"
    again = weather.add_log(shop, "loft", *log_of(tmp_path, hourly(30)), NOW)
    assert weather.imported_words(again, "metric") == "loft: 6 readings added, 25 were there already"
    assert len(places.last_readings(shop, "loft", 100)) == 31


def test_a_log_that_is_stopped_leaves_nothing(
    shop: Shop, other: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(left_out, "BATCH_OF_ROWS", 10)

    class Enough(Exception):
        pass

    def stop(done: int, total: int) -> None:
        if done >= 20:
            raise Enough

    with pytest.raises(Enough):
        weather.add_log(shop, "loft", *log_of(tmp_path, hourly(48)), NOW, stop)
    assert places.last_readings(other, "loft", 100) == []
    path, log = log_of(tmp_path, hourly(48))
    path.unlink()
    with pytest.raises(BadFile, match="cannot be read again"):
        weather.add_log(shop, "loft", path, log, NOW)
    assert places.last_readings(other, "loft", 100) == []


def test_paths_go_on(tmp_path: Path) -> None:
    for name in ("loft-1.csv", "loft-2.csv", ".hidden.csv"):
        (tmp_path / name).touch()
    (tmp_path / "logs").mkdir()
    base = f"{tmp_path}/"
    assert weather.completions(base) == (f"{base}loft-1.csv", f"{base}loft-2.csv", f"{base}logs/")
    assert weather.completions(f"{base}log") == (f"{base}logs/",)
    assert weather.completions(f"{base}.h") == (f"{base}.hidden.csv",)
    assert weather.completions(f"{base}nowhere/x") == ()
