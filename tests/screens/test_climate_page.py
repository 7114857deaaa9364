"""The climate page: the plots, moving in time and between places, days and places typed in, a log read in."""

from __future__ import annotations

import datetime as dt
import threading
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual import events
from textual.color import Color
from textual.widgets import Button, Input

from finishing.cure.outlook import UsualDay
from finishing.exchange.readings import read_log
from finishing.screens.pages.climate import ClimatePage
from finishing.screens.pages.climate.import_log import ChosenLog, PathInput, shared_start
from finishing.screens.themes_more import ALL_THEMES, wear
from finishing.screens.widgets.axis import SPANS, Axis
from finishing.screens.widgets.plot import GUTTER, RING, Chart, Curve, Level, Manner, Plot, Scale, paint
from finishing.shop import left_out, places, weather
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store import left_out as stored
from tests.screens.conftest import Run, Seen, released, type_in, until
from tests.screens.test_settings_page import contrast
from tests.shop.built import NOW, ZONE, begin
from tests.shop.doing import coat

SIZES = ((80, 24), (120, 36), (160, 48))


async def open_page(seen: Seen) -> ClimatePage:
    await seen.keys("4")
    page = seen.app.screen
    assert isinstance(page, ClimatePage)
    return page


@pytest.fixture
def aired(shop: Shop, tmp_path: Path) -> Shop:
    """The small shop with a batch in the loft, and two days of readings there."""
    coat(shop, begin(shop), NOW - 2)
    path = log_file(tmp_path)
    weather.add_log(shop, "loft", path, read_log(path, zone=ZONE), NOW)
    return shop


def shown(seen: Seen, selector: str) -> str:
    """The words of a part of the screen in front."""
    return str(seen.app.screen.query_one(selector).render())


def log_file(folder: Path) -> Path:
    """Two days of readings, every hour: 10 °C, and for the last twelve hours 20 °C."""
    path = folder / "loft-log.csv"
    at = [dt.datetime.fromtimestamp((NOW - h) * 3600, dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ") for h in range(48)]
    rows = [f"{when},{10 if h > 12 else 20},50" for h, when in enumerate(at)]
    path.write_text("\n".join(["time,temperature °C,humidity %", *rows]) + "\n")
    return path


@given(st.floats(-60, 140), st.floats(0.01, 80), st.integers(3, 40))
def test_a_scale_holds_its_values_on_round_marks(low: float, length: float, rows: int) -> None:
    scale = Scale.over(low, low + length, rows)
    assert scale.low <= low
    assert low + length <= scale.high
    assert scale.row(scale.high) == 0
    assert scale.row(scale.low) == rows - 1
    marks = scale.marks()
    assert len(marks) >= 3 or rows < 5
    assert all(value % scale.step == 0 for value in marks.values())


def test_a_curve_stands_in_the_rows_its_values_say() -> None:
    axis = Axis(0.0, 30.0, 30, "UTC")
    hours = np.linspace(0.0, 30.0, 301)
    sure = hours < 15.0
    air = Curve(hours, 10.0 + hours / 3.0, sure, Manner.LINE, "air")
    dew = Curve(hours, np.full_like(hours, 2.0), sure, Manner.RINGS, "dew")
    chart = Chart(0.0, 30.0, 20.5, "UTC", "°C", (air, dew), (Level(5.0, "least"),))
    scale = Scale(0.0, 20.0, 5.0, 10)
    cells = paint(chart, scale, axis)
    for column in range(30):
        rows = [y for y, line in enumerate(cells) if line[column][1] == "air"]
        rings = [y for y, line in enumerate(cells) if line[column][0] == RING]
        if column == 20:
            assert {line[column][1] for line in cells} == {"nowline"}
            continue
        drawn = column < 15 or column % 2 == 0  # unbroken where it was read, broken where it is expected
        assert rings == ([scale.row(2.0)] if drawn else [])
        assert bool(rows) == drawn
        if drawn:
            assert scale.row(10.0 + (column + 0.75) / 3.0) in rows
            assert len(rows) <= 2
    assert "least" in "".join(glyph for glyph, _ in cells[scale.row(5.0)])


def test_a_curve_leaves_out_what_is_not_known() -> None:
    axis = Axis(0.0, 40.0, 40, "UTC")
    hours = np.array([10.0, 20.0, 20.0, 30.0])
    curve = Curve(hours, np.array([1.0, 1.0, 9.0, -np.inf]), np.ones(4, dtype=np.bool_), Manner.LINE, "air")
    cells = paint(Chart(0.0, 40.0, 100.0, "UTC", "", (curve,)), Scale(0.0, 10.0, 5.0, 8), axis)
    drawn = [any(line[x][1] for line in cells) for x in range(40)]
    assert drawn == [10 <= x < 20 for x in range(40)]


async def test_all_that_matters_is_in_sight_at_every_size(aired: Shop, run: Run) -> None:
    async with run(aired, NOW, SIZES[0]) as seen:
        await open_page(seen)
        for size in SIZES:
            await seen.pilot.resize_terminal(*size)
            await until(seen, lambda: "Tonight" in seen.lines()[-1] and "Place" in seen.lines()[-1])
            text = seen.text()
            for words in ("▸ loft", "cellar", "°C ┤", "% RH ┤", "wood %", "Wed 11", "┃", "▒", "∘∘", "broken: expected"):
                assert words in text, words
            assert any(0x2800 < ord(c) < 0x2900 for c in text)
            assert "now 20 °C, 50 % RH" in text
        await seen.pilot.resize_terminal(60, 20)
        await seen.pilot.pause()
        assert "▸ loft" in seen.text()


async def test_readings_are_drawn_at_their_hour_and_degree(aired: Shop, run: Run) -> None:
    """A step from 10 to 20 °C twelve hours ago: the dots before it stand at the scale's 10, after it at its 20."""
    async with run(aired, NOW) as seen:
        page = await open_page(seen)
        plot = page.query_one("#warmth", Plot)
        lines = [plot.render_line(y).text for y in range(plot.size.height)]
        axis = Axis(NOW - SPANS[2] / 3, SPANS[2], plot.size.width - GUTTER, ZONE)
        by_mark = {line[:GUTTER].split()[0]: line[GUTTER:] for line in lines if "┤" in line}
        for mark, hour in (("10", NOW - 20), ("20", NOW - 5)):
            assert 0x2800 < ord(by_mark[mark][axis.column(hour)]) < 0x2900, (mark, lines)
        assert by_mark["20"][axis.column(NOW)] == "┃"
        said = " ".join(str(page.query_one(id).render()) for id in ("#now", "#lines"))
        for words in ("dew point 9 °C", "wood goes to 9.3 %", "last reading 09:00", "just now", "batches here: B-1"):
            assert words in said, words


async def test_the_scale_is_readable_on_every_palette(aired: Shop, run: Run) -> None:
    """The scale's own colour against the ground it stands on, by WCAG 2.2's contrast ratio: 4.5:1 or more."""
    async with run(aired, NOW) as seen:
        plot = (await open_page(seen)).query_one("#warmth", Plot)
        for theme in ALL_THEMES:
            wear(seen.app, theme.name)
            await seen.pilot.pause()
            style = next(iter(plot.render_line(0))).style
            assert style is not None
            assert style.color is not None
            ground = plot.background_colors[1]
            assert contrast(Color.from_rich_color(style.color), ground) >= 4.5, theme.name


async def test_moving_in_time_and_between_places(aired: Shop, run: Run) -> None:
    places.add_place(aired, "[bold]rack[/] \x1b[31m", UsualDay(5.0, 9.0, 50.0, 50.0), NOW)
    other = Shop.open(NOW, aired.store.location)
    async with run(aired, NOW) as seen:
        page = await open_page(seen)
        assert "9 Mar 01:00 to 13 Mar 01:00" in seen.lines()[1]
        await seen.keys("full_stop")
        assert "10 Mar 01:00 to 14 Mar 01:00" in seen.lines()[1]
        await seen.keys("comma", "comma")
        assert "8 Mar 01:00 to 12 Mar 01:00" in seen.lines()[1]
        await seen.keys("home", "plus")
        assert "9 Mar 17:00 to 11 Mar 17:00" in seen.lines()[1]
        await seen.keys("minus", "minus", "minus", "minus")
        assert page.span == len(SPANS) - 1
        await seen.keys(*["comma"] * 9)
        assert page.found is not None
        assert page._start < page.found.first < page._start + SPANS[page.span]  # no further than anything is known
        await seen.keys("right", "right")
        assert "▸ [bold]rack[/] \\x1b[31m" in seen.text()
        assert "nothing was ever read here" in " ".join(seen.text().split())
        await seen.keys("right", "left", "left")
        assert page.place == "cellar"
        places.add_place(other, "attic", UsualDay(5.0, 9.0, 50.0, 50.0), NOW)
        page._look_if_changed()
        await seen.pilot.pause()
        assert "attic" in seen.lines()[1]
        plot = page.query_one("#warmth", Plot)
        await seen.keys("home", "plus")
        assert "6 Mar 01:00" not in seen.lines()[1]
        plot.post_message(wheel(plot, events.MouseScrollDown, ctrl=False))
        await seen.pilot.pause()
        assert "10 Mar 01:00 to 14 Mar 01:00" in seen.lines()[1]
        plot.post_message(wheel(plot, events.MouseScrollUp, ctrl=True))
        await seen.pilot.pause()
        assert page.span == 1
        await seen.pilot.click("#places", offset=(seen.lines()[1].index("loft"), 0))
        await seen.pilot.pause()
        assert page.place == "loft"
        assert "▸ loft" in seen.text()
    other.close()


def wheel(plot: Plot, kind: type[events.MouseScrollDown] | type[events.MouseScrollUp], *, ctrl: bool) -> events.Event:
    return kind(plot, x=20, y=4, delta_x=0, delta_y=1, button=0, shift=False, meta=False, ctrl=ctrl)


async def test_tonights_low_makes_a_finish_stand_still(shop: Shop, run: Run) -> None:
    coat(shop, begin(shop), NOW)
    async with run(shop, NOW, (80, 24)) as seen:
        await open_page(seen)
        assert "no standing still" in seen.text()
        await seen.keys("t")
        assert "the night from Tue 10 Mar to Wed 11 Mar" in " ".join(seen.text().split())
        assert "21 °C so far" in seen.text()
        await type_in(seen, "-4")
        await seen.keys("tab")
        await type_in(seen, "64F")
        await seen.keys("enter")
        assert seen.card == "ClimatePage"
        (day,) = places.sheet(shop, "loft", NOW).ahead
        assert (day.date, day.low_c, day.high_c) == (dt.date(2026, 3, 11), -4.0, 17.78)
        assert seen.said[-1][0].startswith("loft: -4 °C to 18 °C expected on Wed 11 Mar; ")
        assert "! Wiping varnish, oil-modified urethane on B-1: stands still" in " ".join(seen.text().split())
        await seen.keys("t")
        await type_in(seen, "30")
        await seen.keys("enter")
        assert seen.card == "DayCard"
        assert shown(seen, "#problem") == "high: got 17.78, expected no less than the low of 30 °C"
        assert "no less than" in seen.text()  # and in sight
        await seen.keys("escape")
        assert len(places.sheet(shop, "loft", NOW).ahead) == 1
        # and by mouse, in °F
        change_setting(shop, "units", "imperial", NOW)
        await seen.keys("right", "t")
        seen.app.screen.query_one("#low", Input).value = "41"
        seen.app.screen.query_one("#high", Input).value = "50"
        await seen.pilot.click("#done")
        await seen.pilot.pause()
        (day,) = places.sheet(shop, "cellar", NOW).ahead
        assert (day.low_c, day.high_c) == (5.0, 10.0)
        assert "°F ┤" in seen.text()


async def test_a_new_place_and_its_usual_day(shop: Shop, run: Run) -> None:
    async with run(shop, NOW) as seen:
        page = await open_page(seen)
        await seen.keys("n")
        await seen.keys("enter")
        assert seen.card == "PlaceCard"
        assert "expected a name" in seen.text()
        await type_in(seen, "Shed")
        for text in ("4", "12", "70", "60", "40"):
            await seen.keys("tab")
            await type_in(seen, text)
        await seen.keys("enter")
        assert page.place == "Shed"
        sheet = places.sheet(shop, "shed", NOW)
        assert (sheet.typed, sheet.place.rack_pieces) == (UsualDay(4.0, 12.0, 70.0, 60.0), 40)
        await seen.keys("w")
        assert seen.app.screen.query_one("#low", Input).value == "4"
        seen.app.screen.query_one("#low", Input).value = "6"
        await seen.pilot.click("#done")
        await seen.pilot.pause()
        assert places.sheet(shop, "shed", NOW).typed == UsualDay(6.0, 12.0, 70.0, 60.0)
        await seen.keys("n")
        for id, text in (("name", "SHED"), ("low", "4"), ("high", "12")):
            seen.app.screen.query_one(f"#{id}", Input).value = text
        await seen.keys("enter")
        assert "no other place" in seen.said[-1][0]
        assert len(shop.places()) == 3


async def test_a_log_is_shown_before_it_is_added(shop: Shop, run: Run, tmp_path: Path) -> None:
    path = log_file(tmp_path)
    (tmp_path / "x.csv").write_text("nothing here\n" * 5)
    async with run(shop, NOW, (80, 24)) as seen:
        await open_page(seen)
        await seen.keys("i")
        for text, said in ((str(tmp_path / "no.csv"), "cannot be read"), (str(tmp_path / "x.csv"), "x.csv")):
            seen.app.screen.query_one("#path", Input).value = text
            await released(seen.pilot, "#read")
            await seen.pilot.click("#read")
            await until(seen, lambda said=said: said in shown(seen, "#problem"))  # type: ignore[misc]
            assert seen.card == "ImportCard"
        seen.app.screen.query_one(PathInput).focus()
        seen.app.screen.query_one(PathInput).value = str(path)[:-6]
        seen.app.screen.query_one(PathInput).cursor_position = 99
        await seen.keys("tab")
        assert seen.app.screen.query_one("#path", Input).value == str(path)
        await seen.keys("enter")
        await until(seen, lambda: "Add 48 readings" in str(seen.app.screen.query_one("#read", Button).label))
        understood = shown(seen, "#understood")
        assert 'temperature: column 2 "temperature °C", °C' in understood
        assert "rows: 48 read, 48 kept" in understood
        assert places.last_readings(shop, "loft", 100) == []  # nothing yet
        await until(seen, lambda: "Add 48 readings (enter)" in seen.text())  # in sight, where the focus is
        assert "rows: 48 read" in seen.text()
        await seen.keys("enter")
        await until(seen, lambda: seen.card == "ClimatePage")
        assert seen.said[-1][0].startswith(
            "loft: 48 readings added; its readings are 10 to 20 °C, far from a usual day"
        )
        assert len(places.last_readings(shop, "loft", 100)) == 48
        assert "now 20 °C, 50 % RH" in " ".join(seen.text().split())


async def test_many_are_left_out_and_taken_back_under_a_card_that_tells(
    aired: Shop, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(left_out, "MANY", 5)
    async with run(aired, NOW, (80, 24)) as seen:
        await open_page(seen)
        await seen.keys("x")
        for id, text in (("from", "2026-03-09 21:30"), ("until", "07:00")):
            seen.app.screen.query_one(f"#{id}", Input).value = text
        await seen.pilot.pause()
        await released(seen.pilot, "#done")
        await seen.pilot.click("#done")
        await until(seen, lambda: seen.card == "ClimatePage" and bool(seen.said))
        assert seen.said[-1][0].endswith("20 °C: left out, number 1")
        assert len(places.last_readings(aired, "loft", 100)) == 38
        await seen.keys("u", "down", "enter")
        await until(seen, lambda: seen.card == "ClimatePage" and len(seen.said) > 1)
        assert seen.said[-1][0] == "loft: 10 readings taken back"
        assert len(places.last_readings(aired, "loft", 100)) == 48


async def test_readings_are_left_out_and_taken_back(aired: Shop, run: Run) -> None:
    """The twelve warm hours of the log; what it takes is said before, and nothing is taken on the way."""
    other = Shop.open(NOW, aired.store.location)
    async with run(aired, NOW, (80, 24)) as seen:
        page = await open_page(seen)
        await seen.keys("u")
        assert seen.card == "ClimatePage"  # nothing to take back
        await seen.keys("x")
        await type_in(seen, "2026-03-09 21:30")
        await seen.keys("tab", "enter")
        assert seen.card == "LeaveOutCard"
        assert "until: got nothing, expected a time" in seen.text()
        await type_in(seen, "09:00")
        assert "12 readings, yesterday 22:00 to today 09:00, 20 °C" in seen.text()
        await seen.keys("tab")
        await type_in(seen, "in the [b]sun[/]")
        await seen.keys("escape")
        assert left_out.lines(aired) == ()
        await seen.keys("x")
        for id, text in (("from", "2026-03-09 21:30"), ("until", "07:00"), ("note", "in the [b]sun[/]")):
            seen.app.screen.query_one(f"#{id}", Input).value = text
        await seen.pilot.pause()
        assert "10 readings, yesterday 22:00 to today 07:00, 20 °C" in seen.text()
        await released(seen.pilot, "#done")
        await seen.pilot.click("#done")
        await until(seen, lambda: seen.card == "ClimatePage")
        assert seen.said[-1][0].startswith(
            "loft: 10 readings, yesterday 22:00 to today 07:00, 20 °C: left out, number 1; "
        )
        assert len(places.last_readings(other, "loft", 100)) == 38
        said = " ".join(shown(seen, "#lines").split())
        assert "left out: 10 readings, yesterday 22:00 to today 07:00, in the [b]sun[/]; u takes it back" in said
        assert "no reading yesterday 21:00 to today 08:00 (11 h)" in said
        left_out.leave_out(other, "loft", NOW - 1, NOW, NOW)  # by another terminal
        page._look_if_changed()
        await seen.pilot.pause()
        assert "last reading yesterday 21:00" in " ".join(seen.text().split())
        await seen.keys("u")
        assert "2 readings, 08:00 to 09:00" in seen.text()
        await seen.keys("down", "enter")
        assert seen.said[-1][0].startswith("loft: 10 readings taken back; ")
        await seen.keys("u", "enter")
        assert [line.back is None for line in left_out.lines(aired)] == [False, False]
        assert "left out:" not in shown(seen, "#lines")
        await seen.keys("x")
        for id in ("from", "until"):
            seen.app.screen.query_one(f"#{id}", Input).value = "2019-03-09 21:30"
        await seen.keys("enter")
        assert seen.card == "LeaveOutCard"
        assert "nothing was read there in that time" in seen.text()
        assert "some of loft in that time" in seen.text()
    other.close()


async def test_a_logs_readings_are_left_out(aired: Shop, run: Run, tmp_path: Path) -> None:
    """Those of the log that stand there, and not the one between them that another logger read."""
    path = log_file(tmp_path)
    assert places.add_reading(aired, "loft", round((NOW - 2.5) * 3600), 19.5, 50.0).added
    (tmp_path / "other.csv").write_text(path.read_text().replace(",50", ",51"))
    async with run(aired, NOW, (80, 24)) as seen:
        await open_page(seen)
        await seen.keys("x")
        await seen.pilot.click("#log")
        await until(seen, lambda: seen.card == "LeaveLogCard")
        seen.app.screen.query_one("#path", Input).value = str(tmp_path / "other.csv")
        await seen.keys("enter")
        await until(seen, lambda: "expected one whose readings stand at loft" in shown(seen, "#problem"))
        seen.app.screen.query_one("#path", Input).value = str(path)
        await seen.keys("enter")
        await until(seen, lambda: "Leave 48 out (enter)" in seen.text())
        understood = shown(seen, "#understood")
        assert (
            "of 48 readings these stand at loft with the same values: 48 readings, 8 Mar 10:00 to today 09:00"
            in understood
        )
        assert len(places.last_readings(aired, "loft", 100)) == 49  # nothing yet
        await seen.keys("enter")
        await until(seen, lambda: seen.card == "ClimatePage")
        assert seen.said[-1][0] == "loft: 48 readings, 8 Mar 10:00 to today 09:00, 10 °C to 20 °C: left out, number 1"
        assert [r.temperature_c for r in places.last_readings(aired, "loft", 100)] == [19.5]
        assert "last reading 06:30" in " ".join(seen.text().split())
        assert "left out: 48 readings, 8 Mar 10:00 to today 09:00, of loft-log.csv" in " ".join(
            shown(seen, "#lines").split()
        )


async def test_reading_can_be_stopped(shop: Shop, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is read in another thread, held back here by an event, as a large one would hold it."""
    path = log_file(tmp_path)
    stopped = threading.Event()

    def slow(where: Path, **options: object) -> object:
        progress = options["progress"]
        assert callable(progress)
        progress(1, 10)
        stopped.wait(10)
        progress(2, 10)
        return read_log(where, zone=ZONE)

    monkeypatch.setattr("finishing.screens.pages.climate.import_log.read_log", slow)
    async with run(shop, NOW) as seen:
        await open_page(seen)
        await seen.keys("i")
        seen.app.screen.query_one("#path", Input).value = str(path)
        await seen.keys("enter")
        await until(seen, lambda: "reading ━━┄" in shown(seen, "#progress"))
        await seen.keys("escape")
        assert seen.card == "ImportCard"  # stops first
        stopped.set()
        await until(seen, lambda: "stopped: nothing was read" in shown(seen, "#progress"))
        await seen.keys("escape")
        assert seen.card == "ClimatePage"


async def test_adding_can_be_stopped_and_adds_nothing(
    shop: Shop, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stored, "BATCH_OF_ROWS", 10)
    held = threading.Event()
    add = weather.add_log

    def slow(*arguments: object) -> object:
        *rest, progress = arguments
        assert callable(progress)

        def tell(done: int, total: int) -> None:
            if done == 20:
                held.wait(10)
            progress(done, total)

        return add(*rest, tell)  # type: ignore[arg-type]

    monkeypatch.setattr(weather, "add_log", slow)
    async with run(shop, NOW) as seen:
        page = await open_page(seen)
        path = log_file(tmp_path)
        page._add(ChosenLog(path, read_log(path, zone=ZONE)))
        await until(seen, lambda: seen.card == "WorkCard" and "21%" in seen.text())
        await seen.pilot.click("#stop")
        held.set()
        await until(seen, lambda: seen.card == "ClimatePage")
        assert seen.said[-1][0] == "stopped: nothing was added"
        assert places.last_readings(shop, "loft", 100) == []


@pytest.mark.parametrize(("names", "start"), [(("abc", "abd", "ab"), "ab"), (("x",), "x"), ((), ""), (("a", "b"), "")])
def test_how_far_names_agree(names: tuple[str, ...], start: str) -> None:
    assert shared_start(names) == start
