"""What is said back as work is put on record: early, skipped, hardly true; and what nobody recorded.

The wipe-off window, the recoat time and the amounts are read from the shipped finish; the rest is arithmetic.
"""

from __future__ import annotations

import pytest

from finishing.cure.finish import Finish
from finishing.cure.terms import Stage
from finishing.errors import BadInput
from finishing.shop import cans, heed, record
from finishing.shop.drafts import CanDraft, StepDraft
from finishing.shop.plan.compare import about
from finishing.shop.sheets import batch_view, step_state
from finishing.shop.shop import Shop
from finishing.shop.suggest import suggest

from .built import NOW, ZONE, begin
from .doing import coat, do, on_file

MINUTE = 1 / 60
WIPED = "wiped-varnish-in-window"  # prepare, coat, wipe, coat, wipe, abrade, coat, wipe, coat, wipe, rest


def varnish(shop: Shop) -> Finish:
    return shop.library.finish("wiping-varnish")


def heeded(shop: Shop, code: str, position: int, at: float) -> str:
    return heed.after(shop.standing(code, at), position, at, ZONE)


def test_a_coat_too_early_is_said_to_be_whatever_was_skipped(shop: Shop) -> None:
    begin(
        shop, "W-1", "walnut-oil-board"
    )  # prepare, coat, wipe, abrade, coat: the stage between two coats stands at the coat
    coat(shop, "W-1", NOW)
    second = record.coat_position(shop, "W-1", 2, None, NOW)
    said = heeded(shop, "W-1", second, NOW + MINUTE)
    assert "wipe off and abrade P320 are not on record, taken as done" in said
    assert "early: sure to 80 in 100 only from" in said


def test_abrading_a_wet_coat_is_said_to_be_early(shop: Shop) -> None:
    begin(shop, "A-1", "waterborne-three")
    coat(shop, "A-1", NOW)
    following = shop.standing("A-1", NOW).fold.next(NOW)
    assert following is not None
    assert heeded(shop, "A-1", following.position, NOW + MINUTE).startswith("early: sure to 80 in 100 only from")
    assert following.opens is not None
    assert heeded(shop, "A-1", following.position, following.opens + MINUTE) == ""


def test_a_solvent_wipe_left_out_is_said(shop: Shop) -> None:
    begin(shop, "S-1", "wiped-varnish-sealed", woods="padauk")
    record.record_step(shop, StepDraft("S-1"), NOW)
    first = record.coat_position(shop, "S-1", None, None, NOW)
    assert heeded(shop, "S-1", first, NOW) == "wipe with solvent is not on record, taken as done"


def stale(shop: Shop, code: str, at: float) -> list[tuple[str, bool]]:
    """What is said of a wipe with solvent gone stale, and whether it is urgent."""
    cautions = shop.standing(code, at).progress(at).cautions
    return [(c.text, c.urgent) for c in cautions if c.code == "stale_wipe"]


def test_a_solvent_wipe_goes_stale(shop: Shop) -> None:
    """Half an hour is what makers are told, an hour what is let pass: common practice, no source."""
    begin(shop, "S-1", "wiped-varnish-sealed", woods="padauk")
    do(shop, "S-1", NOW, NOW + 1.0)  # prepared, wiped with solvent
    first = record.coat_position(shop, "S-1", None, None, NOW)
    wiped = NOW + 1.0
    for soon in (wiped + 0.5, wiped + 1.0):
        assert (stale(shop, "S-1", soon), heeded(shop, "S-1", first, soon)) == ([], "")
    late = wiped + 20.0
    said = "wiped with solvent 20 h ago, and oil comes up again: once more, and coat within half an hour"
    assert stale(shop, "S-1", late) == [(said, True)]
    assert suggest(shop, "S-1", None, late).heed == "the wipe with solvent was 20 h ago: wipe again"
    assert heeded(shop, "S-1", first, late) == "20 h after the wipe with solvent"
    coat(shop, "S-1", late)
    ((after, urgent),) = stale(shop, "S-1", late + 1.0)
    assert after.startswith("coat 1 went on 20 h after the wipe with solvent; its times are those of freshly wiped")
    assert not urgent


def test_a_stale_wipe_is_put_on_record_once_more(shop: Shop) -> None:
    begin(shop, "S-1", "wiped-varnish-sealed", woods="padauk")
    do(shop, "S-1", NOW, NOW)
    again = shop.standing("S-1", NOW).fold.wipe_again(NOW + 20.0)
    assert again == 1
    with pytest.raises(BadInput, match="not on record yet"):
        record.record_step(shop, StepDraft("S-1", again), NOW + 0.5)
    assert "once more" in suggest(shop, "S-1", again, NOW + 20.0).heed
    record.record_step(shop, StepDraft("S-1", again), NOW + 20.0)
    assert stale(shop, "S-1", NOW + 20.4) == []
    coat(shop, "S-1", NOW + 20.4)
    assert stale(shop, "S-1", NOW + 21.0) == []


def test_a_coat_that_takes_more_than_its_cans_hold_is_said(shop: Shop) -> None:
    begin(shop, "B-1", WIPED)
    assert suggest(shop, "B-1", 1, NOW).heed == "prepare P220 is not on record, taken as done"
    do(shop, "B-1", NOW)
    suggested = suggest(shop, "B-1", 1, NOW)
    takes = suggested.amount_ml
    assert takes is not None
    assert suggested.heed == "", "no can is on the shelf: nothing is known of what there is"
    cans.add_can(shop, CanDraft("wiping-varnish", takes - 5.0), NOW)
    assert suggest(shop, "B-1", 1, NOW).heed == f"it takes about {takes:.0f} mL, its can holds {takes - 5.0:.0f} mL"
    cans.add_can(shop, CanDraft("wiping-varnish", 10.0), NOW)
    assert suggest(shop, "B-1", 1, NOW).heed == ""


def test_wood_without_oil_needs_no_fresh_wipe(shop: Shop) -> None:
    begin(shop, "S-1", "wiped-varnish-sealed", woods="hard maple")
    do(shop, "S-1", NOW, NOW)
    assert stale(shop, "S-1", NOW + 20.0) == []
    # and a wipe that nobody recorded may have been a minute ago
    begin(shop, "S-2", "wiped-varnish-sealed", woods="padauk")
    do(shop, "S-2", NOW)
    assert stale(shop, "S-2", NOW + 20.0) == []


def test_a_wipe_off_typed_in_late_is_no_abrading(shop: Shop) -> None:
    """By the finish's own window: what was done inside it is the wipe-off; what nobody recorded is not called done."""
    begin(shop, "B-1", WIPED)
    coat(shop, "B-1", NOW)
    window = varnish(shop).wipe
    assert window is not None
    late = NOW + 2 * window.to_minutes * MINUTE
    standing = shop.standing("B-1", late)
    p = standing.progress(late)
    wipe = standing.fold.coats[0].step + 1
    assert step_state(p, wipe) == "taken"
    assert batch_view(standing, [], late, ZONE)["steps"][wipe]["state"] == "taken"
    assert "wipe_off_unrecorded" in [c.code for c in p.cautions]
    said = record.record_step(shop, StepDraft("B-1", at=NOW + window.from_minutes * MINUTE), late)
    assert "wipe off" in said
    assert on_file(shop, "B-1")[-1].entry.step == wipe  # type: ignore[union-attr]
    after = shop.standing("B-1", late)
    assert step_state(after.progress(late), wipe) == "done"
    assert "wipe_off_unrecorded" not in [c.code for c in after.progress(late).cautions]


def test_what_can_hardly_have_gone_on_is_asked_about(shop: Shop) -> None:
    can = cans.shelve(shop, CanDraft("wiping-varnish", 473.0, opened=True), NOW)
    begin(shop, "C-1", WIPED)
    usual = suggest(shop, "C-1", 1, NOW).amount_ml
    assert usual is not None
    position = record.coat_position(shop, "C-1", None, None, NOW)
    said = record.record_step(shop, StepDraft("C-1", position, at=NOW, amount_ml=20 * usual, can=can), NOW)
    assert f"is 20 times what such a coat takes, {usual:.0f} mL" in said
    assert f"by the record can {can} held 473 mL" in said
    assert said.endswith("void it if that was a slip")
    begin(shop, "C-2", WIPED)
    said = record.record_step(shop, StepDraft("C-2", position, at=NOW, amount_ml=usual), NOW)
    assert said == "C-2: coat 1 of 4, on record"


def test_only_what_is_wiped_off_can_be_left_on(shop: Shop) -> None:
    begin(shop, "L-1", "shellac-brushed-two")
    position = record.coat_position(shop, "L-1", None, None, NOW)
    with pytest.raises(BadInput, match="wipes off"):
        record.record_step(shop, StepDraft("L-1", position, at=NOW, wiped_back=False), NOW)
    assert on_file(shop, "L-1") == []


def test_a_batch_that_was_moved_is_asked_about_where_it_stands(shop: Shop) -> None:
    """The loft stands at 21 °C, the cellar at 10: the reason names both, and what is asked about is where it is now."""
    begin(shop, "M-1", WIPED)
    coat(shop, "M-1", NOW)
    record.move(shop, "M-1", "cellar", NOW + 2)
    assert about(shop, "M-1", NOW + 2).place == "cellar"
    assert any("air 10 °C to 21 °C" in line for line in shop.reasons("M-1", NOW + 2))


def test_a_step_of_the_same_moment_as_another_benchs_coat_comes_after_it(shop: Shop, other: Shop) -> None:
    """Two benches press a key at once: what looked at its clock first may be written last."""
    begin(shop, "R-1", WIPED)
    coat(other, "R-1", NOW + MINUTE / 4)
    shop.forget()
    record.record_step(shop, StepDraft("R-1"), NOW + MINUTE / 8)
    assert [entry.entry.at for entry in on_file(shop, "R-1")] == [NOW + MINUTE / 4] * 2


def test_a_batch_that_leaves_while_soft_or_unfinished_is_told(shop: Shop) -> None:
    begin(shop, "B-1", "two-part-hard-wax-one")
    begin(shop, "B-2")
    begin(shop, "B-3")
    do(shop, "B-1", NOW, NOW + 0.1, NOW + 0.2)
    coat(shop, "B-2", NOW)
    said = record.close(shop, "B-1", NOW + 1)
    assert said.startswith("B-1: closed, still soft (may be packed from ")
    assert record.close(shop, "B-2", NOW + 1) == "B-2: closed, not finished (coat 2 of 4 is not on), on record"
    assert record.close(shop, "B-3", NOW + 1) == "B-3: closed, on record"


def test_a_coat_of_years_back_is_asked_about(shop: Shop) -> None:
    code = begin(shop)
    said = record.record_step(shop, StepDraft(code, 1, at=NOW - 365.25 * 48), NOW)
    assert said == "B-1: coat 1 of 4, on record; it is dated 9 Mar 2024, 2 years ago: correct it if that was a slip"


def test_a_step_soon_after_a_coat_is_its_wiping_off_though_its_minutes_are_over(shop: Shop) -> None:
    """Until the first coats in five could be ready for what comes next; the last coat's too, that nothing follows."""
    begin(shop, "B-1", WIPED)
    coat(shop, "B-1", NOW)
    coat(shop, "B-1", NOW + 8.0)
    standing = shop.standing("B-1", NOW + 9.0)
    gate = standing.fold.coats[-1].stages[Stage.DRY_TO_RECOAT]
    assert gate is not None
    assert gate.could_be is not None
    early = record.coming(shop, StepDraft("B-1", at=gate.could_be + MINUTE), gate.could_be + 1.0)
    assert early[1] == 5, "a coat in five is ready then, so this may be the abrading"
    late = NOW + 8.0 + 20 * MINUTE
    assert heeded(shop, "B-1", record.coming(shop, StepDraft("B-1"), late)[1], late).startswith("late: ")
    assert record.record_step(shop, StepDraft("B-1", at=late), late + 1.0) == "B-1: wipe off, on record"
    assert on_file(shop, "B-1")[-1].entry.step == 4  # type: ignore[union-attr]

    begin(shop, "H-1", "hard-wax-two")
    coat(shop, "H-1", NOW)
    coat(shop, "H-1", NOW + 40.0)
    late = NOW + 41.0
    assert shop.standing("H-1", late).fold.next(late) is None
    assert record.record_step(shop, StepDraft("H-1", at=late), late + 1.0) == "H-1: wipe off, on record"
    with pytest.raises(BadInput, match="a batch with a step left to do"):
        record.record_step(shop, StepDraft("H-1"), late + 1.0)
