"""The climate page: what the air of each place was and will be, and where finishes stand still in it."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Static

from finishing.clock import Clock, now_hour
from finishing.cure.outlook import DayAhead
from finishing.exchange.plain import plain
from finishing.screens.pages.climate import charts
from finishing.screens.pages.climate.cards import DayCard, PlaceCard, PlaceDraft
from finishing.screens.pages.climate.import_log import ChosenLog, ImportCard
from finishing.screens.pages.climate.leave_out import ByLog, LeaveLogCard, LeaveOutCard, LeaveOutDraft, TakeBackCard
from finishing.screens.pages.climate.strip import PlaceStrip
from finishing.screens.pages.page import Page
from finishing.screens.pages.working import Tell
from finishing.screens.widgets.axis import SPANS
from finishing.screens.widgets.plot import Plot
from finishing.shop import left_out, weather
from finishing.shop.shop import Shop
from finishing.shop.weather import Weather
from finishing.units import counted

BEFORE = 1 / 3
"""The share of what is shown that lies before now, until it is moved."""

STEP = 1 / 4
"""Moving in time goes by this share of what is shown."""

LEGEND = "⠤⠤ air  ∘∘ dew point  broken: expected  ▒ night  ┃ now  , . move  + - span"

CLIMATE_HELP = """Climate

The air of one place: temperature as a line and dew point as rings, humidity
below, and under that the moisture the wood there goes to, in per cent.

  unbroken line   read by a logger
  broken          expected, or nothing was read there
  ▒               night
  ┃               now
  ╌               the least at which a finish on a batch here still hardens:
                  where the line runs below it, the finish stands still

The words say for each finish that still hardens on a batch here how long it
stands still in the two days ahead; then what you expect of the days ahead,
where readings have gaps, and the place's usual day.

Keys
  left, right   another place
  comma, .      earlier, later (or the wheel)
  + and -       less or more time (or control and the wheel)
  home          back to now
  up, down      scroll the words
  t             type in tonight's low and tomorrow's high
  i             read in a logger's file: it is shown before it is added
  n             a new place
  w             the place's usual day
  x             leave readings out: of a wrong log, or an hour in the sun
  u             take back what was left out

Lows and highs that you type hold for their day; other days are the usual day,
which two weeks of readings replace. A finish also stays soft where the wood or
the film is colder than the air."""


class ClimatePage(Page):
    """One place at a time."""

    HELP = CLIMATE_HELP
    CSS_PATH = "climate.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "tonight", "Tonight"),
        Binding("i", "import_log", "Import"),
        Binding("n", "new_place", "New place"),
        Binding("w", "usual", "Usual"),
        Binding("x", "leave_out", "Leave out"),
        Binding("u", "take_back", "Take back", show=False),
        Binding("right", "place(1)", "Place", key_display="◂ ▸"),
        Binding("left", "place(-1)", "Place before", show=False),
        Binding("comma", "move(-1)", "Earlier", show=False),
        Binding("full_stop", "move(1)", "Later", show=False),
        Binding("plus,equals_sign", "zoom(-1)", "Closer", show=False),
        Binding("minus", "zoom(1)", "Wider", show=False),
        Binding("home", "now", "Back to now", show=False),
        Binding("up", "scroll(-1)", "Words up", show=False),
        Binding("down", "scroll(1)", "Words down", show=False),
    ]

    def __init__(self, shop: Shop, clock: Clock = now_hour) -> None:
        super().__init__(shop, clock)
        self.place = ""
        self.found: Weather | None = None
        self.span = 2
        self.shift = 0.0

    def body(self) -> ComposeResult:
        """Places, plots, words."""
        with Horizontal(id="above"):
            yield PlaceStrip(id="places")
            yield Static("", id="stretch", markup=False)
        with Horizontal(id="weather"):
            with Vertical(id="plots"):
                yield Plot(id="warmth")
                yield Plot(id="damp")
            with Vertical(id="words"):
                yield Static("", id="now", markup=False)
                with VerticalScroll(id="more", can_focus=False):
                    yield Static("", id="lines", markup=False)
        yield Static(LEGEND, id="legend", markup=False)

    def title_words(self) -> str:
        """The page's name."""
        return "climate"

    def look(self) -> None:
        """The place anew, from the record."""
        names = [place.name for place in self.shop.places()]
        if self.place not in names:
            self.place = names[0] if names else ""
        self.found = weather.weather(self.shop, self.place, self.clock()) if names else None
        self.query_one(PlaceStrip).show(names, names.index(self.place) if names else 0)
        self._show()

    def _show(self) -> None:
        found, settings = self.found, self.shop.settings
        if found is None:
            self.query_one("#now", Static).update("no place yet: n adds the first")
            return
        span = SPANS[self.span]
        self.shift = min(max(self.shift, found.first - found.now), found.last - found.now - span / 2)
        curves = found.curves(self._start, self._start + span)
        stretch = charts.stretch_words(self._start, span, settings.zone)
        self.query_one("#stretch", Static).update(stretch)
        self.query_one("#warmth", Plot).show(charts.warmth(found, curves, settings, self._start, span))
        self.query_one("#damp", Plot).show(charts.damp(found, curves, settings, self._start, span))
        self.query_one("#now", Static).update(_text(charts.now_lines(found, settings)))
        self.query_one("#lines", Static).update(_text(charts.lines(found, settings)))

    @property
    def _start(self) -> float:
        """The first hour that is shown."""
        assert self.found is not None
        return self.found.now + self.shift - SPANS[self.span] * BEFORE

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Without a place there is only one thing to do."""
        if action == "take_back":
            return self.found is not None and bool(self.found.left)
        return action not in ("tonight", "import_log", "usual", "leave_out") or self.found is not None

    def action_place(self, by: int) -> None:
        """Show the place before or after."""
        names = [place.name for place in self.shop.places()]
        if names:
            self._go(names[(names.index(self.place) + by) % len(names)])

    @on(PlaceStrip.Chosen)
    def choose(self, message: PlaceStrip.Chosen) -> None:
        """Show the place that was clicked."""
        self._go(message.name)

    def _go(self, name: str) -> None:
        self.place = name
        self.query_one("#more", VerticalScroll).scroll_home(animate=False)
        self.refresh_page()

    @on(Plot.Moved)
    def wheel(self, message: Plot.Moved) -> None:
        """The wheel over a plot moves in time."""
        self.action_move(message.by)

    @on(Plot.Zoomed)
    def wheel_zoom(self, message: Plot.Zoomed) -> None:
        """With control it shows more or less time."""
        self.action_zoom(message.by)

    def action_move(self, by: int) -> None:
        """Show an earlier or a later stretch."""
        self.shift += by * SPANS[self.span] * STEP
        self._show()

    def action_zoom(self, by: int) -> None:
        """Show less or more time."""
        self.span = min(max(self.span + by, 0), len(SPANS) - 1)
        self._show()

    def action_now(self) -> None:
        """Back to now."""
        self.shift = 0.0
        self._show()

    def action_scroll(self, by: int) -> None:
        """Scroll the words."""
        self.query_one("#more", VerticalScroll).scroll_relative(y=by, animate=False)

    def action_tonight(self) -> None:
        """Type in what a day ahead will be like."""
        if not self.may_record():
            return
        assert self.found is not None
        settings = self.shop.settings
        self.app.push_screen(DayCard(self.found, settings.zone, settings.units), self._expect)

    def _expect(self, day: DayAhead | None) -> None:
        if day is not None:
            self.attempt(lambda: weather.expect_day(self.shop, self.place, day, self.clock()))

    def action_new_place(self) -> None:
        """Add a place."""
        if not self.may_record():
            return
        self.app.push_screen(PlaceCard(self.shop.settings.units), self._add_place)

    def _add_place(self, draft: PlaceDraft | None) -> None:
        if draft is None:
            return
        if self.attempt(lambda: weather.new_place(self.shop, draft.name, draft.usual, draft.rack_pieces, self.clock())):
            self._go(self.shop.place(draft.name).name)

    def action_usual(self) -> None:
        """Change the place's usual day."""
        if not self.may_record():
            return
        self.app.push_screen(PlaceCard(self.shop.settings.units, self.found), self._set_usual)

    def _set_usual(self, draft: PlaceDraft | None) -> None:
        if draft is not None:
            self.attempt(lambda: weather.set_usual(self.shop, draft.name, draft.usual, self.clock()))

    def action_leave_out(self) -> None:
        """Leave readings of a stretch of time out, or of a log."""
        if not self.may_record():
            return
        self.app.push_screen(LeaveOutCard(self.shop, self.place, self.clock()), self._leave_out)

    def _leave_out(self, asked: LeaveOutDraft | ByLog | None) -> None:
        if isinstance(asked, ByLog):
            self.app.push_screen(LeaveLogCard(self.shop, self.place, self.clock()), self._leave_log_out)
            return
        if asked is None:
            return
        shop, place, now = self.shop, self.place, self.clock()

        def leave(tell: Tell | None = None) -> str:
            done = left_out.leave_out(shop, place, asked.first, asked.last, now, asked.note, progress=tell)
            return self._left_out_words(done)

        if asked.readings < left_out.MANY:
            self.attempt(leave)
        else:
            self.work_at(f"Leaving {counted(asked.readings, 'reading')} of {place} out", leave, "nothing was left out")

    def _leave_log_out(self, chosen: ChosenLog | None) -> None:
        if chosen is None:
            return
        shop, place, now = self.shop, self.place, self.clock()

        def leave(tell: Tell) -> str:
            done = left_out.leave_log_out(shop, place, chosen.path, chosen.log, now, progress=tell)
            return self._left_out_words(done)

        self.work_at(f"Leaving readings of {place} out", leave, "nothing was left out")

    def _left_out_words(self, done: left_out.LeftOut) -> str:
        settings = self.shop.settings
        return left_out.left_out_words(done, settings.units, settings.zone, self.clock())

    def action_take_back(self) -> None:
        """Take one of those left out back."""
        assert self.found is not None
        if self.may_record():
            card = TakeBackCard(self.place, self.found.left, self.shop.settings.zone, self.clock())
            self.app.push_screen(card, self._take_back)

    def _take_back(self, number: str | None) -> None:
        if number is None:
            return
        assert self.found is not None
        shop, zone, now = self.shop, self.shop.settings.zone, self.clock()
        many = next((one.line.readings for one in self.found.left if one.line.number == int(number)), 0)

        def back(tell: Tell | None = None) -> str:
            return left_out.taken_back_words(left_out.take_back(shop, int(number), now, progress=tell), zone, now)

        if many < left_out.MANY:
            self.attempt(back)
        else:
            self.work_at(f"Taking {counted(many, 'reading')} back", back, "nothing was taken back")

    def action_import_log(self) -> None:
        """Read a logger's file in."""
        if not self.may_record():
            return
        self.app.push_screen(ImportCard(self.place, self.shop.settings.zone), self._add)

    def _add(self, chosen: ChosenLog | None) -> None:
        if chosen is None:
            return
        place, now, units = self.place, self.clock(), self.shop.settings.units

        def add(tell: Tell) -> str:
            done = weather.add_log(self.shop, place, chosen.path, chosen.log, now, tell)
            return weather.imported_words(done, units)

        self.work_at(f"Adding {counted(len(chosen.log), 'reading')} to {place}", add, "nothing was added")


def _text(lines: list[str]) -> Text:
    """Lines one below the other; what is to be heeded bold."""
    text = Text()
    for number, line in enumerate(lines):
        text.append("\n" if number else "")
        text.append(plain(line), style="bold" if line.startswith("! ") else "")
    return text
