"""How many pieces go in one pass: worked by hand, and against coating and wiping played out minute by minute."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.finish import WipeWindow
from finishing.cure.passes import longest_dwell, pass_size
from finishing.cure.terms import Evidence
from finishing.errors import BadInput


def window(start: float, end: float) -> WipeWindow:
    return WipeWindow(start, end, Evidence.PRACTICE, "common practice, no source")


def dwells(pieces: int, coat: int, wipe: int, wait: int) -> list[int]:
    """Minutes each piece lies wet, by a clock that ticks: coat one after another, wait, wipe in the same order."""
    minute, coated, wiped = 0, [], []
    for _ in range(pieces):
        minute += coat
        coated.append(minute)
    minute += wait
    for _ in range(pieces):
        wiped.append(minute)
        minute += wipe
    return [end - start for start, end in zip(coated, wiped, strict=True)]


def largest_by_trial(pieces: int, coat: int, wipe: int, start: int, end: int) -> int:
    best = 1
    for n in range(1, pieces + 1):
        for wait in range(start + 1):
            lying = dwells(n, coat, wipe, wait)
            if min(lying) >= start and max(lying) <= end:
                best = n
                break
    return best


# coat [min], wipe [min], window: pieces of a pass, wait, length. Worked by hand.
@pytest.mark.parametrize(
    ("coat", "wipe", "span", "pieces", "wait", "minutes"),
    [
        # Coating 2, wiping 1: the first of 11 lies 20 min, of 12 22 min; the last 10 or 11 by itself.
        (2.0, 1.0, (10.0, 20.0), 11, 0.0, 33.0),
        # Wiping is the slower: the last of n lies (n-1) * 3; the first (n-1) * 1, so 10 - 6 = 4 of waiting at n = 7
        # makes the last lie 18 + 4 = 22 > 20; at n = 6 the wait is 5 and the last lies 15 + 5 = 20.
        (1.0, 3.0, (10.0, 20.0), 6, 5.0, 29.0),
        # Equal: all lie (n-1) * 2 + wait; 11 lie just 20.
        (2.0, 2.0, (10.0, 20.0), 11, 0.0, 44.0),
        # One piece takes longer than the window: alone it waits out the start and no more.
        (30.0, 5.0, (5.0, 15.0), 1, 5.0, 40.0),
    ],
)
def test_passes_worked_by_hand(
    coat: float, wipe: float, span: tuple[float, float], pieces: int, wait: float, minutes: float
) -> None:
    found = pass_size(40, coat, wipe, window(*span))
    assert (found.pieces, found.wait_minutes, found.minutes) == (pieces, wait, minutes)


minutes = st.integers(1, 6)


@given(st.integers(1, 25), minutes, minutes, st.integers(0, 15), st.integers(0, 15))
def test_pass_is_the_largest_that_can_be_played_out(pieces: int, coat: int, wipe: int, start: int, more: int) -> None:
    found = pass_size(pieces, coat, wipe, window(start, start + more))
    assert found.pieces == largest_by_trial(pieces, coat, wipe, start, start + more)
    lying = dwells(found.pieces, coat, wipe, round(found.wait_minutes))
    assert min(lying) >= start
    assert found.pieces == 1 or max(lying) <= start + more
    assert max(lying) == longest_dwell(found.pieces, coat, wipe, start)
    assert found.minutes == found.pieces * (coat + wipe) + found.wait_minutes


def test_pot_life_bounds_a_pass() -> None:
    # A mixed batch that may be applied for 2 h (pot life in the sense of MIL-HDBK-1110, 2.2.3), at 7 min a piece.
    assert pass_size(100, 7.0, 2.0, None, pot_life_hours=2.0).pieces == 17
    # With a wipe window besides: of three the last lies 2 * 2 min and waits 6, the first 2 * 7 + 6 = 20 min.
    assert pass_size(100, 7.0, 2.0, window(10, 20), pot_life_hours=2.0).pieces == 3
    assert pass_size(100, 7.0, 2.0, window(10, 20), pot_life_hours=0.25).pieces == 2
    assert pass_size(100, 0.0, 2.0, None, pot_life_hours=2.0).pieces == 100
    assert pass_size(100, 150.0, 2.0, None, pot_life_hours=2.0).pieces == 1


def test_without_window_or_pot_life_all_go_at_once() -> None:
    assert pass_size(37, 3.0, 2.0, None).pieces == 37


@pytest.mark.parametrize(
    ("pieces", "coat", "wipe"), [(0, 1.0, 1.0), (5, -1.0, 1.0), (5, math.nan, 1.0), (5, 1.0, math.inf)]
)
def test_nonsense_is_refused(pieces: int, coat: float, wipe: float) -> None:
    with pytest.raises(BadInput):
        pass_size(pieces, coat, wipe, window(10, 20))
