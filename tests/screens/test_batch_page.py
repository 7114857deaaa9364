"""The page of one batch: what it shows, every key on it, and the same by mouse."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from textual.geometry import Region
from textual.visual import Visual
from textual.widgets import Input, OptionList, Select, Static

from finishing.cure.terms import Face, Release, Stage
from finishing.cure.work import (
    AbradeEntry,
    CloseEntry,
    CoatEntry,
    Entry,
    HoldEntry,
    MoveEntry,
    ReleaseEntry,
    StepEntry,
    TestEntry,
    VoidEntry,
)
from finishing.screens.pages.batch.entries import EntryList
from finishing.screens.pages.batch.page import BatchPage
from finishing.screens.widgets.timeline import LABEL, LETTER, Line, Timeline
from finishing.shop import record, settings
from finishing.shop.drafts import StepDraft
from finishing.shop.shop import Shop
from finishing.shop.split import is_split
from finishing.shop.words import short_time
from tests.screens.conftest import Seen, running, type_in
from tests.shop.built import NOW, ZONE, begin
from tests.shop.doing import coat, do, on_file

LATER = NOW + 10.0


@asynccontextmanager
async def page(
    shop: Shop, code: str = "B-1", at: float = LATER, size: tuple[int, int] = (120, 36)
) -> AsyncIterator[Seen]:
    """The app with the page of a batch in front."""
    async with running(shop, at, size) as seen:
        seen.app.push_screen(BatchPage(shop, lambda: at, code))
        await seen.pilot.pause()
        yield seen


def part(seen: Seen, id: str) -> str:
    """The words of a part of the page, also of what is scrolled out of sight."""
    shown = seen.app.screen.query_one(f"#{id}", Static)
    strips = Visual.to_strips(shown, shown.visual, 1000, None, shown.visual_style)
    return "\n".join(strip.text.rstrip() for strip in strips)


def newest(shop: Shop, code: str = "B-1") -> Entry:
    return on_file(shop, code)[-1].entry


async def set_field(seen: Seen, id: str, text: str) -> None:
    """Put text into a field of a card, by mouse and keys."""
    field = seen.app.screen.query_one(f"#{id}", Input)
    field.value = ""
    await seen.pilot.click(f"#{id}")
    await type_in(seen, text)


async def test_everything_about_a_batch_is_shown(shop: Shop) -> None:
    begin(shop, woods="hard maple, padauk 20%", wanted_by=NOW + 240)
    do(shop, "B-1", NOW)
    coat(shop, "B-1", NOW + 1, amount_ml=40.0)
    record.undo(shop, "B-1", NOW + 1)
    coat(shop, "B-1", NOW + 2, amount_ml=24.0)
    record.move(shop, "B-1", "cellar", NOW + 3)
    async with page(shop) as seen:
        head = part(seen, "head")
        for words in ("trays ×4", "300 mm × 200 mm × 18 mm", "hard maple 80%, padauk 20%", "wanted 20 Mar 09:00"):
            assert words in head
        assert "in the cellar since 12:00 (before: loft)" in head
        steps = part(seen, "steps").splitlines()
        assert steps[0].startswith("● prepare P220, ")
        assert steps[0].endswith(": done 09:00")
        # From the schedule's own file: 5 min of setting up and 2 min a piece make 13 min for four.
        step = shop.library.schedule("wiped-varnish-in-window").steps[1]
        minutes = step.setup_minutes + 4 * step.minutes_per_piece
        assert f"coat 1 of 4, {minutes:.0f} min of work: done 11:00" in steps[1]
        ahead = [line for line in steps if line.startswith("○ coat")]
        assert len(ahead) + sum(line.startswith("▸ coat") for line in steps) == 3
        assert all("ahead, from " in line for line in ahead)
        assert "why: dry to recoat" in part(seen, "next")
        assert "padauk ×" in part(seen, "next")
        assert "Oily rags heat up" in part(seen, "next")
        assert "if every step is taken at its earliest" in part(seen, "releases")
        assert "may be used: from" in part(seen, "releases")
        assert "29 CFR 1910.107(g)(3)" in part(seen, "cautions")
        lines = [str(o.prompt) for o in seen.app.screen.query_one(EntryList).options]
        assert [line.split()[0] for line in lines] == ["5", "4", "3", "2", "1"]
        assert "VOID by 3: 10:00  coat 1 of 4, 40 mL" in lines[3]
        assert "moved to cellar" in lines[0]
        # What is on the terminal names the batch, both of its parts, and the keys.
        text = seen.text()
        assert all(words in text for words in ("batch B-1", "RECORD", "NEXT", "could be", "count on"))


async def test_a_stale_solvent_wipe_is_done_once_more_by_the_key_for_steps(shop: Shop) -> None:
    """A day after the wipe: common practice, no source. c still records the coat."""
    begin(shop, schedule="wiped-varnish-sealed", woods="padauk")
    do(shop, "B-1", NOW, NOW)
    async with page(shop, at=NOW + 24.0) as seen:
        assert "wiped with solvent 24 h ago" in part(seen, "next")
        await seen.keys("c")
        assert "the wipe with solvent was 24 h ago: wipe again" in seen.text().replace("\n", " ")
        await seen.keys("escape", "d")
        assert "B-1: wipe with solvent" in seen.text()
        await seen.keys("enter")
        entry = newest(shop)
        assert isinstance(entry, StepEntry)
        assert (entry.step, entry.at) == (1, NOW + 24.0)
        assert "wiped with solvent 24 h ago" not in part(seen, "next")


@pytest.mark.parametrize("size", [(80, 24), (160, 48)])
async def test_stages_stand_whole_at_three_levels(shop: Shop, size: tuple[int, int]) -> None:
    """A line each where there is room, else the times under the name; no time broken over two lines."""
    begin(shop)
    coat(shop, "B-1", NOW)
    async with page(shop, at=NOW + 1, size=size) as seen:
        shown = seen.app.screen.query_one("#stages", Static)
        lines = [strip.text.rstrip() for strip in shown.render_lines(Region(0, 0, *shown.size))]
        time = shop.standing("B-1", NOW).fold.coats[0].stages[Stage.DRY_TO_RECOAT]
        assert time is not None
        levels = (time.could_be, time.likely, time.count_on)
        whens = [short_time(when, ZONE, NOW + 1) for when in levels if when is not None]
        at = next(i for i, line in enumerate(lines) if line.startswith("dry to recoat"))
        row = lines[at].removeprefix("dry to recoat") if size[0] > 80 else lines[at + 1]
        assert re.split("  +", row.strip()) == whens
        head = next(line for line in lines if "could be" in line)
        assert [row.index(when) for when in whens] == [
            head.index(level) - (13 if size[0] > 80 else 0) for level in ("could be", "likely", "count on")
        ]


async def test_the_timeline_has_each_stage_where_it_comes(shop: Shop) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    async with page(shop, at=NOW + 1) as seen:
        timeline = seen.app.screen.query_one(Timeline)
        axis, lane = timeline.axis, timeline._lanes[0]
        for level, name in enumerate(("could_be", "likely", "count_on")):
            (y,) = (i + 1 for i, line in enumerate(timeline._lines) if line == Line(0, level))
            shown = timeline.render_line(y).text[LABEL:]
            assert timeline.render_line(y).text.split()[0] == name.split("_")[0]
            for stage in (Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE):
                time = lane.coat.stages[stage]
                hour = getattr(time, name)
                if axis.start <= hour < axis.hour(axis.width) and (lane.end is None or hour <= lane.end):
                    assert abs(shown.index(LETTER[stage]) - axis.column(hour)) <= 1
        # The bar turns from hardening to open where the window opens, and starts with the coat.
        bar = timeline.render_line(1 + timeline._lines.index(Line(0))).text[LABEL:]
        assert abs(bar.index("●") - axis.column(NOW)) <= 0
        assert lane.coat.window.opens is not None
        assert lane.end is None or abs(lane.end - lane.coat.window.opens) < 1e-6
        # The temperature of the loft is 21 °C at any hour, and it is read off by key and by mouse.
        timeline.focus()
        await seen.keys("right")
        assert "21 °C, 50 % RH, expected" in seen.text()
        await seen.pilot.click(Timeline, offset=(LABEL + 2, 1))
        assert timeline.cursor == pytest.approx(axis.hour(2.5))
        assert "Mon 9 Mar" in timeline.reading() or "Tue 10 Mar" in timeline.reading()
        before = timeline.axis
        await seen.keys("minus")
        assert timeline.axis.span > before.span
        await seen.keys("home", "pagedown")
        assert timeline.axis.start > before.start
        # Another coat, by key and by mouse: its stages stand below.
        await seen.keys("home", "down")
        assert timeline.chosen == 1
        assert "expected" in part(seen, "stages")
        await seen.pilot.click(Timeline, offset=(2, 1 + timeline._lines.index(Line(0))))
        assert timeline.chosen == 0
        assert "on since" in part(seen, "stages")


async def test_what_the_cold_stops_and_what_has_no_date_is_drawn_so(shop: Shop) -> None:
    # The cellar stands at 10 °C; a waterborne finish forms no film below 10 °C (UFC 3-190-06, 2.3.2), and the
    # shipped one is given a little more. A drying finish on bare teak gets no date.
    begin(shop, "W-1", "waterborne-three", place="cellar")
    coat(shop, "W-1", NOW)
    begin(shop, "T-1", "hard-wax-two", woods="teak")
    coat(shop, "T-1", NOW)
    least = shop.standing("W-1", LATER).fold.coats[0].finish.limits.minimum_c
    async with page(shop, "W-1") as seen:
        timeline = seen.app.screen.query_one(Timeline)
        bar = timeline.render_line(1 + timeline._lines.index(Line(0))).text
        assert ("▿" in bar) is (least > 10.0)
        assert "_" in "".join(timeline.render_line(y).text for y in range(1, len(timeline._lines) + 1))
    async with page(shop, "T-1") as seen:
        timeline = seen.app.screen.query_one(Timeline)
        assert "?" in timeline.render_line(1 + timeline._lines.index(Line(0))).text
        assert "no date: test with a finger" in part(seen, "stages")
        assert "seal or test first" in part(seen, "steps")


async def test_every_key_records_what_it_says(shop: Shop) -> None:
    begin(shop)
    async with page(shop) as seen:
        await seen.keys("d", "enter")
        assert isinstance(newest(shop), StepEntry)
        await seen.keys("c", "enter")
        assert isinstance(newest(shop), CoatEntry)
        await seen.keys("a", "enter")
        assert isinstance(newest(shop), AbradeEntry)
        await seen.keys("t", "t")
        assert isinstance(newest(shop), TestEntry)
        assert "was: " in seen.said[-1][0] or "changes nothing" in seen.said[-1][0]
        await seen.keys("m", "enter")
        assert newest(shop).place == "cellar"  # type: ignore[attr-defined]
        await seen.keys("h")
        assert newest(shop) == HoldEntry(newest(shop).number, LATER, True)
        await seen.keys("h")
        assert newest(shop) == HoldEntry(newest(shop).number, LATER, False)
        await seen.keys("o")
        await type_in(seen, "smooth")
        await seen.keys("enter")
        assert newest(shop).text == "smooth"  # type: ignore[attr-defined]
        noted = newest(shop).number
        await seen.keys("u")
        assert f"void entry {noted}?" in seen.text()
        assert "note: smooth" in seen.text()
        await seen.keys("enter")
        assert newest(shop) == VoidEntry(noted + 1, LATER, noted)
        await seen.keys("home", "down", "down", "down", "x")
        chosen = seen.app.screen_stack[-2].query_one(EntryList).number
        assert f"void entry {chosen}?" in seen.text()
        await seen.keys("escape")
        assert newest(shop).number == noted + 1
        await seen.keys("x", "enter")
        assert newest(shop) == VoidEntry(noted + 2, LATER, chosen or 0)
        await seen.keys("x")
        assert "an entry of the record that still holds" in seen.said[-1][0]
        # Each was on the file when it was said.
        said = [n for _, n in seen.said]
        assert said == sorted(said)
        await seen.keys("e", "enter")
        assert isinstance(newest(shop), CloseEntry)
        assert "CLOSED" in part(seen, "head")
        for key in ("c", "d", "a", "t", "m", "s", "r", "e"):
            await seen.keys(key)
            assert isinstance(seen.app.screen, BatchPage)
            assert "this one is closed" in seen.said[-1][0]


async def test_the_same_by_mouse(shop: Shop) -> None:
    begin(shop, schedule="hard-wax-two")

    async def click(words: str) -> None:
        label = next(w for w in seen.app.screen.query("KeyLabel") if str(w.render()) == words)
        label.scroll_visible(animate=False)
        await seen.pilot.pause()
        assert await seen.pilot.click(label)
        await seen.pilot.pause()

    async def take() -> None:
        await seen.pilot.click("#done")
        await seen.pilot.pause()

    async with page(shop) as seen:
        await click("d do")
        await seen.pilot.click("#done")
        await click("c coat")
        await seen.pilot.click("#done")
        assert isinstance(newest(shop), CoatEntry)
        await click("m move")
        await seen.pilot.click("#choices", offset=(2, 0))
        await seen.pilot.pause()
        assert isinstance(newest(shop), MoveEntry)
        await click("a abrade")
        seen.app.screen.query_one("#face", Select).value = Face.TOP
        await set_field(seen, "grit", "p400")
        await take()
        assert newest(shop) == AbradeEntry(newest(shop).number, LATER, Face.TOP, 400, None)
        await click("t test")
        await seen.pilot.click("#dry")
        await seen.pilot.pause()
        assert isinstance(newest(shop), TestEntry)
        assert "are you sure?" in seen.text()  # dry within the minute: asked about
        await seen.pilot.click("#choices", offset=(2, 0))
        await seen.pilot.pause()
        await click("h hold")
        assert isinstance(newest(shop), HoldEntry)
        await click("o note")
        await set_field(seen, "note", "by hand")
        await take()
        await click("u undo")
        await take()
        assert isinstance(newest(shop), VoidEntry)
        await seen.pilot.click(EntryList, offset=(4, 3))
        await seen.pilot.pause()
        chosen = seen.app.screen.query_one(EntryList).number
        await click("x void")
        await take()
        assert newest(shop).voids == chosen  # type: ignore[attr-defined]
        await click("e close")
        await seen.pilot.click("#leave")
        assert not isinstance(newest(shop), CloseEntry)


async def test_pieces_split_off_as_tacky_are_asked_about_where_that_surprises(shop: Shop) -> None:
    begin(shop)
    coat(shop, "B-1", NOW)
    async with page(shop) as seen:
        await seen.keys("s", "1")
        seen.app.screen.query_one("#tacky", Select).value = Stage.DRY_TO_TOUCH
        await seen.keys("enter")
        assert "B-1.2: tacky, are you sure?" in seen.text()
        await seen.keys("down", "enter")
        assert "left out of learning, on record" in seen.said[-1][0]


async def test_a_few_tacky_pieces_become_a_batch_of_their_own_and_come_back(shop: Shop) -> None:
    begin(shop)
    coat(shop, "B-1", NOW, amount_ml=40.0)
    async with page(shop) as seen:
        await seen.keys("s")
        assert seen.app.screen.query_one("#code", Input).value == "B-1.2"
        await type_in(seen, "x")
        await seen.keys("enter")
        assert "pieces that go: got 'x'" in str(seen.app.screen.query_one("#problem").render())
        await seen.keys("backspace", "1")
        seen.app.screen.query_one("#tacky", Select).value = Stage.DRY_TO_TOUCH
        await seen.keys("enter")
        assert seen.said[-1][0] == "B-1: 1 of 4 pieces are now B-1.2, on record"
        assert is_split(newest(shop))
        assert "trays ×3" in part(seen, "head")
        assert "split: 1 piece went to B-1.2" in str(seen.app.screen.query_one(EntryList).options[0].prompt)
        await seen.keys("u")
        assert "All pieces become one batch again" in seen.text()
        await seen.keys("enter")
        assert "trays ×4" in part(seen, "head")
        assert shop.standing("B-1.2", LATER).fold.closed is not None
    async with page(shop, "B-1.2") as seen:
        assert "CLOSED" in part(seen, "head")
        assert any("came along" in str(o.prompt) for o in seen.app.screen.query_one(EntryList).options)


async def test_a_batch_at_rest_is_released_by_the_maker(shop: Shop) -> None:
    begin(shop, schedule="hard-wax-two")
    while (following := shop.standing("B-1", NOW).fold.next(NOW)) is not None:
        record.record_step(shop, StepDraft("B-1", following.position), NOW)
    async with page(shop, at=NOW + 1) as seen:
        assert "no step is left: r release, e close" in part(seen, "next")
        assert "may be packed: from" in part(seen, "next")
        assert "rest" in part(seen, "steps").splitlines()[-1]
        assert "until" in part(seen, "steps").splitlines()[-1]
        await seen.keys("r")
        assert "Keep food, hot and wet things off until it is cured" in " ".join(seen.text().split())
        choices = seen.app.screen.query_one("#choices", OptionList)
        assert [str(o.prompt).split(":")[0] for o in choices.options] == [
            "may be handled", "may be packed", "may be used",
        ]  # fmt: skip
        await seen.keys("down", "enter")
        assert newest(shop) == ReleaseEntry(newest(shop).number, NOW + 1, Release.PACK)
        assert "before its time" in seen.said[-1][0]
        assert "may be packed: you said so" in part(seen, "releases")


async def test_names_are_shown_as_they_are_and_do_no_harm(shop: Shop) -> None:
    begin(shop, what="[bold red]tr\x1b[2Jays\u202e 🪵 ｔｅａ[/]")
    record.record_step(shop, StepDraft("B-1", note="[@click=app.quit]x[/]"), NOW)
    settings.change_setting(shop, "maker", "[b]Ola", NOW)
    coat(shop, "B-1", NOW)
    async with page(shop) as seen:
        head = part(seen, "head")
        assert "[bold red]tr\\x1b[2Jays\\u202e 🪵 ｔｅａ[/] ×4" in head
        assert "\x1b" not in seen.text()
        record_lines = " ".join(str(o.prompt) for o in seen.app.screen.query_one(EntryList).options)
        assert "note: [@click=app.quit]x[/]" in record_lines
        assert "by [b]Ola" in record_lines
        for key in ("t", "u", "s", "m", "e", "a"):
            await seen.keys(key)
            assert not isinstance(seen.app.screen, BatchPage)
            await seen.keys("escape")


@pytest.mark.parametrize("size", [(80, 24), (160, 48)])
async def test_it_fits_and_follows_another_bench(shop: Shop, size: tuple[int, int]) -> None:
    begin(shop)
    other = Shop.open(NOW, shop.store.location)
    coat(shop, "B-1", NOW)
    async with page(shop, size=size) as seen:
        lines = seen.lines()
        assert all(len(line) <= size[0] for line in lines)
        text = seen.text()
        assert all(words in text for words in ("trays ×4", "▸coat 1/4", "RECORD", "NEXT", "x void", "C cured", "night"))
        record.hold(other, "B-1", LATER)
        for _ in range(150):
            await seen.pilot.pause(0.1)
            if "ON HOLD" in part(seen, "head"):
                break
        assert "ON HOLD" in part(seen, "head")
        await seen.pilot.resize_terminal(160 if size[0] == 80 else 80, 24)
        await seen.pilot.pause()
        assert "▸coat 1/4" in seen.text()
        assert seen.app.screen.query_one(EntryList).size.height >= 5
    other.close()


async def test_an_entry_is_put_right_and_a_missing_coat_entered_before_a_later_one(shop: Shop) -> None:
    begin(shop)
    coat(shop, "B-1", NOW, amount_ml=40.0)
    coat(shop, "B-1", NOW + 8)
    async with page(shop) as seen:
        await seen.keys("end", "f")
        assert seen.app.screen.query_one("#at", Input).value == "2026-03-10 09:00"
        await set_field(seen, "at", "18:00")
        await seen.keys("enter")
        assert seen.said[-1][0] == "time: got '18:00', expected a time before coat 2 of 4, 17:00"
        await seen.keys("end", "f")
        await set_field(seen, "at", "7:30")
        await set_field(seen, "amount", "20 mL")
        await seen.keys("enter")
        lines = [str(o.prompt) for o in seen.app.screen.query_one(EntryList).options]
        assert "corrected entry 1: it is entry 3 now" in lines[0]
        assert "07:30  coat 1 of 4, 20 mL" in lines[1]
        assert "VOID by 4, now 3: 09:00  coat 1 of 4, 40 mL" in lines[3]
        await seen.keys("u", "enter")
        assert [c.entry for c in shop.standing("B-1", LATER).fold.coats] == [1, 2]
        await seen.keys("end", "x", "enter")
        assert [c.entry for c in shop.standing("B-1", LATER).fold.coats] == [2]
        await seen.keys("c")
        assert "coat 2 of 4 is on record already: say when this was done, before 17:00" in seen.text()
        await set_field(seen, "at", "8:00")
        await seen.keys("enter")
        assert [(c.number, c.at) for c in shop.standing("B-1", LATER).fold.coats] == [(1, NOW - 1), (2, NOW + 8)]


async def test_what_a_batch_is_is_changed_by_its_form(shop: Shop) -> None:
    begin(shop, wanted_by=NOW + 240)
    async with page(shop) as seen:
        await seen.keys("b", "enter")
        assert "as it was, nothing is otherwise" in seen.said[-1][0]
        await seen.keys("b")
        await set_field(seen, "pieces", "3")
        await set_field(seen, "wanted", "")
        await seen.keys("enter")
        assert "×3" in part(seen, "head")
        row = shop.standing("B-1", LATER).row
        assert (row.pieces, row.wanted_by, len(row.record)) == (3, None, 1)
        await seen.keys("u", "enter")
        row = shop.standing("B-1", LATER).row
        assert (row.pieces, row.wanted_by, len(row.record)) == (4, NOW + 240, 2)
