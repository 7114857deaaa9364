"""An earlier coat entered anew after a later one, and entries corrected: as if it had been entered right at first."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from finishing.cure.coat import Coat
from finishing.cure.terms import Release, Stage
from finishing.cure.work import CoatEntry, Finding, TestEntry, VoidEntry
from finishing.errors import BadInput
from finishing.screens.pages.bench import coat_to_record
from finishing.shop import record
from finishing.shop.cans import empty_can, sheet, shelve
from finishing.shop.correct import correct, to_heed
from finishing.shop.drafts import AbradeDraft, CanDraft, CorrectDraft, ReleaseDraft, StepDraft, TestDraft
from finishing.shop.shop import Shop
from finishing.shop.split import SplitDraft, inherited, split
from finishing.shop.trace import BatchTraced, Recall, trace
from finishing.store import at_file, batches
from tests.shop.built import FILE, NOW, begin, small_home
from tests.shop.doing import coat, on_file

STEPS = (1, 3, 6)
"""Steps of the first three coats of wiped-varnish-in-window."""


def put(shop: Shop, code: str, step: int, at: float, now: float, amount_ml: float | None = None) -> str:
    return record.record_step(shop, StepDraft(code, step, at=at, amount_ml=amount_ml), now)


def coats(shop: Shop, code: str, now: float) -> list[Coat]:
    """The coats as they stand, but for the numbers of their entries."""
    return [replace(c, entry=0) for c in shop.standing(code, now).fold.coats]


def same(shop: Shop, code: str, other: str, now: float) -> None:
    """Two batches stand alike: steps, windows, stages, releases."""
    a, b = shop.standing(code, now).progress(now), shop.standing(other, now).progress(now)
    assert [(s.position, s.done, s.at) for s in a.steps] == [(s.position, s.done, s.at) for s in b.steps]
    assert (a.next and (a.next.position, a.next.state, a.next.opens, a.next.shuts)) == (
        b.next and (b.next.position, b.next.state, b.next.opens, b.next.shuts)
    )
    assert [(c.step, c.at, c.window, c.factors, dict(c.stages)) for c in a.coats] == [
        (c.step, c.at, c.window, c.factors, dict(c.stages)) for c in b.coats
    ]
    assert dict(a.releases) == dict(b.releases)


def test_an_earlier_coat_voided_is_entered_anew_in_its_place(shop: Shop) -> None:
    wrong, right = begin(shop, "B-1"), begin(shop, "B-2")
    put(shop, wrong, 1, NOW, NOW, 90.0)
    put(shop, wrong, 3, NOW + 24, NOW + 24)
    record.void(shop, wrong, 1, NOW + 25)
    assert put(shop, wrong, 1, NOW - 3, NOW + 26, 30.0) == ("B-1: coat 1 of 4, on record; changes nothing ahead")
    put(shop, right, 1, NOW - 3, NOW, 30.0)
    put(shop, right, 3, NOW + 24, NOW + 24)
    same(shop, wrong, right, NOW + 26)


@pytest.mark.parametrize("typed", ["tue 14:00", ""])
def test_a_time_that_cannot_be_is_refused_as_it_was_typed(shop: Shop, typed: str) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    coat(shop, code, NOW + 2)
    record.void(shop, code, 1, NOW + 4)
    assert isinstance(found := trace(shop, code, NOW + 4), BatchTraced)
    assert found.missing == ("coat 1 of 4",)
    assert [coat_to_record(row) for row in shop.bench(NOW + 4).rows] == [1]
    with pytest.raises(BadInput) as refused:
        record.record_step(shop, StepDraft(code, 1, at=NOW + 5, typed=typed), NOW + 6)
    assert str(refused.value) == f"time: got '{typed or '2026-03-10 14:00'}', expected a time before coat 2 of 4, 11:00"
    with pytest.raises(BadInput, match="time: got 'just now', expected a time before coat 2 of 4, 11:00"):
        record.record_step(shop, StepDraft(code, 1), NOW + 6)
    with pytest.raises(BadInput, match="coat 1 of 4 first: it is not on record"):
        record.record_step(shop, StepDraft(code, 6), NOW + 60)
    with pytest.raises(BadInput, match="a coat that is not on record yet"):
        record.record_step(shop, StepDraft(code, 3, at=NOW + 1), NOW + 6)
    assert len(on_file(shop, code)) == 3


def test_a_time_typed_to_the_minute_is_not_before_a_coat_of_that_minute(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW + 25 / 3600)
    record.record_step(shop, StepDraft(code, 2, at=NOW), NOW + 0.1)
    assert on_file(shop, code)[1].entry.at == pytest.approx(NOW + 25 / 3600)
    coat(shop, code, NOW + 20 + 25 / 3600)
    record.note_test(shop, TestDraft(code, Stage.TACK_FREE, Finding.DRY, at=NOW + 20), NOW + 21)
    assert on_file(shop, code)[-1].entry.at == pytest.approx(NOW + 20)  # of the coat below, just before the next
    record.undo(shop, code, NOW + 21)
    correct(shop, CorrectDraft(code, 3, NOW), NOW + 21)
    assert [c.number for c in shop.standing(code, NOW + 21).fold.coats] == [1, 2]
    with pytest.raises(BadInput, match="a time after coat 1 of 4, yesterday 09:00"):
        correct(shop, CorrectDraft(code, 6, NOW - 0.1), NOW + 21)


def test_one_deed_corrects_time_film_and_can_and_undo_takes_it_back(shop: Shop) -> None:
    wrong, right = begin(shop, "B-1"), begin(shop, "B-2")
    first, second = (shelve(shop, CanDraft("wiping-varnish", 500.0, lot), NOW) for lot in ("L-1", "L-2"))
    coat(shop, wrong, NOW, amount_ml=90.0, can=first)
    coat(shop, wrong, NOW + 24)
    before = coats(shop, wrong, NOW + 25)
    said = correct(shop, CorrectDraft(wrong, 1, NOW - 3, amount_ml=30.0, can=second, note="read the lid"), NOW + 25)
    assert said == (
        "B-1: coat 1 of 4, 30 mL, corrected, entry 3 in place of 1; yesterday 06:00, was yesterday 09:00; 30 mL, was"
        " 90 mL; can 2, was can 1; changes nothing ahead"
    )
    put(shop, right, 1, NOW - 3, NOW, 30.0)
    put(shop, right, 3, NOW + 24, NOW + 24)
    same(shop, wrong, right, NOW + 25)
    assert [type(r.entry).__name__ for r in on_file(shop, wrong)][2:] == ["CoatEntry", "VoidEntry", "NoteEntry"]
    assert on_file(shop, wrong)[3].entry == VoidEntry(4, NOW + 25, 1, 3)
    # A recall of the second lot finds the batch, one of the first does not.
    found, lost = trace(shop, "L-2", NOW + 25), trace(shop, "L-1", NOW + 25)
    assert isinstance(found, Recall)
    assert isinstance(lost, Recall)
    assert ([b.code for b in found.batches], [b.code for b in lost.batches]) == (["B-1"], [])
    assert [use.number for use in sheet(shop, second).uses] == [3]
    record.undo(shop, wrong, NOW + 26)  # the note
    assert record.undo(shop, wrong, NOW + 27) == "B-1: void, coat 1 of 4, 30 mL; entry 1 holds again"
    assert coats(shop, wrong, NOW + 25) == before


def test_a_closed_batch_is_corrected_from_a_can_that_is_empty_by_now(shop: Shop) -> None:
    code = begin(shop)
    can = shelve(shop, CanDraft("wiping-varnish", 500.0, "L-9"), NOW)
    coat(shop, code, NOW)
    empty_can(shop, can, NOW + 1)
    record.close(shop, code, NOW + 2)
    assert correct(shop, CorrectDraft(code, 1, can=can), NOW + 3).endswith("can 1, was no can")
    assert isinstance(found := trace(shop, code, NOW + 3), BatchTraced)
    assert [(c.can, c.lot) for c in found.coats] == [(can, "L-9")]


REFUSED = {
    "nothing otherwise": (CorrectDraft("B-1", 1), "something that is otherwise than on record"),
    "after the coat above": (
        CorrectDraft("B-1", 1, NOW + 25, "10:00"),
        "time: got '10:00', expected a time before coat 2 of 4, 09:00",
    ),
    "ahead": (CorrectDraft("B-1", 1, NOW + 99, "fri"), "time: got 'fri', expected a time that has passed"),
    "before the coat below": (
        CorrectDraft("B-1", 2, NOW - 1, "8:00"),
        "time: got '8:00', expected a time after coat 1 of 4, yesterday 09:00",
    ),
    "a grit of a coat": (CorrectDraft("B-1", 1, grit=320), "grit: got 'coat 1 of 4', expected it of an abrading"),
    "an amount of a test": (CorrectDraft("B-1", 3, amount_ml=3.0), "expected it of a coat and of no other entry"),
    "a test before any coat": (
        CorrectDraft("B-1", 3, NOW - 1, "8:00"),
        "time: got '8:00', expected a time after coat 1 of 4, yesterday 09:00",
    ),
    "what is not there": (CorrectDraft("B-1", 9, NOW), "the number of an entry of B-1 that still holds"),
    "a hold": (CorrectDraft("B-1", 4, NOW), "this is: on hold; void it instead"),
    "no amount": (CorrectDraft("B-1", 1, amount_ml=-1.0), "an amount above 0 mL"),
    "a can that is not there": (CorrectDraft("B-1", 1, can=7), "can: got 7, expected a can that is there"),
}


def test_what_cannot_be_is_refused_and_nothing_written(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    coat(shop, code, NOW + 24)
    record.touch_test(shop, TestDraft(code, Stage.TACK_FREE, Finding.DRY, at=NOW + 20), NOW + 25)
    record.hold(shop, code, NOW + 26)
    before = on_file(shop, code)
    for name, (draft, words) in REFUSED.items():
        with pytest.raises(BadInput) as refusal:
            correct(shop, draft, NOW + 27)
        assert words in str(refusal.value), name
    assert on_file(shop, code) == before


def test_a_test_corrected_is_felt_at_the_other_hour_and_one_of_another_coat_is_told(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    record.touch_test(shop, TestDraft(code, Stage.TACK_FREE, Finding.DRY, at=NOW + 6), NOW + 7)
    correct(shop, CorrectDraft(code, 2, NOW + 5, finding=Finding.TACKY), NOW + 7)
    assert on_file(shop, code)[2].entry == TestEntry(3, NOW + 5, Stage.TACK_FREE, Finding.TACKY)
    said = correct(shop, CorrectDraft(code, 1, NOW + 5.5), NOW + 7)
    assert "the touch test of 14:00 (entry 3) is of no coat now" in said


def test_a_void_that_brings_back_what_was_entered_anew_is_refused(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    record.undo(shop, code, NOW + 1)
    coat(shop, code, NOW + 1)
    with pytest.raises(BadInput, match="an entry that may hold again: coat 1 of 4 would be on record twice"):
        record.void(shop, code, 2, NOW + 2)
    assert len(on_file(shop, code)) == 3


def test_a_part_split_off_since_is_told_to_be_corrected_too(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    split(shop, SplitDraft(code, 1), NOW + 1)
    assert "B-1.2 was part of it then: put it right there too" in correct(shop, CorrectDraft(code, 1, NOW - 1), NOW + 2)
    (copy,) = [r.entry.number for r in on_file(shop, "B-1.2") if isinstance(r.entry, CoatEntry)]
    assert "B-1 was part of it then" in correct(shop, CorrectDraft("B-1.2", copy, NOW - 1), NOW + 2)
    part = shop.standing("B-1.2", NOW + 2)
    (put_right,) = [c.entry for c in part.fold.coats]
    assert put_right in inherited(part.entries)  # it came along all the same: not counted twice


@pytest.fixture(scope="module")
def steady(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """One shop for many batches."""
    folder = tmp_path_factory.mktemp("steady") / "shop"
    shutil.copytree(small_home(tmp_path_factory), folder)
    opened = Shop.open(NOW, at_file(Path(folder) / FILE))
    yield opened
    opened.close()


WAYS = list(permutations(range(3)))


@settings(
    max_examples=6,
    deadline=None,
    phases=(Phase.generate,),
    database=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    hours=st.lists(st.floats(0.1, 60.0), min_size=3, max_size=3, unique=True).map(sorted),
    amounts=st.lists(st.none() | st.floats(20.0, 90.0), min_size=3, max_size=3),
    wrong=st.lists(st.tuples(st.integers(0, 2), st.booleans()), max_size=4),
    way=st.sampled_from(WAYS),
    together=st.booleans(),
)
def test_any_order_of_voiding_and_entering_anew_comes_to_the_same(
    steady: Shop,
    hours: list[float],
    amounts: list[float | None],
    wrong: list[tuple[int, bool]],
    way: tuple[int, ...],
    together: bool,
) -> None:
    """However often coats are voided, corrected and entered anew: what stands is what is entered in order at once."""
    shop, late = steady, NOW + 70
    times = [NOW + hour for hour in (([hours[0]] * 3) if together else hours)]
    with shop.store.read() as r:
        count = len(batches.codes(r))
    mixed, plain = begin(shop, f"M-{count}"), begin(shop, f"P-{count}")
    for code in (mixed, plain):
        for n, step in enumerate(STEPS):
            put(shop, code, step, times[n], late, amounts[n])
    for n, deed in wrong:
        here = next(c for c in shop.standing(mixed, late).fold.coats if c.step == STEPS[n])
        if deed:
            correct(shop, CorrectDraft(mixed, here.entry, amount_ml=10.0), late)
            record.undo(shop, mixed, late)
        else:
            record.void(shop, mixed, here.entry, late)
            put(shop, mixed, STEPS[n], times[n], late, amounts[n])
    for c in list(shop.standing(mixed, late).fold.coats)[:-1]:  # the last stays, so that the others fill a gap
        record.void(shop, mixed, c.entry, late)
    for n in way:
        if n != 2:
            put(shop, mixed, STEPS[n], times[n], late, amounts[n])
    same(shop, mixed, plain, late)


def put_in_order(shop: Shop) -> str:
    """Coated 9:00 (entry 1), wiped off 9:15 (2), abraded on the way 17:00 (3), coat 2 at 17:30 (4), wiped off (5)."""
    code = begin(shop)
    put(shop, code, 1, NOW, NOW + 30)
    put(shop, code, 2, NOW + 0.25, NOW + 30)
    record.abrade(shop, AbradeDraft(code, at=NOW + 8), NOW + 30)
    put(shop, code, 3, NOW + 8.5, NOW + 30)
    put(shop, code, 4, NOW + 8.75, NOW + 30)
    return code


@pytest.mark.parametrize(
    ("entry", "at", "words"),
    [
        (
            1,
            NOW + 0.5,
            "expected a time before wipe off, yesterday 09:15; if that was later too, put entry 2 right first",
        ),
        (1, NOW + 8.25, "expected a time before wipe off, yesterday 09:15"),
        (4, NOW + 8.8, "expected a time before wipe off, yesterday 17:45"),
        (2, NOW - 1, "expected a time after coat 1 of 4, yesterday 09:00"),
    ],
)
def test_a_coat_is_not_put_behind_what_rests_on_it(shop: Shop, entry: int, at: float, words: str) -> None:
    code = put_in_order(shop)
    before = on_file(shop, code)
    for ask in (to_heed, correct):
        with pytest.raises(BadInput, match=re.escape(words)):
            ask(shop, CorrectDraft(code, entry, at), NOW + 30)
    assert on_file(shop, code) == before


def test_a_closed_batch_and_a_released_one_keep_their_last_word(shop: Shop) -> None:
    code = begin(shop)
    for n, step in enumerate((1, 3, 6, 8)):
        put(shop, code, step, NOW + 10 * n, NOW + 60)
    record.release(shop, ReleaseDraft(code, Release.PACK, NOW + 40), NOW + 60)
    record.close(shop, code, NOW + 60)
    with pytest.raises(BadInput, match="a time before released to pack, "):
        correct(shop, CorrectDraft(code, 4, NOW + 45), NOW + 70)
    with pytest.raises(BadInput, match="a time before closed, "):
        correct(shop, CorrectDraft(code, 5, NOW + 65), NOW + 70)
    assert "corrected, entry 7 in place of 4" in correct(shop, CorrectDraft(code, 4, NOW + 35), NOW + 70)


def test_what_comes_early_by_a_correction_is_said_as_when_it_is_recorded(shop: Shop) -> None:
    """The recoat time is the shipped finish's own, in the air it is stated for: the words say no hour before it."""
    code = put_in_order(shop)
    assert shop.standing(code, NOW + 30).fold.coats[0].stages[Stage.DRY_TO_RECOAT].stated_hours > 5.0
    correct(shop, CorrectDraft(code, 2, NOW + 5.25), NOW + 30)  # its wipe-off, so that its coat may follow
    draft = CorrectDraft(code, 1, NOW + 5)
    said = to_heed(shop, draft, NOW + 30)
    assert "coat 2 of 4, yesterday 17:30: early: sure to 80 in 100 only from " in said
    correct(shop, draft, NOW + 30)
    assert to_heed(shop, CorrectDraft(code, 4, NOW + 8.6), NOW + 30).startswith("early: sure to 80 in 100 only from ")
    assert to_heed(shop, CorrectDraft(code, 4, amount_ml=30.0), NOW + 30) == ""
    assert to_heed(shop, CorrectDraft(code, 4, maker="Ada"), NOW + 30) == ""


def test_a_step_behind_a_later_one_is_said(shop: Shop) -> None:
    code = put_in_order(shop)
    said = to_heed(shop, CorrectDraft(code, 2, NOW + 9), NOW + 30)
    assert said == "coat 2 of 4, yesterday 17:30, stands before it"
