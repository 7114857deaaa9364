"""Chances of dates, against distributions worked out another way: scipy's normal and log-normal, integrated."""

from __future__ import annotations

import math
from collections.abc import Sequence
from time import process_time

import numpy as np
import pytest
from scipy.stats import lognorm, norm

from finishing.cure.coat import Coat
from finishing.cure.spread import together
from finishing.cure.terms import Stage
from finishing.cure.track import Track
from finishing.cure.work import CoatEntry, StepEntry
from finishing.plan.batches import Job, Placed, Problem, first_plan, packed
from finishing.plan.batches.chance import chance_at_rest, chances
from finishing.plan.batches.draws import Standing
from tests.bench.bench_plan import shop as bench_shop
from tests.cure.factory import varnish, waterborne

from .shops import DAY, Rig, coats, of
from .test_batches import NOW, WARM, rig

DRAWN = 0.06
"""400 draws of a chance waver by 0.025 (binomial); twice that and a little."""

TRACK = Track([(-np.inf, WARM["bench"])])
MIDDLES = norm.ppf((np.arange(800) + 0.5) / 800)
"""Standard normal values of equal weight."""


def standings(shop: Rig, problem: Problem, wanted: float | None, *recorded: Sequence[Coat]) -> list[Standing]:
    """Every job wanted by one hour after NOW."""
    by = None if wanted is None else NOW + wanted
    rows = recorded or [()] * len(problem.jobs)
    return [Standing(Track([(-np.inf, shop.air["bench"])]), tuple(row), by) for row in rows]


def ln_spread(coat: Coat) -> tuple[float, float]:
    """Of a coat's times: what all coats of its finish share, and its own."""
    return coat.finish.spread, together(coat.finish.repeat, coat.factors.species.spread)


def coat_of(job: Job, task: int) -> Coat:
    coat = job.tasks[task].coat
    assert coat is not None
    return coat


def hours_of(coat: Coat, stage: Stage) -> float:
    """Median hours in the air its times are stated for, which is the air of these shops."""
    return coat.finish.stages[stage].typical * coat.factors.on(coat.finish, stage)


def test_one_coat_follows_its_spread() -> None:
    """Ready to pack when its own time has come: the chance is that of the log-normal (scipy's)."""
    finish = varnish()
    shop = rig(of("A", coats("c", "varnish", 1), finish))
    problem = shop.problem()
    plan = first_plan(problem)
    coat, end = coat_of(problem.jobs[0], 1), shop.works(problem, plan)["A"][1].ends - NOW
    for hours in (80.0, 120.0, 200.0, 300.0):
        (found,) = chances(problem, plan.placed, standings(shop, problem, end + hours))
        exact = float(lognorm.cdf(hours, coat.factors.sigma(finish, Stage.STACKABLE), scale=120.0))
        assert found == pytest.approx(exact, abs=DRAWN)


def test_two_coats_follow_their_convolution() -> None:
    """The second coat goes on when the first is ready: on time, later in the hours, or at midnight of a later day.

    Both share how fast the finish is here. The first may be packed before the second, or not: both must have come.
    """
    shop = rig(of("A", coats("c", "varnish", 2), varnish()))
    problem = shop.problem()
    plan = first_plan(problem)
    works = shop.works(problem, plan)["A"]
    over, planned, minutes = works[1].ends - NOW, works[2].begins - NOW, works[2].minutes
    first = coat_of(problem.jobs[0], 1)
    shared, own = ln_spread(first)
    recoat, pack = hours_of(first, Stage.DRY_TO_RECOAT), hours_of(first, Stage.STACKABLE)
    slow = np.exp(shared * MIDDLES[:, None] + own * MIDDLES[None, :])
    quarter = np.ceil((over + recoat * slow) * 4.0 - 1e-9) / 4.0
    takes = math.ceil(minutes / 15.0) / 4.0
    within = quarter % DAY + takes <= 8.0
    begins = np.where(over + recoat * slow <= planned, planned, np.where(within, quarter, np.ceil(quarter / DAY) * DAY))
    for wanted in (150.0, 220.0, 300.0, 400.0):
        left = np.maximum(wanted - begins - minutes / 60.0, 1e-9)
        second = norm.cdf((np.log(left / pack) - shared * MIDDLES[:, None]) / own)
        exact = float(np.mean(second * (over + pack * slow <= wanted)))
        (found,) = chances(problem, plan.placed, standings(shop, problem, wanted))
        assert found == pytest.approx(exact, abs=DRAWN)
    assert begins.max() > planned + DAY  # late ones do come late


def test_a_late_coat_takes_the_hands_from_the_next_batch() -> None:
    """An hour an evening, which either coat fills. A's second is planned today, B's tomorrow; where A is not ready
    today it is done tomorrow, and B the day after."""
    done = [StepEntry(1, NOW - 7.0, 0), CoatEntry(2, NOW - 6.0, 1)]
    batches = [of("A", coats("a", "varnish", 2), varnish()), of("B", coats("b", "waterborne", 1), waterborne())]
    records = {"A": done, "B": [StepEntry(1, NOW - 7.0, 0)]}
    shop = rig(*batches, spans=((18.0, 19.0),), records=records)
    problem = shop.problem()
    placed = ((Placed(18 * 4),), (Placed(42 * 4),))
    on = [coat for coat, _ in problem.jobs[0].tasks[0].since]
    coat, sigma = coat_of(problem.jobs[1], 0), coat_of(problem.jobs[1], 0).factors.sigma(waterborne(), Stage.STACKABLE)
    pack = hours_of(coat, Stage.STACKABLE)
    took = problem.jobs[1].tasks[0].minutes / 60.0
    a = {hour: float(lognorm.cdf(hour + 6.0, on[0].factors.sigma(on[0].finish, Stage.DRY_TO_RECOAT),
                                 scale=hours_of(on[0], Stage.DRY_TO_RECOAT))) for hour in (18.0, 42.0)}  # fmt: skip
    late = a[42.0] - a[18.0]
    assert late > 0.1
    for wanted in (60.0, 75.0, 90.0, 120.0):
        on_time, a_day_later = (float(lognorm.cdf(max(wanted - begun - took, 0.0), sigma, scale=pack))
                                for begun in (42.0, 66.0))  # fmt: skip
        found = chances(problem, placed, standings(shop, problem, wanted, on, ()))[1]
        assert found == pytest.approx((1.0 - late) * on_time + late * a_day_later, abs=DRAWN)


def test_a_slow_coat_keeps_the_next_off_the_rack() -> None:
    """Hands at any hour, a rack for one batch: B's coat waits until A's may be handled."""
    batches = [of("A", coats("a", "varnish", 1), varnish()), of("B", coats("b", "waterborne", 1), waterborne())]
    records = {code: [StepEntry(1, NOW - 7.0, 0)] for code in "AB"}
    shop = rig(*batches, spans=((0.0, 24.0),), records=records, racks={"bench": 15})
    problem = shop.problem()
    placed = ((Placed(0),), (Placed(96),))
    first, second = coat_of(problem.jobs[0], 0), coat_of(problem.jobs[1], 0)
    over, took = problem.jobs[0].tasks[0].minutes / 60.0, problem.jobs[1].tasks[0].minutes / 60.0
    sigma = first.factors.sigma(first.finish, Stage.DRY_TO_HANDLE)
    handled = over + hours_of(first, Stage.DRY_TO_HANDLE) * np.exp(sigma * MIDDLES)
    begins = np.maximum(np.ceil(handled * 4.0) / 4.0, 24.0)
    assert 0.3 < float(np.mean(begins > 24.0)) < 0.7
    sigma, pack = second.factors.sigma(second.finish, Stage.STACKABLE), hours_of(second, Stage.STACKABLE)
    for wanted in (60.0, 75.0, 100.0):
        exact = float(np.mean(lognorm.cdf(np.maximum(wanted - begins - took, 0.0), sigma, scale=pack)))
        assert chances(problem, placed, standings(shop, problem, wanted))[1] == pytest.approx(exact, abs=DRAWN)


def test_two_makers_do_not_wait_for_each_other() -> None:
    """What one maker's late coat would do to the next batch, a second pair of hands undoes."""
    done = [StepEntry(1, NOW - 7.0, 0), CoatEntry(2, NOW - 6.0, 1)]
    batches = [of("A", coats("a", "varnish", 2), varnish()), of("B", coats("b", "waterborne", 1), waterborne())]
    records = {"A": done, "B": [StepEntry(1, NOW - 7.0, 0)]}
    placed = ((Placed(18 * 4),), (Placed(42 * 4),))
    one, two = (rig(*batches, spans=((18.0, 19.0),), records=records, makers=makers) for makers in (1, 2))
    found = []
    for shop in (one, two):
        problem = shop.problem()
        on = [coat for coat, _ in problem.jobs[0].tasks[0].since]
        found.append(chances(problem, placed, standings(shop, problem, 130.0, on, ()))[1])
    assert found[1] > found[0] + 0.02  # the same draws: no chance in the difference but the coats'


def test_what_has_no_date_has_no_chance() -> None:
    shop = rig(of("A", coats("c", "varnish", 2), varnish()))
    problem = shop.problem()
    plan = first_plan(problem)
    assert chances(problem, plan.placed, standings(shop, problem, None)) == [None]
    assert chances(problem, (plan.placed[0][:1],), standings(shop, problem, 500.0)) == [None]
    assert chance_at_rest("A", Standing(TRACK)) is None


def test_a_batch_more_changes_no_other_where_there_are_hands_for_both() -> None:
    pair = [of(c, coats(c, "varnish", 2), varnish()) for c in "AB"]
    one, both = rig(pair[0], makers=2), rig(*pair, makers=2)
    alone, beside = one.problem(), both.problem()
    plan = first_plan(alone)
    (first,) = chances(alone, plan.placed, standings(one, alone, 200.0))
    assert chances(beside, (plan.placed[0], plan.placed[0]), standings(both, beside, 200.0))[0] == first


def test_twelve_batches_are_played_in_a_blink() -> None:
    """At its level of certainty a plan without slack holds about that often; 0.3 s of work are allowed, on any day."""
    shop = bench_shop(12, 28)
    problem = shop.problem()
    plan = first_plan(problem)
    known = [
        Standing(Track([(-np.inf, shop.air["bench"])]), (), problem.grid.hour(packed(job, row) or 0))
        for job, row in zip(problem.jobs, plan.placed, strict=True)
    ]
    begun = process_time()
    found = chances(problem, plan.placed, known)
    assert process_time() - begun < 1.0  # measured 0.06 s; room for a machine that wavers
    assert all(chance is not None and 0.3 < chance < 1.0 for chance in found)
