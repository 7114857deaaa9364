"""The library page: three lists, search, everything about one thing; the maker's own copied, changed and typed in."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path

import pytest
from textual.widgets import Input, OptionList, Static

from finishing.cure.terms import Evidence, Stage
from finishing.library import Kind, Library
from finishing.screens.pages.library import LibraryPage
from finishing.shop import own
from finishing.shop.shop import Shop
from tests.screens.conftest import Seen, running, type_in
from tests.shop.built import NOW


@asynccontextmanager
async def opened(shop: Shop, size: tuple[int, int] = (120, 36)) -> AsyncIterator[tuple[Seen, LibraryPage]]:
    async with running(shop, NOW, size) as seen:
        page = LibraryPage(shop, lambda: NOW)
        seen.app.push_screen(page)
        await settled(seen)
        yield seen, page


async def settled(seen: Seen) -> None:
    """Let the files be read and shown."""
    await seen.pilot.pause()
    await seen.app.workers.wait_for_complete()
    await seen.pilot.pause()


def names(page: LibraryPage) -> list[str]:
    """What the list holds, headings in it."""
    return [line.words for line in page._lines]


def about(seen: Seen) -> str:
    """The text at the right as it is drawn, all of it."""
    said = seen.app.screen.query_one("#said", Static)
    return "\n".join(strip.text.rstrip() for strip in said.render_lines(said.size.region))


def words(seen: Seen) -> str:
    """The text at the right, line ends and spaces made one."""
    return " ".join(about(seen).split())


def mine(shop: Shop, finish: str = "wiping-varnish", name: str = "mine") -> Path:
    """Give the maker a finish of their own."""
    own.add(shop, own.copied(shop.library, shop.library.finish(finish), name))
    return own.own_file(shop.home, Kind.FINISH, name)


async def test_every_figure_of_a_finish_stands_with_its_ground(shop: Shop) -> None:
    finish = shop.library.finish("wiping-varnish")
    async with opened(shop) as (seen, page):
        page.query_one("#things", OptionList).highlighted = names(page).index(finish.title)
        await seen.pilot.pause()
        text = words(seen)
        for stage, time in finish.stages.items():
            assert stage.words in text
            assert f"{time.clock.value} clock; {time.evidence.value}: {time.source}" in text
        for source in (finish.film.source, finish.limits.source, finish.clocks["cure"].source):  # type: ignore[index]
            assert source in text
        assert "window shuts" in text
        assert finish.recoat_limit is not None
        assert finish.recoat_limit.instructions in text
        assert "! Oily rags heat up" in text
        assert finish.care.words in text
        assert "comes with the program" in text
        line = next(line for line in about(seen).splitlines() if line.startswith("cured"))
        assert line.index("├") < line.index("◆") < line.index("┤")


async def test_lists_are_switched_and_searched_by_keys(shop: Shop) -> None:
    async with opened(shop) as (seen, page):
        assert "▸f FINISHES 21" in seen.text()
        await seen.keys("w")
        assert page.kind is Kind.SPECIES
        assert "▸w WOODS 57" in seen.text()
        await seen.keys("slash")
        await type_in(seen, "GONCALO")  # letters that would be keys of the page go into the line
        assert names(page)[1:] == ["gonçalo alves"]
        assert "WOODS 1 of 57" in seen.text()
        await seen.keys("enter")
        assert page.query_one("#things", OptionList).has_focus
        text = words(seen)
        assert "oxidation" in text
        assert "dust" in text
        assert "bleeds" in text
        await seen.keys("escape")
        assert page.query_one("#typed", Input).value == ""
        assert seen.card == "LibraryPage"
        await seen.keys("slash")
        await type_in(seen, "acer sacch")
        assert names(page)[1:] == ["hard maple"]
        await seen.keys(*["backspace"] * 10)
        await type_in(seen, "zzz")
        assert names(page) == []
        assert "nothing here has these letters" in about(seen)
        await seen.keys("escape", "escape")
        assert seen.card == "BenchScreen"


async def test_a_schedule_says_steps_and_hands_work_for_so_many_pieces(shop: Shop) -> None:
    schedule = shop.library.schedule("wiped-varnish-sealed")
    async with opened(shop, (160, 48)) as (seen, page):
        await seen.keys("s")
        page.query_one("#things", OptionList).highlighted = names(page).index(schedule.title)
        await seen.pilot.pause()
        text = words(seen)
        # Counted by hand from the file: 9 + 1.5 + 2 + 1.5 + 3 · (2.5 + 1) + 2 · 1.5 = 27.5 min a piece, and
        # 5 + 3 + 5 + 2 + 3 · 5 + 2 · 2 = 34 min of set-up.
        assert "hands' work for 12 pieces 364 min (6 h 04), 4 coats, 13 steps" in text
        for step in schedule.steps:
            assert step.note in text
        assert "Shellac sealer, 1-lb cut, dewaxed" in text
        assert "once dry to recoat" in text
        await seen.keys("plus")
        assert "hands' work for 16 pieces 474 min" in words(seen)
        await seen.keys(*["minus"] * 20)
        assert "hands' work for 1 piece 61.5 min" in words(seen)


async def test_a_copy_is_made_by_keys_and_stands_first(shop: Shop) -> None:
    async with opened(shop) as (seen, page):
        await seen.keys("y")
        await type_in(seen, "tung oil")
        await seen.keys("enter")
        assert "a name that no finish has yet" in problem(seen)
        assert not (shop.home / "finishes").exists()
        await seen.keys(*["backspace"] * 8)
        await type_in(seen, "Quick [bold]")
        assert str(shop.home)[:20] in seen.text()
        await seen.keys("enter")
        await settled(seen)
        path = shop.home / "finishes" / "quick-bold.toml"
        assert f"saved in {path}" in seen.said[-1][0]
        assert path.read_text("utf-8").startswith('name = "quick-bold"\ntitle = "Quick [bold]"\n')
        assert names(page)[:2] == ["your own · 1", "Quick [bold]"]
        assert "quick-bold · your own" in about(seen)
        assert "Quick [bold]" in seen.text()
        assert shop.library.finish("quick-bold").title == "Quick [bold]"


async def test_only_own_ones_are_changed_by_the_form(shop: Shop) -> None:
    path = mine(shop)
    async with opened(shop) as (seen, page):
        assert page.chosen is not None
        assert page.chosen.key == "mine"
        await seen.keys("e")
        await type_in_field(seen, "dry to recoat", "never")
        await seen.keys("enter")
        assert "dry to recoat: got 'never'" in problem(seen)
        await type_in_field(seen, "dry to recoat", "8h")
        await seen.keys("enter")
        await settled(seen)
        time = Library(own=shop.home).finish("mine").stages[Stage.DRY_TO_RECOAT]
        assert (time.low, time.typical, time.high) == (4, 8, 16)  # 3, 6 and 12 h before
        assert time.source.startswith("typed by hand, 2026-03-10")
        assert "8 h" in about(seen)
        before = path.read_text("utf-8")
        page.query_one("#things", OptionList).highlighted = 3
        await seen.keys("e")
        assert seen.card == "LibraryPage"
        assert seen.said[-1][0].startswith("it comes with the program")
        assert path.read_text("utf-8") == before


async def type_in_field(seen: Seen, name: str, text: str) -> None:
    """Type over the field beside a name."""
    card = seen.app.screen
    line = next(line for line in card.query(".line") if str(line.query_one(".name", Static).render()) == name)
    line.query_one(Input).focus()
    line.query_one(Input).value = ""
    await type_in(seen, text)


def problem(seen: Seen) -> str:
    return " ".join(str(seen.app.screen.query_one("#problem", Static).render()).split())


async def test_a_schedule_and_a_wood_are_changed_too(shop: Shop) -> None:
    own.add(shop, own.copied(shop.library, shop.library.schedule("danish-three"), "mine"))
    own.add(shop, own.copied(shop.library, shop.library.species("padauk"), "old padauk"))
    assert shop.library.schedule("mine").steps[0].grit == 180
    async with opened(shop) as (seen, _):
        await seen.keys("s", "e")
        await type_in_field(seen, "1 prepare P180", "7 min, set-up x")
        await seen.keys("enter")
        assert "1 prepare P180: got 'set-up x'" in problem(seen)
        await type_in_field(seen, "1 prepare P180", "7 min, set-up 4, P150")
        await seen.keys("enter")
        await settled(seen)
        step = Library(own=shop.home).schedule("mine").steps[0]
        assert (step.minutes_per_piece, step.setup_minutes, step.grit) == (7, 4, 150)
        await seen.keys("w", "e")
        await type_in_field(seen, "slows oxidation ×", "2.5")
        await seen.keys("enter")
        await settled(seen)
        wood = Library(own=shop.home).species("old padauk")
        assert wood.factors["oxidation"] == 2.5  # type: ignore[index]
        assert wood.source.startswith("typed by hand, 2026-03-10; before: ")
        assert "×2.5" in about(seen)


async def test_a_label_is_typed_in(shop: Shop) -> None:
    async with opened(shop, (80, 24)) as (seen, page):
        titles = names(page)
        page.query_one("#things", OptionList).highlighted = titles.index("Wiping varnish, oil-modified urethane")
        await seen.keys("l")
        for name, text in {
            "its name": "Blue can",
            "dry to touch": "1-2h",
            "recoat from": "4h",
            "recoat until": "12h",
            "cured": "14d",
            "times are for": "25C",
            "at humidity": "60",
            "coldest": "30C",
            "spreads": "15",
        }.items():
            await type_in_field(seen, name, text)
        assert "recoat 4h (generic 6h)" in " ".join(str(seen.app.screen.query_one("#preview", Static).render()).split())
        await seen.keys("enter")
        assert "coldest: got '30 °C', expected below the 25 °C that the times are for" in problem(seen)
        await type_in_field(seen, "coldest", "10C")
        await seen.keys("enter")
        await settled(seen)
        made = Library(own=shop.home).finish("blue-can")
        assert made.stages[Stage.DRY_TO_TOUCH].typical == 2
        assert made.stages[Stage.CURED].typical == 14 * 24
        assert made.stages[Stage.CURED].evidence is Evidence.LABEL
        assert made.recoat_limit is not None
        assert made.recoat_limit.typical == 12
        assert (made.reference.temperature_c, made.limits.minimum_c, made.film.later_m2_per_l) == (25, 10, 15)
        assert made.family is shop.library.finish("wiping-varnish").family
        assert page.chosen is not None
        assert page.chosen.key == "blue-can"
        assert "the label of the can, typed in 2026-03-10" in words(seen)


async def test_a_broken_file_is_listed_with_its_problem(shop: Shop) -> None:
    (shop.home / "finishes").mkdir()
    (shop.home / "finishes" / "bad.toml").write_text("name = 3\n", "utf-8")
    async with opened(shop, (80, 24)) as (seen, page):
        assert names(page)[:2] == ["can't be read · 1", "bad.toml"]
        assert "1 of your files can't be read" in seen.lines()[0]
        assert "finishes/bad.toml, name: got 3, expected text" in words(seen)
        # Somebody mends it from elsewhere: the page sees that by itself.
        (shop.home / "finishes" / "bad.toml").unlink()
        await seen.pilot.pause(1.5)
        await settled(seen)
        assert names(page)[0] == "with the program · 21"
        assert "can't be read" not in seen.lines()[0]


@pytest.fixture
def suspended(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """An editor that writes what is next in the list; the terminal is let go of without one there."""
    texts: list[str] = []

    @contextmanager
    def let_go(_app: object) -> Iterator[None]:
        yield

    def write(_command: str, file: Path) -> None:
        file.write_text(file.read_text("utf-8") + texts.pop(0), "utf-8")

    monkeypatch.setattr("textual.app.App.suspend", let_go)
    monkeypatch.setattr("finishing.screens.pages.library.page.run", write)
    monkeypatch.setenv("EDITOR", "some-editor")
    return texts


async def test_an_edited_file_that_does_not_read_leaves_the_old_one(shop: Shop, suspended: list[str]) -> None:
    path = mine(shop)
    before = path.read_text("utf-8")
    suspended += ["nonsense", "more nonsense"]
    async with opened(shop) as (seen, _):
        await seen.keys("o")
        assert seen.card == "Rejected"
        assert "is not TOML" in problem(seen)
        await seen.keys("enter")
        assert seen.card == "Rejected"
        await seen.keys("escape")
        assert seen.card == "LibraryPage"
        assert path.read_text("utf-8") == before
        suspended.append("# a remark\n")
        await seen.keys("o")
        await settled(seen)
        assert path.read_text("utf-8") == before + "# a remark\n"
        assert seen.said[-1][0].startswith("mine: saved in")


async def test_without_an_editor_the_key_is_not_there(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("EDITOR", raising=False)
    monkeypatch.delenv("VISUAL", raising=False)
    mine(shop)
    async with opened(shop) as (seen, page):
        assert page.check_action("open_file", ()) is False
        await seen.keys("o")
        assert seen.card == "LibraryPage"


async def test_everything_with_the_mouse_alone(shop: Shop) -> None:
    async with opened(shop) as (seen, page):
        await seen.pilot.click("#kind-species")
        await seen.pilot.pause()
        assert page.kind is Kind.SPECIES
        await seen.pilot.click("#things", offset=(5, 3))
        await seen.pilot.pause()
        assert page.chosen is not None
        assert page.chosen is page._lines[3]
        assert page._lines[3].words in words(seen)
        await seen.pilot.click("#typed")
        assert page.query_one("#typed", Input).has_focus
        await seen.pilot.click("#kind-finish")
        await seen.pilot.pause()
        foot = next(key for key in page.query("FooterKey") if "Copy" in str(key.render()))
        await seen.pilot.click(foot)
        await seen.pilot.pause()
        assert seen.card == "CopyCard"
        seen.app.screen.query_one("#name", Input).value = "By mouse"
        await seen.pilot.pause()
        await seen.pilot.click("#done")
        await settled(seen)
        assert (shop.home / "finishes" / "by-mouse.toml").is_file()


async def test_one_of_ones_own_is_taken_away_after_a_question(shop: Shop) -> None:
    file = mine(shop)
    async with opened(shop, (80, 24)) as (seen, page):
        page.query_one("#things", OptionList).highlighted = names(page).index("mine")
        await seen.pilot.pause()
        assert "x Take away" in seen.text()
        await seen.keys("x")
        assert "Take away your own finish mine?" in seen.text()
        await seen.keys("escape")
        assert file.exists()
        await seen.keys("x", "enter")
        await settled(seen)
        assert "taken away" in seen.said[-1][0]
        assert not file.exists()
        assert "mine" not in names(page)
        assert page.check_action("remove", ()) is False
