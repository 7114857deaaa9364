"""Readings through a real MQTT broker: in the clear, and encrypted for those it knows.

The broker is amqtt's, a general library; certificates are made by the OpenSSL on this machine.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import sqlite3
import subprocess
import sys
from asyncio.subprocess import PIPE, Process
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, closing
from pathlib import Path
from typing import Any

import pytest

from finishing.cure.outlook import UsualDay
from finishing.shop import places
from finishing.shop.shop import Shop
from finishing.store import at_file
from tests.databases import free_port

HOUR = 1_780_000_000.0 / 3600

BODY = '{"temperature_c": 20.5, "humidity_pct": 50, "at": "2026-01-01T00:00:00Z"}'

FAR = '{"temperature_c": 30, "humidity_pct": 50, "at": "2026-01-01T00:01:00Z"}'

ANYBODY = {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}}

SECONDS = 60.0


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The folder of a shop with a loft."""
    shop = Shop.open(HOUR, at_file(tmp_path / "finishing.db"))
    places.add_place(shop, "loft", UsualDay(21.0, 21.0, 50.0, 50.0), HOUR)
    shop.close()
    return tmp_path


@asynccontextmanager
async def broker(plugins: dict[str, Any], **listener: Any) -> AsyncIterator[int]:
    """A broker at work; its port."""
    amqtt = pytest.importorskip("amqtt.broker", reason="no MQTT broker: amqtt is not installed")
    port = free_port()
    one = amqtt.Broker(
        {"listeners": {"default": {"type": "tcp", "bind": f"127.0.0.1:{port}", **listener}}, "plugins": plugins}
    )
    await one.start()
    try:
        yield port
    finally:
        await one.shutdown()


async def listener(home: Path, port: int, *words: str, password: str = "") -> Process:
    """`finishing readings listen`, begun."""
    asked = ("--broker", "127.0.0.1", "--port", str(port), "--topic", "shop/air", "--place", "loft", *words)
    environ = {**os.environ, "FINISHING_HOME": str(home), "FINISHING_MQTT_PASSWORD": password}
    command = (sys.executable, "-u", "-m", "finishing", "readings", "listen", *asked)
    return await asyncio.create_subprocess_exec(*command, env=environ, stdout=PIPE, stderr=PIPE)


async def line(stream: asyncio.StreamReader | None) -> str:
    """The next line of what it says."""
    assert stream is not None
    return (await asyncio.wait_for(stream.readline(), SECONDS)).decode().rstrip("\n")


async def send(port: int, *bodies: str, **options: Any) -> None:
    """Send as a sensor would."""
    from paho.mqtt.publish import multiple

    messages: Any = [{"topic": "shop/air", "payload": body, "qos": 1} for body in bodies]
    await asyncio.to_thread(multiple, messages, hostname="127.0.0.1", port=port, **options)


def on_file(home: Path) -> list[tuple[int, float, float]]:
    """Every reading, by the driver's own means."""
    with closing(sqlite3.connect(home / "finishing.db")) as plain:
        return plain.execute("SELECT at, temperature_c, humidity_pct FROM reading").fetchall()


async def test_readings_come_from_a_real_broker(home: Path) -> None:
    async with broker(ANYBODY) as port:
        process = await listener(home, port)
        try:
            assert await line(process.stdout) == "listening to shop/air for loft"
            await send(port, BODY, "no reading", BODY, FAR)
            assert await line(process.stdout) == "loft: 20.5 °C; no next step moves"
            assert (await line(process.stderr)).startswith("not recorded: message: ")
            assert await line(process.stdout) == "loft: 20.5 °C, there already"
            assert await line(process.stdout) == "loft: 30 °C; no next step moves"
            assert "within ten minutes of others there that differ by up to 10 °C" in await line(process.stdout)
        finally:
            process.terminate()
            await process.communicate()
    # date -u -d 2026-01-01 +%s, and a minute on
    assert on_file(home) == [(1767225600, 20.5, 50.0), (1767225660, 30.0, 50.0)]


def certificate(folder: Path) -> tuple[Path, Path]:
    """A certificate for this machine that nobody but itself has signed, and its key."""
    if shutil.which("openssl") is None:
        pytest.skip("no openssl on this machine to make a certificate with")
    signed, key = folder / "broker.pem", folder / "broker.key"
    words = ("-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2")
    name = ("-subj", "/CN=127.0.0.1", "-addext", "subjectAltName=IP:127.0.0.1")
    command = ["openssl", "req", *words, *name, "-keyout", str(key), "-out", str(signed)]
    subprocess.run(command, check=True, capture_output=True)
    return signed, key


async def test_an_encrypted_broker_that_asks_who_comes(home: Path, tmp_path: Path) -> None:
    hashers = pytest.importorskip("pwdlib.hashers.argon2", reason="no MQTT broker: amqtt is not installed")
    signed, key = certificate(tmp_path)
    known = tmp_path / "known"
    known.write_text(f"sensor:{hashers.Argon2Hasher().hash('oak & ash')}\n")
    plugins = {"amqtt.plugins.authentication.FileAuthPlugin": {"password_file": str(known)}}
    async with broker(plugins, ssl=True, certfile=str(signed), keyfile=str(key)) as port:
        trusting, user = ("--tls", "--ca", str(signed)), ("--user", "sensor")
        process, *refused = await asyncio.gather(
            listener(home, port, *trusting, *user, password="oak & ash"),
            listener(home, port, *trusting, *user, password="elm"),
            listener(home, port, "--tls", *user, password="oak & ash"),
            listener(home, port, "--tls", "--ca", str(key), *user),
        )
        try:
            assert await line(process.stdout) == "listening to shop/air for loft"
            auth: Any = {"username": "sensor", "password": "oak & ash"}
            await send(port, BODY, auth=auth, tls={"ca_certs": str(signed)})
            assert await line(process.stdout) == "loft: 20.5 °C; no next step moves"
            for one, why in zip(
                refused, ("one that lets this user in", "CERTIFICATE_VERIFY_FAILED", "--ca"), strict=True
            ):
                out, err = await asyncio.wait_for(one.communicate(), SECONDS)
                assert (one.returncode, out, err.count(b"\n")) == (2, b"", 1), err
                assert why in err.decode()
        finally:
            for one in (process, *refused):
                if one.returncode is None:
                    one.terminate()
                    await one.communicate()
    assert on_file(home) == [(1767225600, 20.5, 50.0)]
