"""Every shipped finish, wood and schedule can be read, says where its figures come from, and can be worked with."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from finishing.cure.climate import steady
from finishing.cure.forecast import forecast
from finishing.cure.rates import RateLaw, rate
from finishing.cure.terms import (
    ClockName,
    Extractives,
    Family,
    FilmLaw,
    Hazard,
    HumidityLaw,
    Mechanism,
    Release,
    Stage,
    StepKind,
)
from finishing.cure.work import Batch
from finishing.library import Kind, Library, freeze, key, thaw, to_toml
from finishing.library.build import build
from finishing.library.rules import sources
from finishing.library.toml import parse

LIBRARY = Library()
FINISHES = {f.name: f for f in LIBRARY.finishes()}
SCHEDULES = {s.name: s for s in LIBRARY.schedules()}
WOODS = {w.name: w for w in LIBRARY.woods()}
CURING = {n: f for n, f in FINISHES.items() if f.cures}


def test_nothing_shipped_is_broken() -> None:
    assert LIBRARY.problems == ()
    assert set(LIBRARY.finish_names) == set(FINISHES)
    assert set(LIBRARY.schedule_names) == set(SCHEDULES)


def test_there_is_enough_of_everything() -> None:
    assert len(FINISHES) >= 16
    assert len(SCHEDULES) >= 14
    assert len(WOODS) >= 50
    assert {f.family for f in FINISHES.values()} == set(Family)
    assert {f.mechanism for f in FINISHES.values()} == set(Mechanism)
    assert {w.extractives for w in WOODS.values()} == set(Extractives)


@pytest.mark.parametrize("item", [*FINISHES.values(), *SCHEDULES.values(), *WOODS.values()], ids=lambda i: i.name)
def test_written_out_and_read_again_it_is_the_same(item) -> None:
    text = to_toml(item)
    assert build(type(item), parse(text, "round trip"), "round trip") == item


@pytest.mark.parametrize("finish", FINISHES.values(), ids=lambda f: f.name)
def test_every_figure_says_where_it_comes_from(finish) -> None:
    for field, source in sources(finish):
        assert len(source) > 10, field


@pytest.mark.parametrize("finish", FINISHES.values(), ids=lambda f: f.name)
def test_soft_stages_come_in_order(finish) -> None:
    # ISO 9117-5 forces no order on the later stages; dust-free, tack-free and dry to touch are one finger's growing
    # pressure and do come in turn.
    soft = [finish.stages[s] for s in (Stage.DUST_FREE, Stage.TACK_FREE, Stage.DRY_TO_TOUCH) if s in finish.stages]
    for earlier, later in pairwise(soft):
        assert earlier.low <= later.low
        assert earlier.typical <= later.typical
        assert earlier.high <= later.high


@pytest.mark.parametrize("finish", CURING.values(), ids=lambda f: f.name)
def test_a_curing_finish_has_every_stage_and_keeps_food_off(finish) -> None:
    assert set(finish.stages) == set(Stage)
    assert finish.stages[Stage.CURED].typical >= finish.stages[Stage.STACKABLE].typical
    assert Hazard.FOOD in finish.hazards


def test_mineral_oil_never_hardens() -> None:
    oil = FINISHES["mineral-oil"]
    assert not oil.cures
    assert not {Stage.DUST_FREE, Stage.TACK_FREE, Stage.DRY_TO_TOUCH} & set(oil.stages)


def test_finishes_of_one_mechanism_share_their_laws() -> None:
    for finish in FINISHES.values():
        flash, cure = finish.clocks[ClockName.FLASH], finish.clocks[ClockName.CURE]
        if finish.mechanism is Mechanism.OXIDATION:
            assert cure.humidity is HumidityLaw.SLOWS_OXIDATION
            assert Hazard.RAGS in finish.hazards
            assert finish.film.law is FilmLaw.DIFFUSION
        if finish.mechanism is Mechanism.EVAPORATION:
            assert flash == cure
            assert finish.recoat_limit is None  # each coat melts into the last: UFC 3-190-06, 2.2.2
        if finish.mechanism in (Mechanism.TWO_PART, Mechanism.MOISTURE):
            assert Hazard.ISOCYANATE in finish.hazards
        if finish.mechanism is Mechanism.NONE:
            assert finish.film.law is FilmLaw.NONE


def test_cold_and_damp_stop_what_they_should() -> None:
    # UFC 3-190-06, 2.3.2: latex must cure above 50 °F (10 °C); 7.4.1: 40 °F (4.4 °C) for most paints.
    assert FINISHES["waterborne-clear"].limits.minimum_c == 10
    assert FINISHES["waterborne-clear"].limits.stops
    assert FINISHES["brushing-varnish"].limits.minimum_c == pytest.approx(4.4, abs=0.5)
    assert not FINISHES["shellac-2lb"].limits.stops
    assert FINISHES["moisture-cured-urethane"].limits.minimum_humidity_pct == 30


def test_waterborne_dries_as_the_vapour_pressure_deficit_says() -> None:
    import psychrolib  # an outside reference for saturation pressure: ASHRAE Fundamentals 2017, ch. 1

    psychrolib.SetUnitSystem(psychrolib.SI)
    law = RateLaw.of(FINISHES["waterborne-clear"], ClockName.FLASH)

    def deficit(c: float, pct: float) -> float:
        return psychrolib.GetSatVapPres(c) * (1 - pct / 100)

    for c, pct in ((12.0, 80.0), (15.0, 60.0), (18.0, 50.0), (23.0, 70.0)):
        ours = rate(law, np.array([c]), np.array([pct]))[0]
        assert ours == pytest.approx(deficit(c, pct) / deficit(21.0, 50.0), rel=0.01)
    assert rate(law, np.array([30.0]), np.array([30.0]))[0] == pytest.approx(1 / 0.7, rel=0.002)


def test_only_the_sealer_is_a_barrier() -> None:
    assert [f.name for f in FINISHES.values() if f.barrier] == ["shellac-sealer"]
    assert "dewaxed" in FINISHES["shellac-sealer"].title


def test_nut_oils_say_so() -> None:
    assert {n for n, f in FINISHES.items() if Hazard.NUT_OIL in f.hazards} == {"walnut-oil", "tung-oil"}


@pytest.mark.parametrize("schedule", SCHEDULES.values(), ids=lambda s: s.name)
def test_a_schedule_can_be_taken_to_its_end(schedule) -> None:
    batch = _batch(schedule, "hard maple")
    ahead = forecast(batch, [], {"bench": steady(21.0, 50.0, 0.0)}, {}, 0.0)
    assert ahead.stopped is None
    assert ahead.releases[Release.HANDLE] is not None
    assert ahead.releases[Release.PACK] is not None
    assert ahead.releases[Release.USE] is not None
    assert not any(step.abrade_first for step in ahead.ahead), "a window shuts although every step is at its earliest"


def _batch(schedule, wood: str) -> Batch:
    woods = (WOODS[wood],)
    return Batch("A1", schedule, LIBRARY.finishes_of(schedule), woods, LIBRARY.classes, "bench")


@pytest.mark.parametrize("schedule", SCHEDULES.values(), ids=lambda s: s.name)
def test_bare_oily_wood_gets_no_date_unless_sealed_or_wiped_or_not_oxidising(schedule) -> None:
    ahead = forecast(_batch(schedule, "cocobolo"), [], {"bench": steady(21.0, 50.0, 0.0)}, {}, 0.0)
    first = FINISHES[schedule.finishes[0]]
    wiped = any(s.kind is StepKind.CLEAN for s in schedule.steps[: schedule.coat_steps[0]])
    risky = first.mechanism is Mechanism.OXIDATION and not wiped
    assert (ahead.stopped is not None) == risky


@pytest.mark.parametrize("schedule", SCHEDULES.values(), ids=lambda s: s.name)
def test_a_coat_with_a_wipe_window_is_wiped(schedule) -> None:
    for position in schedule.coat_steps:
        finish = FINISHES[schedule.steps[position].finish]
        follows = {s.kind for s in schedule.steps[position + 1 : position + 3]}
        assert finish.wipe is None or StepKind.WIPE in follows
        assert finish.name != "mineral-oil" or {StepKind.SOAK, StepKind.WIPE} <= follows


def test_schedules_have_different_names_and_words() -> None:
    assert len({s.title for s in SCHEDULES.values()}) == len(SCHEDULES)
    assert all(s.suits and s.summary for s in SCHEDULES.values())
    assert len({f.title for f in FINISHES.values()}) == len(FINISHES)


def test_every_other_name_of_a_wood_means_one_wood() -> None:
    names = [n.casefold() for w in WOODS.values() for n in (w.name, *w.aliases)]
    assert len(names) == len(set(names))


def test_woods_are_estimates_and_say_so() -> None:
    for wood in WOODS.values():
        assert wood.evidence.value == "estimate"
        assert "guess" in wood.source
    assert WOODS["padauk"].factors == {Mechanism.OXIDATION: 1.8}
    assert WOODS["teak"].factors == WOODS["cocobolo"].factors == {Mechanism.OXIDATION: 3.0}


def test_more_extractives_never_mean_faster() -> None:
    for mechanism in Mechanism:
        rows = [LIBRARY.classes.get(e, mechanism) for e in Extractives]
        for plainer, oilier in pairwise(rows):
            assert plainer.typical <= oilier.typical
            assert plainer.never_bare <= oilier.never_bare
            assert plainer.spread <= oilier.spread


def test_a_frozen_copy_comes_back_whole_and_alike() -> None:
    schedule = SCHEDULES["wiped-varnish-sealed"]
    finishes, woods = LIBRARY.finishes_of(schedule), LIBRARY.woods_of(["maple", "padauk", "hard maple"])
    assert [w.name for w in woods] == ["hard maple", "padauk"]
    text = freeze(schedule, finishes, woods, LIBRARY.classes)
    back = thaw(text)
    assert (back.schedule, back.finishes, back.woods, back.classes) == (schedule, finishes, woods, LIBRARY.classes)
    assert freeze(back.schedule, dict(reversed(back.finishes.items())), back.woods, back.classes) == text
    assert len(key(text)) == 64
    assert key(text) != key(freeze(schedule, finishes, woods[:1], LIBRARY.classes))


def test_own_kinds_cover_all_items() -> None:
    assert {k.holds for k in Kind} == {type(x) for x in (*FINISHES.values(), *SCHEDULES.values(), *WOODS.values())}
