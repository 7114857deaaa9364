"""Times as they are typed: dates in words, dates without a time, and what is said of those that are none."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from finishing.clock import SECONDS
from finishing.errors import BadInput
from finishing.moments import parse_wanted, parse_when
from finishing.shop.forms import parse_piece_size

from .built import EVENING, ZONE


@pytest.mark.parametrize(
    ("text", "year", "month", "day"),
    [
        ("19 Dec", 2026, 12, 19),
        ("19 december", 2026, 12, 19),
        ("19. Dec. 2027", 2027, 12, 19),
        ("3 feb", 2027, 2, 3),  # the next there is, on 29 November 2026
        ("2026-12-19", 2026, 12, 19),
        ("20261219", 2026, 12, 19),
    ],
)
def test_a_date_alone_means_eight_in_the_morning(text: str, year: int, month: int, day: int) -> None:
    """Against the standard library's datetime and zoneinfo."""
    local = dt.datetime(year, month, day, 8, tzinfo=ZoneInfo(ZONE))
    assert parse_wanted(text, "wanted by", ZONE, EVENING) * SECONDS == pytest.approx(local.timestamp())


@pytest.mark.parametrize("text", ["19.12.2026", "12/19/2026", "31 feb", "19 dez", "tomorrow", "28 Nov 2026"])
def test_what_is_no_date_ahead_is_quoted_as_it_was_typed(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_wanted(text, "wanted by", ZONE, EVENING)
    assert str(refused.value).startswith(f"wanted by: got {text!r}, expected a date or time ahead of now, such as ")


def test_what_was_done_needs_a_time() -> None:
    with pytest.raises(BadInput, match="a time with the date"):
        parse_when("2026-11-24", "--at", ZONE, EVENING)


def test_nobody_measures_millimetres_in_fractions() -> None:
    """An inch is 25.4 mm, by definition (1959)."""
    with pytest.raises(BadInput, match="a unit beside fractions"):
        parse_piece_size("11 3/4 x 7 1/2 x 5/8")
    inches = parse_piece_size("11 3/4 x 7 1/2 x 5/8", "imperial")
    assert inches == parse_piece_size("11 3/4 x 7 1/2 x 5/8 in") == parse_piece_size('11 3/4" x 7 1/2" x 5/8"')
    assert inches.length_mm == pytest.approx(11.75 * 25.4)
