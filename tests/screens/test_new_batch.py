"""A new batch by form: with keys only, with the mouse, and refused field by field."""

from __future__ import annotations

from textual.widgets import Input, Select, Static

from finishing.shop.forms import parse_piece_size
from finishing.shop.shop import Shop
from tests.screens.conftest import Run, Seen, count, type_in
from tests.shop.built import NOW, begin, local

FIELDS = {"what": "tea x", "pieces": "12", "size": "90x80x9", "woods": "maple, teak 20%"}


def schedule_at(seen: Seen, name: str) -> int:
    """How far down its list a schedule stands; the prompt stands first."""
    names = [schedule.name for schedule in seen.app.shop.library.schedules()]
    return names.index(name) + 1


async def by_keys(seen: Seen, **change: str) -> None:
    """Fill in the form from the top with nothing but keys, and press enter in its last field."""
    for text in (FIELDS | change).values():
        await seen.keys(*text, "tab")
    await seen.keys("tab")  # the place is the first, if nothing else is said
    assert isinstance(seen.app.focused, Select)
    await seen.keys("enter", "home", *["down"] * schedule_at(seen, "hard-wax-two"), "enter", "tab")
    assert seen.app.focused is seen.app.screen.query_one("#wanted")


async def test_with_keys_only(shop: Shop, run: Run) -> None:
    begin(shop, "A-1")
    async with run(shop, size=(120, 48)) as seen:
        await seen.keys("n")
        assert seen.card == "NewBatch"
        await by_keys(seen)
        await type_in(seen, "2026-03-20")
        shown = seen.text()
        assert "2 coats, about " in shown
        assert "may be packed: no date" in shown
        assert "oily wood under this finish: seal or test first" in shown
        await seen.keys("enter")
        assert seen.card == "BenchScreen"
        assert [said for said, _ in seen.said] == ["26-001: tea x ×12, on record"]
        assert "26-001" in seen.text()
        assert seen.code == "26-001"  # the next key is for the batch just added
    row = shop.standing("26-001", NOW).row
    assert (row.what, row.pieces, row.schedule, row.place) == ("tea x", 12, "hard-wax-two", "loft")
    assert [(wood.species, wood.share) for wood in row.woods] == [("hard maple", 0.8), ("teak", 0.2)]
    assert row.size == parse_piece_size("90x80x9")
    assert row.wanted_by == local("2026-03-20 08:00")


async def test_with_the_mouse(shop: Shop, run: Run) -> None:
    async with run(shop, size=(120, 48)) as seen:
        await seen.keys("n")
        for field, text in FIELDS.items():
            await seen.pilot.click(f"#{field}")
            assert isinstance(seen.app.focused, Input)
            await type_in(seen, text)
        await seen.pilot.click("#schedule")
        await seen.pilot.pause()
        await seen.pilot.click("#schedule SelectOverlay", offset=(4, 2))
        await seen.pilot.pause()
        await seen.pilot.click("#done")
        await seen.pilot.pause()
        assert seen.card == "BenchScreen"
    (row,) = shop.bench(NOW).rows
    assert (row.code, row.what, row.pieces) == ("26-001", "tea x", 12)


BAD = (
    ("pieces", "", "pieces: got nothing, expected a whole number from 1 to 10,000"),
    ("pieces", "0", "pieces: got '0', expected a whole number from 1 to 10,000"),
    ("pieces", "1e3", "pieces: got '1e3', expected"),
    ("size", "big", "size: got 'big', expected"),
    ("woods", "hard mapel", "species: got 'hard mapel', expected a known species; nearest: hard maple"),
    ("woods", "maple 80%, teak 30%", "woods: got 'maple 80%, teak 30%', expected shares: these come to 110 %"),
    ("what", " ", "what: got nothing, expected what the pieces are"),
    ("wanted", "2026-03-09", "wanted by: got '2026-03-09', expected a date or time ahead of now"),
)


async def test_a_bad_field_gets_one_line_and_nothing_is_saved(shop: Shop, run: Run) -> None:
    async with run(shop, size=(160, 48)) as seen:
        await seen.keys("n")

        def value(field: str) -> Input:
            return seen.app.screen.query_one(f"#{field}", Input)

        def said() -> str:
            return str(seen.app.screen.query_one("#problem", Static).render())

        for name, text in FIELDS.items():
            value(name).value = text
        await seen.keys("enter")
        assert said() == "schedule: got nothing, expected a schedule from the list"
        seen.app.screen.query_one("#schedule", Select).value = "hard-wax-two"
        await seen.keys("tab")  # from the list, where enter would open it
        for name, text, expected in BAD:
            value(name).value = text
            await seen.keys("enter")
            assert seen.card == "NewBatch"
            assert said().startswith(expected)
            assert seen.app.focused is value(name)  # where it is put right
            assert "\n" not in said()
            value(name).value = FIELDS.get(name, "")
        await seen.keys("escape")
        assert (seen.card, seen.said) == ("BenchScreen", [])
    assert shop.bench(NOW).rows == ()
    assert count(shop) == 0


async def test_a_wood_is_offered_as_it_is_typed_and_says_what_it_asks_for(shop: Shop, run: Run) -> None:
    async with run(shop, size=(80, 24)) as seen:
        await seen.keys("n")
        seen.app.screen.query_one("#woods", Input).focus()
        await type_in(seen, "maple, padu")
        assert "no wood is called padu; nearest: padauk" in seen.text()
        await seen.keys("backspace")
        await seen.pilot.pause(0.1)
        await seen.keys("right")
        assert seen.app.screen.query_one("#woods", Input).value == "maple, padauk"
        await type_in(seen, " 20%")
        assert "padauk: slows finishes, bleeds red, its dust sensitises" in seen.text()


async def test_form_what_it_comes_to_and_what_is_wrong_show_at_once_at_80_by_24(shop: Shop, run: Run) -> None:
    async with run(shop, size=(80, 24)) as seen:
        await seen.keys("n")
        for name, text in FIELDS.items():
            seen.app.screen.query_one(f"#{name}", Input).value = text
        seen.app.screen.query_one("#schedule", Select).value = "hard-wax-two"
        seen.app.screen.query_one("#wanted", Input).value = "soon"
        await seen.keys("enter")
        for words in ("New batch", "teak: slows finishes much", "Add batch (enter)", "wanted by: got 'soon'"):
            assert words in seen.text(), words


async def test_the_first_button_says_enter_only_where_enter_does_it(shop: Shop, run: Run) -> None:
    async with run(shop, size=(80, 24)) as seen:
        await seen.keys("n")
        for focus, words in (("#what", True), ("#schedule", False), ("#leave", False), ("#done", True)):
            seen.app.screen.query_one(focus).focus()
            await seen.pilot.pause()
            assert ("Add batch (enter)" in seen.text()) is words, focus


async def test_the_whole_form_is_reached_on_a_small_terminal(shop: Shop, run: Run) -> None:
    async with run(shop, size=(80, 24)) as seen:
        await seen.keys("n")
        for name, text in FIELDS.items():
            seen.app.screen.query_one(f"#{name}", Input).value = text
        seen.app.screen.query_one("#schedule", Select).value = "hard-wax-two"
        await seen.keys(*["tab"] * 8)
        assert seen.app.focused is seen.app.screen.query_one("#done")
        assert "Add batch" in seen.text()
        await seen.keys("enter")
        assert seen.card == "BenchScreen"
    assert [row.code for row in shop.bench(NOW).rows] == ["26-001"]
