"""The bench on screen: its groups, the cursor, what is beside it, the keys at the foot, and other programs' entries."""

from __future__ import annotations

import re

import pendulum
import pytest
from freezegun import freeze_time
from rich.cells import cell_len

from finishing.clock import hour_of
from finishing.exchange.plain import one_line, plain
from finishing.screens.app import FinishingApp
from finishing.screens.widgets.axis import SPANS
from finishing.shop import record
from finishing.shop.bench import Group
from finishing.shop.shop import Shop
from tests.screens.conftest import Run, count
from tests.shop.built import EVENING, NOW, ZONE, begin
from tests.shop.doing import coat, do


async def test_five_groups_and_the_chosen_batch_beside_them(demo: Shop, run: Run) -> None:
    rows = demo.bench(EVENING).rows
    async with run(demo, EVENING) as seen:
        lines = seen.lines()
        headings = [line.split("·")[0].strip() for line in seen.list_lines() if re.match(r" [A-Z ]+ · \d", line)]
        assert headings == ["NOW", "TODAY", "LATER", "RESTING", "READY TO GO OUT"]
        assert "invented shop" in lines[0]
        assert "Sun 29 Nov 19:40" in lines[0]
        late = [row.code for row in rows if row.promise is not None and row.promise.late]
        assert f"{len(late)} late" in lines[0]
        marked = {row.code: f"{row.code}{'!' if row.code in late else ' '}" for row in rows}
        shown = [code for code, words in marked.items() if any(f" {words} " in line for line in lines)]
        assert shown == [row.code for row in rows]
        for row in rows:
            assert seen.code == row.code
            assert f"▸ {marked[row.code]}" in seen.text()
            if row.promise is not None:
                assert row.promise.words(ZONE, EVENING) in " ".join(
                    str(seen.app.screen.query_one("#detail").render()).split()
                )
            assert f"{row.what} ×{row.pieces}" in " ".join(str(seen.app.screen.query_one("#detail").render()).split())
            seen.rows.action_move(1)
            await seen.pilot.pause()
        assert seen.code == rows[-1].code
        await seen.keys("home")
        assert seen.code == rows[0].code
        await seen.keys("end", "up")
        assert seen.code == rows[-2].code
        assert {row.group for row in rows} == set(Group)


async def test_zoom_help_and_leaving(shop: Shop, run: Run) -> None:
    begin(shop)
    async with run(shop) as seen:
        rulers = {seen.rows.render_line(0).text}
        for _ in SPANS:
            await seen.keys("minus")
            rulers.add(seen.rows.render_line(0).text)
        assert seen.rows.span == len(SPANS) - 1
        for _ in SPANS:
            await seen.keys("plus")
            rulers.add(seen.rows.render_line(0).text)
        assert seen.rows.span == 0
        assert len(rulers) == len(SPANS)
        for key in ("escape", "q", "question_mark"):
            await seen.keys("question_mark")
            assert seen.card == "HelpScreen"
            assert "up, down" in seen.text()
            await seen.keys(key)
            assert seen.card == "BenchScreen"
        await seen.keys("q")
        assert seen.app._exit


SIZES = [(80, 24), (120, 36), (160, 48), (60, 16), (200, 60), (80, 24)]


async def test_no_size_and_no_change_of_size_loses_a_row(demo: Shop, run: Run) -> None:
    bench = demo.bench(EVENING)
    async with run(demo, EVENING, SIZES[0]) as seen:
        for width, height in SIZES:
            await seen.pilot.resize_terminal(width, height)
            await seen.pilot.pause()
            assert {cell_len(line) for line in seen.lines()} == {width}
            for index, row in enumerate(bench.rows):
                seen.rows.cursor = index
                (line,) = [line for line in seen.list_lines() if line.startswith("▸")]
                assert line.startswith(f"▸ {row.code}"), (width, height)
                assert row.brief_do in line or width < 80
                if width >= 80:
                    # So much of when that it can be told from every other time.
                    assert (row.stands[:20] if width >= 200 else row.brief) in line


async def test_anothers_entry_shows_within_two_seconds_and_the_cursor_stays(shop: Shop, run: Run) -> None:
    for code in ("A", "B", "C"):
        begin(shop, code)
    other = Shop.open(NOW, shop.store.location)
    async with run(shop) as seen:
        await seen.keys("down")
        assert seen.code == "B"
        do(other, "A", NOW)
        coat(other, "A", NOW)
        await seen.pilot.pause(2.0)
        assert any(" A " in line and "wipe off" in line and "09:01" in line for line in seen.lines())
        assert seen.code == "B"
        record.close(other, "B", NOW)
        await seen.pilot.pause(2.0)
        assert seen.code in ("C", "A")
    other.close()


async def test_without_a_batch_no_key_does_harm(shop: Shop, run: Run) -> None:
    async with run(shop) as seen:
        assert "nothing now" in seen.lines()[0]
        await seen.keys("c", "d", "enter", "u", "down", "up", "home", "end", "plus", "minus", "o", "space")
        assert seen.card == "BenchScreen"
        assert seen.code is None
    assert count(shop) == 0


async def test_every_key_shown_at_the_foot_does_something(shop: Shop, run: Run) -> None:
    begin(shop)
    do(shop, "B-1", NOW)
    async with run(shop, size=(160, 36)) as seen:
        shown = [a.binding for a in seen.app.screen.active_bindings.values() if a.binding.show and a.enabled]
        assert {"c", "d", "n", "u", "q", "question_mark"} <= {binding.key for binding in shown}
        foot = seen.lines()[-1]
        for binding in shown:
            assert binding.description in foot
        for binding in sorted(shown, key=lambda b: b.key == "q"):
            before = (seen.card, len(seen.said), seen.text(), seen.app._exit)
            await seen.keys(binding.key)
            assert (seen.card, len(seen.said), seen.text(), seen.app._exit) != before, binding
            while len(seen.app.screen_stack) > 2 and not seen.app._exit:
                await seen.keys("escape")
        assert seen.app._exit


async def test_a_click_chooses_and_a_second_opens_the_step(shop: Shop, run: Run) -> None:
    for code in ("A", "B", "C"):
        begin(shop, code)
    async with run(shop) as seen:
        line = next(i for i, line in enumerate(seen.lines()) if " C " in line)
        await seen.pilot.click(offset=(8, line))
        await seen.pilot.pause()
        assert (seen.code, seen.card) == ("C", "BenchScreen")
        await seen.pilot.click(offset=(8, line), times=2)
        await seen.pilot.pause()
        assert seen.card == "RecordStep"
        assert "C: prepare P220" in seen.text()
        await seen.keys("escape")
        heading = next(i for i, line in enumerate(seen.lines()) if line.startswith(" NOW"))
        await seen.pilot.click(offset=(3, heading))
        assert (seen.code, seen.card) == ("C", "BenchScreen")
    assert count(shop) == 0


async def test_without_colour_everything_is_still_said(demo: Shop, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with run(demo, EVENING) as seen:
        assert seen.app.ansi_color
        for row in demo.bench(EVENING).rows:
            assert any(row.code in line and row.brief_do in line and row.brief in line for line in seen.lines())
        await seen.keys("c")
        assert seen.card == "RecordStep"
        for strip in seen.app.screen._compositor.render_strips():
            for text, style, _ in strip:
                colour = style.color if style is not None else None
                assert colour is None or colour.is_default or colour != style.bgcolor or not text.strip(), text


@pytest.mark.parametrize("value", [None, ""])
async def test_an_empty_no_color_leaves_colours_on(
    demo: Shop, run: Run, monkeypatch: pytest.MonkeyPatch, value: str | None
) -> None:
    """No-color.org: only "when present and not an empty string (regardless of its value)"."""
    if value is not None:
        monkeypatch.setenv("NO_COLOR", value)
    async with run(demo, EVENING) as seen:
        assert not seen.app.no_color
        assert not seen.app.ansi_color
        strips = seen.app.screen._compositor.render_strips()
        shown = [style.color for strip in strips for _, style, _ in strip if style is not None]
        assert any(colour is not None and not colour.is_default for colour in shown)


async def test_the_apps_own_clock_is_the_wall_clock(shop: Shop) -> None:
    """`ignore`: Textual's own waiting needs a clock that runs (a frozen one hangs the pilot)."""
    begin(shop)
    with freeze_time("2026-03-10T08:00:00+00:00", ignore=["textual", "asyncio"]):
        assert hour_of(pendulum.now("UTC")) == NOW
        app = FinishingApp(shop)
        async with app.run_test(size=(100, 30)) as pilot:
            await pilot.pause()
            assert "Tue 10 Mar 09:00" in app.screen._compositor.render_strips()[0].text
            await pilot.press("c", "enter")
            await pilot.pause()
    (entry,) = shop.standing("B-1", NOW).entries
    assert entry.at == NOW


HOSTILE = {
    "markup": "[bold]x[/bold] [@click=app.quit]y[/]",
    "escape": "\x1b[31mred\x1b[0m",
    "eight-bit": "\x9b31mred",
    "bell": "a\x07b\x08c",
    "override": "abc\u202egnp.exe",
    "isolate": "\u2067abc\u2066",
    "lines": "one\ntwo\rthree",
    "wide": "盆" * 90,
    "family": "👩‍👩‍👧‍👦 board",
}


async def test_hostile_names_are_shown_as_they_are_written(shop: Shop, run: Run) -> None:
    for n, what in enumerate(HOSTILE.values()):
        begin(shop, f"H{n}", what=what)
    async with run(shop, size=(160, 48)) as seen:
        for n, what in enumerate(HOSTILE.values()):
            assert seen.code == f"H{n}"
            lines = seen.lines()
            (line,) = [line for line in lines if line.startswith(f"▸ H{n}")]
            assert plain(one_line(what))[:5] in line
            await seen.keys("d")
            assert seen.card == "RecordStep"
            assert plain(one_line(what))[:20] in seen.text()
            for line in [*lines, *seen.lines()]:
                assert not [c for c in line if ord(c) < 32 or 127 <= ord(c) < 160 or c in "\u202a\u202b\u202d\u202e"]
                assert not [c for c in line if "\u2066" <= c <= "\u2069"]
            await seen.keys("escape", "down")
        assert not seen.app._exit
