"""Places and their air: logs read in once, days typed ahead, and what is said of gaps and old readings."""

from __future__ import annotations

import datetime as dt
import time
from contextlib import nullcontext
from pathlib import Path

import pytest

from finishing.cure.outlook import DayAhead, UsualDay
from finishing.errors import BadInput, NotFound
from finishing.exchange.readings import LogReading, read_log
from finishing.shop import places, settings
from finishing.shop.differing import differing_words, unusual_words
from finishing.shop.shop import Shop
from tests.shop.built import NOW, ZONE, begin, local
from tests.shop.doing import coat, do, on_file


def log_of(folder: Path, hours: list[float], celsius: float = 21.0) -> tuple[Path, LogReading]:
    """A logger's file with a reading at each hour before (or after) now."""
    path = folder / "log.csv"
    stamps = [dt.datetime.fromtimestamp((NOW + h) * 3600, dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ") for h in hours]
    path.write_text("\n".join(["time,temperature °C,humidity %", *(f"{s},{celsius},50" for s in stamps)]) + "\n")
    return path, read_log(path, zone=ZONE)


def read_in(shop: Shop, log: tuple[Path, LogReading], *, dry: bool = False) -> places.Imported:
    return places.import_log(shop, "loft", *log, NOW, dry=dry)


def hourly(back: int, until: int = 0) -> list[float]:
    return [float(-h) for h in range(back, until - 1, -1)]


def codes(shop: Shop, code: str, at: float) -> set[str]:
    return {caution.code for caution in shop.standing(code, at).progress(at).cautions}


def opens(shop: Shop, code: str, at: float) -> float:
    following = shop.standing(code, at).fold.next(at)
    assert following is not None
    assert following.opens is not None
    return following.opens


def test_a_log_read_in_twice_adds_nothing(shop: Shop, tmp_path: Path) -> None:
    log = log_of(tmp_path, hourly(48))
    first, again = read_in(shop, log), read_in(shop, log)
    assert (first.place, first.rows, first.added) == ("loft", 49, 49)
    assert (again.rows, again.added) == (49, 0)
    longer = log_of(tmp_path, hourly(60))
    assert read_in(shop, longer).added == 12
    found = places.last_readings(shop, "loft", 100)
    assert [reading.at - NOW for reading in found] == pytest.approx(hourly(60))


def test_a_log_that_disagrees_is_told_with_what_it_moves(shop: Shop, tmp_path: Path) -> None:
    """Five minutes beside readings of 21 °C: 5 degrees apart is let pass, 13 is told; a first log never is."""
    coat(shop, begin(shop), NOW - 12)
    assert read_in(shop, log_of(tmp_path, hourly(24))).differing is None
    beside = [h - 1 / 12 for h in hourly(24)]
    assert read_in(shop, log_of(tmp_path, beside, 16.0), dry=True).differing is None
    far = [h - 0.5 for h in hourly(24)]
    assert read_in(shop, log_of(tmp_path, far, 8.0), dry=True).differing is None
    before = opens(shop, "B-1", NOW)
    done = places.import_and_look(shop, "loft", *log_of(tmp_path, beside, 8.0), NOW)
    assert done.differing is not None
    assert (done.differing.readings, done.differing.most_c) == (25, pytest.approx(13.0))
    assert differing_words(done.differing, "metric").startswith("25 of its readings lie within ten minutes of others")
    assert done.moved is not None
    [step] = done.moved
    assert (step.code, step.was, step.opens) == ("B-1", before, opens(shop, "B-1", NOW))


def test_a_dry_run_counts_and_adds_nothing(shop: Shop, tmp_path: Path) -> None:
    log = log_of(tmp_path, hourly(48))
    assert read_in(shop, log, dry=True) == places.Imported("loft", 49, 49, True)
    assert places.last_readings(shop, "loft", 100) == []
    assert read_in(shop, log).added == 49


def test_readings_stay_as_they_were_first_read_in(shop: Shop, tmp_path: Path) -> None:
    read_in(shop, log_of(tmp_path, hourly(3), 21.0))
    assert read_in(shop, log_of(tmp_path, hourly(5), 9.0)).added == 2
    found = places.last_readings(shop, "loft", 10)
    assert [reading.temperature_c for reading in found] == [9.0, 9.0, 21.0, 21.0, 21.0, 21.0]


def test_other_values_of_the_same_seconds_are_told(shop: Shop, tmp_path: Path) -> None:
    """A tenth is another rounding, as of 68.2 °F for 20.1 °C; what is further off is told with how far."""
    read_in(shop, log_of(tmp_path, hourly(3), 21.0))
    rounded = read_in(shop, log_of(tmp_path, hourly(5), 21.05))
    assert (rounded.others, places.old_words(rounded, "metric")) == (None, ", 4 were there already")
    other = read_in(shop, log_of(tmp_path, hourly(3), 23.4), dry=True)
    assert other.others is not None
    assert places.old_words(other, "metric") == (
        ", 4 were there already (4 of them have other values here, by up to 2.4 °C: the first stay)"
    )
    assert "by up to 4.3 °F" in places.old_words(other, "imperial")
    path, _ = log_of(tmp_path, hourly(0), 21.0)
    path.write_text(path.read_text().replace(",50", ",62"))
    damper = read_in(shop, (path, read_log(path, zone=ZONE)), dry=True)
    assert "1 of them has other values here, by up to 12 % RH: the first stay" in places.old_words(damper, "metric")


def test_a_log_of_one_reading_counts(shop: Shop, tmp_path: Path) -> None:
    assert read_in(shop, log_of(tmp_path, [-0.25], 14.0)).added == 1
    place = places.sheet(shop, "loft", NOW)
    assert place.measured
    assert place.last is not None
    assert place.air.temperature_c == pytest.approx(14.0, abs=0.5)
    air = shop.rack(NOW).air["loft"]
    assert air.measured == (pytest.approx(NOW - 0.25), pytest.approx(NOW - 0.25))
    assert air.at(NOW - 0.25)[0] == pytest.approx(14.0)
    # a week on it says nothing any more: the usual day of the loft is 21 °C all the time
    assert shop.rack(NOW).air["loft"].at(NOW + 168.0)[0] == pytest.approx(21.0, abs=0.1)


@pytest.mark.postgresql_only
@pytest.mark.parametrize("stopped", [False, True])
def test_others_record_while_a_long_log_comes_in(shop: Shop, other: Shop, tmp_path: Path, stopped: bool) -> None:
    begin(shop)
    path, log = log_of(tmp_path, hourly(24))
    seen: list[float | None] = []

    def halfway(done: int, rows: int) -> None:
        seen.append(places.last_reading(other, other.place("loft").id))
        began = time.monotonic()
        do(other, "B-1", NOW)
        assert time.monotonic() - began < 2.0  # and not when the import is through
        assert places.add_reading(other, "loft", round((NOW + 1.0) * 3600), 20.0, 50.0).added
        if stopped:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt) if stopped else nullcontext():
        found = places.import_log(shop, "loft", path, log, NOW, progress=halfway)
        assert found.added == 25
    assert seen == [None]  # nothing of it showed before it was whole
    assert len(places.last_readings(other, "loft", 100)) == (1 if stopped else 26)
    assert len(on_file(other, "B-1")) == 1


def test_an_unknown_place_takes_no_log(shop: Shop, tmp_path: Path) -> None:
    path, log = log_of(tmp_path, hourly(3))
    with pytest.raises(NotFound, match="nearest: loft"):
        places.import_log(shop, "lofts", path, log, NOW)


def test_a_cold_day_typed_ahead_makes_the_coat_later(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    before = opens(shop, code, NOW + 1)
    said = places.expect(shop, "loft", DayAhead(dt.date(2026, 3, 10), 6.0, 9.0), NOW + 1)
    assert said == "loft: 6 to 9 °C expected on 2026-03-10"
    later = opens(shop, code, NOW + 1)
    assert later > before + 4
    places.expect(shop, "loft", DayAhead(dt.date(2026, 3, 10), 26.0, 30.0), NOW + 1)
    assert opens(shop, code, NOW + 1) < before < later
    assert [day.high_c for day in places.sheet(shop, "loft", NOW + 1).ahead] == [30.0]


def test_a_day_that_is_over_cant_be_expected(shop: Shop) -> None:
    with pytest.raises(BadInput, match="today or a day ahead"):
        places.expect(shop, "loft", DayAhead(dt.date(2026, 3, 9), 6.0, 9.0), NOW)
    # By the shop's own calendar: at 23:30 UTC it is tomorrow in Oslo.
    late = local("2026-03-10 23:30", "UTC")
    with pytest.raises(BadInput, match="today or a day ahead"):
        places.expect(shop, "loft", DayAhead(dt.date(2026, 3, 10), 6.0, 9.0), late)


def test_times_without_readings_say_so(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    assert "no_readings" in codes(shop, code, NOW + 1)
    assert not places.sheet(shop, "loft", NOW).measured


def test_old_readings_are_said_to_be_old(shop: Shop, tmp_path: Path) -> None:
    code = begin(shop)
    coat(shop, code, NOW - 3)
    read_in(shop, log_of(tmp_path, hourly(48)))
    assert not codes(shop, code, NOW) & {"no_readings", "old_readings", "gap"}
    assert "loft 70 °F" not in shop.air_lines(NOW)[0]
    assert shop.air_lines(NOW)[0] == "loft 21 °C 50 %"
    assert shop.air_lines(NOW + 2)[0].startswith("loft about 21 °C")
    assert "old_readings" in codes(shop, code, NOW + 7)


def test_a_gap_since_the_coat_is_said(shop: Shop, tmp_path: Path) -> None:
    code = begin(shop)
    coat(shop, code, NOW - 20)
    read_in(shop, log_of(tmp_path, hourly(48, 16) + hourly(6)))
    assert "gap" in codes(shop, code, NOW)


def test_a_gap_before_the_coat_is_not(shop: Shop, tmp_path: Path) -> None:
    code = begin(shop)
    coat(shop, code, NOW - 2)
    read_in(shop, log_of(tmp_path, hourly(48, 16) + hourly(6)))
    assert "gap" not in codes(shop, code, NOW)


def test_what_a_place_is_and_who_stands_there(shop: Shop, tmp_path: Path) -> None:
    begin(shop)
    read_in(shop, log_of(tmp_path, hourly(24 * 5), 18.0))
    found = places.sheet(shop, "LOFT", NOW)
    assert found.batches == ("B-1",)
    assert found.typed == UsualDay(21.0, 21.0, 50.0, 50.0)
    assert found.lately is not None
    assert found.lately.low_c == pytest.approx(18.0)
    assert found.last == places.Reading(pytest.approx(NOW), 18.0, 50.0)
    assert found.measured
    assert found.air.temperature_c == pytest.approx(18.0)


@pytest.mark.parametrize(("name", "said"), [("  ", "a name"), ("x" * 61, "60 characters"), ("LOFT", "no other place")])
def test_a_place_needs_a_name_of_its_own(shop: Shop, name: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        places.add_place(shop, name, UsualDay(20.0, 20.0, 50.0, 50.0), NOW)
    assert len(shop.places()) == 2


def test_a_reading_of_next_year_is_refused(shop: Shop, tmp_path: Path) -> None:
    """A logger's clock may run hours fast; days ahead it is wrong, and would stand for the air to come."""
    assert read_in(shop, log_of(tmp_path, [-2.0, 26.0])).added == 2
    with pytest.raises(BadInput, match=r"a reading of 2027-03-10 09:00.*two days ahead"):
        read_in(shop, log_of(tmp_path, [-1.0, 365 * 24.0]))
    assert len(places.last_readings(shop, "loft", 100)) == 2


def test_a_log_far_from_the_usual_day_is_told(shop: Shop, tmp_path: Path) -> None:
    """The loft stands at 21 °C: 14 °C may be a cold week, 4 °C is hardly the loft."""
    assert read_in(shop, log_of(tmp_path, hourly(24), 14.0), dry=True).unusual is None
    far = read_in(shop, log_of(tmp_path, hourly(24), 4.0), dry=True).unusual
    assert far is not None
    assert unusual_words(far, "metric").startswith("its readings are 4 °C, far from a usual day there, 21 °C: is it")


def test_another_zone_after_logs_were_read_in_is_told(shop: Shop, tmp_path: Path) -> None:
    assert settings.zone_words(shop, "Europe/Oslo", "America/Denver") == ""
    read_in(shop, log_of(tmp_path, hourly(3)))
    assert settings.zone_words(shop, "Europe/Oslo", "Europe/Oslo") == ""
    assert settings.zone_words(shop, "Europe/Oslo", "America/Denver") == (
        "1 log read in so far keeps its hours: if Europe/Oslo was wrong for them, leave them out and read them in again"
    )
