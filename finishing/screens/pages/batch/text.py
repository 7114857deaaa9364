"""The page of a batch in words: what it is, what comes next and why, its steps, releases and cautions."""

from __future__ import annotations

from rich.text import Text

from finishing.cure.cautions import Caution
from finishing.cure.fold import State
from finishing.cure.schedule import Step
from finishing.cure.terms import Release
from finishing.cure.work import MoveEntry, standing
from finishing.exchange.plain import plain
from finishing.screens.pages.batch.look import Look
from finishing.screens.widgets.detail import AHEAD, DONE, NEXT, levels
from finishing.shop.sheets import step_state
from finishing.shop.words import RELEASE_WORDS, next_words, short_time, size_words, step_words, unrecorded_words
from finishing.units import show_duration, show_work, spoken


def head(look: Look) -> Text:
    """What the batch is, of which woods, where it stands and has stood, by when it is wanted."""
    row, p = look.standing.row, look.progress
    text = Text()
    text.append(f"{plain(row.code)}  {plain(row.what)} ×{row.pieces}", style="bold")
    if row.size is not None:
        text.append(f"  {size_words(row.size, look.settings.units)}")
    if p.batch.wanted_by is not None and look.promise is None:
        text.append(f"  wanted {short_time(p.batch.wanted_by, look.zone, look.now)}")
    if p.held:
        text.append("  ON HOLD", style="bold")
    if p.closed is not None:
        text.append(f"  CLOSED {short_time(p.closed, look.zone, look.now)}", style="bold")
    woods = ", ".join(f"{plain(w.species)} {w.share:.0%}" for w in row.woods)
    if look.promise is not None:
        text.append(f"\n{look.promise.words(look.zone, look.now)}", style="bold" if look.promise.late else "")
    text.append(f"\n{woods} · {places(look)}\n{p.batch.schedule.title}", style="dim")
    if row.note:
        text.append(f"\n{plain(row.note)}", style="dim")
    return text


def places(look: Look) -> str:
    """Where it stands, and where it stood before."""
    stood = [plain(look.standing.batch.place)]
    for entry in standing(look.standing.entries):
        if isinstance(entry, MoveEntry):
            stood.append(f"{plain(entry.place)} since {short_time(entry.at, look.zone, look.now)}")
    return f"in the {stood[-1]}" + (f" (before: {', '.join(reversed(stood[:-1]))})" if len(stood) > 1 else "")


def coming(look: Look) -> Text:
    """The next step, its window at three levels, why it comes then, and what is urgent."""
    p, text = look.progress, Text()
    if p.next is None:
        text.append("no step is left", style="bold")
        text.append("\n" if p.closed is not None else ": r release, e close\n")
        for release in Release:
            text.append(f"{release_words(look, release)}\n")
    else:
        following = p.next
        text.append(f"{step_words(p.batch.schedule, following.position, p.batch.finishes)}\n", style="bold")
        text.append(f"{next_words(following, look.now, look.zone)}\n")
        if following.gate is not None and following.state is State.WAITING:
            text.append(f"{levels(following.gate, look.zone, look.now)}\n")
        if following.state is State.SHUT:
            text.append(f"{following.remedy}\n")
        if following.step.note:
            text.append(f"{plain(following.step.note)}\n")
    if look.reasons:
        text.append(f"why: {plain('; '.join(look.reasons))}\n", style="dim")
    for caution in p.cautions:
        if caution.urgent:
            text.append(f"! {plain(spoken(caution.text, look.settings.units))}\n", style="bold")
    text.rstrip()
    return text


def steps(look: Look) -> Text:
    """Every step: done and when, next, or ahead at its earliest; and the minutes of hands' work it takes."""
    p, text = look.progress, Text()
    ahead = {step.position: step for step in look.ahead.ahead}
    finishes = p.batch.finishes if len(p.batch.finishes) > 1 else None
    for state in p.steps:
        now = step_state(p, state.position)
        mark = {"next": NEXT, "done": DONE, "taken": DONE, "ahead": AHEAD}[now]
        when = unrecorded_words(p, state, look.zone) or now
        if state.at is not None:
            when = f"done {short_time(state.at, look.zone, look.now)}"
        elif (coming := ahead.get(state.position)) is not None:
            first = ", abrade first" if coming.abrade_first else ""
            begin = "can be done now" if coming.at <= look.now else f"from {short_time(coming.at, look.zone, look.now)}"
            when = f"{now}, {begin}{first}"
        words = step_words(p.batch.schedule, state.position, finishes)
        style = "bold" if now == "next" else "dim" if now in ("done", "taken") else ""
        text.append(f"{mark} {words}{_minutes(state.step, look.standing.row.pieces)}: {when}\n", style=style)
    if look.ahead.stopped is not None:
        said = "seal or test first" if look.ahead.stopped is State.TEST_FIRST else "the air expected stops it"
        text.append(f"no dates further on: {said}\n")
    text.rstrip()
    return text


def _minutes(step: Step, pieces: int) -> str:
    minutes = step.setup_minutes + step.minutes_per_piece * pieces
    if step.hours is not None:
        return f", {show_duration(step.hours)}"
    return f", {show_work(minutes)} of work" if minutes else ""


def releases(look: Look) -> Text:
    """When it may be handled, packed and used; with steps left, if every one is taken at its earliest."""
    p, text = look.progress, Text()
    if not p.finished:
        text.append("if every step is taken at its earliest:\n", style="dim")
    for release in Release:
        text.append(f"{release_words(look, release)}\n")
    text.rstrip()
    return text


def release_words(look: Look, release: Release) -> str:
    """One release: said by the maker, due, coming, or without a date."""
    p = look.progress
    when = p.releases[release] if p.finished else look.ahead.releases[release]
    if release in p.said:
        words = f"you said so {short_time(p.said[release], look.zone, look.now)}"
    elif p.may(release):
        words = "yes" if when is None else f"yes, since {short_time(when, look.zone, look.now)}"
    else:
        words = "no date" if when is None else f"from {short_time(when, look.zone, look.now)}"
    return f"{RELEASE_WORDS[release]}: {words}"


def cautions(said: tuple[Caution, ...], units: str) -> Text:
    """Everything to heed, with where it comes from."""
    text = Text()
    for caution in said:
        text.append(f"! {plain(spoken(caution.text, units))}", style="bold" if caution.urgent else "")
        text.append(f"  ({plain(caution.source)})\n" if caution.source else "\n", style="dim")
    text.rstrip()
    return text if said else Text("nothing to heed")
