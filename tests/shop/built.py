"""Shops built once in a run, whoever asks for them: a small one with nothing on the bench, and the invented one."""

from __future__ import annotations

from pathlib import Path

import pendulum
import pytest

from finishing.clock import hour_of
from finishing.cure.outlook import UsualDay
from finishing.shop import batches, places
from finishing.shop.demo import build_demo
from finishing.shop.drafts import NewBatchDraft
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store import Location, at_file
from tests.databases import template

ZONE = "Europe/Oslo"
FILE = "finishing.db"


def local(text: str, zone: str = ZONE) -> float:
    """The hour of a local time such as "2026-03-10 09:00"."""
    return hour_of(pendulum.from_format(text, "YYYY-MM-DD HH:mm", tz=zone))


NOW = local("2026-03-10 09:00")
"""A Tuesday morning: the hour of the small shop."""

EVENING = local("2026-11-29 19:40")
"""A Sunday, twenty to eight: the hour of the invented shop. Dark, and time for the last coat of the day."""

_homes: dict[str, Path] = {}


def small_home(factory: pytest.TempPathFactory) -> Path:
    """A folder with a database to copy. The loft stands at 21 °C and 50 % RH, the reference of every shipped finish."""
    if "small" not in _homes:
        folder = factory.mktemp("small")
        _fill_small(at_file(folder / FILE))
        _homes["small"] = folder
    return _homes["small"]


def small_database() -> str:
    """The same on the tests' server: the name of a database to copy."""
    return template("small", _fill_small_on)


def _fill_small_on(url: str) -> None:
    _fill_small(Location(Path(), url))


def _fill_small(location: Location) -> None:
    shop = Shop.open(NOW, location)
    change_setting(shop, "zone", ZONE, NOW)
    places.add_place(shop, "loft", UsualDay(21.0, 21.0, 50.0, 50.0), NOW)
    places.add_place(shop, "cellar", UsualDay(10.0, 10.0, 50.0, 50.0), NOW)
    shop.close()


def demo_home(factory: pytest.TempPathFactory) -> Path:
    """A folder with the invented shop to copy."""
    if "demo" not in _homes:
        folder = factory.mktemp("demo")
        build_demo(folder, EVENING, zone=ZONE).close()
        _homes["demo"] = folder
    return _homes["demo"]


def begin(
    shop: Shop,
    code: str = "B-1",
    schedule: str = "wiped-varnish-in-window",
    *,
    at: float = NOW,
    what: str = "trays",
    woods: str = "hard maple",
    place: str = "loft",
    wanted_by: float | None = None,
    pieces: int = 4,
) -> str:
    """Put a batch on record and return its code."""
    size = parse_piece_size("300x200x18")
    draft = NewBatchDraft(what, pieces, schedule, place, parse_woods(woods), size, code, wanted_by)
    return batches.begin_batch(shop, draft, at)
