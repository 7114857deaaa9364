"""Going on from the record: what lies ahead is what doing each step at its earliest would leave."""

from __future__ import annotations

import math

import numpy as np
import pytest

from finishing.cure.climate import PlaceAir
from finishing.cure.fold import State
from finishing.cure.forecast import forecast, last_release
from finishing.cure.progress import progress
from finishing.cure.schedule import Schedule, Step
from finishing.cure.terms import Face, Release, StepKind
from finishing.cure.work import AbradeEntry, Batch, CoatEntry, Entry, Size, StepEntry

from .factory import (
    COCOBOLO,
    PADAUK,
    START,
    batch,
    linseed,
    mineral_oil,
    plain_schedule,
    series,
    shellac,
    varnish,
    warm,
)
from .test_climate import read
from .test_progress import OILED, SOAKED, TWO_FACE

T = START


def nightly() -> PlaceAir:
    """A shop that cools to 6 °C each night."""
    hours = T - 100 + np.arange(0, 500, 0.5)
    return PlaceAir(series(hours, read(hours).temperature_c * 1.6 - 15.0, 55.0))


def by_hand(made: Batch, entries: list[Entry], air: dict[str, PlaceAir], now: float) -> tuple[list[Entry], float]:
    """The same, one key at a time: ask, wait until it opens, do it, write it down."""
    record = list(entries)
    number = 100
    while (following := progress(made, record, air, {}, now).next) is not None:
        assert following.opens is not None
        now = max(now, following.opens)
        number += 1
        step, position = following.step, following.position
        if following.state is State.SHUT:
            record.append(AbradeEntry(number, now, step.face, following.shut_grit))
            number += 1
        if step.kind is StepKind.COAT:
            record.append(CoatEntry(number, now, position))
        elif step.kind is StepKind.ABRADE:
            record.append(AbradeEntry(number, now, step.face, step.grit, position))
        else:
            record.append(StepEntry(number, now, position))
    return record, now


CASES = [
    (batch(TWO_FACE, varnish(), woods=(PADAUK,)), []),
    (batch(TWO_FACE, varnish()), [StepEntry(1, T, 0), CoatEntry(2, T + 1, 1), StepEntry(3, T + 9, 2)]),
    (batch(OILED, linseed()), []),
    (batch(OILED, linseed()), [CoatEntry(1, T, 1)]),
    (batch(SOAKED, mineral_oil()), [CoatEntry(1, T, 0)]),
    (batch(plain_schedule("p", 3, "varnish"), varnish()), [CoatEntry(1, T - 90, 1)]),
    (batch(plain_schedule("p", 4, "shellac"), shellac()), [CoatEntry(1, T, 1)]),
]


@pytest.mark.parametrize(
    ("made", "entries"), CASES, ids=lambda case: getattr(getattr(case, "schedule", ""), "name", "")
)
def test_agrees_with_step_by_step_progress(made: Batch, entries: list[Entry]) -> None:
    air = {"bench": nightly()}
    now = T + 0.1
    ahead = forecast(made, entries, air, {}, now)
    record, end = by_hand(made, entries, air, now)
    done = progress(made, record, air, {}, end)
    assert ahead.stopped is None
    assert [(c.step, c.at) for c in ahead.coats] == [(c.step, pytest.approx(c.at)) for c in done.coats]
    added = [e for e in record[len(entries) :] if not (isinstance(e, AbradeEntry) and e.step is None)]
    assert [s.at for s in ahead.ahead] == [pytest.approx(e.at) for e in added]
    assert ahead.releases == {r: pytest.approx(h) for r, h in done.releases.items()}
    laid = sum(isinstance(e, CoatEntry) for e in entries)
    assert [c.expected for c in ahead.coats] == [n >= laid for n in range(len(done.coats))]


def test_a_shut_window_is_bought_back_by_abrading() -> None:
    made = batch(plain_schedule("p", 2, "varnish"), varnish())
    ahead = forecast(made, [CoatEntry(1, T - 90, 1)], {"bench": warm()}, {}, T)
    assert [(s.position, s.at, s.abrade_first) for s in ahead.ahead] == [(2, T, True)]


def test_oily_bare_wood_stops_it_without_a_date() -> None:
    made = batch(plain_schedule("p", 2, "varnish"), varnish(), woods=(COCOBOLO,))
    ahead = forecast(made, [], {"bench": warm()}, {}, T)
    assert ahead.stopped is State.TEST_FIRST
    assert [s.position for s in ahead.ahead] == [0, 1]
    assert set(ahead.releases.values()) == {None}
    assert math.isinf(last_release(ahead, Release.USE))


def test_oily_wood_with_one_last_coat_is_given_no_release() -> None:
    made = batch(plain_schedule("p", 1, "varnish"), varnish(), woods=(COCOBOLO,))
    ahead = forecast(made, [], {"bench": warm()}, {}, T)
    assert set(ahead.releases.values()) == {None}


def test_frost_stops_it() -> None:
    made = batch(plain_schedule("p", 2, "varnish"), varnish())
    ahead = forecast(made, [], {"bench": warm(1.0)}, {}, T)
    assert ahead.stopped is State.NEVER
    assert len(ahead.coats) == 1


def test_amounts_to_come_make_thicker_coats() -> None:
    made = batch(plain_schedule("p", 1, "varnish"), varnish(), size=Size(300, 200, 18))
    usual, heavy = (forecast(made, [], {"bench": warm()}, {}, T, amount_ml=a) for a in (None, 2 * 1380 / 9))
    assert last_release(heavy, Release.HANDLE) - T == pytest.approx(3 * (last_release(usual, Release.HANDLE) - T))


def test_level_moves_every_date() -> None:
    made = batch(plain_schedule("p", 3, "varnish"), varnish())
    ends = [
        last_release(forecast(made, [], {"bench": warm()}, {}, T, level=level), Release.USE)
        for level in (0.2, 0.5, 0.9)
    ]
    assert ends == sorted(ends)
    assert len(set(ends)) == 3


def test_finished_batch_has_nothing_ahead() -> None:
    made = batch(plain_schedule("p", 1, "varnish"), varnish())
    ahead = forecast(made, [CoatEntry(1, T, 1)], {"bench": warm()}, {}, T + 1)
    assert ahead.ahead == ()
    assert ahead.releases == progress(made, [CoatEntry(1, T, 1)], {"bench": warm()}, {}, T + 1).releases


def test_a_side_coated_alone_waits_for_its_own_kind() -> None:
    steps = (
        Step(StepKind.COAT, finish="shellac", face=Face.TOP),
        Step(StepKind.COAT, finish="shellac", face=Face.BOTTOM),
        Step(StepKind.COAT, finish="varnish", face=Face.BOTH),
    )
    made = batch(Schedule("s", "s", "", steps), varnish(), shellac())
    ahead = forecast(made, [], {"bench": warm()}, {}, T, level=0.5)
    assert [s.at for s in ahead.ahead] == [T, T, pytest.approx(T + 2)]
