"""Learning of several finishes, woods and years: against linear algebra where that is exact, and its own laws."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishing.cure.coat import ShopFactor
from finishing.cure.learn import Observation, Rules, learn
from finishing.cure.learn.surprise import verdicts
from finishing.cure.terms import Extractives, Mechanism

from ..factory import shellac, varnish
from .seen import INF, seen

EXACT = Rules(half_life_days=INF, stray=0.0)
HIGH, MODERATE = Extractives.HIGH, Extractives.MODERATE


def narrow(log: float, **more: object) -> Observation:
    """A coat whose time is known to a hair: then the model is a linear one of normal variables."""
    return seen(math.exp(log - 0.01), math.exp(log + 0.01), **more)  # type: ignore[arg-type]


def test_finishes_of_one_mechanism_share_weakly_as_linear_algebra_has_it() -> None:
    """Normal variables, exactly: y = Aθ + ε, posterior mean V Aᵀ(A V Aᵀ + S)⁻¹ y, any textbook."""
    rows = [("a", 0.5), ("a", 0.6), ("a", 0.4), ("b", 0.7), ("b", 0.3)]
    found = learn([narrow(y, finish=f, entry=i + 1) for i, (f, y) in enumerate(rows)], 0.0, EXACT)
    v, share = 0.25, 0.25
    prior = np.full((3, 3), share * v) + np.eye(3) * (1 - share) * v
    names = ["a", "b", "c"]
    design = np.array([[f == n for n in names] for f, _ in rows], dtype=float)
    y = np.array([value for _, value in rows])
    # Known to ±0.01 evenly: a variance of 0.02²/12 beside the noise.
    gain = prior @ design.T @ np.linalg.inv(design @ prior @ design.T + (0.0625 + 0.02**2 / 12) * np.eye(5))
    mean, cov = gain @ y, prior - gain @ design @ prior
    for i, name in enumerate(names):
        density = found.about(varnish(name=name)).theta()
        assert density.mean == pytest.approx(mean[i], abs=1e-5), name
        assert density.sd == pytest.approx(math.sqrt(cov[i, i]), abs=1e-5), name
    assert 0.1 < mean[2] < 0.25, "a new can starts a little slower"


def test_another_mechanism_learns_nothing_from_it() -> None:
    found = learn([narrow(0.6, entry=i) for i in range(9)], 0.0, EXACT)
    assert found.factor(shellac()) == ShopFactor()
    assert found.factor(varnish(name="other varnish")).ln_mean > 0.05
    assert found.factor(varnish(name="other varnish")).similar == 9


def test_slow_woods_have_a_factor_of_their_own_as_linear_algebra_has_it() -> None:
    oily = {"woods": HIGH, "woods_spread": 0.6}
    rows = [(0.1, False), (0.2, False), (0.9, True), (1.0, True), (0.8, True)]
    found = learn(
        [narrow(y, entry=i + 1, **(oily if slow else {})) for i, (y, slow) in enumerate(rows)], 0.0, EXACT
    ).lessons("varnish")
    prior = np.diag([0.25, 0.36])
    design = np.array([[1.0, float(slow)] for _, slow in rows])
    y = np.array([value for value, _ in rows])
    gain = prior @ design.T @ np.linalg.inv(design @ prior @ design.T + (0.0625 + 0.02**2 / 12) * np.eye(5))
    mean, cov = gain @ y, prior - gain @ design @ prior
    assert (found.theta().mean, found.theta().sd) == pytest.approx((mean[0], math.sqrt(cov[0, 0])), abs=1e-5)
    both = np.ones(2)
    assert found.woods(HIGH).mean == pytest.approx(float(both @ mean), abs=1e-5)
    assert found.woods(HIGH).sd == pytest.approx(math.sqrt(float(both @ cov @ both)), abs=1e-5)
    # The finish itself is hardly suspected for what three oily boards did.
    assert found.theta().mean < 0.5 * found.woods(HIGH).mean


def test_a_late_oily_board_is_no_slow_finish() -> None:
    plain = [narrow(0.0, entry=i) for i in range(4)]
    late = seen(10.0, INF, woods=HIGH, woods_spread=0.6, never=0.3, entry=9)
    before, after = (learn(rows, 0.0).lessons("varnish").theta().mean for rows in (plain, [*plain, late]))
    assert after == pytest.approx(before, abs=0.03)


@settings(max_examples=25)
@given(st.permutations(range(8)))
def test_the_order_of_tests_does_not_matter(order: list[int]) -> None:
    woods = [Extractives.NONE, MODERATE]
    rows = [
        seen(
            0.5 + 0.2 * i,
            1.0 + 0.3 * i,
            entry=i,
            at=24.0 * i,
            woods=woods[i % 2],
            woods_spread=0.35,
            finish="ab"[i % 3 == 0],
        )
        for i in range(8)
    ]
    straight, mixed = learn(rows, 300.0), learn([rows[i] for i in order], 300.0)
    for name in ("a", "b"):
        finish = varnish(name=name)
        assert mixed.factor(finish) == straight.factor(finish)


def test_old_tests_weigh_less_and_a_changed_shop_is_believed_sooner() -> None:
    year = 365 * 24.0
    old = [narrow(0.6, at=0.0, entry=i) for i in range(10)]
    new = [narrow(0.0, at=2 * year, entry=20 + i) for i in range(3)]
    found = {h: learn([*old, *new], 2 * year, Rules(h, 0.0)).lessons("varnish") for h in (90.0, 365.0, INF)}
    assert found[365.0].effective == pytest.approx(10 * 0.25 + 3)  # two half-lives
    assert found[INF].effective == 13
    means = [found[h].theta().mean for h in (90.0, 365.0, INF)]
    assert means == sorted(means)
    assert means[0] == pytest.approx(0.0, abs=0.05)
    # As ten observations of a quarter's weight: noise over weight, in closed form.
    precision = 4 + (2.5 + 3) / 0.0625
    assert means[1] == pytest.approx(2.5 * 0.6 / 0.0625 / precision, abs=1e-4)


def test_a_test_of_tomorrow_is_not_heavier_than_one_of_today() -> None:
    assert learn([narrow(0.0, at=99.0)], 0.0).lessons("varnish").effective == 1.0


def test_a_stray_test_is_flagged_and_hardly_obeyed() -> None:
    sound = [narrow(0.05 * (i - 4), entry=i) for i in range(9)]
    wild = seen(3.4, 3.6, entry=77)
    bare, robust = (
        [learn(rows, 0.0, Rules(INF, stray)).lessons("varnish").theta().mean for rows in (sound, [*sound, wild])]
        for stray in (0.0, 0.02)
    )
    assert bare[1] - bare[0] > 0.1
    assert abs(robust[1] - robust[0]) < 0.02
    found = verdicts(learn([*sound, wild], 0.0).lessons("varnish"))
    odd = [v for v in found if v.surprising]
    assert [v.observation.entry for v in odd] == [77]
    assert odd[0].chance < 0.001
    assert odd[0].stray > 0.9
    assert odd[0].late
    # Where nothing is known yet, the same test is no great surprise.
    assert not verdicts(learn([wild], 0.0).lessons("varnish"))[0].surprising


def test_surprise_is_the_predictive_tail() -> None:
    """With one test alone the others are the prior: P(T > a) = 1 - Φ(ln a / hypot(0.5, 0.25)), twice that."""
    from scipy import stats

    found = verdicts(learn([seen(2.5, INF)], 0.0, EXACT).lessons("varnish"))[0]
    assert found.chance == pytest.approx(2 * float(stats.norm.sf(math.log(2.5), 0, math.hypot(0.5, 0.25))), abs=1e-5)
    early = verdicts(learn([seen(0.0, 0.3)], 0.0, EXACT).lessons("varnish"))[0]
    assert early.chance == pytest.approx(2 * float(stats.norm.cdf(math.log(0.3), 0, math.hypot(0.5, 0.25))), abs=1e-5)
    assert not early.late


def test_one_coat_moves_no_date_and_none_goes_beyond_the_rails() -> None:
    one = learn([narrow(0.5, entry=1)], 0.0)
    assert one.factor(varnish()) == ShopFactor()
    two = learn([narrow(0.5, entry=1), narrow(0.5, entry=2)], 0.0).factor(varnish())
    assert two.ln_sd is not None
    assert (two.tests, two.similar) == (2, 0)
    assert 0.2 < two.ln_mean < 0.5
    far = learn([narrow(2.5, entry=i) for i in range(40)], 0.0).factor(varnish())
    assert far.factor == pytest.approx(3.0)


def test_what_a_coat_taught_is_left_out_where_its_own_looks_count() -> None:
    rows = [
        narrow(0.5, entry=1),
        narrow(0.5, entry=2),
        narrow(0.1, entry=3),
        seen(1.2, 1.5, entry=4, woods=HIGH, woods_spread=0.6),
    ]
    for stray in (0.0, 0.02):
        whole = learn(rows, 0.0, Rules(INF, stray)).factor(varnish())
        for i, row in enumerate(rows):
            rest = learn([*rows[:i], *rows[i + 1 :]], 0.0, Rules(INF, stray)).factor(varnish())
            mine = whole.but_for(row.entry).on(row.woods)
            other = rest.on(row.woods)
            if row.woods is HIGH:  # no other test of such wood: its own spread is still to be added
                assert mine.with_wood
                assert mine.ln_mean == pytest.approx(other.ln_mean, abs=1e-4)
                assert mine.ln_sd == pytest.approx(math.hypot(other.ln_sd or 0.0, 0.6), abs=1e-4)
            else:
                assert (mine.ln_mean, mine.ln_sd) == pytest.approx((other.ln_mean, other.ln_sd), abs=1e-4)
            assert mine.tests == 3
    assert whole.but_for(99).on(HIGH).with_wood
    assert whole.on(MODERATE) == whole


def test_a_split_batch_counts_by_its_pieces() -> None:
    halves = [narrow(0.3, entry=1, pieces=0.75), narrow(0.9, entry=2, pieces=0.25)]
    found = learn(halves, 0.0, EXACT).lessons("varnish")
    assert found.effective == 1.0
    # One coat's worth of weight about the pieces' mean.
    assert found.theta().mean == pytest.approx((0.75 * 0.3 + 0.25 * 0.9) / 0.0625 / (4 + 1 / 0.0625), abs=1e-4)


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.floats(0.0, 4.0), st.floats(0.01, 3.0), st.booleans(), st.booleans()), min_size=1, max_size=12
    )
)
def test_whatever_the_looks_what_comes_out_is_sound(rows: list[tuple[float, float, bool, bool]]) -> None:
    made = [
        seen(low, INF if tacky else low + more, entry=i, woods=HIGH if oily else Extractives.NONE, woods_spread=0.6)
        for i, (low, more, tacky, oily) in enumerate(rows)
    ]
    found = learn(made, 0.0).lessons("varnish")
    density = found.theta()
    low, middle, high = (density.quantile(p) for p in (0.05, 0.5, 0.95))
    assert low < middle < high
    assert 0.0 < density.sd < 1.5
    assert float(density.mass.sum()) == pytest.approx(1.0, abs=1e-6)
    assert all(0.0 <= v.chance <= 1.0 and 0.0 <= v.stray <= 1.0 for v in verdicts(found))


def test_a_later_tacky_never_makes_it_faster() -> None:
    rows = [seen(1.0, 1.4, entry=1)]
    means = [
        learn([*rows, seen(a, INF, entry=2)], 0.0, EXACT).lessons("varnish").theta().mean for a in (0.2, 0.8, 1.6, 3.0)
    ]
    assert means == sorted(means)


def test_many_finishes_of_one_mechanism_make_its_common_part_sure() -> None:
    rows = [narrow(0.5, finish=f"f{i}", entry=i) for i in range(30)]
    new = learn(rows, 0.0, EXACT).about(varnish(name="new"))
    assert new.theta().sd == pytest.approx(math.sqrt(0.75 * 0.25), abs=0.03)
    assert new.before().mean == pytest.approx(new.theta().mean, abs=1e-6)
    assert new.theta().mean > 0.3


def test_a_changed_spread_holds_from_the_newest_test() -> None:
    rows = [narrow(0.5, entry=1), replace(narrow(0.5, entry=2, at=5.0), spread=0.1)]
    tight = learn(rows, 0.0, EXACT).lessons("varnish").theta()
    loose = learn(rows[:1] * 2, 0.0, EXACT).lessons("varnish").theta()
    assert tight.mean < loose.mean


def test_finishes_that_never_harden_learn_too() -> None:
    found = learn([narrow(0.3, mechanism=Mechanism.NONE, entry=i) for i in range(4)], 0.0)
    assert found.lessons("varnish").theta().mean > 0.1


def test_parts_of_one_coat_are_no_second_coat() -> None:
    """A tacky part that was split off, and a "dry" of the rest far too early: one coat, which moves no date."""
    split_of = ("C-3", 10.0, 1)
    late, soon = seen(5.5, INF, entry=1, pieces=0.375), seen(0.0, 0.05, entry=2, pieces=0.625)
    parts = [replace(o, split_of=split_of) for o in (late, soon)]
    assert learn(parts, 0.0).lessons("varnish").coats == 1
    assert learn(parts, 0.0).factor(varnish()) == ShopFactor()
    assert learn([late, soon], 0.0).factor(varnish()).ln_sd is not None
    other = replace(soon, split_of=("C-3", 34.0, 1))
    assert learn([parts[0], other], 0.0).lessons("varnish").coats == 2


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.05, 3.0), st.floats(0.05, 2.0), st.booleans()), min_size=1, max_size=6),
    st.floats(0.01, 8.0),
    st.sampled_from([0.3, 1.0]),
)
def test_a_dry_never_makes_it_slower_nor_a_tacky_faster(
    rows: list[tuple[float, float, bool]], ratio: float, pieces: float
) -> None:
    """Of another coat, however early or late: its likelihood only falls or only rises with the factor, and so does
    the posterior's ratio to the one without it. Medians beside a plain grid and scipy's normal with the stray share.
    """
    from scipy import stats

    made = [seen(low, INF if tacky else low + more, entry=i) for i, (low, more, tacky) in enumerate(rows)]
    dry, tacky = (seen(*ends, entry=99, pieces=pieces) for ends in ((0.0, ratio), (ratio, INF)))
    at = np.linspace(-3, 3, 3001)

    def direct(coats: list[Observation]) -> float:
        log = stats.norm.logpdf(at, 0.0, 0.5)
        for one in coats:
            low, high = one.logs
            held = stats.norm.cdf((high - at) / 0.25) - stats.norm.cdf((low - at) / 0.25)
            log = log + one.pieces * np.log(0.98 * held + 0.02 * (stats.norm.cdf(high) - stats.norm.cdf(low)))
        below = np.cumsum(np.exp(log - log.max()))
        return float(np.interp(0.5, below / below[-1], at))

    without, faster, slower = (
        learn(coats, 0.0, Rules(INF)).lessons("varnish").theta().quantile(0.5)
        for coats in (made, [*made, dry], [*made, tacky])
    )
    assert faster <= without + 1e-6
    assert slower >= without - 1e-6
    assert (faster, without, slower) == pytest.approx(
        (direct([*made, dry]), direct(made), direct([*made, tacky])), abs=0.004
    )
