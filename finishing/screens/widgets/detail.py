"""The chosen batch beside the list: its steps, its next window at three levels, why, releases and cautions."""

from __future__ import annotations

from rich.text import Text
from textual.widgets import Static

from finishing.cure.coat import StageTime
from finishing.cure.fold import State
from finishing.cure.progress import Progress
from finishing.cure.terms import Release
from finishing.exchange.plain import plain
from finishing.shop.bench import Row
from finishing.shop.words import RELEASE_WORDS, next_words, rest_words, short_time, step_words
from finishing.units import spoken

DONE, NEXT, AHEAD = "●", "▸", "○"


class Detail(Static):
    """Everything about one batch that fits beside the list. `show` fills it."""

    def show(self, row: Row | None, reasons: list[str], zone: str, units: str, *, empty: str = "") -> None:
        """Show a row of the bench; reasons: why its next step comes when it does. empty: what to say for no row."""
        self.update(Text(empty) if row is None else describe(row, reasons, zone, units))


def describe(row: Row, reasons: list[str], zone: str, units: str) -> Text:
    """The whole text: what it is, what comes next and why, its steps, and what to heed."""
    p = row.progress
    text = Text(no_wrap=False)
    text.append(f"{plain(row.code)}  {plain(row.what)} ×{row.pieces}", style="bold")
    text.append("\n")
    if row.promise is not None:
        text.append(f"{row.promise.words(zone, p.now)}\n", style="bold" if row.promise.late else "")
    woods = ", ".join(plain(w) for w in row.woods) or "no wood given"
    text.append(f"{plain(p.place)} · {woods}\n", style="dim")
    _standing(text, p, zone)
    if reasons:
        text.append(f"{plain('; '.join(reasons))}\n", style="dim")
    text.append("\n")
    _steps(text, p, zone)
    text.append("\n")
    for caution in p.cautions:
        text.append(f"! {plain(spoken(caution.text, units))}\n", style="bold" if caution.urgent else "")
    return text


def _standing(text: Text, p: Progress, zone: str) -> None:
    if p.next is not None:
        text.append(f"{step_words(p.batch.schedule, p.next.position, p.batch.finishes)}\n", style="bold")
        text.append(f"{next_words(p.next, p.now, zone)}\n")
        if p.next.gate is not None and p.next.state is State.WAITING:
            text.append(f"{levels(p.next.gate, zone, p.now)}\n")
        return
    for release in Release:
        when = p.releases[release]
        if p.may(release):
            text.append(f"{RELEASE_WORDS[release]}\n")
        elif when is None:
            text.append(f"{RELEASE_WORDS[release]}: no date\n")
        else:
            text.append(f"{RELEASE_WORDS[release]} from {short_time(when, zone, p.now)}\n")


def levels(time: StageTime, zone: str, now: float) -> str:
    """A stage at its three levels of certainty, in words."""
    pairs = (("could be", time.could_be), ("likely", time.likely), ("count on", time.count_on))
    said = [f"{name} {'never' if when is None else short_time(when, zone, now)}" for name, when in pairs]
    return f"{time.stage.words}: {', '.join(said)}"


def _steps(text: Text, p: Progress, zone: str) -> None:
    """Every step, done or not; the finish is named where the schedule has more than one."""
    finishes = p.batch.finishes if len(p.batch.finishes) > 1 else None
    if finishes is None:
        text.append(f"{', '.join(plain(f.title) for f in p.batch.finishes.values())}\n", style="dim")
    for state in p.steps:
        following = p.next is not None and p.next.position == state.position
        mark = NEXT if following else DONE if state.done else AHEAD
        when = rest_words(p, state, zone) if state.at is None else short_time(state.at, zone, p.now)
        words = step_words(p.batch.schedule, state.position, finishes)
        style = "bold" if following else "dim" if state.done else ""
        text.append(f"{mark} {words}  {when}".rstrip() + "\n", style=style)
