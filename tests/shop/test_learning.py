"""Learning in the shop: what touch tests of several batches come to, and what a maker may say to it."""

from __future__ import annotations

import errno
import math
import os
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from finishing.cure.learn import Rules, learn
from finishing.cure.learn.density import log_normal_at
from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.errors import BadInput, NotFound
from finishing.shop import record, split
from finishing.shop.drafts import TestDraft
from finishing.shop.learning import notebook, word
from finishing.shop.learning.doubt import doubt
from finishing.shop.learning.score import Score
from finishing.shop.learning.sheet import lines, sheet, total
from finishing.shop.learning.words import use_words
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store import Location
from finishing.store import lessons as stored

from .built import NOW, begin
from .doing import coat, on_file

VARNISH = "wiping-varnish"
TOUCH, RECOAT = Stage.DRY_TO_TOUCH, Stage.DRY_TO_RECOAT


def feel(shop: Shop, code: str, at: float, finding: Finding, stage: Stage = RECOAT) -> str:
    """Put a touch test on record."""
    return record.touch_test(shop, TestDraft(code, stage, finding), at)


def felt_batch(shop: Shop, code: str, tacky: float, dry: float, at: float = NOW) -> None:
    """A batch coated at an hour, found tacky and dry for recoating at multiples of the stated time.

    The loft stands at the reference air, so that hours are equivalent hours.
    """
    begin(shop, code, at=at)
    coat(shop, code, at)
    stated = shop.library.finish(VARNISH).stages[RECOAT].typical
    feel(shop, code, at + tacky * stated, Finding.TACKY)
    feel(shop, code, at + dry * stated, Finding.DRY)


def newest(shop: Shop, code: str) -> int:
    """Number of a batch's newest entry."""
    return max(r.entry.number for r in on_file(shop, code))


def test_a_factor_is_found_with_its_interval_and_each_coat_stands_as_one(shop: Shop) -> None:
    for i in range(3):
        felt_batch(shop, f"B-{i}", 1.5, 1.8, NOW + i)
    now = NOW + 24
    found = sheet(shop, VARNISH, now)
    assert found.learned
    assert found.tests == 6
    assert [(v.observation.low, v.observation.high) for v in found.looks] == [
        (pytest.approx(1.5, rel=1e-4), pytest.approx(1.8, rel=1e-4))
    ] * 3
    assert found.before.low < found.found.low < found.found.middle < found.found.high < found.before.high
    # Independent: the posterior on a plain grid with scipy's normal, no stray share.
    from scipy import stats

    finish = shop.library.finish(VARNISH)
    at = np.linspace(-3, 3, 6001)
    noise = math.hypot(finish.repeat, found.looks[0].observation.woods_spread)
    one = stats.norm.cdf((math.log(1.8) - at) / noise) - stats.norm.cdf((math.log(1.5) - at) / noise)
    post = np.exp(log_normal_at(at, finish.spread)) * one**3
    below = np.cumsum(post) / post.sum()
    low, middle, high = (math.exp(float(np.interp(p, below, at))) for p in (0.05, 0.5, 0.95))
    assert found.found.middle == pytest.approx(middle, rel=0.01)
    assert found.found.low == pytest.approx(low, rel=0.02)
    assert found.found.high == pytest.approx(high, rel=0.02)


def test_levels_narrow_and_why_says_from_how_many_tests(shop: Shop) -> None:
    begin(shop, "N-1", at=NOW)
    coat(shop, "N-1", NOW)
    before = shop.standing("N-1", NOW).fold.coats[0].stages[RECOAT]
    for i in range(4):
        felt_batch(shop, f"B-{i}", 0.9, 1.15, NOW)
    now = NOW + 4
    after = shop.standing("N-1", now).fold.coats[0].stages[RECOAT]
    assert before is not None
    assert after is not None
    assert before.count_on is not None
    assert before.could_be is not None
    assert after.count_on is not None
    assert after.could_be is not None
    assert after.count_on - after.could_be < before.count_on - before.could_be
    assert any("learned from 8 tests" in line for line in shop.reasons("N-1", now))


def test_tests_that_came_along_in_a_split_count_once(shop: Shop) -> None:
    felt_batch(shop, "B-1", 1.5, 1.8)
    felt_batch(shop, "B-2", 1.4, 1.9)
    now = NOW + 24
    before = sheet(shop, VARNISH, now)
    split.split(shop, split.SplitDraft("B-1", 2), now)
    after = sheet(shop, VARNISH, now)
    assert len(on_file(shop, "B-1.2")) > 3
    assert after.tests == before.tests == 4
    assert [v.observation.batch for v in after.looks] == ["B-1", "B-2"]
    # What was found of a coat while it was whole holds for both of its parts.
    assert after.worth == pytest.approx(before.worth)
    assert after.score == before.score
    copy = next(r.entry.number for r in on_file(shop, "B-1.2") if type(r.entry).__name__ == "TestEntry")
    with pytest.raises(BadInput, match="split from"):
        word.exclude(shop, (copy,), now)


def test_two_looks_at_the_parts_of_one_coat_move_no_date(shop: Shop) -> None:
    begin(shop, "C-3", at=NOW)
    coat(shop, "C-3", NOW)
    begin(shop, "D-1", at=NOW + 90)
    coat(shop, "D-1", NOW + 100)
    now = NOW + 110
    split.split(shop, split.SplitDraft("C-3", 1, tacky=TOUCH), now)
    opens = shop.standing("D-1", now).fold.next(now)
    said = record.touch_test(shop, TestDraft("C-3", TOUCH, Finding.DRY, at=NOW + 1), now)
    assert "in this shop" not in said
    assert "It moves" not in said
    found = sheet(shop, VARNISH, now)
    assert (found.tests, found.lessons.coats, found.learned) == (2, 1, False)
    assert shop.standing("D-1", now).fold.next(now) == opens
    # Nor with another slow coat: but for that one the parts say otherwise. A second one lets all of them move dates.
    said = feel(shop, "D-1", now, Finding.TACKY, TOUCH)
    assert "in this shop" not in said
    assert "leave one coat out and it is no faster" in use_words(sheet(shop, VARNISH, now))


def test_the_coat_that_lets_others_count_says_which(shop: Shop) -> None:
    for code, ratio in (("A-1", 2.0), ("B-1", 1.0), ("C-1", 1.7)):
        begin(shop, code, at=NOW)
        coat(shop, code, NOW)
        said = feel(shop, code, NOW + ratio * 6.0, Finding.TACKY)
        assert ("it was as stated; counting from now on" in said) is (code == "B-1"), said
        if code == "B-1":
            assert all(f"{other} coat 1 longer than" in said for other in ("A-1", "B-1"))


def test_a_test_left_out_tells_nothing_until_it_is_taken_back(shop: Shop) -> None:
    for i in range(3):
        felt_batch(shop, f"B-{i}", 1.0, 1.2, NOW + i)
    felt_batch(shop, "X-1", 2.9, 3.2)
    now = NOW + 40
    with_it = sheet(shop, VARNISH, now)
    tests = next(v.observation.tests for v in with_it.looks if v.observation.batch == "X-1")
    count = len(on_file(shop, "X-1"))
    said = word.exclude(shop, tests, now, "cold corner")
    assert said.startswith(f"tests {tests[0]}, {tests[1]} left out of learning, on record")
    assert "it was ×" in said
    without = sheet(shop, VARNISH, now)
    assert without.tests == 6
    assert without.found.middle < with_it.found.middle
    assert [s.lesson.test for s in without.said] == list(tests)
    assert without.said[0].lesson.note == "cold corner"
    # What the finger said of that very coat stands, and so does its record.
    assert len(on_file(shop, "X-1")) == count
    recoat = shop.standing("X-1", now).fold.coats[0].stages[RECOAT]
    assert recoat is not None
    assert recoat.seen is not None
    with pytest.raises(BadInput, match="not left out already"):
        word.exclude(shop, tests[:1], now)
    for one in without.said:
        word.take_back(shop, one.lesson.number, now)
    again = sheet(shop, VARNISH, now)
    assert again.found == with_it.found
    assert again.said == ()
    with pytest.raises(BadInput, match="still holds"):
        word.take_back(shop, without.said[0].lesson.number, now)


def test_a_finish_begun_afresh_knows_only_what_came_since(shop: Shop) -> None:
    for i in range(3):
        felt_batch(shop, f"B-{i}", 1.9, 2.2, NOW + i)
    now = NOW + 40
    old = sheet(shop, VARNISH, now)
    assert old.found.middle > 1.5
    word.reset(shop, VARNISH, now, "new can")
    fresh = sheet(shop, VARNISH, now)
    assert (fresh.tests, fresh.learned, fresh.looks) == (0, False, ())
    assert fresh.found == fresh.before
    felt_batch(shop, "N-1", 0.8, 1.0, now + 1)
    felt_batch(shop, "N-2", 0.8, 1.0, now + 1)
    later = now + 24
    assert sheet(shop, VARNISH, later).found.middle < 1.1
    word.take_back(shop, fresh.said[0].lesson.number, later)
    assert sheet(shop, VARNISH, later).tests == 10


def test_what_was_said_only_grows_on_the_file(shop: Shop) -> None:
    felt_batch(shop, "B-1", 1.0, 1.2)
    felt_batch(shop, "B-2", 1.0, 1.2)
    word.exclude(shop, (newest(shop, "B-1"),), NOW + 40)
    word.take_back(shop, 1, NOW + 40)
    with shop.store.read() as r:
        assert [one.kind.value for one in stored.all_lessons(r)] == ["exclude", "void"]
    for words in ("DELETE FROM lesson", "UPDATE lesson SET kind = 'x'"):
        with pytest.raises(DBAPIError, match="only grows"), shop.store.engine.begin() as connection:
            connection.execute(text(words))


def test_numbers_that_are_no_tests_and_finishes_that_are_none_are_refused(shop: Shop) -> None:
    felt_batch(shop, "B-1", 1.0, 1.2)
    now = NOW + 40
    first = on_file(shop, "B-1")[0].entry.number
    for number in (first, 9999):
        with pytest.raises(BadInput, match="touch test on record"):
            word.exclude(shop, (number,), now)
    test = newest(shop, "B-1")
    record.void(shop, "B-1", test, now)
    with pytest.raises(BadInput, match="not voided"):
        word.exclude(shop, (test,), now)
    for name in ("varnish-of-none", ""):
        with pytest.raises(NotFound):
            sheet(shop, name, now)
        with pytest.raises(NotFound):
            word.reset(shop, name, now)
    with pytest.raises(BadInput, match="no more than"):
        word.reset(shop, VARNISH, now, "x" * 1001)
    assert sheet(shop, VARNISH, now).said == ()


def test_a_test_far_from_the_others_is_asked_about_and_hardly_obeyed(shop: Shop) -> None:
    for i in range(6):
        felt_batch(shop, f"B-{i}", 1.0, 1.2, NOW + i)
        assert doubt(shop, f"B-{i}", NOW + i + 10) is None
    now = NOW + 60
    before = sheet(shop, VARNISH, now).found.middle
    begin(shop, "X-1", at=NOW)
    coat(shop, "X-1", NOW)
    stated = shop.library.finish(VARNISH).stages[RECOAT].typical
    feel(shop, "X-1", NOW + 4.0 * stated, Finding.TACKY)
    asked = doubt(shop, "X-1", now)
    assert asked is not None
    assert asked.verdict.late
    assert asked.verdict.chance < 0.01
    assert "a heavy coat, a cold or damp spot, or another coat than you meant?" in asked.words()
    # Six coats say ×1.1; were this one obeyed the mean would go to (6 · ln 1.1 + ln 4) / 7, ×1.32 or more.
    assert sheet(shop, VARNISH, now).found.middle < before * 1.08
    assert [line.surprising for line in lines(shop, now) if line.finish.name == VARNISH] == [1]


def test_dry_long_before_it_could_be_is_asked_about_even_with_no_other_test(shop: Shop) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    feel(shop, "B-1", NOW + 0.2, Finding.DRY)  # of six stated hours
    asked = doubt(shop, "B-1", NOW + 0.2)
    assert asked is not None
    assert not asked.verdict.late
    assert "thin coat" in asked.words()
    assert not sheet(shop, VARNISH, NOW + 0.2).learned


def test_tacky_long_before_it_could_be_dry_teaches_nothing(shop: Shop) -> None:
    felt_batch(shop, "B-1", 1.0, 1.2)
    felt_batch(shop, "B-2", 1.0, 1.2)
    now = NOW + 24
    before = sheet(shop, VARNISH, now).found
    begin(shop, "N-1", at=NOW)
    coat(shop, "N-1", NOW)
    feel(shop, "N-1", NOW + 0.2, Finding.TACKY)
    assert doubt(shop, "N-1", now) is None
    assert sheet(shop, VARNISH, now).found.middle == pytest.approx(before.middle, rel=1e-4)


def test_the_best_hour_is_the_one_whose_answer_is_most_open(shop: Shop) -> None:
    """Within the maker's hours, at the hour whose expected information brute force through `learn` makes the most."""
    change_setting(shop, "hours", "mon-sun 00:00-24:00", NOW)
    felt_batch(shop, "B-1", 1.0, 1.2)
    felt_batch(shop, "B-2", 1.1, 1.4)
    now = NOW + 24
    begin(shop, "N-1", at=now)
    coat(shop, "N-1", now)
    found = sheet(shop, VARNISH, now).next
    assert found.best is not None
    assert found.now is not None
    assert found.best.code == "N-1"
    assert found.now.bits < 0.01 < found.best.bits
    time = shop.library.finish(VARNISH).stages[found.best.stage]
    ratio = (found.best.at - now) / time.typical
    learned = shop.rack(now).learned.lessons(VARNISH)
    rows = list(learned.observations)
    noise = rows[0].noise

    def gained(ratio: float) -> float:
        from dataclasses import replace

        rules = Rules(shop.settings.half_life_days, 0.0)
        prior = learn(rows, now, rules).lessons(VARNISH).theta()
        by = np.array([0.5 * math.erfc(-(math.log(ratio) - t) / noise / math.sqrt(2)) for t in prior.at])
        p = float(prior.mass @ by)
        sides = []
        for low, high in ((0.0, ratio), (ratio, math.inf)):
            one = replace(rows[0], low=low, high=high, entry=999, tests=(999,), batch="N-1", at=now)
            post = learn([*rows, one], now, rules).lessons(VARNISH).theta()
            sides.append(-float(post.mass @ np.log2(np.maximum(post.value, 1e-300))))
        whole = -float(prior.mass @ np.log2(np.maximum(prior.value, 1e-300)))
        return whole - p * sides[0] - (1 - p) * sides[1]

    most = max(gained(r) for r in np.exp(np.linspace(-0.5, 0.8, 27)))
    assert gained(ratio) >= 0.85 * most
    assert found.best.bits == pytest.approx(gained(ratio), rel=0.05)


def test_the_best_hour_lies_in_working_hours(shop: Shop) -> None:
    change_setting(shop, "hours", "mon-fri 18:00-19:00", NOW)
    begin(shop)
    coat(shop, "B-1", NOW)
    best = sheet(shop, VARNISH, NOW).next.best
    assert best is not None
    from finishing.clock import at_zone

    assert (at_zone(best.at, "Europe/Oslo").hour, at_zone(best.at, "Europe/Oslo").minute) in {
        (18, m) for m in (0, 15, 30, 45)
    } | {(19, 0)}


def test_promises_are_scored_for_each_finish_and_for_all(shop: Shop) -> None:
    # By the prior 9 in 10 wiping varnishes are there by exp(1.2816 · hypot(spread, repeat)) of the stated time, some
    # twice of it; so 0.9..1.1 holds, 3.4..4 does not, and a lone "tacky" at 1 leaves it open.
    felt_batch(shop, "B-1", 0.9, 1.1)
    felt_batch(shop, "B-2", 3.4, 4.0)
    begin(shop, "B-3", at=NOW)
    coat(shop, "B-3", NOW)
    stated = shop.library.finish(VARNISH).stages[RECOAT].typical
    feel(shop, "B-3", NOW + stated, Finding.TACKY)
    now = NOW + 60
    score = sheet(shop, VARNISH, now).score
    assert score == Score(1, 1, 1)
    assert score.share == 0.5
    assert score.words() == "of 2 times to count on (9 in 10), 1 held; 1 can't be told"
    assert total(shop, lines(shop, now), now) == score
    assert Score().words() == "no promise yet whose outcome is known"


def test_what_a_test_taught_is_said_for_the_woods_it_was_made_on(shop: Shop) -> None:
    """Oily woods have a factor of their own: the message names both, the reasons go by that of the batch's woods."""
    for i in range(3):
        felt_batch(shop, f"P-{i}", 1.1, 1.35, NOW)
    begin(shop, "T-1", at=NOW, woods="padauk")
    coat(shop, "T-1", NOW)
    said = feel(shop, "T-1", NOW + 40, Finding.TACKY)
    factor = shop.rack(NOW + 40).learned.factor(shop.library.finish(VARNISH))
    own = factor.on(shop.standing("T-1", NOW + 40).fold.coats[0].factors.species.extractives)
    assert own.factor > factor.factor > 1.0
    assert f"in this shop ×{factor.factor:.2f}," in said
    assert f"oily woods, as these, ×{own.factor:.2f}" in said
    shown = next(line for line in shop.reasons("T-1", NOW + 40) if line.startswith("this shop"))
    assert "oily woods ×" in shown


def test_what_is_kept_beside_the_record_may_be_on_a_disk_that_takes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On such a disk not even a file that isn't there can be removed: unlink(2), EROFS."""

    def refused(*_: object, **__: object) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    monkeypatch.setattr(os, "open", refused)
    monkeypatch.setattr(Path, "unlink", refused)
    assert notebook.save(Location(tmp_path, "sqlite:///x"), notebook.Notebook()) is False
