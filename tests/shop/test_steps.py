"""Recording steps: what is next, what may not be, and that what was said is on the file."""

from __future__ import annotations

import pytest

from finishing.cure.terms import Face, StepKind
from finishing.cure.work import AbradeEntry, CoatEntry, Entry, StepEntry
from finishing.errors import BadInput, NotFound
from finishing.shop import heed, record
from finishing.shop.drafts import StepDraft
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.shop.suggest import suggest
from finishing.store.kinds import NoteEntry
from tests.shop.built import NOW, ZONE, begin
from tests.shop.doing import coat, do, on_file


def kinds(shop: Shop, code: str) -> list[type[Entry]]:
    return [type(recorded.entry) for recorded in on_file(shop, code)]


def test_each_step_in_turn_is_the_next(shop: Shop) -> None:
    code = begin(shop)
    schedule = shop.standing(code, NOW).batch.schedule
    hands = [i for i, step in enumerate(schedule.steps) if step.kind is not StepKind.REST]
    for n, position in enumerate(hands):
        now = NOW + n / 12  # five minutes on, so that a coat can still be wiped off
        following = shop.standing(code, now).fold.next(now)
        assert following is not None
        assert following.position == position
        record.record_step(shop, StepDraft(code), now)
    assert shop.standing(code, NOW + 99).fold.next(NOW + 99) is None
    expected = {StepKind.COAT: CoatEntry, StepKind.ABRADE: AbradeEntry}
    assert kinds(shop, code) == [expected.get(schedule.steps[i].kind, StepEntry) for i in hands]


def test_what_was_said_is_on_the_file_already(shop: Shop) -> None:
    code = begin(shop)
    said = record.record_step(shop, StepDraft(code, note=" dusty ", maker="K"), NOW)
    assert said == "B-1: prepare P220, on record"
    first, note = on_file(shop, code)
    assert (first.entry, first.maker, first.recorded_at) == (StepEntry(1, NOW, 0), "K", NOW)
    assert note.entry == NoteEntry(2, NOW, "dusty")


def test_a_coat_keeps_amount_can_and_whether_it_was_wiped(shop: Shop) -> None:
    code = begin(shop)
    record.record_step(shop, StepDraft(code, 1, at=NOW - 2, amount_ml=31.5, wiped_back=False), NOW)
    (only,) = on_file(shop, code)
    assert only.entry == CoatEntry(1, NOW - 2, 1, 31.5, False)
    assert (only.recorded_at, only.can_id) == (NOW, None)


def test_the_maker_of_the_settings_is_put_on_entries(shop: Shop) -> None:
    code = begin(shop)
    change_setting(shop, "maker", "R.", NOW)
    do(shop, code, NOW)
    assert on_file(shop, code)[0].maker == "R."


def test_a_coat_takes_the_steps_before_it_as_done(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    steps = shop.standing(code, NOW).progress(NOW).steps
    assert [(s.done, s.at) for s in steps[:2]] == [(True, None), (True, NOW)]


REFUSED = {
    "the second coat before the first": (StepDraft("B-1", 3), "coat 1 of 4 first: it is not on record"),
    "the fourth coat before the first": (StepDraft("B-1", 8), "coat 1 of 4 first: it is not on record"),
    "a step the schedule has not": (StepDraft("B-1", 99), "a step from 0 to 10 of its schedule"),
    "a step below the first": (StepDraft("B-1", -1), "a step from 0 to 10 of its schedule"),
    "a time ahead": (StepDraft("B-1", 1, at=NOW + 0.5), "time: got '30 min ahead', expected a time that has passed"),
    "an amount on what is no coat": (StepDraft("B-1", 0, amount_ml=20.0), "an amount on a coat and on no other step"),
    "an amount of nothing": (StepDraft("B-1", 1, amount_ml=-3.0), "amount"),
    "a can that is not there": (StepDraft("B-1", 1, can=7), "can: got 7, expected a can that is there"),
    "a note without end": (StepDraft("B-1", 0, note="x" * 10_001), "no more than 10,000 characters"),
    "wiping off what is not on": (StepDraft("B-1", 2), "coat 1 of 4 first: it is not on record"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_and_nothing_written(shop: Shop, name: str) -> None:
    begin(shop)
    draft, said = REFUSED[name]
    with pytest.raises(BadInput) as refusal:
        record.record_step(shop, draft, NOW)
    assert said in str(refusal.value)
    assert on_file(shop, "B-1") == []


def test_an_unknown_batch_is_refused_with_the_nearest(shop: Shop) -> None:
    begin(shop)
    with pytest.raises(NotFound, match="nearest: B-1"):
        record.record_step(shop, StepDraft("B-11"), NOW)


@pytest.mark.parametrize("position", [0, 1])
def test_no_step_twice(shop: Shop, position: int) -> None:
    begin(shop)
    do(shop, "B-1", NOW, NOW + 1)
    before = on_file(shop, "B-1")
    with pytest.raises(BadInput, match="not on record yet; correct or void its entry if it was wrong"):
        record.record_step(shop, StepDraft("B-1", position), NOW + 2)
    assert on_file(shop, "B-1") == before


def test_nothing_goes_before_the_first_coat_once_it_is_on(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    with pytest.raises(BadInput, match="a time after coat 1 of 4, 09:00"):
        record.record_step(shop, StepDraft(code, 3, at=NOW - 1), NOW + 1)
    coat(shop, code, NOW + 20)
    with pytest.raises(BadInput, match="a time after coat 2 of 4, 05:00"):
        record.record_step(shop, StepDraft(code, 6, at=NOW + 10), NOW + 30)
    assert len(on_file(shop, code)) == 2


def test_a_finished_batch_has_no_next_step(shop: Shop) -> None:
    code = begin(shop, schedule="two-part-hard-wax-one")
    do(shop, code, NOW, NOW + 0.1, NOW + 0.2, NOW + 0.45)
    with pytest.raises(BadInput, match="a batch with a step left to do"):
        record.record_step(shop, StepDraft(code), NOW + 9)


def test_the_next_coat_by_number_and_face(shop: Shop) -> None:
    begin(shop, "V-1", "brushed-varnish-three")
    assert record.coat_position(shop, "V-1", None, None, NOW) == 1
    assert record.coat_position(shop, "V-1", 1, Face.BOTTOM, NOW) == 3
    assert record.coat_position(shop, "V-1", 3, Face.TOP, NOW) == 9
    with pytest.raises(BadInput, match="one of the 3 coats"):
        record.coat_position(shop, "V-1", 4, None, NOW)
    coat(shop, "V-1", NOW)
    with pytest.raises(BadInput, match="not on record yet"):
        record.coat_position(shop, "V-1", 1, Face.TOP, NOW)


def test_a_suggestion_says_how_much_from_which_can_and_what_to_heed(shop: Shop) -> None:
    code = begin(shop)
    coat(shop, code, NOW)
    found = suggest(shop, code, 3, NOW + 2)
    # 4 pieces of 300 x 200 x 18 mm, both faces and edges: 0.552 m² at the later coats' 25 m²/L of the finish's file.
    assert found.amount_ml == pytest.approx(4 * (2 * 0.3 * 0.2 + 2 * (0.3 + 0.2) * 0.018) / 25 * 1000)
    assert found.draft == StepDraft(code, 3)
    assert found.words == "coat 2 of 4, Wiping varnish, oil-modified urethane"
    assert found.heed.startswith("early: sure to 80 in 100 only from 18:40 (in 7 h 41)")
    assert {"oily_rags", "solvent_vapour"} <= {caution.code for caution in found.cautions}
    assert found.pass_words.startswith("1 pass of up to 4 pieces")
    assert on_file(shop, code)[1:] == []


def test_a_step_after_a_coat_is_wiping_it_off_until_the_next_is_due(shop: Shop) -> None:
    """The coat's minutes to be wiped are over and abrading is not due for hours: what was done is the wiping off."""
    begin(shop, "W-1", "wiped-varnish-four")
    coat(shop, "W-1", NOW)
    late = NOW + 2.0
    following = shop.standing("W-1", late).fold.next(late)
    assert following is not None
    assert following.opens is not None
    assert following.opens > late
    draft = StepDraft("W-1")
    standing, position = record.coming(shop, draft, late)
    assert standing.batch.schedule.steps[position].kind is StepKind.WIPE
    assert "if it was done in time, say when" in heed.after(standing, position, late, ZONE)
    assert record.record_step(shop, draft, late) == "W-1: wipe off, on record"
    _, position = record.coming(shop, draft, following.opens)
    assert position == following.position, "and then what follows"
