"""A span of time running out: words, minutes and seconds, a bar; and the bells of running guides, each rung once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from rich.cells import cell_len, set_cell_size
from rich.text import Text
from textual.app import RenderResult
from textual.widget import Widget

from finishing.clock import SECONDS
from finishing.cure.session_run import Alarm, Call, Run, alarms


class Standing(StrEnum):
    """How a countdown stands; its mark goes before the words."""

    WAIT = "·"
    RUNS = "▸"
    HALTED = "="
    OVER = "!"


@dataclass(frozen=True, slots=True)
class Span:
    """What a countdown shows. share: how much has gone, 0..1; None for no bar."""

    standing: Standing
    words: str
    figure: str
    share: float | None = None


def clock_figure(hours: float) -> str:
    """Minutes and seconds, "4:05", or with hours, "1:02:05"; without a sign."""
    seconds = round(abs(hours) * SECONDS)
    minutes, second = divmod(seconds, 60)
    if minutes < 60:
        return f"{minutes}:{second:02d}"
    return f"{minutes // 60}:{minutes % 60:02d}:{second:02d}"


class Countdown(Widget):
    """Two lines: mark, words and figure; the bar below. Hidden while it has nothing to show."""

    DEFAULT_CSS = """
    Countdown { height: 2; margin: 0 1; }
    Countdown.-over { color: $error; text-style: bold; }
    Countdown.-runs { color: $foreground; text-style: bold; }
    Countdown.-wait, Countdown.-halted { color: $secondary; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.span: Span | None = None

    def show(self, span: Span | None) -> None:
        """Show a span, or nothing."""
        if span == self.span and self.display == (span is not None):
            return
        self.span, self.display = span, span is not None
        for standing in Standing:
            self.set_class(span is not None and span.standing is standing, f"-{standing.name.lower()}")
        self.refresh()

    def render(self) -> RenderResult:
        """Words at the left, the figure at the right, both whole or the words cut."""
        span, width = self.span, self.size.width
        if span is None or width < 1:
            return Text()
        head = f"{span.standing.value} {span.words}"
        room = max(width - cell_len(span.figure) - 1, 0)
        if cell_len(head) > room:
            head = set_cell_size(head, max(room - 1, 0)) + "…"
        text = Text(f"{set_cell_size(head, room)} {span.figure}", no_wrap=True)
        if span.share is not None:
            gone = round(min(max(span.share, 0.0), 1.0) * width)
            text.append("\n" + "━" * gone + "╌" * (width - gone))
        return text


class Bells:
    """Which bells of the running guides have rung; each rings once for its pass or mix."""

    def __init__(self) -> None:
        self._rung: set[tuple[str, Call, int]] = set()

    def due(self, runs: Mapping[str, Run], now: float) -> list[tuple[str, Alarm]]:
        """Bells to ring now, by batch code; from here on they have rung."""
        found = [(code, alarm) for code, run in runs.items() for alarm in alarms(run) if alarm.at <= now]
        fresh = [(code, a) for code, a in found if (code, a.call, a.number) not in self._rung]
        self._rung |= {(code, a.call, a.number) for code, a in fresh}
        return fresh
