"""`finishing readings listen`: readings as they come from an MQTT broker."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say
from finishing.clock import SECONDS, now_hour
from finishing.errors import BadInput, FinishingError
from finishing.exchange.message import read_message
from finishing.exchange.plain import plain
from finishing.shop.differing import differing_words
from finishing.shop.next_steps import moved_words
from finishing.shop.places import UNDO, add_and_look
from finishing.shop.shop import Shop
from finishing.units import show_temperature

if TYPE_CHECKING:
    from paho.mqtt.client import Client

WORDS = "FINISHING_MQTT_PASSWORD"


@click.command("listen")
@click.option("--broker", required=True, help="the broker's name or address")
@click.option("--port", type=options.Whole(1, 65535), default=1883, show_default=True)
@click.option("--topic", required=True, help="what the sensor sends to, such as shop/loft/air")
@click.option("--place", required=True, help="where the sensor is")
@click.option("--user", default="", help=f"name at the broker; its password in {WORDS}")
@click.option("--tls", is_flag=True, help="encrypted, the broker's certificate checked")
@click.option("--ca", type=click.Path(exists=True, dir_okay=False), help="who signed it, a PEM file; with --tls")
def listen(broker: str, port: int, topic: str, place: str, user: str, tls: bool, ca: str | None) -> None:
    """Take readings as they come from an MQTT broker, until control and c.

    Each message is an object such as {"temperature_c": 20.4, "humidity_pct": 51}, with "at", a time and its offset, if
    it was not read just now. Each is on record before the next is taken; one that can't be is said, and not kept.
    """
    try:
        from paho.mqtt.client import Client
        from paho.mqtt.enums import CallbackAPIVersion
    except ModuleNotFoundError as error:
        hint = "pip install 'finishing[mqtt]'"
        raise BadInput("listen", error.name, "its library installed", hint) from error
    client = Client(CallbackAPIVersion.VERSION2)
    if user:
        client.username_pw_set(user, os.environ.get(WORDS, ""))
    if tls or ca:
        _encrypt(client, ca)
    with open_shop(now_hour()) as shop:
        shop.must_take()
        shop.place(place)
        refused = _answer(client, shop, topic, place)
        try:
            client.connect(broker, port)
        except OSError as error:
            raise BadInput("broker", f"{broker}:{port}", f"one that answers: {error.strerror or error}") from error
        client.loop_forever(retry_first_connection=False)
        for why in refused:
            raise BadInput("broker", f"{broker}:{port}", f"one that lets this user in: {plain(why)}", f"see {WORDS}")


def _encrypt(client: Client, ca: str | None) -> None:
    from ssl import SSLError

    try:
        client.tls_set(ca)
    except SSLError as error:
        raise BadInput("--ca", ca, f"a file of certificates (PEM): {error.reason or error}") from error


def _answer(client: Client, shop: Shop, topic: str, place: str) -> list[str]:
    """What is done when the broker says something. Returns a list that will say why it let nobody in, and ends then."""
    refused: list[str] = []

    def connected(_c: Client, _u: Any, _f: Any, code: Any, _p: Any) -> None:
        if code.is_failure:
            refused.append(str(code))
            client.disconnect()
            return
        client.subscribe(topic, qos=1)
        say(f"listening to {topic} for {place}")

    def lost(_c: Client, _u: Any, _f: Any, code: Any, _p: Any) -> None:
        if code.is_failure and not refused:
            click.echo("the broker is gone; trying again", err=True)

    def came(_c: Client, _u: Any, message: Any) -> None:
        try:
            now = now_hour()
            reading = read_message(message.payload, now * SECONDS)
            found = add_and_look(shop, place, reading.second, reading.temperature_c, reading.humidity_pct, now)
        except FinishingError as trouble:
            click.echo(f"not recorded: {plain(str(trouble))}", err=True)
            return
        settings = shop.settings
        said = f"{found.place}: {show_temperature(reading.temperature_c, settings.units, 1)}"
        if not found.added:
            say(f"{said}, {'left out before and stays out' if found.left_out else 'there already'}")
            return
        say(f"{said}{moved_words(found.moved or (), settings.zone, now)}")
        if found.differing is not None:
            say(f"! {differing_words(found.differing, settings.units, UNDO)}")

    client.on_connect, client.on_disconnect, client.on_message = connected, lost, came
    return refused
