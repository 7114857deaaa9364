"""Touch tests of a folded record as intervals on equivalent time, worked out by hand in air that is the reference."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from finishing.cure.climate import PlaceAir
from finishing.cure.learn import Observation, Rules, learn, observations
from finishing.cure.progress import folded
from finishing.cure.terms import ClockName, Extractives, Face, Stage
from finishing.cure.work import CoatEntry, Entry, Finding, TestEntry, VoidEntry

from ..factory import COCOBOLO, PADAUK, START, batch, plain_schedule, series, varnish, warm
from ..test_equivalent_age import relative

TOUCH, RECOAT = Stage.DRY_TO_TOUCH, Stage.DRY_TO_RECOAT
TACKY, DRY = Finding.TACKY, Finding.DRY
T = START


def observed(
    entries: Sequence[Entry], air: PlaceAir | None = None, skip: Sequence[int] = (), **more: object
) -> list[Observation]:
    made = batch(plain_schedule("four", 4, "varnish"), varnish(), **more)
    return observations(folded(made, entries, {"bench": air or warm()}, {}, 0.8), skip)


def test_one_coat_is_one_interval() -> None:
    """Touch-dry is stated as 4 h: tacky at 5, dry at 6 is 1.25 to 1.5 times that."""
    found = observed([CoatEntry(1, T, 1), TestEntry(2, T + 5, TOUCH, TACKY), TestEntry(3, T + 6, TOUCH, DRY)])
    assert len(found) == 1
    one = found[0]
    assert (one.low, one.high) == pytest.approx((1.25, 1.5))
    assert (one.tests, one.entry, one.at, one.stages) == ((2, 3), 1, T + 6, (TOUCH,))
    assert (one.finish, one.spread, one.noise, one.clashing) == ("varnish", 0.5, 0.25, False)


@pytest.mark.parametrize(
    ("looks", "low", "high"),
    [
        ([(5, TOUCH, TACKY)], 1.25, math.inf),
        ([(5, TOUCH, DRY)], 0.0, 1.25),
        ([(3, TOUCH, TACKY), (4, TOUCH, TACKY), (6, TOUCH, DRY), (9, TOUCH, DRY)], 1.0, 1.5),
        # The finger that found it tacky again was the one that looked closer.
        ([(3, TOUCH, DRY), (5, TOUCH, TACKY)], 1.25, math.inf),
        ([(3, TOUCH, DRY), (5, TOUCH, TACKY), (6, TOUCH, DRY)], 1.25, 1.5),
        # Several stages (recoat is stated as 12 h): what all of them allow.
        ([(5, TOUCH, TACKY), (6, TOUCH, DRY), (14, RECOAT, TACKY), (16, RECOAT, DRY)], 1.25, 16 / 12),
        ([(4, TOUCH, TACKY), (6, TOUCH, DRY), (1, RECOAT, TACKY)], 1.0, 1.5),
    ],
)
def test_kinds_of_looks(looks: list[tuple[float, Stage, Finding]], low: float, high: float) -> None:
    tests = [TestEntry(n + 2, T + h, stage, finding) for n, (h, stage, finding) in enumerate(looks)]
    found = observed([CoatEntry(1, T, 1), *tests])[0]
    assert (found.low, found.high) == pytest.approx((low, high))
    assert not found.clashing


def test_stages_that_contradict_each_other_leave_it_between() -> None:
    """Tacky to the touch at 1.5 times its time, dry to recoat at 0.5 of it."""
    found = observed([CoatEntry(1, T, 1), TestEntry(2, T + 6, TOUCH, TACKY), TestEntry(3, T + 6, RECOAT, DRY)])[0]
    assert (found.low, found.high, found.clashing) == (pytest.approx(0.5), pytest.approx(1.5), True)


def test_two_looks_in_a_minute_tell_no_finer_than_a_finger_can() -> None:
    found = observed([CoatEntry(1, T, 1), TestEntry(2, T + 5, TOUCH, TACKY), TestEntry(3, T + 5, TOUCH, DRY)])[0]
    assert found.high / found.low == pytest.approx(math.exp(0.02))
    assert math.sqrt(found.low * found.high) == pytest.approx(1.25)


def test_void_and_left_out_tests_do_not_count() -> None:
    entries = [CoatEntry(1, T, 1), TestEntry(2, T + 5, TOUCH, TACKY), TestEntry(3, T + 6, TOUCH, DRY)]
    assert observed([*entries, VoidEntry(4, T + 7, 2)])[0].low == 0.0
    assert observed(entries, skip=[2])[0].tests == (3,)
    assert observed(entries, skip=[2, 3]) == []


def test_each_coat_has_its_own_looks() -> None:
    entries = [
        CoatEntry(1, T, 1),
        TestEntry(2, T + 5, TOUCH, TACKY),
        CoatEntry(3, T + 20, 2),
        TestEntry(4, T + 26, TOUCH, DRY),
    ]
    assert [(o.entry, o.tests) for o in observed(entries)] == [(1, (2,)), (3, (4,))]


def test_the_stated_time_has_wood_and_film_in_it() -> None:
    """Padauk 1.6 times on bare wood; twice the film takes twice as long to touch (facts of `film`)."""
    entries = [CoatEntry(1, T, 1), TestEntry(2, T + 8, TOUCH, TACKY)]
    plain, slow = observed(entries)[0], observed(entries, woods=(PADAUK,))[0]
    assert plain.low == pytest.approx(1.6 * slow.low)
    assert (slow.woods, slow.slow, slow.never) == (Extractives.MODERATE, True, 0.08)
    own = varnish().film.first_m2_per_l
    heavy = observed([CoatEntry(1, T, 1, 2000.0 / own), entries[1]], coated_m2=1.0)[0]
    assert heavy.low == pytest.approx(plain.low / 2)
    assert heavy.sigma == pytest.approx(math.hypot(0.25, 0.1))


def test_bare_oily_wood_has_no_date_but_teaches() -> None:
    tacky = observed([CoatEntry(1, T, 1), TestEntry(2, T + 40, TOUCH, TACKY)], woods=(COCOBOLO,))[0]
    assert (tacky.never, tacky.low) == (0.3, pytest.approx(40 / 12))
    dry = observed([CoatEntry(1, T, 1), TestEntry(2, T + 40, TOUCH, DRY)], woods=(COCOBOLO,))[0]
    assert (dry.never, dry.high) == (0.0, pytest.approx(40 / 12))


def test_a_cold_night_is_no_slow_finish() -> None:
    """At 8 °C throughout, by the Arrhenius law alone: 10 h count as 10 · rate."""
    found = observed([CoatEntry(1, T, 1), TestEntry(2, T + 10, TOUCH, TACKY)], warm(8.0))[0]
    ea = varnish().clocks[ClockName.CURE].activation_energy_kj_mol
    assert found.low == pytest.approx(10 * relative(8.0, ea, 21.0) / 4, rel=1e-6)


def test_a_cold_week_without_true_slowness_leaves_the_factor_alone() -> None:
    """Coats that harden exactly as stated, each felt at the moments its own equivalent time says, in a week at 6 to
    14 °C: on the clock they take more than twice as long."""
    hours = np.arange(T - 24, T + 24 * 12, 0.5)
    air = PlaceAir(series(hours, 10 + 4 * np.sin(2 * np.pi * (hours - 9) / 24), 50.0))
    finish = varnish()
    clock = air.of(finish, ClockName.CURE)
    random = np.random.default_rng(3)
    seen: list[Observation] = []
    took = []
    for n in range(12):
        at = T + 12.0 * n
        true = 12.0 * math.exp(random.normal(0.0, 0.1))
        tacky, dry = (float(clock.reached(at, true * f)) for f in (0.9, 1.1))
        took.append(dry - at)
        seen += observed([CoatEntry(1, at, 1), TestEntry(2, tacky, RECOAT, TACKY), TestEntry(3, dry, RECOAT, DRY)], air)
    assert sum(took) / len(took) > 2 * 12
    found = learn(seen, T, Rules(math.inf)).lessons("varnish").theta()
    assert found.mean == pytest.approx(0.0, abs=0.06)
    low, high = found.interval()
    assert low < 0.0 < high


def test_faces_coated_apart_are_coats_apart() -> None:
    from dataclasses import replace

    from finishing.cure.schedule import Schedule, Step
    from finishing.cure.terms import StepKind

    steps = tuple(Step(StepKind.COAT, finish="varnish", minutes_per_piece=3.0, face=f) for f in (Face.BOTTOM, Face.TOP))
    made = replace(batch(plain_schedule("x", 1, "varnish"), varnish()), schedule=Schedule("faces", "faces", "", steps))
    entries = [
        CoatEntry(1, T, 0),
        CoatEntry(2, T + 3, 1),
        TestEntry(3, T + 6, TOUCH, TACKY),
        TestEntry(4, T + 7, TOUCH, DRY, Face.TOP),
    ]
    found = observations(folded(made, entries, {"bench": warm()}, {}, 0.8))
    assert [(o.low, o.high) for o in found] == [(1.5, math.inf), (pytest.approx(0.75), pytest.approx(1.0))]
