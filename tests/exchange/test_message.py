"""Readings as messages: what is one, what is not, and through a real broker."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.errors import BadInput
from finishing.exchange.message import read_message

NOW = 1_780_000_000.0


def test_a_reading_with_and_without_humidity_and_time() -> None:
    assert read_message(b'{"temperature_c": 20.4, "humidity_pct": 51}', NOW).humidity_pct == 51.0
    bare = read_message(b'{"temperature_c": -3}', NOW)
    assert (bare.second, bare.temperature_c) == (NOW, -3.0)
    assert math.isnan(bare.humidity_pct)
    # RFC 3339, section 5.8: these two are the same instant
    ats = ("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57Z")
    seconds = {read_message(json.dumps({"temperature_c": 1, "at": at}).encode(), NOW).second for at in ats}
    assert seconds == {851_042_397}  # date -u -d 1996-12-20T00:39:57Z +%s


@pytest.mark.parametrize(
    "body",
    [
        b"", b"20.4", b"[]", b"{", b"\xff", b"{}", b'{"temperature_c": "20"}', b'{"temperature_c": true}',
        b'{"temperature_c": NaN}', b'{"temperature_c": 1e999}', b'{"temperature_c": 500}',
        b'{"temperature_c": 20, "humidity_pct": 101}', b'{"temperature_c": 20, "at": 5}',
        b'{"temperature_c": 20, "at": "yesterday"}', b'{"temperature_c": 20, "at": "2999-01-01T00:00:00Z"}',
        b"[" * 4000, b" " * 5000,
    ],
)  # fmt: skip
def test_what_is_no_reading_is_refused(body: bytes) -> None:
    with pytest.raises(BadInput):
        read_message(body, NOW)


@given(
    st.binary(max_size=200) | st.text(max_size=100).map(lambda t: json.dumps({"temperature_c": 1, "at": t}).encode())
)
def test_nothing_else_is_raised(body: bytes) -> None:
    try:
        found = read_message(body, NOW)
    except BadInput:
        return
    assert -60 <= found.temperature_c <= 100
