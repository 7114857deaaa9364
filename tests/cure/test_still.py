"""From when until when a finish stands still: against a fine walk over the air, and by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.rates import TOO_COLD, TOO_DAMP, TOO_DRY, standstill
from finishing.cure.still import stretches
from finishing.cure.terms import HumidityLaw

from .factory import blocks, law, series

DAMP = law(44.0, 21.0, humidity=HumidityLaw.WATER_LEAVES, minimum=10.0, stop_above_pct=85.0, stop_below_pct=20.0)


def test_it_begins_and_ends_where_the_air_crosses_the_bound() -> None:
    """A straight line from 14 to 8 °C over six hours and back is at 10 °C after four hours and after eight."""
    found = stretches(law(50.0, 20.0, minimum=10.0), series([0, 6, 12], [14.0, 8.0, 14.0]))
    assert found == (((pytest.approx(4.0), pytest.approx(8.0)),), TOO_COLD)


def test_a_step_and_the_bound_itself() -> None:
    assert stretches(law(50.0, 20.0, minimum=5.0), blocks([(5.0, 20.0), (3.0, 4.0), (2.0, 5.0)])) == (
        ((5.0, 8.0),),
        TOO_COLD,
    )
    assert stretches(law(50.0, 20.0), series([0, 6], [-30.0, 30.0])) == ((), 0)
    assert stretches(DAMP, series([3.0], [0.0])) == ((), 0)


AIR = st.lists(st.tuples(st.floats(0, 25), st.floats(0, 100)), min_size=2, max_size=8)


@given(AIR, st.sampled_from([TOO_COLD, TOO_DAMP | TOO_DRY, TOO_COLD | TOO_DAMP | TOO_DRY]))
def test_as_a_walk_in_small_steps_finds_it(air: list[tuple[float, float]], why: int) -> None:
    """No step of the walk that stands still is outside the stretches, and none that hardens inside."""
    hours = np.arange(len(air), dtype=float)
    laid = series(hours, np.array([t for t, _ in air]), [h for _, h in air])
    spans, reasons = stretches(DAMP, laid, why)
    fine = np.linspace(0.0, hours[-1], 1999)
    t, h = np.interp(fine, hours, laid.temperature_c), np.interp(fine, hours, laid.humidity_pct)
    still = standstill(DAMP, t, h) & why
    for hour, one in zip(fine, still, strict=True):
        near = any(abs(hour - edge) < 1e-9 for span in spans for edge in span)
        assert near or (one > 0) == any(a <= hour <= b for a, b in spans)
    assert int(np.bitwise_or.reduce(still)) & ~reasons == 0
    assert all(a < b for a, b in spans)
