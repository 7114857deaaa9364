"""The pass guide: kept after every press, found again after a kill, and one complete entry at the end."""

from __future__ import annotations

import os
import signal
import subprocess
import sys

import pytest

from finishing.cure.session import OVER
from finishing.cure.session_run import Do, Phase
from finishing.cure.work import CoatEntry, StepEntry
from finishing.errors import BadInput, StoreTrouble
from finishing.shop import batches, cans, guide, record
from finishing.shop.drafts import CanDraft, NewBatchDraft, StepDraft
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.guide import Used
from finishing.shop.guide_plan import prepare
from finishing.shop.shop import Shop
from finishing.store import Conflict, guides
from finishing.store.kinds import NoteEntry
from tests.shop.built import NOW
from tests.shop.doing import on_file

M = 1.0 / 60.0


def batch(shop: Shop, code: str = "B-1", schedule: str = "wiped-varnish-in-window", pieces: int = 6) -> str:
    """Pieces of maple, prepared; step 1 is the first coat, step 2 wipes it off."""
    draft = NewBatchDraft(
        "trays", pieces, schedule, "loft", parse_woods("hard maple"), parse_piece_size("300x200x18"), code
    )
    batches.begin_batch(shop, draft, NOW - 2)
    record.record_step(shop, StepDraft(code), NOW - 1)
    return code


def tell(shop: Shop, code: str, *presses: tuple[Do, float]) -> guide.Guide:
    """Tell a guide things, at minutes after NOW."""
    for do, minute in presses:
        told = guide.press(shop, code, do, NOW + minute * M)
    return told


# Six pieces of wiping varnish: coat 2.5, wipe 1, from 1 to 10 min: of five the first lies 10 min. Two passes of three.
WHOLE = (
    (Do.COATED, 2.5),
    (Do.COATED, 5),
    (Do.COATED, 7.5),
    (Do.WIPED, 9),
    (Do.WIPED, 10),
    (Do.WIPED, 11),
    (Do.NEXT_PASS, 12),
    (Do.PASS_COATED, 19.5),
    (Do.PASS_WIPED, 23),
)


def test_prepared_says_what_it_takes(shop: Shop) -> None:
    batch(shop)
    can = cans.shelve(shop, CanDraft("wiping-varnish", 950, "L-1", opened=True), NOW)
    found = prepare(shop, "B-1", None, NOW)
    assert (found.position, found.words) == (1, "coat 1 of 4")
    assert found.plan.sizes == (3, 3)
    # 300x200x18 both faces and edges: 2 * 0.06 + 2 * 0.5 * 0.018 = 0.138 m²; at 20 m²/L 6.9 mL a piece.
    assert found.plan.amount_ml == pytest.approx(6 * 6.9)
    assert found.plan.ready_ml == pytest.approx(6 * 6.9 * (1 + OVER))
    assert found.air == "loft 21 °C, 50 % RH"
    assert [number for number, _ in found.cans] == [can]
    assert {"oily_rags", "solvent_vapour"} <= {c.code for c in found.cautions}
    assert "food_before_cure" not in {c.code for c in found.cautions}
    assert found.after.startswith("coat 2 of 4, from ")
    assert found.trouble == ""


def test_turning_over_is_said_where_the_schedule_has_it(shop: Shop) -> None:
    batch(shop, "B-2", "brushed-varnish-three")
    found = prepare(shop, "B-2", None, NOW)
    assert found.after.startswith("turn over, from ")
    assert found.plan.wipe_minutes is None
    assert found.plan.sizes == (6,)


def test_cold_air_is_cautioned(shop: Shop) -> None:
    batch(shop, "B-3", "waterborne-three")
    record.move(shop, "B-3", "cellar", NOW)  # 10 °C, and dewed soon: the finish wants more
    codes = {c.code for c in prepare(shop, "B-3", None, NOW).cautions}
    cold = shop.standing("B-3", NOW).batch.finishes["waterborne-clear"].limits.minimum_c > 10.0
    assert ("too_cold" in codes) is cold
    batch(shop, "B-4", "two-part-film-two")
    plan = prepare(shop, "B-4", None, NOW).plan
    assert plan.pot_life_hours == 4
    assert [mix.pieces for mix in plan.mixes()] == [6]


def test_a_whole_session_leaves_one_complete_entry(shop: Shop) -> None:
    batch(shop)
    can = cans.shelve(shop, CanDraft("wiping-varnish", 950, "L-1", opened=True), NOW)
    before = len(on_file(shop, "B-1"))
    guide.begin(shop, "B-1", None, NOW)
    tell(shop, "B-1", *WHOLE)
    assert len(on_file(shop, "B-1")) == before
    tell(shop, "B-1", (Do.RAGS_SAFE, 24))
    said = guide.finish(shop, "B-1", Used(44.0, can, "thin"), NOW + 30 * M)
    assert said.startswith("B-1: coat 1 of 4, on record; next: coat 2 of 4")
    coat, wipe, note = [r.entry for r in on_file(shop, "B-1")[before:]]
    assert isinstance(coat, CoatEntry)
    assert (coat.step, coat.amount_ml, coat.wiped_back) == (1, 44.0, True)
    assert coat.at == pytest.approx(NOW + 19.5 * M, abs=1e-6)
    assert on_file(shop, "B-1")[before].can_id == can
    assert isinstance(wipe, StepEntry)
    assert (wipe.step, wipe.at) == (2, pytest.approx(NOW + 23 * M, abs=1e-6))
    assert isinstance(note, NoteEntry)
    # Coating 7.5 + 7.5 min of 6 pieces; wiping 3.5 and 3.5: each time the first could be wiped at once.
    assert "6 of 6 pieces coated, 6 wiped" in note.text
    assert "coating 2.5 min a piece; wiping 1.2 min a piece; hands-on 22 min" in note.text
    assert note.text.endswith(". thin")
    assert guide.resume(shop, "B-1") is None
    following = shop.standing("B-1", NOW + 30 * M).fold.next(NOW + 30 * M)
    assert following is not None
    assert following.position == 3
    assert cans.sheet(shop, can).left_ml == 950 - 44


def test_rags_come_before_the_end_whichever_end(shop: Shop) -> None:
    batch(shop)
    guide.begin(shop, "B-1", None, NOW)
    tell(shop, "B-1", (Do.COATED, 2))
    with pytest.raises(BadInput, match="rags"):
        guide.abandon(shop, "B-1", NOW + 5 * M)
    tell(shop, "B-1", (Do.RAGS_SAFE, 3), *((do, at + 5) for do, at in WHOLE if do is not Do.COATED or at > 3))
    found = guide.resume(shop, "B-1")
    assert found is not None
    assert found.run().phase is Phase.RAGS
    with pytest.raises(BadInput, match="rags"):
        guide.finish(shop, "B-1", Used(), NOW + 40 * M)
    with pytest.raises(BadInput, match="rags"):
        guide.abandon(shop, "B-1", NOW + 40 * M)
    # A finish without that hazard asks for nothing.
    batch(shop, "B-2", "waterborne-three", 2)
    guide.begin(shop, "B-2", None, NOW)
    tell(shop, "B-2", (Do.PASS_COATED, 5))
    assert "on record" in guide.finish(shop, "B-2", Used(), NOW + 40 * M)


def test_a_pass_never_wiped_is_a_coat_not_wiped_back(shop: Shop) -> None:
    batch(shop)
    guide.begin(shop, "B-1", None, NOW)
    tell(shop, "B-1", (Do.PASS_COATED, 7), (Do.NEXT_PASS, 8), (Do.PASS_COATED, 15), (Do.PASS_WIPED, 19))
    tell(shop, "B-1", (Do.RAGS_SAFE, 20))
    guide.finish(shop, "B-1", Used(), NOW + 30 * M)
    coats = [r.entry for r in on_file(shop, "B-1") if isinstance(r.entry, CoatEntry)]
    assert [c.wiped_back for c in coats] == [False]
    assert not [r for r in on_file(shop, "B-1") if isinstance(r.entry, StepEntry) and r.entry.step == 2]
    assert "3 left unwiped" in str(on_file(shop, "B-1")[-1].entry)


def test_two_guides_at_once_and_one_a_batch(shop: Shop, other: Shop) -> None:
    batch(shop)
    batch(shop, "B-2")
    guide.begin(shop, "B-1", None, NOW)
    guide.begin(other, "B-2", None, NOW)
    with pytest.raises(BadInput, match="no guide running"):
        guide.begin(other, "B-1", None, NOW)
    tell(shop, "B-2", (Do.COATED, 2))
    assert [(g.code, len(g.presses)) for g in guide.running(other)] == [("B-1", 1), ("B-2", 2)]
    with pytest.raises(BadInput, match="guide running"):
        guide.press(shop, "B-3", Do.COATED, NOW)


def test_the_second_to_tell_is_told(shop: Shop, other: Shop) -> None:
    batch(shop)
    mine = guide.begin(shop, "B-1", None, NOW)
    guide.press(other, "B-1", Do.COATED, NOW + M, seen=len(mine.presses))
    with pytest.raises(Conflict, match="went on elsewhere"):
        guide.press(shop, "B-1", Do.COATED, NOW + M, seen=len(mine.presses))
    found = guide.resume(shop, "B-1")
    assert found is not None
    assert len(found.run().coated) == 1


def test_taking_back(shop: Shop) -> None:
    batch(shop)
    guide.begin(shop, "B-1", None, NOW)
    tell(shop, "B-1", (Do.COATED, 2), (Do.COATED, 3))
    assert len(guide.take_back(shop, "B-1", NOW + 4 * M, seen=3).run().coated) == 1
    guide.take_back(shop, "B-1", NOW + 4 * M)
    with pytest.raises(BadInput, match="since the start"):
        guide.take_back(shop, "B-1", NOW + 4 * M)


def test_given_up_it_leaves_a_note_and_no_coat(shop: Shop) -> None:
    batch(shop)
    before = len(on_file(shop, "B-1"))
    guide.begin(shop, "B-1", None, NOW)
    tell(shop, "B-1", (Do.COATED, 2), (Do.RAGS_SAFE, 3))
    guide.abandon(shop, "B-1", NOW + 4 * M, "ran out")
    (note,) = [r.entry for r in on_file(shop, "B-1")[before:]]
    assert isinstance(note, NoteEntry)
    assert note.text == "pass guide of coat 1 of 4 given up: 1 of 6 pieces coated, 0 wiped. ran out"
    assert guide.running(shop) == ()
    guide.begin(shop, "B-1", None, NOW + 5 * M)


def test_recorded_elsewhere_meanwhile_nothing_is_doubled(shop: Shop, other: Shop) -> None:
    batch(shop)
    guide.begin(shop, "B-1", None, NOW)
    tell(shop, "B-1", *WHOLE, (Do.RAGS_SAFE, 24))
    record.record_step(other, StepDraft("B-1"), NOW + 25 * M)
    before = len(on_file(shop, "B-1"))
    with pytest.raises(BadInput, match="on record yet"):
        guide.finish(shop, "B-1", Used(), NOW + 30 * M)
    assert len(on_file(shop, "B-1")) == before
    assert guide.resume(shop, "B-1") is not None
    assert "on record yet" in prepare(shop, "B-1", 1, NOW + 30 * M).trouble


@pytest.mark.parametrize("amount", [-1.0, 0.0, float("nan"), float("inf")])
def test_nothing_is_half_written(shop: Shop, amount: float) -> None:
    batch(shop)
    guide.begin(shop, "B-1", None, NOW)
    before = len(on_file(shop, "B-1"))
    with pytest.raises(BadInput, match="over"):
        guide.finish(shop, "B-1", Used(), NOW)
    tell(shop, "B-1", *WHOLE, (Do.RAGS_SAFE, 24))
    with pytest.raises(BadInput, match="amount"):
        guide.finish(shop, "B-1", Used(amount), NOW + 30 * M)
    with pytest.raises(BadInput, match="note"):
        guide.finish(shop, "B-1", Used(note="x" * 20_000), NOW + 30 * M)
    with pytest.raises(BadInput):
        guide.finish(shop, "B-1", Used(can=99), NOW + 30 * M)
    assert len(on_file(shop, "B-1")) == before
    assert guide.resume(shop, "B-1") is not None


@pytest.mark.parametrize("body", [{"format": 2}, "text", {"format": 1, "plan": {}}, {"format": 1, "position": 1}, []])
def test_a_guide_that_can_not_be_read_says_so_and_can_be_given_up(shop: Shop, body: object) -> None:
    batch(shop)
    with shop.store.write() as w:
        guides.keep(w, "B-1", body, NOW)  # type: ignore[arg-type]
        w.commit()
    with pytest.raises(StoreTrouble, match="can't be read"):
        guide.resume(shop, "B-1")
    assert guide.running(shop) == ()
    guide.abandon(shop, "B-1", NOW)
    assert guide.resume(shop, "B-1") is None


def test_a_step_that_is_no_coat_or_not_to_be_is_refused(shop: Shop) -> None:
    batch(shop)
    for position, match in ((0, "a coat"), (99, "a coat"), (3, "first")):
        with pytest.raises(BadInput, match=match):
            guide.begin(shop, "B-1", position, NOW)
    assert guide.running(shop) == ()


MAKER = """
import sys
from pathlib import Path
from finishing.cure.session_run import Do
from finishing.shop import guide
from finishing.shop.shop import Shop
from finishing.store import Location

now = float(sys.argv[2])
shop = Shop.open(now, Location(Path(), sys.argv[1]))
if sys.argv[3] == "work":
    guide.begin(shop, "B-1", None, now)
    guide.press(shop, "B-1", Do.COATED, now + 2 / 60)
    guide.press(shop, "B-1", Do.COATED, now + 4 / 60)
    print("told", flush=True)
    sys.stdin.read()  # until it is killed
else:
    found = guide.resume(shop, "B-1")
    run = found.run()
    print(found.position, *[round((at - now) * 60, 3) for at in run.coated], run.phase.value)
"""


def test_killed_half_way_it_is_found_where_it_was(shop: Shop) -> None:
    batch(shop)
    command = [sys.executable, "-c", MAKER, shop.store.location.url, repr(NOW)]
    with subprocess.Popen([*command, "work"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as maker:
        assert maker.stdout is not None
        assert maker.stdout.readline() == "told\n"
        os.kill(maker.pid, signal.SIGKILL)
        maker.communicate()
        assert maker.returncode == -signal.SIGKILL
    after = subprocess.run([*command, "look"], capture_output=True, text=True, check=True)
    assert after.stdout == "1 2.0 4.0 coating\n"
    found = guide.resume(shop, "B-1")
    assert found is not None
    assert [p.do for p in found.presses] == [Do.START, Do.COATED, Do.COATED]


def test_pieces_left_bare_are_not_called_coated(shop: Shop) -> None:
    batch(shop)
    guide.begin(shop, "B-1", 1, NOW)
    tell(shop, "B-1", *WHOLE[:6], (Do.END, 12), (Do.RAGS_SAFE, 13))
    now = NOW + 14 * M
    said = guide.finish(shop, "B-1", Used(60.0), now)
    assert "coat 1 of 4, on record for 3; not coated: 3, now B-1.2" in said
    coated, bare = shop.standing("B-1", now), shop.standing("B-1.2", now)
    assert (coated.row.pieces, bare.row.pieces) == (3, 3)
    assert [c.entry.amount_ml for c in on_file(shop, "B-1") if isinstance(c.entry, CoatEntry)] == [60.0]
    assert not any(isinstance(r.entry, CoatEntry) for r in on_file(shop, "B-1.2"))
    following = bare.progress(now).next
    assert following is not None
    assert following.position == 1  # their coat is still to do
    assert bare.progress(now).steps[0].done


def test_a_split_whose_coat_did_not_go_on_record_is_not_made_again(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    batch(shop)
    guide.begin(shop, "B-1", 1, NOW)
    tell(shop, "B-1", *WHOLE[:6], (Do.END, 12), (Do.RAGS_SAFE, 13))
    now = NOW + 14 * M
    with monkeypatch.context() as patched:
        patched.setattr(guide, "_end", lambda *_, **__: (_ for _ in ()).throw(StoreTrouble("gone")))
        with pytest.raises(StoreTrouble):
            guide.finish(shop, "B-1", Used(), now)
    assert "on record;" in guide.finish(shop, "B-1", Used(), now)
    assert {row.code: row.progress.batch.pieces for row in shop.bench(now).rows} == {"B-1": 3, "B-1.2": 3}
