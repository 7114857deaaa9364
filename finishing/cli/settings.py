"""`finishing settings`."""

from __future__ import annotations

from typing import Any

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json, table
from finishing.clock import now_hour
from finishing.shop.settings import change_setting, setting, settings_view, zone_words


@click.command(context_settings={"ignore_unknown_options": True})  # a value may begin with a minus
@click.argument("key", required=False)
@click.argument("value", required=False)
@options.as_json
def settings(key: str | None, value: str | None, as_json: bool) -> None:
    """The shop's settings: all, one, or set one.

    \b
    zone         the shop's time zone: Europe/Oslo
    units        metric or imperial
    level        certainty that times go by, 50 to 99 %: 80%
    currency     put before prices
    maker        the name put on entries
    hours        when hands are free: "mon-fri 08:00-12:00 13:00-17:00"
    days_off     dates without work: "2026-12-24..2027-01-01, 2027-05-17"
    extra_days   dates with work beyond the week's: "2026-12-19 9:00-13:00"
    hourly_rate  what an hour's work costs: 28.50; "" for none
    makers       pairs of hands that work at a time: 1
    half_life_days  days after which a touch test weighs half: 180
    theme        night-shop, day-shop, high-contrast or no-colour
    bell         on or off: whether the terminal may ring
    """
    now, heed = now_hour(), ""
    with open_shop(now) as shop:
        if key is None:
            view = settings_view(shop.settings)
        elif value is None:
            view = {key: setting(shop.settings, key)}
        else:
            zone = shop.settings.zone
            view = {key: change_setting(shop, key, value, now)}
            heed = zone_words(shop, zone, shop.settings.zone)
    if as_json:
        say_json(view)
        return
    table([(name, _shown(name, value)) for name, value in view.items()], ("setting", "value"))
    if key is not None and value is not None:
        say("on record")
        if heed:
            say(f"! {heed}")


def _shown(name: str, value: Any) -> str:
    if name == "level":
        return f"{value * 100:g} %"
    return "" if value is None else str(value)
