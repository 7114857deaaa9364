"""A "dry" never lets a finish be slower, nor a "tacky" faster: whichever coat, finish and wood, by the mathematics.

A look at a coat not felt before is likelier the faster (dry) or the slower (tacky) it is, also where it may be a stray
or the coat may never harden. That order of likelihood ratios passes every normal blur on the way to any other finish or
wood of the mechanism (total positivity: Karlin 1968), and orders the means. What is in use keeps it by the rule that
dates move only the way that holds whichever coat is left out.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishing.cure.coat import ShopFactor
from finishing.cure.learn import Learned, Observation, Rules, learn
from finishing.cure.terms import Extractives

from .seen import INF, seen
from .test_learned import varnish

NONE, MODERATE, HIGH = Extractives.NONE, Extractives.MODERATE, Extractives.HIGH
SPREADS = {NONE: 0.1, MODERATE: 0.35, HIGH: 0.6}
NAMES = ("varnish", "oil", "untested")
Where = tuple[str, Extractives]

WHERE = st.tuples(st.sampled_from(NAMES[:2]), st.sampled_from(list(SPREADS)))
COAT = st.tuples(WHERE, st.floats(0.05, 4.0), st.floats(0.03, 3.0), st.sampled_from("dtb"), st.sampled_from([0.4, 1.0]))


def made(where: Where, low: float, high: float, entry: int, pieces: float = 1.0) -> Observation:
    finish, woods = where
    never = 0.2 if woods is HIGH else 0.0
    return seen(
        low, high, finish=finish, woods=woods, woods_spread=SPREADS[woods], entry=entry, pieces=pieces, never=never
    )


def coats(rows: list[tuple[Where, float, float, str, float]]) -> list[Observation]:
    """Coats only found dry, only found tacky, or both."""
    ends = {
        "d": lambda low, more: (0.0, low),
        "t": lambda low, more: (low, INF),
        "b": lambda low, more: (low, low + more),
    }
    return [made(where, *ends[kind](low, more), i, pieces) for i, (where, low, more, kind, pieces) in enumerate(rows)]


def believed(found: Learned) -> dict[Where, tuple[float, float]]:
    """Of every finish and wood the mean of ln(factor) that was found, and the one in use."""
    said = {}
    for name in NAMES:
        finish = varnish(name=name)
        for woods in SPREADS:
            said[name, woods] = found.about(finish).woods(woods).mean, found.factor(finish).on(woods).ln_mean
    return said


def never_beyond(first: Learned, then: Learned, way: int) -> None:
    """Nothing that is believed or in use moved the other way. 1e-5: the table of the normal, and two grids."""
    before, after = believed(first), believed(then)
    for where, (found, used) in before.items():
        assert way * (after[where][0] - found) >= -1e-5, where
        assert way * (after[where][1] - used) >= -1e-5, where


@settings(max_examples=60, deadline=None)
@given(
    st.lists(COAT, max_size=6), WHERE, st.floats(0.02, 8.0), st.sampled_from([0.0, 0.02]), st.sampled_from([0.4, 1.0])
)
def test_a_look_at_another_coat_moves_everything_its_own_way(
    rows: list[tuple[Where, float, float, str, float]], where: Where, ratio: float, stray: float, pieces: float
) -> None:
    rules, before = Rules(INF, stray), coats(rows)
    first = learn(before, 0.0, rules)
    never_beyond(first, learn([*before, made(where, 0.0, ratio, 99, pieces)], 0.0, rules), -1)
    never_beyond(first, learn([*before, made(where, ratio, INF, 99, pieces)], 0.0, rules), 1)


@settings(max_examples=40, deadline=None)
@given(st.lists(COAT, max_size=5), WHERE, st.floats(0.05, 4.0), st.floats(1.01, 3.0))
def test_a_further_look_at_a_coat_does_too_where_looks_are_of_the_coat(
    rows: list[tuple[Where, float, float, str, float]], where: Where, low: float, more: float
) -> None:
    """Found tacky once more, or dry at last. Without strays: see the next test. No wood that may never harden, of which
    the same holds."""
    where = where[0], MODERATE if where[1] is HIGH else where[1]
    rules, others = Rules(INF, 0.0), coats(rows)
    first, tackier, dry = (
        learn([*others, made(where, *ends, 99)], 0.0, rules)
        for ends in ((low, INF), (low * more, INF), (low, low * more))
    )
    never_beyond(first, tackier, 1)
    never_beyond(first, dry, -1)


def test_a_coat_tacky_so_late_that_it_must_be_another_tells_less_than_it_did() -> None:
    """The honest exception: tacky again far beyond all others it is taken for a stray, so what its first look told goes
    too, and the finish is found faster than a look ago; never faster than without the coat."""
    others = [seen(0.95, 1.25, entry=i) for i in range(4)]
    without, once, again = (
        learn([*others, *more], 0.0, Rules(INF)).lessons("varnish").theta().mean
        for more in ([], [seen(1.8, INF, entry=99)], [seen(6.0, INF, entry=99)])
    )
    assert without < again < once


def test_no_date_moves_on_the_word_of_a_single_coat_though_another_was_felt() -> None:
    """The second tells nothing of slowness: early dry, tacky when any would be, or as stated. All of it stands until
    two say one way; meanwhile nothing is surer than before any test."""
    late = seen(3.0, INF, entry=1)
    for other in (seen(0.0, 0.05, entry=2), seen(0.05, INF, entry=2), seen(0.9, 1.1, entry=2)):
        found = learn([late, other], 0.0)
        assert found.lessons("varnish").theta().mean > 0.1
        used = found.factor(varnish())
        assert (used.factor, used.agreed) == (1.0, False)
        assert used.ln_sd is not None
        assert used.ln_sd <= 0.5
    alone = learn([late], 0.0)
    assert alone.factor(varnish()) == ShopFactor()
    both = learn([late, seen(1.3, INF, entry=2)], 0.0)
    assert both.factor(varnish()).ln_mean == pytest.approx(both.lessons("varnish").theta().mean)
    assert both.factor(varnish()).agreed


def test_nor_on_that_of_one_coat_of_a_similar_finish_or_on_one_oily_wood() -> None:
    as_stated = [seen(0.9, 1.15, entry=i) for i in range(12)]
    oily = made(("varnish", HIGH), 3.0, INF, 50)
    assert learn([*as_stated, oily], 0.0).factor(varnish()).on(HIGH).factor == 1.0
    two = learn([*as_stated, oily, made(("varnish", HIGH), 2.0, INF, 51)], 0.0).factor(varnish())
    assert two.on(HIGH).factor > 1.1
    oil = [seen(2.0, 2.4, finish="oil", entry=60)]
    assert learn([*as_stated, *oil], 0.0).factor(varnish(name="untested")).factor == 1.0
    more = [seen(2.0, 2.4, finish="wax", entry=61)]
    assert learn([*as_stated, *oil, *more], 0.0).factor(varnish(name="untested")).factor > 1.05


def test_what_one_coat_among_many_is_left_out_for_is_as_learning_without_it() -> None:
    """The means with each coat left out, by brute force: learning anew from the others."""
    rows = [
        *(seen(1.0 + 0.1 * i, 1.6 + 0.1 * i, entry=i) for i in range(3)),
        made(("varnish", MODERATE), 1.4, 1.9, 10),
        made(("oil", NONE), 1.1, 1.5, 20),
        made(("oil", HIGH), 1.7, INF, 21),
    ]
    rules = Rules(INF)
    whole = learn(rows, 0.0, rules).lessons("varnish")
    for woods in (None, MODERATE):
        mine = [whole.woods(woods, i).mean for i in range(4)] + whole._without_similar(woods)
        for i, found in enumerate(mine):
            rest = learn([*rows[:i], *rows[i + 1 :]], 0.0, rules).lessons("varnish")
            assert found == pytest.approx(rest.woods(woods).mean, abs=2e-4)
    assert math.isclose(whole.woods(MODERATE, 3).mean, whole.theta(3).mean, abs_tol=1e-3)
