"""Planning batches: hand-worked days, and random shops whose every plan is walked through the cure model."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishing.cure.climate import PlaceAir
from finishing.cure.integral import Series
from finishing.cure.terms import Stage, StepKind
from finishing.cure.work import AbradeEntry, CoatEntry, StepEntry
from finishing.plan.batches import Curves, batch_at_a_time, first_plan, packed
from finishing.plan.batches.serial import Placing, by_batch, by_time, first_bit, runs
from tests.cure.factory import (
    COCOBOLO,
    MAPLE,
    PADAUK,
    linseed,
    mineral_oil,
    shellac,
    two_part,
    varnish,
    warm,
    waterborne,
)

from .shops import DAY, THOROUGH, Rig, coats, daily, of, soaked, two_faces

NOW = 490_000.0
"""A whole number of hours, so that eight hours after midnight of the test's days is easily counted."""

WARM = {"bench": warm(21.0, 50.0, NOW - 1000.0)}
STILL = {"spread": 0.0, "repeat": 0.0}
"""A finish that keeps its stated hours to the minute, so that a plan can be worked by hand."""


def rig(
    *batches: object, spans: tuple[tuple[float, float], ...] = ((0.0, 8.0),), days: int = 30, **more: object
) -> Rig:
    return Rig(batches, WARM, NOW, daily(NOW, days, *spans), NOW + days * DAY, **more)  # type: ignore[arg-type]


# Dry-to-recoat of this varnish takes 12 h at its reference air, its window shuts after 24 h (tests/cure/factory.py).


def test_a_chain_worked_by_hand() -> None:
    """Ten pieces: prepare 65 min, then coats of 35, 47 with abrading; hours 0 to 8 every day; recoat after 12 h.

    Prepared 0:00 to 1:05, which takes the slots to 1:15. Coat 1 from 1:15 to 1:50: slots to 2:00, ready 14:00, past
    the day's end: coat 2 at 24:00, 45 + 2 min with its abrading, slots to 25:00, ready 37:00; coat 3 at 48:00.
    """
    plain = replace(MAPLE, name="plain")
    finish = varnish(**STILL)
    shop = rig(of("A", coats("c", "varnish", 3), finish, woods=(plain,)))
    problem = shop.problem()
    plan = first_plan(problem)
    begins = [w.begins - NOW for w in shop.works(problem, plan)["A"]]
    assert [w.minutes for w in shop.works(problem, plan)["A"]] == [65.0, 35.0, 47.0, 47.0]
    # The wood spreads its factor even where the finish does not; at the median nothing is added.
    assert begins == pytest.approx([0.0, 1.25, 24.0, 48.0])
    assert shop.wrong(problem, plan) == []


def test_the_night_between_counts() -> None:
    """The same coat before a cold night is ready later than in the morning: the curve is the true one."""
    hours = np.arange(NOW - 48.0, NOW + 400.0, 0.25)
    cold = Series(hours, 15.0 - 8.0 * np.cos((hours - NOW) * 2 * np.pi / 24.0), np.full(hours.shape, 50.0))
    air = PlaceAir(cold)
    shop = Rig(
        [of("A", coats("c", "varnish", 2), varnish())], {"bench": air}, NOW, daily(NOW, 20, (8.0, 18.0)), NOW + 480
    )
    curves = Curves(shop.grid(), 0.8)
    problem = shop.problem()
    coat = problem.jobs[0].tasks[1].coat
    assert coat is not None
    curve = curves.ready(air, coat, Stage.DRY_TO_RECOAT)
    assert curve is not None
    morning, evening = 9 * 4, 18 * 4
    assert curve[morning] - morning < curve[evening] - evening
    assert shop.wrong(problem, first_plan(problem)) == []


def test_a_shut_window_is_bought_back() -> None:
    """Hands only every third day: the window of a coat (24 h) has shut, and the next is abraded first, at its cost."""
    spans = [(NOW + 72.0 * d, NOW + 72.0 * d + 4.0) for d in range(6)]
    shop = Rig([of("A", coats("c", "varnish", 2, between=False), varnish())], WARM, NOW, spans, NOW + 500.0)
    problem = shop.problem()
    plan = first_plan(problem)
    works = shop.works(problem, plan)["A"]
    assert [w.reopened for w in works] == [False, False, True]
    assert works[-1].minutes == pytest.approx(35.0 + 2.0 + 1.5 * 10)
    assert shop.wrong(problem, plan) == []
    unabraded = replace(plan, placed=(tuple(p._replace(reopened=False) for p in plan.placed[0]),))
    assert any("shut at" in said for said in shop.wrong(problem, unabraded))


def test_long_preparing_is_spread_over_evenings() -> None:
    """Forty pieces at six minutes are four hours; evenings of ninety minutes take them in three parts."""
    shop = rig(
        of("A", coats("c", "waterborne", 1, minutes_per_piece=1.0), waterborne(), pieces=40), spans=((18.0, 19.5),)
    )
    problem = shop.problem()
    parts = [(t.part, t.pieces) for t in problem.jobs[0].tasks]
    assert parts == [((1, 3), 14), ((2, 3), 13), ((3, 3), 13), (None, 40)]
    plan = first_plan(problem)
    assert plan.score.unfinished == 0
    assert shop.wrong(problem, plan) == []


def test_a_coat_longer_than_any_stretch_is_not_placed() -> None:
    shop = rig(of("A", coats("c", "waterborne", 1), waterborne(), pieces=100), spans=((18.0, 20.0),))
    problem = shop.problem()
    plan = first_plan(problem)
    assert plan.score.unfinished == 1
    assert len(plan.placed[0]) == len(problem.jobs[0].tasks) - 1


def test_the_rack_holds_one_batch_at_a_time() -> None:
    """Ten pieces each on a rack of fifteen: the second goes on when the first may be handled (24 h at reference)."""
    shop = rig(*(of(c, coats(c, "varnish", 1), varnish()) for c in "AB"), racks={"bench": 15})
    problem = shop.problem()
    plan = first_plan(problem)
    assert shop.wrong(problem, plan) == []
    free = Rig(shop.batches, WARM, NOW, shop.stretches, shop.end)
    crowded = first_plan(free.problem())
    assert any("over-full" in said for said in shop.wrong(problem, crowded))


def test_two_makers_work_side_by_side() -> None:
    batches = [of(c, coats(c, "waterborne", 1), waterborne()) for c in "ABC"]
    one, two = rig(*batches, spans=((0.0, 3.0),)), rig(*batches, spans=((0.0, 3.0),), makers=2)
    plans = [first_plan(shop.problem()) for shop in (one, two)]
    assert plans[1].score.ready <= plans[0].score.ready
    starts = [w.begins for row in two.works(two.problem(), plans[1]).values() for w in row]
    assert len(set(starts)) < len(starts)
    assert two.wrong(two.problem(), plans[1]) == []
    assert any("2 pairs of hands" in said for said in one.wrong(two.problem(), plans[1]))


def test_what_is_on_record_is_fixed() -> None:
    """A coat put on before now opens the next when its own hours say, and is not planned again."""
    done = [StepEntry(1, NOW - 6.0, 0), CoatEntry(2, NOW - 5.0, 1)]
    shop = rig(of("A", coats("c", "varnish", 2), varnish()), records={"A": done})
    problem = shop.problem()
    assert [t.steps for t in problem.jobs[0].tasks] == [(2, 3)]
    plan = first_plan(problem)
    assert shop.wrong(problem, plan) == []


def test_a_window_that_shut_already_is_reopened_unless_abraded() -> None:
    done = [StepEntry(1, NOW - 200.0, 0), CoatEntry(2, NOW - 199.0, 1)]
    shop = rig(of("A", coats("c", "varnish", 2, between=False), varnish()), records={"A": done})
    plan = first_plan(shop.problem())
    assert [p.reopened for p in plan.placed[0]] == [True]
    abraded = replace(shop, records={"A": [*done, AbradeEntry(3, NOW - 1.0)]})
    assert [p.reopened for p in first_plan(abraded.problem()).placed[0]] == [False]


def test_a_pin_holds_or_is_named() -> None:
    shop = rig(of("A", coats("c", "varnish", 2), varnish()), of("B", coats("d", "varnish", 1), varnish()))
    pinned = replace(shop, pins={"A": {1: NOW + 50.0}})
    problem = pinned.problem()
    plan = first_plan(problem)
    assert pinned.works(problem, plan)["A"][1].begins == NOW + 50.0
    assert plan.unkept == ()
    assert pinned.wrong(problem, plan) == []
    soon = replace(shop, pins={"A": {3: NOW + 2.0}})
    plan = first_plan(soon.problem())
    assert plan.unkept == ((0, 2),)
    assert soon.wrong(soon.problem(), plan) == []


def test_no_date_on_bare_oily_wood() -> None:
    shop = rig(of("A", coats("c", "varnish", 2), varnish(), woods=(COCOBOLO,)))
    job = shop.problem().jobs[0]
    assert not job.dated
    assert "seal or test" in job.note
    assert [t.steps for t in job.tasks] == [(0,)]


def test_no_date_where_it_stands_still() -> None:
    cold = {"bench": warm(2.0, 50.0, NOW - 1000.0)}
    shop = replace(rig(of("A", coats("c", "varnish", 2), varnish())), air=cold)
    job = shop.problem().jobs[0]
    assert not job.dated
    assert "stands still" in job.note


def test_urgent_before_the_rest() -> None:
    """Two batches for one evening a day: the one wanted sooner goes first, and the weightier of two alike."""
    spans, dates = ((18.0, 20.0),), (("A", 14.0), ("B", 8.2))
    batches = [of(c, coats(c, "waterborne", 2), waterborne(), wanted_by=NOW + d * DAY) for c, d in dates]
    shop = rig(*batches, spans=spans)
    assert by_batch(shop.problem(), [0, 1]).score.late > 0
    assert first_plan(shop.problem()).score.late == 0
    both = rig(*(replace(b, wanted_by=NOW + 8.2 * DAY) for b in batches), spans=spans, weights={"B": 5})
    problem = both.problem()
    plan = first_plan(problem)
    late = [(packed(job, row) or 0) > (job.wanted or 0) for job, row in zip(problem.jobs, plan.placed, strict=True)]
    assert late == [True, False]


def test_never_worse_than_a_batch_at_a_time() -> None:
    batches = [
        of(f"B{i}", coats(f"c{i}", "varnish", 2 + i % 2), varnish(), wanted_by=NOW + (6 + i) * DAY) for i in range(8)
    ]
    shop = rig(*batches, spans=((18.0, 20.0),), days=42)
    problem = shop.problem()
    assert first_plan(problem).score <= batch_at_a_time(problem).score
    assert first_plan(problem) == first_plan(problem)


@given(bits=st.lists(st.booleans(), min_size=1, max_size=60), slots=st.integers(1, 9), begin=st.integers(0, 70))
def test_runs_of_bits(bits: list[bool], slots: int, begin: int) -> None:
    number = sum(1 << i for i, bit in enumerate(bits) if bit)
    places = [i for i in range(len(bits) - slots + 1) if all(bits[i : i + slots])]
    assert [i for i in range(len(bits)) if runs(number, slots) >> i & 1] == places
    assert first_bit(runs(number, slots), begin) == next((i for i in places if i >= begin), 10**8)


FINISHES = (varnish, shellac, waterborne, linseed, mineral_oil, two_part)


@st.composite
def random_shops(draw: st.DrawFn) -> Rig:
    """Up to four batches in air that swings by day and night, short hours, sometimes a small rack or two makers."""
    batches = []
    for i in range(draw(st.integers(1, 4))):
        finish = draw(st.sampled_from(FINISHES))()
        kind = draw(st.sampled_from(["abraded", "bare", "faces", "soaked"]))
        name = f"s{i}"
        schedule = {
            "abraded": lambda f=finish.name, n=name: coats(n, f, 3),
            "bare": lambda f=finish.name, n=name: coats(n, f, 3, between=False),
            "faces": lambda f=finish.name, n=name: two_faces(n, f),
            "soaked": lambda f=finish.name, n=name: soaked(n, f),
        }[kind]()
        wanted = draw(st.none() | st.integers(2, 20))
        date = None if wanted is None else NOW + wanted * DAY
        woods, pieces = (draw(st.sampled_from([MAPLE, PADAUK])),), draw(st.integers(1, 25))
        batches.append(of(f"B{i}", schedule, finish, pieces=pieces, woods=woods, wanted_by=date))
    mean, swing = draw(st.floats(12.0, 24.0)), draw(st.floats(0.0, 8.0))
    hours = np.arange(NOW - 24.0, NOW + 500.0, 0.5)
    air = Series(hours, mean - swing * np.cos((hours - NOW) * 2 * np.pi / 24.0), np.full(hours.shape, 50.0))
    begin = draw(st.floats(0.0, 20.0))
    spans = [(begin, begin + draw(st.floats(1.5, 4.0)))]
    return Rig(
        batches,
        {"bench": PlaceAir(air)},
        NOW + draw(st.floats(0.0, 1.0)),
        daily(NOW, 20, *spans),
        NOW + 20 * DAY,
        level=draw(st.sampled_from([0.5, 0.8, 0.9])),
        makers=draw(st.integers(1, 2)),
        racks=draw(st.sampled_from([{}, {"bench": 25}, {"bench": 40}])),
    )


@settings(max_examples=15 * THOROUGH, deadline=None)
@given(shop=random_shops())
def test_every_plan_of_a_random_shop_holds(shop: Rig) -> None:
    problem = shop.problem()
    order = range(len(problem.jobs))
    for plan in (first_plan(problem, placings=300), by_batch(problem, order), by_time(problem, order)):
        assert shop.wrong(problem, plan) == []
        works = shop.works(problem, plan)
        for job, placed in zip(problem.jobs, plan.placed, strict=True):
            promised = packed(job, placed)
            if promised is not None:
                true = shop.walked(job.code, works[job.code]).packed
                # Rounding up to a slot may carry the end of a coat, and its release, over a night that stands still.
                half_past = [replace(work, begins=work.begins + 0.5) for work in works[job.code]]
                latest = shop.walked(job.code, half_past).packed
                assert true is not None
                assert latest is not None
                assert true <= problem.grid.hour(promised) + 1e-6
                assert problem.grid.hour(promised) < latest + 0.5


@settings(max_examples=8 * THOROUGH, deadline=None)
@given(shop=random_shops(), data=st.data())
def test_what_can_stay_stays(shop: Rig, data: st.DataObject) -> None:
    """A plan kept as it was is found again, whatever the order."""
    problem = shop.problem()
    before = first_plan(problem, placings=0)
    keep = {(j, t): p.start for j, row in enumerate(before.placed) for t, p in enumerate(row) if not p.reopened}
    order = data.draw(st.permutations(range(len(problem.jobs))))
    if len(keep) == sum(map(len, before.placed)):
        after = by_batch(problem, order, keep=keep)
        if not before.score.unfinished:
            assert after.placed == before.placed
    assert shop.wrong(problem, by_batch(problem, order, keep=keep)) == []


def test_a_closed_stretch_is_not_used() -> None:
    shop = rig(of("A", coats("c", "varnish", 2), varnish()))
    problem = shop.problem()
    placing = Placing(problem, closed=[0])
    assert placing.place(0)
    assert placing.placed[0][0].start == problem.grid.stretches[1][0]


def test_kinds_in_one_go() -> None:
    """Turning goes with the coat after it, wiping off with the one before; soaking parts them."""
    shop = rig(of("A", two_faces("f", "varnish"), varnish()), of("B", soaked("s", "mineral-oil"), mineral_oil()))
    kinds = [
        [[job_batch.schedule.steps[i].kind for i in task.steps] for task in job.tasks]
        for job, job_batch in zip(shop.problem().jobs, shop.batches, strict=True)
    ]
    coat, turn, abrade, prepare, wipe = (
        StepKind.COAT, StepKind.TURN, StepKind.ABRADE, StepKind.PREPARE, StepKind.WIPE,
    )  # fmt: skip
    assert kinds[0] == [[prepare], [coat], [turn, coat], [abrade, coat], [turn, coat]]
    assert kinds[1] == [[prepare], [coat], [wipe], [coat], [wipe]]
