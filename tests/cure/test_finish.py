"""A finish's figures are checked where they come in: each with its field, value and what it takes."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from finishing.cure.finish import (
    Atmosphere,
    ClockLaw,
    Film,
    Finish,
    Limits,
    RecoatLimit,
    StageTime,
    WipeWindow,
)
from finishing.cure.terms import ClockName, Evidence, FilmLaw, HumidityLaw, Stage
from finishing.errors import BadInput

from .factory import linseed, mineral_oil, moisture_cure, two_part, varnish, waterborne

CURE, P, NONE = ClockName.CURE, Evidence.PRACTICE, HumidityLaw.NONE


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, -1e9, 1e9])
@pytest.mark.parametrize(
    ("field", "make"),
    [
        ("temperature_c", lambda v: Atmosphere(v, 50.0)),
        ("humidity_pct", lambda v: Atmosphere(21.0, v)),
        ("activation_energy_kj_mol", lambda v: ClockLaw(v, NONE, P, "")),
        ("max_rate", lambda v: ClockLaw(50.0, NONE, P, "", v)),
        ("stage hours", lambda v: StageTime(1.0, v, 3.0, CURE, P, "")),
        ("stage hours", lambda v: StageTime(1.0, 2.0, v, CURE, P, "")),
        ("recoat limit hours", lambda v: RecoatLimit(v, 2.0, 3.0, CURE, 240, "", P, "")),
        ("first_m2_per_l", lambda v: Film(v, 12.0, 45.0, FilmLaw.NONE, P, "")),
        ("later_m2_per_l", lambda v: Film(9.0, v, 45.0, FilmLaw.NONE, P, "")),
        ("volume_solids_pct", lambda v: Film(9.0, 12.0, v, FilmLaw.NONE, P, "")),
        ("from_minutes", lambda v: WipeWindow(v, 30.0, P, "")),
        ("to_minutes", lambda v: WipeWindow(10.0, v, P, "")),
        ("minimum_c", lambda v: Limits(v, P, "")),
        ("cap_c", lambda v: Limits(5.0, P, "", cap_c=v)),
        ("maximum_humidity_pct", lambda v: Limits(5.0, P, "", maximum_humidity_pct=v)),
        ("spread", lambda v: varnish(spread=v)),
        ("repeat", lambda v: varnish(repeat=v)),
        ("protection", lambda v: varnish(protection=v)),
        ("pot_life_hours", lambda v: varnish(pot_life_hours=v)),
    ],
)
def test_nonsense_figures_are_refused(field: str, make, bad: float) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadInput) as refused:
        make(bad)
    assert refused.value.field == field


def test_times_out_of_order_are_refused() -> None:
    with pytest.raises(BadInput, match="low <= typical <= high"):
        StageTime(3.0, 2.0, 4.0, CURE, P, "")


def test_both_clocks_are_needed() -> None:
    with pytest.raises(BadInput, match="both a flash and a cure clock"):
        varnish(clocks={CURE: varnish().clocks[CURE]})


@pytest.mark.parametrize("make", [waterborne, moisture_cure, varnish])
@pytest.mark.parametrize("pct", [0.0, 4.0, 100.0])
def test_a_law_of_humidity_needs_a_reference_it_can_be_taken_against(make, pct: float) -> None:  # type: ignore[no-untyped-def]
    # At 100 % no water leaves and at 0 % none is there: a rate relative to either has no meaning.
    with pytest.raises(BadInput, match="reference humidity_pct"):
        make(reference=Atmosphere(21.0, pct))
    assert two_part(reference=Atmosphere(21.0, pct)).reference.humidity_pct == pct


def test_only_what_has_a_cured_stage_cures() -> None:
    assert linseed().cures
    assert not mineral_oil().cures
    stages = {s: t for s, t in linseed().stages.items() if s is not Stage.CURED}
    assert not replace(linseed(), stages=stages).cures


def test_the_first_coat_has_its_own_spreading_rate() -> None:
    film = linseed().film
    assert (film.m2_per_l(first=True), film.m2_per_l(first=False)) == (12.0, 30.0)
    assert isinstance(linseed(), Finish)
