"""Readings as messages: what is one, what is not, and through a real broker."""

from __future__ import annotations

import asyncio
import json
import math
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.outlook import UsualDay
from finishing.errors import BadInput
from finishing.exchange.message import read_message
from finishing.shop import places
from finishing.shop.shop import Shop
from finishing.store import at_file
from tests.databases import free_port

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


async def test_readings_come_from_a_real_broker(tmp_path: Path) -> None:
    amqtt = pytest.importorskip("amqtt.broker", reason="no MQTT broker: amqtt is not installed")
    from paho.mqtt.publish import multiple

    hour = NOW / 3600
    shop = Shop.open(hour, at_file(tmp_path / "finishing.db"))
    places.add_place(shop, "loft", UsualDay(21.0, 21.0, 50.0, 50.0), hour)
    shop.close()
    port = free_port()
    broker = amqtt.Broker(
        {
            "listeners": {"default": {"type": "tcp", "bind": f"127.0.0.1:{port}"}},
            "plugins": {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}},
        }
    )
    await broker.start()
    words = (
        "readings",
        "listen",
        "--broker",
        "127.0.0.1",
        "--port",
        str(port),
        "--topic",
        "shop/air",
        "--place",
        "loft",
    )
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-u", "-m", "finishing", *words,
        env={**os.environ, "FINISHING_HOME": str(tmp_path)}, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stdout is not None
    assert process.stderr is not None
    try:
        assert await asyncio.wait_for(process.stdout.readline(), 60) == b"listening to shop/air for loft\n"
        bodies = ['{"temperature_c": 20.5, "humidity_pct": 50, "at": "2026-01-01T00:00:00Z"}', "no reading"]
        messages = [{"topic": "shop/air", "payload": body, "qos": 1} for body in [*bodies, bodies[0]]]
        await asyncio.to_thread(multiple, messages, hostname="127.0.0.1", port=port)
        assert await asyncio.wait_for(process.stdout.readline(), 60) == "loft: 20.5 °C\n".encode()
        assert (await asyncio.wait_for(process.stderr.readline(), 60)).startswith(b"not recorded: message: ")
        assert await asyncio.wait_for(process.stdout.readline(), 60) == "loft: 20.5 °C, there already\n".encode()
    finally:
        process.terminate()
        await process.communicate()
        await broker.shutdown()
    with closing(sqlite3.connect(tmp_path / "finishing.db")) as plain:
        # date -u -d 2026-01-01 +%s
        assert plain.execute("SELECT at, temperature_c, humidity_pct FROM reading").fetchall() == [
            (1767225600, 20.5, 50.0)
        ]
