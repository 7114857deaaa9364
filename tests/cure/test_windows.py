"""Many windows at once are the same as one coat after another."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.climate import PlaceAir, steady
from finishing.cure.coat import Factors, ShopFactor, lay
from finishing.cure.finish import Finish
from finishing.cure.species import SpeciesFactor
from finishing.cure.terms import Face, Stage
from finishing.cure.track import Track
from finishing.cure.windows import recoat_windows

from .factory import linseed, mineral_oil, moisture_cure, series, shellac, two_part, varnish, waterborne

HOURS = np.arange(0, 300.1, 1 / 6)
AIR = PlaceAir(series(HOURS, 11 + 9 * np.sin(HOURS / 4), 65 + 25 * np.cos(HOURS / 7)))


def one_by_one(air: PlaceAir, finish: Finish, applied: np.ndarray, factor: np.ndarray, level: float) -> np.ndarray:
    rows = []
    for at, slow in zip(applied, factor, strict=True):
        coat = lay(
            step=0,
            number=1,
            face=Face.BOTH,
            finish=finish,
            at=float(at),
            factors=Factors(SpeciesFactor(float(slow), "", 0.0, 0.1), 1.0, ShopFactor()),
            track=Track([(-math.inf, air)]),
            level=level,
        )
        window = (coat.window.opens, coat.window.shuts)
        rows.append([math.inf if hour is None else hour for hour in window])
    return np.array(rows).T


@pytest.mark.parametrize("make", [varnish, shellac, waterborne, linseed, mineral_oil, moisture_cure, two_part])
@pytest.mark.parametrize("level", [0.5, 0.8, 0.97])
def test_agrees_with_laying_each_coat(make, level: float) -> None:  # type: ignore[no-untyped-def]
    finish = make()
    random = np.random.default_rng(7)
    # Before the air begins, inside it, and beyond its end.
    applied, factor = random.uniform(-20, 400, 40), random.uniform(1.0, 3.0, 40)
    sigma = math.sqrt(finish.spread**2 + finish.repeat**2 + 0.1**2)
    ours = recoat_windows(AIR, finish, applied, factor, sigma=sigma, level=level)
    np.testing.assert_allclose(ours, one_by_one(AIR, finish, applied, factor, level), rtol=1e-12)


def test_never_is_infinite() -> None:
    frozen = steady(2.0, 50.0, 0.0)
    opens, shuts = recoat_windows(frozen, varnish(), np.array([1.0, 2.0]), 1.0, sigma=0.5, level=0.8)
    assert np.isinf(opens).all()
    assert np.isinf(shuts).all()
    none = mineral_oil(stages={Stage.STACKABLE: mineral_oil().stages[Stage.STACKABLE]})
    assert np.isinf(recoat_windows(AIR, none, np.array([1.0]), 1.0, sigma=0.5, level=0.8)).all()


@given(st.lists(st.floats(0, 500), min_size=1, max_size=30), st.floats(0.5, 10), st.floats(0, 1), st.floats(0.05, 0.95))
def test_a_window_never_shuts_before_it_opens(applied: list[float], factor: float, sigma: float, level: float) -> None:
    at = np.array(applied)
    opens, shuts = recoat_windows(AIR, varnish(), at, factor, sigma=sigma, level=level)
    assert (opens >= at).all()
    assert (shuts >= opens).all()
