"""A coating session: its plan played out by a clock that ticks, and what was told replayed against a dumb tally."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.finish import WipeWindow
from finishing.cure.schedule import Step
from finishing.cure.session import OVER, Plan, plan_session
from finishing.cure.session_run import Call, Do, Phase, Press, Wipe, alarms, replay
from finishing.cure.terms import Evidence, Hazard, StepKind
from finishing.errors import BadInput

from .factory import varnish

M = 1.0 / 60.0


def planned(
    pieces: int,
    coat: float,
    wipe: float | None,
    window: tuple[float, float] | None = None,
    pot_hours: float | None = None,
    amount: float | None = None,
    hazards: tuple[Hazard, ...] = (),
) -> Plan:
    span = None if window is None else WipeWindow(*window, Evidence.PRACTICE, "common practice, no source")
    finish = varnish(wipe=span, pot_life_hours=pot_hours, hazards=hazards)
    wiping = None if wipe is None else Step(StepKind.WIPE, minutes_per_piece=wipe)
    return plan_session(pieces, Step(StepKind.COAT, "varnish", minutes_per_piece=coat), wiping, finish, amount)


def played_out(sizes: tuple[int, ...], coat: int, wipe: int, start: int) -> list[tuple[int, int]]:
    """Minute coated and minute wiping begins of every piece, by a clock that ticks a minute at a time.

    One pair of hands: coats a pass, looks each minute whether wiping can go on without a piece being too early,
    wipes in the same order, then the next pass.
    """
    minute, found = 0, []
    for size in sizes:
        coated: list[int] = []
        while len(coated) < size:
            for _ in range(coat):
                minute += 1
            coated.append(minute)
        while any(minute + k * wipe - at < start for k, at in enumerate(coated)):
            minute += 1
        for at in coated:
            found.append((at, minute))
            for _ in range(wipe):
                minute += 1
    return found


def fits(size: int, coat: int, wipe: int, start: int, end: int) -> bool:
    return all(start <= wiped - coated <= end for coated, wiped in played_out((size,), coat, wipe, start))


small = st.integers(1, 6)


@given(st.integers(1, 18), small, small, st.integers(0, 15), st.integers(0, 15))
def test_plan_is_what_a_ticking_clock_gives(pieces: int, coat: int, wipe: int, start: int, more: int) -> None:
    plan = planned(pieces, coat, wipe, (start, start + more))
    rows, real = plan.timetable(), played_out(plan.sizes, coat, wipe, start)
    assert [(r.coated, r.wiping) for r in rows] == real
    for row in rows:
        assert row.wiping is not None
        assert row.wipe_from is not None
        assert row.wipe_until is not None
        assert row.wipe_from <= row.wiping
        # No later than its window: also the one that is alone in its pass, which is wiped as it opens.
        assert row.wiping <= row.wipe_until
    assert plan.minutes == real[-1][1] + wipe


@given(st.integers(1, 18), small, small, st.integers(0, 15), st.integers(0, 15))
def test_fewest_passes_and_as_equal_as_can_be(pieces: int, coat: int, wipe: int, start: int, more: int) -> None:
    plan = planned(pieces, coat, wipe, (start, start + more))
    largest = max(n for n in range(1, pieces + 1) if n == 1 or fits(n, coat, wipe, start, start + more))
    assert len(plan.sizes) == math.ceil(pieces / largest)
    assert sum(plan.sizes) == pieces
    assert max(plan.sizes) - min(plan.sizes) <= 1


@given(st.integers(1, 40), small, st.none() | small, st.integers(3, 60))
def test_each_mix_is_put_on_within_its_pot_life(pieces: int, coat: int, wipe: int | None, pot: int) -> None:
    # Pot life: how long mixed finish may be applied (two-part coatings, UFC 3-190-06, 2.2.3).
    plan = planned(pieces, coat, wipe, None if wipe is None else (2, 12), pot / 60.0, amount=pieces * 10.0)
    mixes = plan.mixes()
    assert sum(mix.pieces for mix in mixes) == pieces
    assert sum(mix.ready_ml or 0.0 for mix in mixes) == pytest.approx(pieces * 10.0 * (1 + OVER))
    rows = list(plan.timetable())
    for n, mix in enumerate(mixes):
        mine, rows = rows[: mix.pieces], rows[mix.pieces :]
        assert mine[0].coated - coat == mix.minute
        assert mine[-1].coated - mix.minute <= pot + 1e-6 or plan.pot_too_short
        if n + 1 < len(mixes):  # the next pass would not have fitted in
            following = [r for r in rows if r.pass_number == rows[0].pass_number]
            assert following[-1].coated - mix.minute > pot


def test_a_plan_worked_by_hand() -> None:
    # Coat 2, wipe 1.5, wipe off from 5 to 20 min: of 10 the first lies 9 * 2 = 18 min, of 11 20, of 12 22. So 11 at
    # most, and 24 pieces take three passes; 8 each. The last of 8 lies 7 * 1.5 = 10.5 > 5 of itself: no wait.
    plan = planned(24, 2.0, 1.5, (5.0, 20.0), amount=300.0, hazards=(Hazard.RAGS,))
    assert plan.sizes == (8, 8, 8)
    assert plan.wait_minutes(8) == 0.0
    assert plan.minutes == 3 * 8 * 3.5
    assert plan.ready_ml == pytest.approx(330.0)
    assert plan.rags
    assert plan.mixes() == ()
    assert planned(7, 2.0, None).sizes == (7,)
    assert planned(3, 90.0, None, pot_hours=1.0).pot_too_short


def follow(plan: Plan, start: float = 1000.0) -> list[Press]:
    """Everything told by a maker who keeps to the plan to the minute."""
    told = [Press(Do.START, start)]
    rows = plan.timetable()
    for n in range(len(plan.sizes)):
        mine = [r for r in rows if r.pass_number == n + 1]
        if n:
            told.append(Press(Do.NEXT_PASS, start + (mine[0].coated - plan.apply_minutes) * M))
        told += [Press(Do.COATED, start + r.coated * M) for r in mine]
        if plan.wipe_minutes is not None:
            told += [Press(Do.WIPED, start + ((r.wiping or 0.0) + plan.wipe_minutes) * M) for r in mine]
    return told


@given(st.integers(1, 18), small, small, st.integers(0, 15), st.integers(0, 15))
def test_a_session_kept_to_the_plan_is_never_late(pieces: int, coat: int, wipe: int, start: int, more: int) -> None:
    plan = planned(pieces, coat, wipe, (start, start + more))
    run = replay(plan, follow(plan))
    assert run.ended is not None
    assert run.late == []
    assert run.left == set()
    assert run.coat_hours * 60 == pytest.approx(pieces * coat, abs=1e-4)
    if start <= min(coat, wipe):  # nothing to wait for: every minute is wiping
        assert run.wipe_hours * 60 == pytest.approx(pieces * wipe, abs=1e-4)


@given(st.lists(st.integers(1, 6), min_size=1, max_size=8), small, st.integers(0, 10), st.integers(0, 15))
def test_when_to_begin_wiping_is_found_by_trying_every_minute(
    gaps: list[int], wipe: int, start: int, more: int
) -> None:
    end = start + more
    plan = Plan((len(gaps),), 1.0, wipe_minutes=float(wipe), wipe_from=float(start), wipe_until=float(end))
    told, minute, coated = [Press(Do.START, 0.0)], 0, []
    for gap in gaps:
        minute += gap
        coated.append(minute)
        told.append(Press(Do.COATED, minute * M))
    watch = replay(plan, told).watch()
    assert watch is not None
    assert watch.latest is not None
    in_time = [s for s in range(-30, 80) if all(s + k * wipe - at <= end for k, at in enumerate(coated))]
    late_enough = [s for s in range(-30, 80) if all(s + k * wipe - at >= start for k, at in enumerate(coated))]
    assert round(watch.latest * 60) == in_time[-1]
    if late_enough[0] <= in_time[-1]:
        assert round(watch.go * 60) == max(late_enough[0], coated[0] + start)
    assert watch.stands(watch.go - M) is Wipe.NOT_YET
    assert watch.stands((coated[0] + end + 1) * M) in (Wipe.LATE, Wipe.NOT_YET if more == 0 else Wipe.LATE)


def varnished() -> Plan:
    """Two passes of three: coat 2 min, wipe 1, from 1 to 10 min after."""
    return Plan((3, 3), 2.0, wipe_minutes=1.0, wipe_from=1.0, wipe_until=10.0, rags=True)


def told(*presses: tuple[Do, float]) -> list[Press]:
    """Minutes into the session."""
    return [Press(do, minute * M) for do, minute in presses]


def test_a_whole_pass_at_once_counts_as_coated_evenly() -> None:
    run = replay(varnished(), told((Do.START, 0), (Do.COATED, 2), (Do.PASS_COATED, 6)))
    assert [round(at * 60, 6) for at in run.coated] == [2, 4, 6]
    assert run.phase is Phase.WIPING
    run.apply(Press(Do.PASS_WIPED, 12 * M))
    # The first could be wiped from minute 3; the hands were free at 6.
    assert [round(at * 60, 6) for at in run.wiped.values()] == [8, 10, 12]
    assert run.wipe_hours * 60 == pytest.approx(6)
    assert run.phase is Phase.BETWEEN


def test_a_pause_stops_the_hands_and_not_the_finish() -> None:
    run = replay(varnished(), told((Do.START, 0), (Do.COATED, 2), (Do.PAUSE, 3), (Do.RESUME, 8), (Do.COATED, 9)))
    assert run.coat_hours * 60 == pytest.approx(2 + 1 + 1)
    watch = run.watch()
    assert watch is not None
    assert watch.shuts == pytest.approx(12 * M)
    assert watch.stands(13 * M) is Wipe.LATE
    # Any press goes on by itself.
    again = replay(varnished(), told((Do.START, 0), (Do.PAUSE, 1), (Do.COATED, 30)))
    assert again.paused is None
    assert again.coat_hours * 60 == pytest.approx(1)


def test_late_and_left() -> None:
    pass_one = told((Do.START, 0), (Do.PASS_COATED, 6), (Do.WIPED, 7), (Do.WIPED, 16), (Do.NEXT_PASS, 17))
    run = replay(varnished(), pass_one)
    assert run.late == [1]  # coated at 4, wiping begun about 15: 11 min
    assert run.left == {2}
    for press in told((Do.PASS_COATED, 23), (Do.PASS_WIPED, 26)):
        run.apply(press)
    assert run.phase is Phase.RAGS
    run.apply(Press(Do.RAGS_SAFE, 27 * M))
    assert run.phase is Phase.CLOSING


def test_rags_used_after_they_were_safe_are_asked_for_again() -> None:
    run = replay(varnished(), told((Do.START, 0), (Do.COATED, 2), (Do.RAGS_SAFE, 3), (Do.COATED, 4), (Do.END, 5)))
    assert run.phase is Phase.RAGS


def test_a_clock_set_back_stands_still() -> None:
    run = replay(varnished(), told((Do.START, 10), (Do.COATED, 12), (Do.COATED, 3)))
    assert [round(at * 60) for at in run.coated] == [12, 12]
    assert run.coat_hours * 60 == pytest.approx(2)


@pytest.mark.parametrize(
    ("before", "do"),
    [
        ((), Do.COATED),
        (((Do.START, 0),), Do.START),
        (((Do.START, 0),), Do.WIPED),
        (((Do.START, 0),), Do.NEXT_PASS),
        (((Do.START, 0),), Do.END),
        (((Do.START, 0),), Do.MIX),
        (((Do.START, 0),), Do.RESUME),
        (((Do.START, 0),), Do.RAGS_SAFE),
        (((Do.START, 0), (Do.PASS_COATED, 6)), Do.COATED),
        (((Do.START, 0), (Do.COATED, 2), (Do.END, 3)), Do.COATED),
    ],
)
def test_what_can_not_be_is_refused(before: tuple[tuple[Do, float], ...], do: Do) -> None:
    run = replay(varnished(), told(*before))
    with pytest.raises(BadInput, match="guide"):
        run.apply(Press(do, 10 * M))


@given(st.lists(st.tuples(st.sampled_from(list(Do)), st.integers(0, 5)), max_size=60))
def test_whatever_is_told_the_pieces_add_up(presses: list[tuple[Do, int]]) -> None:
    plan, now = varnished(), 0
    run = replay(plan, told((Do.START, 0)))
    coated = wiped = 0
    for do, minutes in presses:
        now += minutes
        possible = run.refusal(do) == ""
        bare, wet = run.bare, len(run.wet)
        try:
            run.apply(Press(do, now * M))
        except BadInput:
            assert not possible
            continue
        coated += {Do.COATED: 1, Do.PASS_COATED: bare}.get(do, 0)
        wiped += {Do.WIPED: 1, Do.PASS_WIPED: wet}.get(do, 0)
        assert (len(run.coated), len(run.wiped)) == (coated, wiped)
    assert run.coated == sorted(run.coated)
    assert all(run.coated[i] - 1e-9 <= at <= now * M + 1e-9 for i, at in run.wiped.items())
    assert len(run.wet) + len(run.wiped) + len(run.left) == coated
    assert run.coat_hours + run.wipe_hours <= now * M + 1e-9
    if run.ended is not None:
        assert not run.wet


def test_bells() -> None:
    plan = Plan((2, 2), 2.0, wipe_minutes=1.0, wipe_from=10.0, wipe_until=20.0, pot_life_hours=1.0)
    run = replay(plan, told((Do.START, 0), (Do.COATED, 2)))
    # Not all coated: only that the first is nearly late. A tenth of the ten minutes ahead of its 22nd.
    rung = {a.call: round(a.at * 60, 3) for a in alarms(run)}
    assert rung == {Call.HURRY: 21, Call.LATE: 22, Call.POT_SOON: 54, Call.POT_OVER: 60}
    run.apply(Press(Do.COATED, 4 * M))
    # Begun at 13 the second is wiped at 14, ten minutes after it was coated.
    assert {a.call: round(a.at * 60, 3) for a in alarms(run)}[Call.WIPE] == 13
    run.apply(Press(Do.PASS_WIPED, 16 * M))
    run.apply(Press(Do.MIX, 20 * M))
    assert {a.call: (a.number, round(a.at * 60, 3)) for a in alarms(run)}[Call.POT_OVER] == (2, 80)
    for press in told((Do.NEXT_PASS, 21), (Do.PASS_COATED, 25), (Do.PASS_WIPED, 40)):
        run.apply(press)
    assert alarms(run) == []
