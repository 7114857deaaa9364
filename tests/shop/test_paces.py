"""Hands-on minutes learned from sessions, and where they go: the plan, the comparison, the preview of a batch."""

from __future__ import annotations

import statistics
from dataclasses import replace

import pytest

from finishing.cure.learn.pace import pace
from finishing.cure.session_run import Do
from finishing.cure.terms import StepKind
from finishing.cure.work import CoatEntry, StepEntry
from finishing.shop import batches, guide, record, split
from finishing.shop.correct import correct
from finishing.shop.drafts import CorrectDraft, NewBatchDraft
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.learning.paces import Pace, paced, paces
from finishing.shop.plan.ask import ask
from finishing.shop.plan.compare import compare
from finishing.shop.plan.compared import Wanted
from finishing.shop.shop import Shop
from finishing.store import batches as stored
from finishing.store import entries

from .built import NOW, begin
from .doing import on_file
from .test_guide import WHOLE, M, batch, tell

VARNISH = "wiping-varnish"
PUT_ON = (VARNISH, StepKind.COAT)
SCHEDULE = "wiped-varnish-in-window"


def timed(shop: Shop, code: str, ratio: float, at: float = NOW) -> None:
    """A batch whose first coat took a multiple of the stated minutes."""
    begin(shop, code, SCHEDULE, at=at)
    steps = shop.library.schedule(SCHEDULE).steps
    position = next(i for i, s in enumerate(steps) if s.finish == VARNISH)
    with shop.store.write() as w:
        row = stored.by_code(w, code)
        minutes = steps[position].minutes_per_piece * ratio
        entries.add(w, row.id, CoatEntry(0, at, position, minutes_each=minutes), recorded_at=at)
        w.commit()
    shop.forget()


def test_the_pace_is_the_median_of_sessions_and_stated_minutes() -> None:
    """Against Python's own median; one session alone moves nothing, and one gone wrong moves little."""
    assert pace([]) == 1.0
    assert pace([2.0]) == 1.0
    assert pace([0.5] * 4) == pytest.approx(0.5)
    assert pace([0.7, 0.8, 0.9]) == pytest.approx(statistics.median([0.7, 0.8, 0.9, 1.0, 1.0]))
    assert pace([0.8] * 6 + [3.9]) == pytest.approx(0.8)
    assert pace([0.8] * 6 + [60.0]) == pytest.approx(0.8)


def test_a_session_counts_again_once_its_correction_is_taken_back(shop: Shop) -> None:
    for i in range(5):
        timed(shop, f"B-{i}", 0.6, NOW + i)
    before = paces(shop)
    number = on_file(shop, "B-0")[0].entry.number
    correct(shop, CorrectDraft("B-0", number, NOW - 1), NOW + 9)
    assert paces(shop) == before
    record.undo(shop, "B-0", NOW + 9)
    assert paces(shop) == before


def test_sessions_go_into_the_schedule_and_no_further(shop: Shop) -> None:
    for i in range(5):
        timed(shop, f"B-{i}", 0.6, NOW + i)
    found = paces(shop)
    assert found == {PUT_ON: Pace(pytest.approx(0.6, abs=1e-3), 5)}
    own = shop.library.schedule(SCHEDULE)
    with_it = paced(own, found)
    for before, after in zip(own.steps, with_it.steps, strict=True):
        mine = before.finish == VARNISH
        assert after.minutes_per_piece == pytest.approx(before.minutes_per_piece * (0.6 if mine else 1.0))
        assert replace(after, minutes_per_piece=before.minutes_per_piece) == before
    other = shop.library.schedule("hard-wax-two")
    assert paced(other, found) is other


def test_a_voided_session_and_a_copied_one_are_not_counted_twice(shop: Shop) -> None:
    for i in range(4):
        timed(shop, f"B-{i}", 0.6, NOW + i)
    split.split(shop, split.SplitDraft("B-0", 2), NOW + 9)
    assert paces(shop)[PUT_ON].sessions == 4
    number = next(r.entry.number for r in on_file(shop, "B-3") if isinstance(r.entry, CoatEntry))
    record.void(shop, "B-3", number, NOW + 9)
    assert paces(shop)[PUT_ON].sessions == 3


def test_plan_comparison_and_preview_take_them(shop: Shop) -> None:
    size, woods = parse_piece_size("300x200x18"), parse_woods("hard maple")
    draft = NewBatchDraft("trays", 40, SCHEDULE, "loft", woods, size)
    wanted = Wanted((SCHEDULE,), 40, tuple(woods), size=size, place="loft", busy=False)
    before = batches.preview(shop, draft, NOW + 20)[0]
    begin(shop, "P-1", SCHEDULE)

    def planned() -> float:
        return sum(task.minutes for task in ask(shop, NOW + 20).items["P-1"].job.tasks)

    slow = planned()
    (stated,) = compare(shop, wanted, NOW + 20).columns
    for i in range(6):
        timed(shop, f"B-{i}", 0.5, NOW + i)
    (found,) = compare(shop, wanted, NOW + 20).columns
    steps = shop.library.schedule(SCHEDULE).steps
    saved = sum(0.5 * s.minutes_per_piece * 40 for s in steps if s.finish == VARNISH)
    assert stated.minutes - found.minutes == pytest.approx(saved, rel=0.02)
    assert slow - planned() == pytest.approx(saved * 4 / 40, rel=0.02)
    assert batches.preview(shop, draft, NOW + 20)[0] != before


def test_the_pass_guide_leaves_its_minutes_with_its_entries(shop: Shop) -> None:
    """Six pieces coated in 2.5 minutes each and wiped in one each; a wait before wiping is no work."""
    batch(shop)
    guide.begin(shop, "B-1", None, NOW)
    tell(shop, "B-1", *WHOLE, (Do.RAGS_SAFE, 25))
    run = guide.resume(shop, "B-1").run()  # type: ignore[union-attr]
    guide.finish(shop, "B-1", guide.Used(), NOW + 26 * M)
    (laid,) = (r.entry for r in on_file(shop, "B-1") if isinstance(r.entry, CoatEntry))
    wiped = next(r.entry for r in on_file(shop, "B-1") if isinstance(r.entry, StepEntry) and r.entry.step == 2)
    assert laid.minutes_each == pytest.approx(2.5, abs=0.01)
    assert wiped.minutes_each == pytest.approx(run.wipe_hours * 60.0 / 6, abs=0.01)
    assert {kind for _, kind in paces(shop)} == {StepKind.COAT, StepKind.WIPE}
