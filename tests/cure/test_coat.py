"""One coat: its stages at each level against scipy's log-normal, touch tests, and its recoat window."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from finishing.cure.coat import Coat, Factors, ShopFactor, lay
from finishing.cure.finish import Finish
from finishing.cure.species import SpeciesFactor
from finishing.cure.terms import ClockName, Face, Stage
from finishing.cure.track import Track
from finishing.cure.work import Finding, TestEntry

from .factory import linseed, mineral_oil, varnish, warm, waterborne
from .test_equivalent_age import relative

PLAIN = SpeciesFactor(1.0, "hard maple", 0.0, 0.1)
SIGMA = math.sqrt(0.5**2 + 0.25**2 + 0.1**2)  # varnish: shop and can, coat against coat, wood


def coat(
    finish: Finish | None = None,
    *tests: TestEntry,
    t: float = 21.0,
    rh: float = 50.0,
    species: SpeciesFactor = PLAIN,
    ratio: float = 1.0,
    shop: ShopFactor | None = None,
    level: float = 0.8,
) -> Coat:
    """A coat put on at hour 0 in air that never changes."""
    return lay(
        step=1,
        number=1,
        face=Face.BOTH,
        finish=finish or varnish(),
        at=0.0,
        factors=Factors(species, ratio, shop or ShopFactor()),
        track=Track([(-math.inf, warm(t, rh, 0.0))]),
        level=level,
        tests=tests,
    )


def touch(at: float, stage: Stage, finding: Finding, number: int = 9) -> TestEntry:
    return TestEntry(number, at, stage, finding)


def levels(found: Coat, stage: Stage) -> list[float]:
    time = found.stages[stage]
    assert time is not None
    assert None not in (time.could_be, time.likely, time.at_level, time.count_on)
    return [time.could_be, time.likely, time.at_level, time.count_on]  # type: ignore[list-item]


def quantiles(median: float, sigma: float = SIGMA) -> list[float]:
    return [float(stats.lognorm.ppf(p, sigma, scale=median)) for p in (0.2, 0.5, 0.8, 0.9)]


@pytest.mark.parametrize(("stage", "hours"), [(Stage.DRY_TO_TOUCH, 4.0), (Stage.DRY_TO_RECOAT, 12.0)])
def test_at_the_reference_the_levels_are_the_stated_hours_spread(stage: Stage, hours: float) -> None:
    assert levels(coat(), stage) == pytest.approx(quantiles(hours), rel=1e-6)


def test_cold_stretches_each_stage_by_its_own_clocks_law() -> None:
    cold = coat(t=10.0)
    assert levels(cold, Stage.TACK_FREE) == pytest.approx(quantiles(2.5 / relative(10.0, 40.0, 21.0)), rel=1e-6)
    assert levels(cold, Stage.CURED) == pytest.approx(quantiles(504 / relative(10.0, 50.0, 21.0)), rel=1e-6)


def test_factors_multiply() -> None:
    shop = ShopFactor(math.log(1.3), 0.2, 4)
    found = coat(species=SpeciesFactor(1.6, "padauk", 0.08, 0.35), ratio=2.0, shop=shop)
    sigma = math.sqrt(0.2**2 + 0.25**2 + 0.35**2)  # the learned spread stands in for the finish's own
    assert levels(found, Stage.DRY_TO_RECOAT) == pytest.approx(quantiles(12 * 1.6 * 3 * 1.3, sigma), rel=1e-6)
    assert levels(found, Stage.DRY_TO_TOUCH) == pytest.approx(quantiles(4 * 1.6 * 2 * 1.3, sigma), rel=1e-6)


def test_window_opens_at_the_level_and_shuts_at_the_limit() -> None:
    window = coat(level=0.5).window
    assert (window.opens, window.shuts, window.tight) == (pytest.approx(12.0), pytest.approx(24.0), False)
    assert coat(linseed()).window.shuts is None


def test_a_warm_shop_shuts_the_window_sooner() -> None:
    # The limit runs in equivalent hours too: harder to recoat when fully cured (UFC 3-190-06, 2.2.3).
    assert coat(t=26.0).window.shuts == pytest.approx(24 / relative(26.0, 50.0, 21.0), rel=1e-6)


def test_a_window_that_shuts_before_it_is_sure_to_be_open_is_told() -> None:
    window = coat(level=0.95).window  # 12 * exp(1.645 * 0.568) = 30.5 h, beyond the limit of 24
    assert window.tight
    assert window.shuts == window.opens


def test_a_tacky_finger_puts_it_off() -> None:
    before = levels(coat(), Stage.DRY_TO_TOUCH)
    found = coat(None, touch(8.0, Stage.DRY_TO_TOUCH, Finding.TACKY))
    after = levels(found, Stage.DRY_TO_TOUCH)
    assert all(b > a for a, b in zip(before, after, strict=True))
    # P(T > t | T > 8) by scipy's survival function.
    left = stats.lognorm.sf(8.0, SIGMA, scale=4.0)
    assert after == pytest.approx(
        [float(stats.lognorm.isf(left * (1 - p), SIGMA, scale=4.0)) for p in (0.2, 0.5, 0.8, 0.9)], rel=1e-6
    )


def test_a_tacky_surface_means_the_depth_is_soft_too() -> None:
    found = coat(None, touch(30.0, Stage.DRY_TO_TOUCH, Finding.TACKY))
    for stage in (Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE, Stage.STACKABLE, Stage.CURED):
        assert levels(found, stage)[0] > 30.0


def test_a_dry_surface_says_nothing_of_the_depth() -> None:
    # Stenberg et al., Ind. Crops Prod. 21 (2005) 263: a film that skins over quickly is slow to dry through;
    # ISO 9117-5: stages may come out of order.
    plain, found = coat(), coat(None, touch(1.0, Stage.DRY_TO_TOUCH, Finding.DRY))
    assert levels(found, Stage.DRY_TO_TOUCH)[0] <= 1.0
    for stage in (Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE, Stage.STACKABLE, Stage.CURED):
        assert levels(found, stage) == levels(plain, stage)


def test_a_dry_finger_opens_at_once() -> None:
    found = coat(None, touch(6.0, Stage.DRY_TO_RECOAT, Finding.DRY))
    assert found.window.opens == 6.0
    time = found.stages[Stage.DRY_TO_RECOAT]
    assert time is not None
    assert (time.seen, time.at_level, time.count_on) == (6.0, 6.0, 6.0)


def test_the_finger_cannot_make_a_stage_later_than_it_was() -> None:
    found = coat(None, touch(100.0, Stage.DRY_TO_RECOAT, Finding.DRY))
    assert found.window.opens == coat().window.opens


def test_tacky_after_dry_takes_the_dry_back() -> None:
    found = coat(
        None,
        touch(6.0, Stage.DRY_TO_RECOAT, Finding.DRY, 1),
        touch(9.0, Stage.DRY_TO_RECOAT, Finding.TACKY, 2),
    )
    assert levels(found, Stage.DRY_TO_RECOAT)[0] > 9.0


def test_dry_after_tacky_opens_when_it_was_found() -> None:
    found = coat(
        None,
        touch(30.0, Stage.DRY_TO_RECOAT, Finding.TACKY, 1),
        touch(31.0, Stage.DRY_TO_RECOAT, Finding.DRY, 2),
    )
    assert found.window.opens == 31.0


def test_a_film_slow_to_open_is_slow_to_shut() -> None:
    """Opening and shutting share their factors: tacky at 30 h, dry at 31 h, it has not been over-cured since 24 h."""
    found = coat(
        None,
        touch(30.0, Stage.DRY_TO_RECOAT, Finding.TACKY, 1),
        touch(31.0, Stage.DRY_TO_RECOAT, Finding.DRY, 2),
    )
    assert found.window.shuts is not None
    # Between 30 and 31 h where 12 was the median: 2.54 times as slow, so it shuts at about 2.54 * 24 = 61 h.
    assert found.window.shuts == pytest.approx(61.0, abs=0.5)
    assert not found.window.tight
    early = coat(None, touch(1.0, Stage.DRY_TO_RECOAT, Finding.TACKY))
    assert early.window.shuts == pytest.approx(24.0, rel=1e-2), "tacky after an hour is no news"
    lone = coat(None, touch(6.0, Stage.DRY_TO_RECOAT, Finding.DRY))
    assert lone.window.shuts == pytest.approx(24.0), "a lone look says when it was made, not how fast the film is"


def test_an_oily_bare_wood_gives_no_date() -> None:
    found = coat(species=SpeciesFactor(3.0, "cocobolo", 0.3, 0.6))
    assert found.undated
    assert set(found.stages.values()) == {None}
    assert (found.window.opens, found.window.shuts) == (None, None)


def test_a_finish_that_never_hardens_has_no_such_stage() -> None:
    found = coat(mineral_oil())
    assert found.stages[Stage.CURED] is None
    assert found.stages[Stage.DRY_TO_TOUCH] is None
    assert levels(found, Stage.STACKABLE)


def test_standing_still_for_ever_is_never() -> None:
    frozen = coat(t=3.0)
    time = frozen.stages[Stage.CURED]
    assert time is not None
    assert (time.could_be, time.likely, time.at_level, time.count_on) == (None,) * 4
    assert (frozen.window.opens, frozen.window.shuts) == (None, None)
    assert not frozen.reached(Stage.CURED, 1e9)


def test_too_damp_to_coalesce_is_never() -> None:
    assert coat(waterborne(), rh=86.0).window.opens is None
    assert coat(waterborne(), rh=84.0).window.opens is not None


def test_reached_goes_by_the_level() -> None:
    found = coat()
    time = found.stages[Stage.DRY_TO_TOUCH]
    assert time is not None
    assert time.at_level is not None
    assert not found.reached(Stage.DRY_TO_TOUCH, time.at_level - 0.01)
    assert found.reached(Stage.DRY_TO_TOUCH, time.at_level)


def test_a_stage_stated_as_at_once_is_there_when_it_is_put_on() -> None:
    base = varnish()
    at_once = base.stages[Stage.DUST_FREE].__class__(0, 0, 0, ClockName.FLASH, base.film.evidence, "")
    finish = varnish(stages={**base.stages, Stage.DUST_FREE: at_once})
    assert levels(coat(finish), Stage.DUST_FREE) == [0.0] * 4
    tacky = coat(finish, touch(2.0, Stage.DUST_FREE, Finding.TACKY))
    assert levels(tacky, Stage.DUST_FREE) == pytest.approx([2.0] * 4)
