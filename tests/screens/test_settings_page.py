"""The settings page: every setting changed by keys and by mouse, kept at once, undone; and the palettes."""

from __future__ import annotations

from dataclasses import fields
from zoneinfo import ZoneInfo

import pytest
from textual.color import Color
from textual.widgets import Input, OptionList

from finishing.errors import BadInput, NotFound
from finishing.screens.pages.settings.items import ITEMS
from finishing.screens.themes_more import ALL_THEMES, HIGH_CONTRAST, NO_COLOUR
from finishing.shop.settings import (
    THEMES,
    Settings,
    change_setting,
    parse_setting,
    setting,
    setting_text,
    zones,
    zones_like,
)
from finishing.shop.shop import Shop
from finishing.store import Store
from finishing.store.settings import all_settings
from tests.screens.conftest import Run, Seen, type_in
from tests.shop.built import NOW

ROW = {item.key: number for number, item in enumerate(ITEMS)}


def stored(shop: Shop) -> dict[str, object]:
    """The settings as another program finds them on the disk."""
    with Store.open(shop.store.location, NOW) as store, store.read() as r:
        return all_settings(r)


async def choose(seen: Seen, key: str) -> None:
    """Open a setting's card by keys."""
    seen.app.screen.query_one("#items", OptionList).highlighted = ROW[key] - 1
    await seen.keys("down", "enter")
    assert seen.card != "SettingsPage"


async def retype(seen: Seen, text: str) -> None:
    """Put another text where the cursor is, and a last letter by key."""
    field = seen.app.focused
    assert isinstance(field, Input)
    field.value = text[:-1]
    field.cursor_position = len(text)
    await type_in(seen, text[-1])


async def test_each_kind_of_setting_by_keys(shop: Shop, run: Run) -> None:
    async with run(shop, NOW, (80, 24)) as seen:
        await seen.keys("5")
        assert seen.card == "SettingsPage"
        for item in ITEMS:
            assert any(line.strip().startswith(item.label) for line in seen.lines()), item.label
        for _ in range(50):  # the keys at the foot are put together after the page is shown
            if "Change" in seen.lines()[-1]:
                break
            await seen.pilot.pause(0.1)
        assert "Change" in seen.lines()[-1]

        await seen.keys("home", "enter")
        await seen.keys("down", "enter")
        assert stored(shop)["units"] == "imperial"
        assert seen.said[-1][0] == "units: imperial: °F, inches, fl oz"
        assert "imperial" in seen.lines()[1]

        await choose(seen, "zone")
        await retype(seen, "new york")
        await seen.keys("enter")
        assert stored(shop)["zone"] == "America/New_York"
        assert "04:00" in seen.lines()[0]  # nine in Oslo

        await choose(seen, "hours")
        await retype(seen, "8-12 11-13")
        await seen.keys("enter")
        assert seen.card == "WeekCard"
        assert "overlap" in seen.text()
        await retype(seen, "18-21")
        assert "35 hours a week" in seen.text()
        await seen.keys("enter")
        assert stored(shop)["hours"] == "mon 18:00-21:00; tue-fri 08:00-12:00 13:00-17:00"

        await choose(seen, "days_off")
        await retype(seen, "24.12.2026")
        await seen.keys("enter")
        assert "2026-12-24..2027-01-01" in seen.text()
        assert "days_off" not in stored(shop)
        await retype(seen, "2026-12-27..2027-01-02, 2026-12-24")
        await seen.keys("enter")
        assert stored(shop)["days_off"] == "2026-12-24, 2026-12-27..2027-01-02"

        await choose(seen, "theme")
        await seen.keys("down", "enter")
        assert (stored(shop)["theme"], seen.app.theme) == ("day-shop", "day-shop")

        await seen.keys("u", "u")
        assert (stored(shop)["theme"], seen.app.theme) == ("night-shop", "night-shop")
        assert stored(shop)["days_off"] == ""
        await seen.keys("u", "u", "u")
        assert stored(shop)["units"] == "metric"
        assert stored(shop)["zone"] == "Europe/Oslo"
        await seen.keys("u")
        assert seen.said[-1][0] == "nothing was changed on this page"


async def test_settings_by_mouse(shop: Shop, run: Run) -> None:
    async with run(shop, NOW) as seen:
        await seen.keys("5")
        for key, text, held in (
            ("extra_days", "2026-12-19 9-13; 2026-12-20", "2026-12-19 09:00-13:00; 2026-12-20"),
            ("level", "90", 0.9),
            ("maker", "[b]Å[/b]\x1b[2J", "[b]Å[/b]\x1b[2J"),
            ("currency", "kr", "kr"),
            ("hourly_rate", "28,50", 28.5),
            ("half_life_days", "90", 90.0),
        ):
            await seen.pilot.click("#items", offset=(4, ROW[key]))
            await seen.pilot.pause()
            seen.app.screen.query_one("#value", Input).value = text
            await seen.pilot.click("#done")
            await seen.pilot.pause()
            assert stored(shop)[key] == held, key
        assert "[b]Å[/b]\\x1b[2J" in seen.text()
        await seen.pilot.click("#items", offset=(4, ROW["bell"]))
        await seen.pilot.pause()
        await seen.pilot.click("#choices", offset=(4, 1))
        await seen.pilot.pause()
        assert stored(shop)["bell"] is False
        await seen.pilot.click("#items", offset=(4, ROW["makers"]))
        await seen.pilot.pause()
        await seen.pilot.click("#choices", offset=(4, 2))
        await seen.pilot.pause()
        assert stored(shop)["makers"] == 3
        await seen.pilot.click("#items", offset=(4, ROW["level"]))
        await seen.pilot.pause()
        await seen.pilot.click("#leave")
        await seen.pilot.pause()
        assert seen.card == "SettingsPage"
        assert stored(shop)["level"] == 0.9
        change_setting(shop, "units", "imperial", NOW)  # as a command would
        await seen.pilot.pause()
        assert seen.app.screen.query_one("#items", OptionList).highlighted == ROW["level"]


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("hourly_rate", "-3", "a sum from 0"),
        ("hourly_rate", "1e9", "a sum from 0"),
        ("hourly_rate", "28.505", "a sum from 0"),
        ("theme", "pink", "one of night-shop"),
        ("bell", "loud", "on or off"),
        ("hours", "mon 8", "hours such as"),
        ("extra_days", "2026-12-19 x", "hours such as"),
        ("zone", "../etc/passwd", "IANA"),
        ("maker", "x" * 61, "60 characters"),
    ],
)
def test_what_a_setting_does_not_take(shop: Shop, key: str, text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        change_setting(shop, key, text, NOW)
    assert key == "zone" or key not in stored(shop)


def test_every_value_comes_back_from_its_text(shop: Shop) -> None:
    for key, text in (("level", "85.5"), ("hourly_rate", "12.30"), ("bell", "off"), ("theme", "no-colour")):
        change_setting(shop, key, text, NOW)
    for item in ITEMS:
        text, value = setting_text(shop.settings, item.key), setting(shop.settings, item.key)
        assert parse_setting(item.key, text) == value
    with pytest.raises(NotFound):
        setting_text(shop.settings, "colour")


def test_zones_are_found_by_parts_of_their_names() -> None:
    assert all(ZoneInfo(zone).key == zone for zone in zones())  # the IANA database, by the standard library
    assert len(zones()) > 400
    assert zones_like("new york") == ("America/New_York",)
    assert "Europe/Oslo" in zones_like("OSLO")
    assert zones_like("atlantis") == ()


def contrast(one: Color, other: Color) -> float:
    """The contrast ratio of WCAG 2.2 (W3C), from its definition of relative luminance."""

    def luminance(colour: Color) -> float:
        parts = [c / 255 for c in colour.rgb]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_high_contrast_palette_is_one() -> None:
    """WCAG 2.2, success criterion 1.4.6: text at 7:1; on every ground the screens put text on."""
    colours = {**HIGH_CONTRAST.to_color_system().generate(), **HIGH_CONTRAST.variables}
    grounds = [colours[name] for name in ("background", "surface", "panel", "night", "block-cursor-background")]
    for ink in ("foreground", "primary", "secondary", "accent", "success", "warning", "error", "text-muted"):
        for ground in grounds:
            assert contrast(Color.parse(colours[ink]), Color.parse(ground)) >= 7.0, (ink, ground)
    assert contrast(Color.parse("#000000"), Color.parse("#ffffff")) == pytest.approx(21.0)  # the standard's own extreme


def test_the_palette_without_colour_has_none() -> None:
    for name, value in NO_COLOUR.to_color_system().generate().items():
        if value.startswith("#"):
            red, green, blue = Color.parse(value).rgb
            assert max(red, green, blue) - min(red, green, blue) <= 2, name


def test_every_setting_stands_on_the_page() -> None:
    assert sorted(ROW) == sorted(field.name for field in fields(Settings))


def test_the_settings_offer_every_palette() -> None:
    assert tuple(sorted(theme.name for theme in ALL_THEMES)) == tuple(sorted(THEMES))
    assert set(THEMES) == set(next(item for item in ITEMS if item.key == "theme").choices)
