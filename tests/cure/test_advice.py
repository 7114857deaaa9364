"""What is said beside the dates: the air against coating, the cold ahead, how the air is known, and hazards."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest

from finishing.cure.advice import air_cautions
from finishing.cure.climate import PlaceAir, build
from finishing.cure.outlook import UsualDay
from finishing.cure.progress import Progress, progress
from finishing.cure.schedule import Schedule, Step
from finishing.cure.terms import StepKind
from finishing.cure.work import CoatEntry, Entry, StepEntry

from .factory import (
    COCOBOLO,
    PADAUK,
    START,
    batch,
    linseed,
    moisture_cure,
    plain_schedule,
    series,
    shellac,
    two_part,
    varnish,
    warm,
    waterborne,
)
from .test_progress import OILED

psychrolib.SetUnitSystem(psychrolib.SI)
T = START


def codes(said: Progress | list[object]) -> set[str]:
    return {c.code for c in (said.cautions if isinstance(said, Progress) else said)}  # type: ignore[attr-defined]


# Blush: the film, cooled by its own evaporation, meets the dew point (UFC 3-190-06, 7.4.2). For a drop of 5 °C at
# 23 °C that is from 73.5 % RH on, at 18 °C from 72.6 %; worked from the dew point of psychrolib below.
@pytest.mark.parametrize(("t", "from_pct"), [(23.0, 73.5), (18.0, 72.6)])
def test_blush(t: float, from_pct: float) -> None:
    assert psychrolib.GetTDewPointFromRelHum(t, from_pct / 100) == pytest.approx(t - 5.0, abs=0.05)
    assert "blush" in codes(air_cautions(shellac(), t, from_pct + 0.3))  # type: ignore[arg-type]
    assert "blush" not in codes(air_cautions(shellac(), t, from_pct - 0.3))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("make", "t", "rh", "code"),
    [
        (waterborne, 9.9, 50.0, "too_cold"),  # Wood Handbook, ch. 16, and UFC 3-190-06, 2.3.2: 50 °F (10 °C)
        (waterborne, 20.0, 85.1, "too_damp"),
        (shellac, 20.0, 71.0, "damp"),
        (moisture_cure, 20.0, 29.0, "too_dry"),
        (varnish, 20.0, 84.0, "dew_point"),  # dew point 17.2 °C by psychrolib: 2.8 °C below the air
        (varnish, 20.0, 70.0, "damp_wood"),  # wood goes to 13.1 % (Wood Handbook eq. 4-5)
    ],
)
def test_air_that_speaks_against_coating(make, t: float, rh: float, code: str) -> None:  # type: ignore[no-untyped-def]
    assert code in codes(air_cautions(make(), t, rh))  # type: ignore[arg-type]


def test_good_air_says_nothing() -> None:
    for make in (varnish, shellac, waterborne, linseed, moisture_cure):
        assert air_cautions(make(), 21.0, 50.0) == []


def test_a_frost_ahead_is_counted_in_hours() -> None:
    hours = T - 50 + np.arange(0, 200, 0.25)
    # 12 °C, but 3 °C from 4 to 10 h after START: six hours below the varnish's minimum of 5 °C.
    t = np.where((hours > T + 4) & (hours < T + 10), 3.0, 12.0)
    made = batch(plain_schedule("p", 2, "varnish"), varnish())
    found = progress(made, [CoatEntry(1, T, 1)], {"bench": PlaceAir(series(hours, t))}, {}, T + 1)
    text = next(c.text for c in found.cautions if c.code == "cold_ahead")
    assert "6 h" in text
    assert "3 °C" in text


USUAL = UsualDay(18.0, 20.0, 50.0, 45.0)


def stood(air: PlaceAir, now: float, entries: list[Entry] | None = None) -> Progress:
    made = batch(plain_schedule("p", 2, "varnish"), varnish())
    return progress(made, entries or [CoatEntry(1, T, 1)], {"bench": air}, {}, now)


def test_how_the_air_is_known() -> None:
    def made(*stretches: tuple[float, float]) -> PlaceAir:
        hours = np.concatenate([np.arange(T + a, T + b, 0.25) for a, b in stretches])
        return build(series(hours, np.full(len(hours), 20.0)), USUAL, (), zone="UTC", start=T - 50, now=T)

    nothing = build(None, USUAL, (), zone="UTC", start=T - 50, now=T)
    assert "no_readings" in codes(stood(nothing, T + 1))
    assert not {"no_readings", "old_readings", "gap"} & codes(stood(made((-40, 2)), T + 2))
    assert "old_readings" in codes(stood(made((-40, 2)), T + 9))
    assert "gap" in codes(stood(made((-40, 1), (6, 9)), T + 9))
    assert "gap" not in codes(stood(made((-40, -30), (-20, 9)), T + 9)), "the gap was over before the coat was on"


def test_hazards_are_said_where_the_work_is() -> None:
    made = batch(OILED, linseed(), woods=(COCOBOLO, PADAUK))
    before = progress(made, [], {"bench": warm()}, {}, T)
    assert {"sensitising_dust", "bleeds"} <= codes(before)
    wiping = progress(made, [StepEntry(1, T, 0), CoatEntry(2, T, 1)], {"bench": warm()}, {}, T + 0.2)
    assert "oily_rags" in codes(wiping)
    assert wiping.cautions[0].urgent, "what can burn the shop down is said first"
    # By the next day the rags have been dealt with, and the hands sit still until the next coat.
    done = batch(plain_schedule("p", 1, "linseed"), linseed())
    resting = progress(done, [CoatEntry(1, T, 1)], {"bench": warm()}, {}, T + 30)
    assert "oily_rags" not in codes(resting)


TWICE = (
    Step(StepKind.COAT, finish="two-part", minutes_per_piece=3.0),
    Step(StepKind.ABRADE, minutes_per_piece=3.0, grit=320),
    Step(StepKind.COAT, finish="two-part", minutes_per_piece=3.0),
)


def test_isocyanate_is_said_at_the_coat_and_at_the_sanding_of_its_film() -> None:
    made = batch(Schedule("p", "p", "", TWICE), two_part())
    assert "isocyanate" in codes(progress(made, [], {"bench": warm()}, {}, T))
    coated = progress(made, [CoatEntry(1, T, 0)], {"bench": warm()}, {}, T + 12)
    assert coated.next is not None
    assert coated.next.step.kind is StepKind.ABRADE
    assert "isocyanate" in codes(coated)


def test_every_caution_has_words_and_each_is_said_once() -> None:
    made = batch(OILED, linseed(), woods=(COCOBOLO, PADAUK))
    said = progress(made, [CoatEntry(1, T, 1)], {"bench": warm(3.0, 90.0)}, {}, T + 1).cautions
    assert all(c.text and c.code for c in said)
    assert len({(c.code, c.text) for c in said}) == len(said)
    assert [c.urgent for c in said] == sorted((c.urgent for c in said), reverse=True)
