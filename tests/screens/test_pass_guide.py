"""The pass guide on screen, by keys and again by mouse: what it shows, when it rings, and what it leaves on record."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest
from textual.widgets import Button, Input, Select

from finishing.cure.session_run import Do, Phase
from finishing.cure.work import CoatEntry, StepEntry
from finishing.exchange.plain import plain
from finishing.screens.pages.pass_guide.page import PassGuide
from finishing.screens.widgets.countdown import Countdown
from finishing.shop import batches, cans, guide, record
from finishing.shop.drafts import CanDraft, NewBatchDraft, StepDraft
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.shop import Shop
from finishing.store.kinds import NoteEntry
from tests.screens.conftest import Run, Seen, type_in
from tests.shop.built import NOW
from tests.shop.doing import coat, on_file

M = 1.0 / 60.0


def batch(
    shop: Shop, code: str = "B-1", schedule: str = "wiped-varnish-in-window", pieces: int = 6, what: str = "trays"
) -> str:
    size = parse_piece_size("300x200x18")
    draft = NewBatchDraft(what, pieces, schedule, "loft", parse_woods("hard maple"), size, code)
    batches.begin_batch(shop, draft, NOW - 2)
    record.record_step(shop, StepDraft(code), NOW - 1)
    return code


class At:
    """A clock that is set, in minutes after NOW."""

    def __init__(self) -> None:
        self.minute = 0.0

    def __call__(self) -> float:
        return NOW + self.minute * M


class Desk:
    """A pass guide that is open."""

    def __init__(self, seen: Seen, clock: At) -> None:
        self.seen, self.clock, self.bells = seen, clock, 0

    @property
    def page(self) -> PassGuide:
        return next(s for s in self.seen.app.screen_stack if isinstance(s, PassGuide))

    async def at(self, minute: float, *keys: str) -> None:
        """Let it be so many minutes later, and press keys."""
        self.clock.minute = minute
        self.page.tick()
        await self.seen.keys(*keys)

    def shows(self, name: str) -> str:
        span = self.page.query_one(f"#{name}", Countdown).span
        return "" if span is None else f"{span.words} | {span.figure}"

    async def click(self, *selectors: str) -> None:
        for selector in selectors:
            await self.seen.pilot.click(selector)
            await self.seen.pilot.pause()

    async def foot(self, key: str) -> None:
        """Click a key shown at the foot, waiting until the foot shows it."""
        for _ in range(100):
            keys = [w for w in self.seen.app.screen.query("FooterKey") if getattr(w, "key", "") == key]
            if keys and keys[0].region.width:
                await self.seen.pilot.click(keys[0])
                await self.seen.pilot.pause()
                return
            await self.seen.pilot.pause(0.05)
        raise AssertionError(f"{key} is not at the foot")


@asynccontextmanager
async def opened(
    run: Run, shop: Shop, code: str = "B-1", size: tuple[int, int] = (120, 36), clock: At | None = None
) -> AsyncIterator[Desk]:
    clock = clock or At()
    async with run(shop, clock, size) as seen:
        desk = Desk(seen, clock)

        def bell() -> None:
            desk.bells += 1

        seen.app.bell = bell  # type: ignore[method-assign]
        await seen.app.push_screen(PassGuide(shop, clock, code))
        await seen.pilot.pause()
        yield desk


async def test_a_session_by_keys(shop: Shop, run: Run) -> None:
    batch(shop)
    can = cans.shelve(shop, CanDraft("wiping-varnish", 950, "L-1", opened=True), NOW)
    async with opened(run, shop) as desk:
        for words in ("46 mL (41 mL", "lot L-1", "2 passes of 3, 3", "1 to 10 min", "loft 21 °C", "catch fire"):
            assert words in desk.seen.text()
        await desk.at(0, "s")
        await desk.at(1)
        assert desk.shows("apply") == "coating piece 1 of 3 | 1:00 of 2:30"
        await desk.at(2, "space")
        await desk.at(2.5)
        assert desk.shows("wipe").startswith("NOT YET TO WIPE, piece 1, 1 wet: from 09:03:00 until 09:12:00 | in 0:30")
        await desk.at(6)
        assert desk.bells == 0
        await desk.at(6, "a")
        assert desk.bells == 1  # all coated, and the first may be wiped since minute 3
        assert desk.shows("wipe") == "WIPE NOW, piece 1, 3 wet: until 09:12:00 | 6:00 left"
        await desk.at(7, "w")
        await desk.at(13.5)
        assert desk.bells == 2  # the second: coated at 4, to be wiped until 14; a minute's slack is gone
        await desk.at(15)
        assert desk.bells == 3
        assert desk.shows("wipe") == "LATE, piece 2, 2 wet: wipe it at once | 1:00 late"
        await desk.at(15, "e", "n")
        await desk.at(17, "p")
        await desk.at(20)
        assert desk.shows("apply") == "PAUSED, coating piece 1 of 3 | 2:00 of 2:30"
        await desk.at(20, "p")
        await desk.at(26, "a")
        assert desk.page.run_ is not None
        assert desk.page.run_.phase is Phase.WIPING
        await desk.at(30, "e")
        assert desk.seen.card == "RagCard"
        assert on_file(shop, "B-1")[-1].entry.at < NOW
        await desk.at(30, "escape", "enter", "space", "q", "1", "f", "x")
        assert desk.seen.card == "RagCard"
        await desk.at(31, "r")
        assert desk.seen.card == "Closing"
        await type_in(desk.seen, "nonsense")
        await desk.seen.keys("enter")
        assert "finish used" in desk.seen.text()
        desk.seen.app.screen.query_one("#amount", Input).value = "44"
        await desk.seen.keys("enter")
        assert desk.seen.card == "BenchScreen"
        assert "B-1: coat 1 of 4, on record" in desk.seen.said[-1][0]
    coat, wipe, note = [r.entry for r in on_file(shop, "B-1")[-3:]]
    assert isinstance(coat, CoatEntry)
    assert (coat.step, coat.amount_ml, round((coat.at - NOW) * 60, 3)) == (1, 44.0, 26.0)
    assert on_file(shop, "B-1")[-3].can_id == can
    assert isinstance(wipe, StepEntry)
    assert isinstance(note, NoteEntry)
    assert "6 of 6 pieces coated, 6 wiped" in note.text


async def test_a_session_by_mouse(shop: Shop, run: Run) -> None:
    batch(shop, pieces=3)
    cans.shelve(shop, CanDraft("wiping-varnish", 950, "L-1", opened=True), NOW)
    async with opened(run, shop) as desk:
        await desk.click("#begin")
        assert desk.page.run_ is not None
        await desk.at(2)
        await desk.foot("space")
        await desk.at(6)
        await desk.foot("a")
        await desk.at(8)
        await desk.foot("w")
        await desk.foot("u")
        await desk.at(9)
        await desk.foot("e")
        assert desk.seen.card == "RagCard"
        await desk.click("#safe")
        assert desk.seen.card == "Closing"
        desk.seen.app.screen.query_one("#can", Select).clear()
        await desk.click("#leave")
        assert desk.seen.card == "PassGuide"
        assert "not on record yet" in desk.seen.text()
        await desk.foot("f")
        await desk.click("#done")
        assert desk.seen.card == "BenchScreen"
    coats = [r.entry for r in on_file(shop, "B-1") if isinstance(r.entry, CoatEntry)]
    assert [(c.step, round((c.at - NOW) * 60, 3)) for c in coats] == [(1, 6.0)]


async def test_it_goes_on_where_it_was_left(shop: Shop, run: Run) -> None:
    batch(shop)
    async with opened(run, shop) as desk:
        await desk.at(0, "s")
        await desk.at(2, "space", "escape")
        assert desk.seen.card == "BenchScreen"
    clock = At()
    clock.minute = 3
    async with opened(run, shop, clock=clock) as desk:
        assert desk.page.run_ is not None
        assert len(desk.page.run_.coated) == 1
        assert "coating piece 2 of 3" in desk.shows("apply")
        await desk.at(4, "u")
        assert len(desk.page.run_.coated) == 0
        assert "taken back: piece coated of 09:02:00" in desk.seen.text()


async def test_rags_wait_for_who_comes_back(shop: Shop, run: Run) -> None:
    batch(shop, pieces=1)
    guide.begin(shop, "B-1", None, NOW)
    guide.press(shop, "B-1", Do.COATED, NOW + 2 * M)
    guide.press(shop, "B-1", Do.WIPED, NOW + 4 * M)
    async with opened(run, shop) as desk:
        assert desk.seen.card == "RagCard"
        assert "catch fire by themselves" in " ".join(desk.seen.text().split())
        await desk.seen.keys("r")
        assert desk.seen.card == "Closing"


async def test_leaving_pieces_wet_is_asked(shop: Shop, run: Run) -> None:
    batch(shop)
    async with opened(run, shop) as desk:
        await desk.at(0, "s")
        await desk.at(7, "a", "n")
        assert "3 pieces are still wet" in desk.seen.text()
        await desk.at(7, "escape")
        assert desk.page.run_ is not None
        assert len(desk.page.run_.wet) == 3
        await desk.at(8, "n", "y")
        assert desk.page.run_.left == {0, 1, 2}
        await desk.at(9, "f", "y")  # nothing of the second pass is coated: the session ends with the first
        assert desk.seen.card == "RagCard"
        await desk.at(9, "r", "enter")
    (coat,) = [r.entry for r in on_file(shop, "B-1") if isinstance(r.entry, CoatEntry)]
    assert coat.wiped_back is False


@pytest.mark.parametrize("keys", [("x", "y"), ("f", "x")])
async def test_giving_up(shop: Shop, run: Run, keys: tuple[str, str]) -> None:
    batch(shop)
    async with opened(run, shop) as desk:
        await desk.at(0, "s")
        await desk.at(2, "space", *keys)
        assert desk.seen.card == "RagCard"
        assert guide.resume(shop, "B-1") is not None
        await desk.at(3, "r")
        assert desk.seen.card == "BenchScreen"
    assert guide.resume(shop, "B-1") is None
    note = on_file(shop, "B-1")[-1].entry
    assert isinstance(note, NoteEntry)
    assert "given up: 1 of 6 pieces coated" in note.text
    assert not [r for r in on_file(shop, "B-1") if isinstance(r.entry, CoatEntry)]


async def test_two_guides_and_the_bell_of_the_other(shop: Shop, run: Run) -> None:
    batch(shop)
    batch(shop, "B-2")
    guide.begin(shop, "B-2", None, NOW)
    guide.press(shop, "B-2", Do.PASS_COATED, NOW + 6 * M)
    async with opened(run, shop) as desk:
        await desk.at(0, "s")
        assert "also running (b): B-2: wiping, 3 of 6 coated" in desk.seen.text()
        bells = desk.bells
        await desk.at(6)
        assert desk.bells == bells + 1
        assert "B-2, pass 1: wiping may begin" in desk.seen.said[-1][0]
        await desk.at(6, "b")
        assert desk.page.code == "B-2"
        assert desk.page.run_ is not None
        assert len(desk.page.run_.wet) == 3


async def test_another_terminal_is_seen_and_nothing_is_lost(shop: Shop, run: Run) -> None:
    batch(shop)
    with_other = Shop.open(NOW, shop.store.location)
    async with opened(run, shop) as desk:
        await desk.at(0, "s")
        guide.press(with_other, "B-1", Do.COATED, NOW + 2 * M)
        await desk.at(2.5, "space")
        assert "went on elsewhere" in desk.seen.text()
        assert desk.page.run_ is not None
        assert len(desk.page.run_.coated) == 1  # it is shown now
        await desk.at(4, "space")
        assert len(desk.page.run_.coated) == 2
    with_other.close()


async def test_two_part_finish_counts_its_pot_life(shop: Shop, run: Run) -> None:
    batch(shop, "P-1", "two-part-film-two", 4)
    async with opened(run, shop, "P-1") as desk:
        assert "4 h, less when warm; mix" in desk.seen.text()
        assert "isocyanate" in desk.seen.text()
        await desk.at(0, "s")
        await desk.at(30)
        assert desk.shows("pot") == "pot life left | 3:30:00"
        await desk.at(235)
        assert "too short for 4 pieces" in desk.shows("pot")
        await desk.at(241)
        assert desk.shows("pot").startswith("POT LIFE OVER")
        assert desk.bells == 2
        await desk.at(242, "m")
        assert desk.shows("pot") == "pot life left | 4:00:00"
        await desk.at(255, "a")
        assert desk.seen.card == "Closing"  # no rags that catch fire: nothing to say before


async def test_no_coat_to_come_and_names_that_would_do_harm(shop: Shop, run: Run) -> None:
    nasty = "[bold]x[/]\x1b[31m\u202e 盆 🪵 " + "long " * 20
    batch(shop, "N-1", what=nasty.strip())
    async with opened(run, shop, "N-1", (80, 24)) as desk:
        assert plain("[bold]x[/]\x1b[31m\u202e") in desk.seen.text()
        assert "\x1b" not in desk.seen.text()
        await desk.at(0, "s")
        assert plain("[bold]x[/]\x1b[31m\u202e") in desk.seen.text()
    batch(shop, "D-1", "two-part-hard-wax-one", 2)
    for _ in range(3):
        record.record_step(shop, StepDraft("D-1"), NOW)
    async with opened(run, shop, "D-1") as desk:
        assert "a batch with a coat still to come" in desk.seen.text()
        await desk.at(0, "s")
        assert guide.resume(shop, "D-1") is None


@pytest.mark.parametrize("size", [(80, 24), (120, 36), (160, 48)])
async def test_nothing_is_cut_off(shop: Shop, run: Run, size: tuple[int, int]) -> None:
    batch(shop)
    async with opened(run, shop, size=size) as desk:
        await desk.at(0, "s")
        await desk.at(2.5, "space")
        for _ in range(100):
            if "Undo" in desk.seen.text():
                break
            await desk.seen.pilot.pause(0.05)
        text = desk.seen.text()
        shown = ("NOT YET TO WIPE", "until 09:12:30", "coating piece 2 of 3", "Coat it, then space", "pass 1", "pass 2")
        for words in (*shown, "left unwiped", "Each rag at once", "Coated", "All", "Wiped", "Pause", "End", "Undo"):
            assert words in text, words
        focused = desk.seen.app.focused
        assert focused is None or not isinstance(focused, Button) or focused.display


APP = """
import asyncio, sys
from pathlib import Path
from finishing.screens.app import FinishingApp
from finishing.screens.pages.pass_guide.page import PassGuide
from finishing.shop.shop import Shop
from finishing.store import at_file

now = float(sys.argv[2])

async def main():
    shop = Shop.open(now, at_file(Path(sys.argv[1])))
    app = FinishingApp(shop, lambda: now)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(PassGuide(shop, lambda: now, "B-1"))
        await pilot.pause()
        await pilot.press("s", "space", "space")
        await pilot.pause()
        print("pressed", file=sys.__stdout__, flush=True)
        await asyncio.sleep(600)

asyncio.run(main())
"""


async def test_the_program_killed_at_the_bench_finds_its_guide_again(shop: Shop, run: Run) -> None:
    batch(shop)
    command = [sys.executable, "-c", APP, str(shop.store.location.file), repr(NOW)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "pressed\n"
        os.kill(program.pid, signal.SIGKILL)
        program.communicate()
    async with opened(run, shop) as desk:
        assert desk.page.run_ is not None
        assert len(desk.page.run_.coated) == 2
        assert "coating piece 3 of 3" in desk.shows("apply")


async def test_the_bench_marks_a_guide_that_runs_and_rings_for_it(shop: Shop, run: Run) -> None:
    batch(shop)
    clock = At()
    async with run(shop, clock, (80, 24)) as seen:
        bells: list[float] = []
        seen.app.bell = lambda: bells.append(clock.minute)  # type: ignore[method-assign]
        assert "»" not in seen.text()
        guide.begin(shop, "B-1", None, NOW)
        guide.press(shop, "B-1", Do.PASS_COATED, NOW + 6 * M)
        seen.app.screen.refresh_page()  # type: ignore[attr-defined]
        await seen.pilot.pause()
        (line,) = [line for line in seen.lines() if "B-1" in line and "»" in line]
        assert "guide runs" in line
        seen.app.ring()
        assert bells == []
        clock.minute = 6
        await seen.keys("c")  # a card over the bench hushes nothing
        seen.app.ring()
        seen.app.ring()
        assert bells == [6]
        assert "B-1, pass 1: wiping may begin" in seen.said[-1][0]
        await seen.keys("escape", "g")
        assert seen.card == "PassGuide"
        await seen.keys("escape")
        seen.app.ring()
        assert bells == [6]  # what rang on one page rings on no other


@pytest.mark.parametrize("keys", [("g",), ("o", "g")])
async def test_rags_wait_for_who_comes_from_the_bench_or_the_batch(shop: Shop, run: Run, keys: tuple[str, ...]) -> None:
    batch(shop, pieces=1)
    guide.begin(shop, "B-1", None, NOW)
    for minute, press in ((2, Do.COATED), (4, Do.WIPED)):
        guide.press(shop, "B-1", press, NOW + minute * M)
    async with run(shop, NOW + 5 * M) as seen:
        await seen.keys(*keys)
        assert seen.card == "RagCard"
        await seen.keys("escape", "enter")
        assert seen.card == "RagCard"


async def test_a_touch_test_from_the_bench(shop: Shop, run: Run) -> None:
    batch(shop)
    async with run(shop, NOW) as seen:
        await seen.keys("t")
        assert seen.card == "BenchScreen"
        assert "a batch with a coat on it" in seen.said[-1][0]
    coat(shop, "B-1", NOW)
    async with run(shop, NOW + 4.0) as seen:
        await seen.keys("t")
        assert seen.card == "TouchTest"
        await seen.keys("t")
        assert seen.card == "BenchScreen"
    assert on_file(shop, "B-1")[-1].entry.at == pytest.approx(NOW + 4.0)
