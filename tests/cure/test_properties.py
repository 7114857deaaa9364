"""What must hold for every finish, air and record, whatever the figures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishing.cure.climate import PlaceAir, steady
from finishing.cure.coat import Coat, Factors, ShopFactor, lay
from finishing.cure.finish import Finish
from finishing.cure.integral import EquivalentTime
from finishing.cure.progress import progress
from finishing.cure.rates import RateLaw
from finishing.cure.species import SpeciesFactor, species_factor
from finishing.cure.terms import ClockName, Extractives, Face, Mechanism, Release, Stage
from finishing.cure.track import Track
from finishing.cure.work import (
    AbradeEntry,
    CoatEntry,
    Entry,
    Finding,
    HoldEntry,
    MoveEntry,
    ReleaseEntry,
    StepEntry,
    TestEntry,
    VoidEntry,
)

from .factory import ALL_FINISHES, START, batch, classes, series, varnish, warm, wood
from .test_progress import TWO_FACE

finishes = st.sampled_from([make() for make in ALL_FINISHES])
some_levels = st.sampled_from([0.2, 0.5, 0.8, 0.9])
warmths = st.floats(-5.0, 45.0)
damps = st.floats(0.0, 100.0)
factors = st.floats(0.5, 10.0)
ratios = st.floats(0.5, 3.0)


@st.composite
def histories(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Up to a fortnight of air: hours (not from 0), °C, % RH."""
    points = draw(st.lists(st.tuples(st.floats(0.1, 40.0), warmths, damps), min_size=2, max_size=8))
    gaps, t, rh = zip(*points, strict=True)
    return np.cumsum(gaps), np.array(t), np.array(rh)


def put_on(
    finish: Finish,
    air: PlaceAir,
    *,
    at: float = 0.0,
    species: float = 1.0,
    ratio: float = 1.0,
    level: float = 0.8,
    tests: tuple[TestEntry, ...] = (),
    track: Track | None = None,
) -> Coat:
    return lay(
        step=0,
        number=1,
        face=Face.BOTH,
        finish=finish,
        at=at,
        factors=Factors(SpeciesFactor(species, "", 0.0, 0.1), ratio, ShopFactor()),
        track=track or Track([(-math.inf, air)]),
        level=level,
        tests=tests,
    )


def times(coat: Coat) -> dict[tuple[Stage, str], float]:
    """Every hour the coat gives, inf where it gives none."""
    found = {}
    for stage, time in coat.stages.items():
        for name in ("could_be", "likely", "count_on", "at_level"):
            hour = None if time is None else getattr(time, name)
            found[stage, name] = math.inf if hour is None else hour
    return found


def no_later(one: Coat, other: Coat) -> None:
    for key, hour in times(one).items():
        assert hour <= times(other)[key] * (1 + 1e-9) + 1e-6, key


@given(finishes, histories(), st.floats(0.0, 15.0))
def test_warmer_is_never_slower(
    finish: Finish, history: tuple[np.ndarray, np.ndarray, np.ndarray], more: float
) -> None:
    hours, t, rh = history
    cool, warmer = (PlaceAir(series(hours, t + d, rh)) for d in (0.0, more))
    no_later(put_on(finish, warmer), put_on(finish, cool))


@given(finishes, histories(), ratios, ratios)
def test_more_film_is_never_faster(
    finish: Finish, history: tuple[np.ndarray, np.ndarray, np.ndarray], one: float, two: float
) -> None:
    air = PlaceAir(series(*history))
    no_later(put_on(finish, air, ratio=min(one, two)), put_on(finish, air, ratio=max(one, two)))


@given(finishes, histories(), factors, factors)
def test_a_slower_wood_is_never_earlier(
    finish: Finish, history: tuple[np.ndarray, np.ndarray, np.ndarray], one: float, two: float
) -> None:
    air = PlaceAir(series(*history))
    no_later(put_on(finish, air, species=min(one, two)), put_on(finish, air, species=max(one, two)))


@pytest.mark.parametrize("mechanism", list(Mechanism))
@pytest.mark.parametrize("coat", [1, 2])
def test_more_extractives_are_never_faster(mechanism: Mechanism, coat: int) -> None:
    found = [
        species_factor([wood(e, e)], classes(), mechanism, coat_on_face=coat).factor
        for e in (Extractives.NONE, Extractives.LOW, Extractives.MODERATE, Extractives.HIGH)
    ]
    assert found == sorted(found)


looks = st.lists(
    st.tuples(st.floats(0.1, 200.0), st.sampled_from(list(Stage)), st.sampled_from(list(Finding))), max_size=4
)


@given(finishes, histories(), looks, some_levels, factors)
def test_levels_keep_their_order_and_windows_shut_after_they_open(
    finish: Finish,
    history: tuple[np.ndarray, np.ndarray, np.ndarray],
    found: list[tuple[float, Stage, Finding]],
    level: float,
    slow: float,
) -> None:
    tests = tuple(TestEntry(n, *look) for n, look in enumerate(found))
    coat = put_on(finish, PlaceAir(series(*history)), level=level, tests=tests, species=slow)
    by_level = times(coat)
    for stage in Stage:
        assert by_level[stage, "could_be"] <= by_level[stage, "likely"] <= by_level[stage, "count_on"]
        assert by_level[stage, "could_be"] >= 0.0
    opens, shuts = coat.window.opens, coat.window.shuts
    assert opens is not None or shuts is None
    assert opens is None or shuts is None or opens <= shuts


@given(finishes, histories(), st.floats(0.0, 300.0), st.floats(0.0, 300.0), st.sampled_from(list(ClockName)))
def test_splitting_a_stretch_in_two_changes_nothing(
    finish: Finish, history: tuple[np.ndarray, np.ndarray, np.ndarray], one: float, two: float, clock: ClockName
) -> None:
    track = Track([(-math.inf, PlaceAir(series(*history)))])
    first, last = sorted((one, two))
    whole = track.gathered(finish, clock, 0.0, last)
    parts = track.gathered(finish, clock, 0.0, first) + track.gathered(finish, clock, first, last)
    assert parts == pytest.approx(whole, rel=1e-9, abs=1e-9)


@given(finishes, histories(), st.lists(st.floats(0.0, 400.0), max_size=3))
def test_carrying_it_to_a_place_with_the_same_air_changes_nothing(
    finish: Finish, history: tuple[np.ndarray, np.ndarray, np.ndarray], moves: list[float]
) -> None:
    air = PlaceAir(series(*history))
    track = Track([(-math.inf, air)])
    for hour in sorted(moves):
        track = track.moved(hour, air)
    stayed, carried = put_on(finish, air), put_on(finish, air, track=track)
    no_later(stayed, carried)
    no_later(carried, stayed)


@given(histories(), st.floats(0.1, 0.9))
def test_points_more_on_the_same_line_change_next_to_nothing(
    history: tuple[np.ndarray, np.ndarray, np.ndarray], share: float
) -> None:
    _, t, rh = history
    t, hours = np.minimum(t, 34.0), 2.0 * np.arange(len(t))  # below the cap, and no faster than a heater warms a room
    law = RateLaw.of(varnish(), ClockName.CURE)
    dense = np.sort(np.concatenate([hours, hours[:-1] + share * np.diff(hours)]))
    one = EquivalentTime(law, series(hours, t, rh))
    two = EquivalentTime(law, series(dense, np.interp(dense, hours, t), np.interp(dense, hours, rh)))
    # Simpson's rule is not exact across the kink at 50 % RH inside a quarter of an hour: at this pace and slope of the
    # humidity by up to 2e-3 h at each crossing, for either of the two.
    crossings = int(np.count_nonzero(np.diff(np.sign(rh - 50.0))))
    assert float(one.total[-1]) == pytest.approx(float(two.total[-1]), rel=1e-3, abs=4e-3 * max(1, crossings))


@given(histories(), st.floats(0, 400), st.floats(0, 400), st.floats(0.01, 50))
def test_coated_later_it_is_never_ready_earlier(
    history: tuple[np.ndarray, np.ndarray, np.ndarray], one: float, two: float, wanted: float
) -> None:
    clock = PlaceAir(series(*history)).of(varnish(), ClockName.CURE)
    early, late = sorted((one, two))
    assert float(clock.reached(early, wanted)) <= float(clock.reached(late, wanted)) + 1e-6


CLIMATE = {"bench": warm(), "loft": steady(9.0, 60.0, START - 1000)}
RECORD: list[Entry] = [
    StepEntry(1, START, 0),
    CoatEntry(2, START + 1, 1),
    MoveEntry(3, START + 2, "loft"),
    TestEntry(4, START + 4, Stage.DRY_TO_TOUCH, Finding.TACKY),
    MoveEntry(5, START + 6, "bench"),
    TestEntry(6, START + 9, Stage.DRY_TO_TOUCH, Finding.DRY),
    StepEntry(7, START + 9, 2),
    CoatEntry(8, START + 9, 3),
    CoatEntry(9, START + 9.5, 3),
    VoidEntry(10, START + 10, 9),
    HoldEntry(11, START + 11),
    HoldEntry(12, START + 12, on=False),
    AbradeEntry(13, START + 40, Face.BOTH, 320, 4),
    ReleaseEntry(14, START + 41, Release.HANDLE),
]


@settings(max_examples=40)
@given(st.permutations(RECORD), st.floats(0, 100))
def test_the_order_entries_are_given_in_does_not_matter(shuffled: list[Entry], later: float) -> None:
    made = batch(TWO_FACE, varnish())
    now = START + later
    assert progress(made, shuffled, CLIMATE, {}, now) == progress(made, RECORD, CLIMATE, {}, now)


@given(some_levels, some_levels)
def test_a_surer_level_never_opens_earlier(one: float, two: float) -> None:
    made, record = batch(TWO_FACE, varnish()), RECORD[:8]
    opens = [progress(made, record, CLIMATE, {}, START + 10, level=p).next for p in sorted((one, two))]
    assert opens[0] is not None
    assert opens[1] is not None
    assert opens[0].opens is not None
    assert opens[1].opens is not None
    assert opens[0].opens <= opens[1].opens
