"""Readings left out and taken back: every window, here and on other benches, is as if a wrong log had not come."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path

import numpy as np
import pytest

from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.errors import BadInput, NotFound
from finishing.exchange.readings import read_log
from finishing.moments import parse_stretch
from finishing.shop import left_out, places, record
from finishing.shop.drafts import TestDraft
from finishing.shop.learning.sheet import sheet
from finishing.shop.shop import Shop
from finishing.shop.watched import Watched, take_in
from finishing.store import Conflict
from finishing.store import left_out as stored
from tests.shop.built import NOW, ZONE, begin, local
from tests.shop.doing import coat, do
from tests.shop.test_places import hourly, log_of, opens, read_in

COLD = 8.0


def test_the_windows_are_as_if_a_wrong_log_had_not_come(shop: Shop, other: Shop, tmp_path: Path) -> None:
    """A log of the cellar, read in for the loft: a coat there waits for hours that it did not need."""
    coat(shop, begin(shop), NOW - 12)
    right = opens(shop, "B-1", NOW)
    path, log = log_of(tmp_path, hourly(24), COLD)
    places.import_log(shop, "loft", path, log, NOW)
    shop.forget()
    wrong = opens(shop, "B-1", NOW)
    assert wrong > right + 4
    assert opens(other, "B-1", NOW) == wrong
    would = left_out.would_leave_log_out(shop, "LOFT", path, log)
    assert (would.place, would.number, would.found.readings) == ("loft", None, 25)
    assert opens(shop, "B-1", NOW) == wrong
    done = left_out.leave_log_out(shop, "LOFT", path, log, NOW, " of the cellar ")
    assert (done.found, done.number) == (would.found, 1)
    assert opens(shop, "B-1", NOW) == right
    assert opens(other, "B-1", NOW) == right
    assert done.moved is not None
    [step] = done.moved
    assert (step.code, step.opens, step.was) == ("B-1", right, wrong)
    said = left_out.left_out_words(done, "metric", ZONE, NOW)
    assert said.startswith("loft: 25 readings, yesterday 09:00 to today 09:00, 8 °C: left out, number 1; B-1 now ")
    [line] = left_out.lines(other)
    assert (line.place, line.line.file_name, line.line.note, line.back) == ("loft", "log.csv", "of the cellar", None)
    # and back again
    back = left_out.take_back(shop, 1, NOW, "it was right")
    assert (back.back, back.not_back, len(back.moved)) == (25, 0, 1)
    assert opens(shop, "B-1", NOW) == wrong == opens(other, "B-1", NOW)
    assert left_out.lines(other)[0].back is not None
    assert left_out.taken_back_words(back, ZONE, NOW).startswith("loft: 25 readings taken back; B-1 now ")


def test_a_stretch_amid_others(shop: Shop, tmp_path: Path) -> None:
    read_in(shop, log_of(tmp_path, hourly(24)))
    for first, last in ((NOW - 5, NOW - 3), (NOW - 4.5, NOW - 4.5)):
        with pytest.raises(NotFound, match="nearest: loft"):
            left_out.leave_out(shop, "lofts", first, last, NOW)
    done = left_out.leave_out(shop, "loft", NOW - 5, NOW - 3, NOW)
    assert (done.found.readings, done.first, done.last) == (3, pytest.approx(NOW - 5), pytest.approx(NOW - 3))
    assert len(places.last_readings(shop, "loft", 100)) == 22
    for name in ("loft", "cellar"):
        with pytest.raises(BadInput, match=f"readings: got 0, expected some of {name} in that time"):
            left_out.leave_out(shop, name, NOW - 4.5, NOW - 3.5, NOW)
        with pytest.raises(BadInput, match="in that time"):
            left_out.would_leave_out(shop, name, NOW - 4.5, NOW - 3.5)
    assert len(left_out.lines(shop)) == 1
    assert left_out.lines(shop, "cellar") == ()


def test_a_log_that_is_not_there_is_not_left_out(shop: Shop, tmp_path: Path) -> None:
    log = log_of(tmp_path, hourly(24))
    read_in(shop, log)
    for name in ("cellar", "loft"):
        wrong = log if name == "cellar" else log_of(tmp_path, hourly(24), 3.0)
        with pytest.raises(BadInput, match=f"log: got 'log.csv', expected one whose readings stand at {name} as"):
            left_out.leave_log_out(shop, name, *wrong, NOW)
    with pytest.raises(BadInput, match="note: got '1,001 characters'"):
        left_out.leave_log_out(shop, "loft", *log, NOW, "x" * 1001)
    assert len(places.last_readings(shop, "loft", 100)) == 25
    assert left_out.lines(shop) == ()


def test_leaving_a_log_out_may_be_stopped_and_leaves_none_out(shop: Shop, tmp_path: Path) -> None:
    log = log_of(tmp_path, hourly(24))
    read_in(shop, log)

    def stop(done: int, of: int) -> None:
        assert (done, of) == (25, 25)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        left_out.leave_log_out(shop, "loft", *log, NOW, progress=stop)
    assert left_out.lines(shop) == ()
    assert len(places.last_readings(shop, "loft", 100)) == 25


def test_the_right_log_comes_in_and_the_wrong_one_no_more(shop: Shop, other: Shop, tmp_path: Path) -> None:
    """Read in an hour off: the same file in the right zone comes in whole, though the air stood still in the night."""
    path = tmp_path / "log.csv"
    rows = [f"2026-03-09 {h:02d}:00,{max(10, h)},50" for h in range(24)]
    path.write_text("\n".join(["time,temperature °C,humidity %", *rows]) + "\n")
    right, wrong = (read_log(path, zone=zone) for zone in (ZONE, "UTC"))
    assert read_in(shop, (path, wrong)).added == 24
    assert left_out.leave_log_out(shop, "loft", path, wrong, NOW).found.readings == 24
    again = read_in(other, (path, wrong))
    assert (again.added, again.old, again.left_out) == (0, 0, 24)
    assert places.old_words(again, "metric") == ", 24 were left out before and stay out"
    done = read_in(other, (path, right))
    assert (done.added, done.left_out) == (24, 0)
    both = places.import_log(shop, "loft", path, wrong, NOW, again=True)
    assert (both.added, both.old, both.left_out) == (1, 23, 0)  # the last of them; the others' seconds are taken
    found = places.last_readings(shop, "loft", 100)
    assert [reading.temperature_c for reading in found] == [max(10, h) for h in range(24)] + [23]


def test_what_was_left_out_stays_out_of_a_longer_log_and_a_watched_folder(shop: Shop, tmp_path: Path) -> None:
    """A logger keeps what it has: each time it is read out, the hour in the sun comes along."""
    read_in(shop, log_of(tmp_path, hourly(24, 3)))
    left_out.leave_out(shop, "loft", NOW - 12, NOW - 10, NOW)
    folder = tmp_path / "logs"
    folder.mkdir()
    log_of(folder, hourly(24))
    watched = Watched(folder)
    take_in(shop, watched, "loft", ZONE, NOW)
    said = take_in(shop, watched, "loft", ZONE, NOW)
    stay = "19 were there already, 3 were left out before and stay out"
    assert said == [(f"log.csv: loft: 3 readings added, {stay}; no next step moves", True)]
    assert not places.add_reading(
        shop, "loft", round((NOW - 11) * 3600), 21.0, 50.0
    ).added  # a broker's retained message
    assert len(places.last_readings(shop, "loft", 100)) == 22
    assert places.add_reading(shop, "loft", round((NOW - 11) * 3600), 21.5, 50.0).added
    back = left_out.take_back(shop, 1, NOW)
    assert (back.back, back.not_back) == (2, 1)
    assert "2 readings taken back, 1 not: another stands at their second" in left_out.taken_back_words(back, ZONE, NOW)
    assert len(places.last_readings(shop, "loft", 100)) == 25


@pytest.mark.parametrize("closed", [False, True])
def test_what_touch_tests_taught_is_learned_anew(shop: Shop, tmp_path: Path, closed: bool) -> None:
    """Coats felt in air that was never there: their looks count as if its log had not come, on the bench or off it."""
    for code in ("B-1", "B-2"):
        coat(shop, begin(shop, code, at=NOW - 80), NOW - 80)
        for hours, finding in ((4.0, Finding.TACKY), (9.0, Finding.DRY)):
            record.touch_test(shop, TestDraft(code, Stage.DRY_TO_TOUCH, finding), NOW - 80 + hours)
        if closed:
            record.close(shop, code, NOW - 70)

    def looks() -> list[tuple[float, float]]:
        found = sheet(shop, "wiping-varnish", NOW).looks
        return [(verdict.observation.low, verdict.observation.high) for verdict in found]

    right = looks()
    assert len(right) == 2
    log = log_of(tmp_path, hourly(90), COLD)
    read_in(shop, log)
    shop.forget()
    shop._teacher.afresh()
    wrong = looks()
    assert np.all(np.array(wrong) < 0.9 * np.array(right))
    left_out.leave_log_out(shop, "loft", *log, NOW)
    assert looks() == right
    left_out.take_back(shop, 1, NOW)
    assert looks() == wrong
    opened = Shop.open(NOW, shop.store.location)
    try:
        left_out.leave_log_out(opened, "loft", *log, NOW)  # by a command, that has no other look at the bench
    finally:
        opened.close()
    assert looks() == right


FIELDS = ("--from", "--until")


def test_a_stretch_of_time_as_people_type_it() -> None:
    def parsed(first: str, last: str) -> tuple[float, float]:
        return parse_stretch((first, last), FIELDS, ZONE, NOW)

    assert parsed("07:00", "8:30") == (NOW - 2, NOW - 0.5)
    assert parsed("2026-03-09 23:00", "2026-03-11T00:00Z") == (local("2026-03-09 23:00"), NOW + 16)
    for first, last, said in (
        ("2026-03-09", "09:00", "--from: got '2026-03-09', expected a time with the date"),
        ("08:00", "20260310", "--until: got '20260310', expected a time with the date"),
        ("08:00", "07:59", "--until: got '07:59', expected a time after 08:00"),
        ("yesterday", "09:00", "--from: got 'yesterday', expected a time with the date"),
        ("08:00", "", "--until: got nothing, expected a time such as"),
    ):
        with pytest.raises(BadInput) as caught:
            parsed(first, last)
        assert str(caught.value).startswith(said)


@pytest.mark.postgresql_only
@pytest.mark.parametrize("comes", [False, True])
def test_others_record_while_many_are_left_out(shop: Shop, other: Shop, tmp_path: Path, comes: bool) -> None:
    """A reading that comes in among them meanwhile is not left out unsaid: then none is."""
    begin(shop)
    read_in(shop, log_of(tmp_path, hourly(24)))

    def halfway(done: int, of: int) -> None:
        do(other, "B-1", NOW)
        if comes:
            places.add_reading(other, "loft", round((NOW - 1.25) * 3600), 20.0, 50.0)

    stopped = pytest.raises(Conflict, match="came in while") if comes else nullcontext()
    kept = len(places.last_readings(shop, "loft", 100))
    monkey = pytest.MonkeyPatch()
    monkey.setattr(stored, "BATCH_OF_ROWS", 10)
    with monkey.context(), stopped:
        left_out.leave_out(shop, "loft", NOW - 24, NOW, NOW, progress=once(halfway))
    monkey.undo()
    assert len(shop.standing("B-1", NOW).entries) == 1
    assert len(places.last_readings(other, "loft", 100)) == (kept + 1 if comes else 0)


def once(act: Callable[[int, int], None]) -> Callable[[int, int], None]:
    """The same, the first time alone."""
    left = [act]
    return lambda done, of: left.pop()(done, of) if left else None
