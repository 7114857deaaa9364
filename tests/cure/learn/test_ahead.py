"""What a look to come would tell: against closed forms and brute force over both answers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from finishing.cure.learn import Rules, learn
from finishing.cure.learn.ahead import prospect
from finishing.cure.learn.density import Density, even, log_normal_at
from finishing.cure.learn.promises import Kept, promises
from finishing.cure.spread import COUNT_ON, z
from finishing.cure.terms import Extractives

from .seen import INF, seen

PRIOR = Density.of_logs(even(-3, 3, 401), log_normal_at(even(-3, 3, 401), 0.5))
RATIOS = np.exp(np.linspace(-2.5, 2.5, 101))


def test_the_chance_of_dry_is_the_predictive() -> None:
    from scipy import stats

    ahead = prospect(PRIOR, 0.25, RATIOS)
    assert ahead.dry == pytest.approx(stats.norm.cdf(np.log(RATIOS), 0, math.hypot(0.5, 0.25)), abs=1e-5)


def test_the_best_look_is_at_the_median_and_the_far_ones_tell_nothing() -> None:
    """Of a symmetric prior the answer that is a toss-up tells most; well before and after, the answer is known."""
    bits = prospect(PRIOR, 0.25, RATIOS).bits
    assert int(bits.argmax()) == 50
    assert bits[0] < 0.001 > bits[-1]
    assert bits == pytest.approx(bits[::-1], abs=1e-6)
    assert 0.0 < bits.max() < 1.0


def test_information_is_what_is_expected_of_learning_itself() -> None:
    """By brute force through `learn` from either answer."""
    rules = Rules(INF, 0.0)
    before = learn([seen(0.8, 1.5, entry=1)], 0.0, rules).lessons("varnish").theta()
    ahead = prospect(before, 0.25, np.array([1.3]))
    dry, tacky = (
        learn([seen(0.8, 1.5, entry=1), row], 0.0, rules).lessons("varnish").theta()
        for row in (seen(0.0, 1.3, entry=2), seen(1.3, INF, entry=2))
    )
    p = ahead.dry[0]

    # Mutual information the other way round: the spread of beliefs, prior entropy less expected posterior entropy.
    def entropy(d: Density) -> float:
        return float(-(d.mass @ np.log2(np.maximum(d.value, 1e-300))))

    assert ahead.bits[0] == pytest.approx(entropy(before) - p * entropy(dry) - (1 - p) * entropy(tacky), abs=1e-4)


def test_after_a_tacky_look_the_best_hour_is_later() -> None:
    first, then = prospect(PRIOR, 0.25, RATIOS), prospect(PRIOR, 0.25, RATIOS, short_at=1.3)
    assert RATIOS[then.bits.argmax()] > max(RATIOS[first.bits.argmax()], 1.3)
    assert then.dry[RATIOS <= 1.3].max() == pytest.approx(0.0, abs=1e-6)
    assert then.bits[RATIOS <= 1.3].max() == pytest.approx(0.0, abs=1e-6)


def test_promises_are_judged_by_what_was_known_before_them() -> None:
    """90 in 100 of the prior are there by exp(1.2816 · hypot(0.5, 0.25)) = 2.05 times the stated time."""
    rows = [
        seen(0.5, 1.0, entry=1, at=1.0),
        seen(3.0, INF, entry=2, at=2.0),
        seen(1.0, INF, entry=3, at=3.0),
    ]
    found = promises(list(reversed(rows)), Rules(INF))
    assert [p.observation.entry for p in found] == [1, 2, 3]
    assert [p.kept for p in found] == [Kept.HELD, Kept.BROKEN, Kept.UNDECIDED]
    assert found[0].ratio == found[1].ratio == pytest.approx(math.exp(1.2815515655 * math.hypot(0.5, 0.25)))
    assert found[2].ratio != found[0].ratio, "from the third on two were felt before it"


@pytest.mark.parametrize("half_life", [INF, 30.0])
def test_promises_are_those_of_learning_each_stretch_of_the_record_by_itself(half_life: float) -> None:
    """Brute force: `learn`, whose posterior has its own checks, from what lay before each coat."""
    chance = np.random.default_rng(3)
    rows = []
    for i in range(24):
        middle = 1.4 * math.exp(chance.normal(0.0, 0.3))
        slow = i % 4 == 3
        rows.append(
            seen(middle * 0.8, middle * 1.3, at=30.0 * i, entry=i + 1, woods_spread=0.4 if slow else 0.0,
                 woods=Extractives.HIGH if slow else Extractives.NONE)
        )  # fmt: skip
    rules = Rules(half_life)
    for i, promise in enumerate(promises(rows, rules)):
        if i < 5:
            continue  # until a coat on slow wood was felt its spread is noise; the next ones are the rule
        found = learn(rows[:i], rows[i].at, rules).lessons("varnish").woods(Extractives.HIGH if rows[i].slow else None)
        assert promise.ratio == pytest.approx(math.exp(found.mean + z(COUNT_ON) * math.hypot(found.sd, 0.25)), rel=2e-3)
