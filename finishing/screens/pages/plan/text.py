"""What the plan page says beside and below its list."""

from __future__ import annotations

import textwrap

from rich.text import Text

from finishing.clock import at_zone
from finishing.exchange.plain import plain
from finishing.screens.widgets.plan_rows import PlanLine
from finishing.shop.plan.live import Told
from finishing.shop.plan.relief import PAST
from finishing.shop.plan.sheet import Line, PlanSheet, Work
from finishing.shop.plan.words import (
    bound_words,
    chance_words,
    late_words,
    night_words,
    split_words,
    sum_words,
    went_on_words,
)
from finishing.shop.words import and_words, short_time
from finishing.units import counted, show_volume, show_work

WHEN = "ddd D MMM HH:mm"


def standing(told: Told) -> Text:
    """What the plan comes to, and how good it is or how far the search has got."""
    sheet = told.sheet
    text = Text(plain(f"{sum_words(sheet)}; sure to {round(sheet.level * 100)} in 100"), style="bold")
    if told.busy:
        score, bound, least = sheet.score, sheet.bound, sheet.least_late_days
        no_less = "" if least is None else f", no plan less than {least}"
        late = f"{counted(sheet.late_days, 'day')} late{no_less}" if sheet.late_days else "no day late"
        ready = f"; {counted(score.sessions, 'session')}" if bound.late >= score.late else ""
        text.append(f"\nimproving, {told.seconds:.0f} s: {late}{ready}; s stops", style="not bold")
    else:
        text.append(f"\n{bound_words(sheet)}", style="not bold")
    for split in sheet.splits:
        pieces = and_words([str(n) for n in split.pieces])
        text.append(f"\n! {plain(split.code)} is planned as split into {pieces}: d on its lines", style="bold")
    for code in sheet.unkept:
        text.append(f"\n! {plain(code)}: what was pinned can't be kept there", style="bold")
    return text


def about(line: PlanLine | None, sheet: PlanSheet, units: str) -> Text:
    """The chosen line in full."""
    if line is None:
        return Text("nothing for the hands to plan")
    if line.work is not None:
        return _work(line.work, sheet, units)
    if line.session is not None:
        return _session(line.works, sheet, units)
    if line.night:
        return Text(plain(f"the night: {night_words(line.day.nights, units)}"))
    minutes = sum(session.minutes for session in line.day.sessions)
    return Text(f"{show_work(minutes)} of hands' work" if minutes else "no work for the hands")


def _work(work: Work, sheet: PlanSheet, units: str) -> Text:
    zone = sheet.zone
    ends = at_zone(work.ends, zone).format("HH:mm")
    pieces = f"×{work.pieces}" if work.pieces == work.of else f"{work.pieces} of {work.of}"
    text = Text(f"{at_zone(work.begins, zone).format(WHEN)}-{ends} ", style="")
    text.append(plain(f"{work.code} {work.what} {pieces}"), style="bold")
    text.append(plain(f" in {work.place}: {work.do}"))
    if have := ready_words(work, units):
        text.append(f"\nhave ready {plain(have)}")
    if work.code != work.whole:
        text.append(f"\n{plain(work.code)} is yet to be split off from {plain(work.whole)}: d")
    if work.pinned:
        text.append("\n* pinned to this time; p lets go of it")
    if work.ends <= sheet.now:
        text.append("\n! its time has passed: record it, or g plans on from now", style="bold")
    return text


def ready_words(work: Work, units: str) -> str:
    """What to have ready for a work; "" for nothing in particular."""
    said = []
    if work.ready_ml is not None:
        said.append(f"{show_volume(work.ready_ml, units)} of {work.finish}, a tenth over")
    elif work.finish:
        said.append(work.finish)
    if work.passes:
        said.append(f"passes of {', '.join(map(str, work.passes))}")
    if work.rags:
        said.append("a lidded metal can of water for the rags")
    return "; ".join(said)


def _session(works: tuple[Work, ...], sheet: PlanSheet, units: str) -> Text:
    """All that a session needs, finish by finish."""
    amounts: dict[str, float] = {}
    for work in works:
        if work.finish:
            amounts[work.finish] = amounts.get(work.finish, 0.0) + (work.ready_ml or 0.0)
    begins, ends = works[0].begins, max(work.ends for work in works)
    count = f"{counted(len(works), 'work')}"
    until = at_zone(ends, sheet.zone).format("HH:mm")
    text = Text(f"session {at_zone(begins, sheet.zone).format(WHEN)}-{until}, {count}", style="bold")
    have = [
        f"{show_volume(amount, units)} of {title}, a tenth over" if amount else title
        for title, amount in amounts.items()
    ]
    if any(work.rags for work in works):
        have.append("a lidded metal can of water for the rags")
    if have:
        text.append(f"\nhave ready {plain('; '.join(have))}", style="not bold")
    return text


def beside(told: Told, width: int) -> Text:
    """Dates and chances, why late, what would help, what moved: one below the other."""
    sheet = told.sheet
    text = Text()
    if sheet.kept_at is not None:
        _heading(text, "WHAT MOVED")
        for words in went_on_words(sheet):
            _put(text, words, width)
    _heading(text, "DATES")
    if not sheet.lines:
        _put(text, "no batch is open", width)
    for line in sheet.lines:
        _line(text, line, sheet, width)
    for split in sheet.splits:
        _put(text, split_words(split, "d on one of its lines"), width)
    if sheet.missed:
        _help(text, told, width)
    return text


def _help(text: Text, told: Told, width: int) -> None:
    for clash in told.clashes:
        _put(text, clash.words(), width)
    _heading(text, "WHAT WOULD HELP")
    if told.reliefs is None:
        _put(text, "being looked for …" if not told.busy else "looked for once the plan stands", width)
        return
    if not told.reliefs:
        _put(text, "nothing that was tried gains a day", width)
    for relief in told.reliefs:
        if relief.kind == PAST:
            _put(text, relief.words, width)
            continue
        in_time = f"; then in time: {', '.join(relief.on_time)}" if relief.on_time else ""
        _put(text, f"gains {relief.days} d: {relief.words}; costs {relief.costs}{in_time}", width)


def _line(text: Text, line: Line, sheet: PlanSheet, width: int) -> None:
    late = bool(line.late_days or (line.unfinished and line.wanted is not None))
    stands = late_words(line)
    head = f"{'!' if late else ' '}{line.code} {line.what} ×{line.pieces}"
    room = width - len(stands) - 1
    name = plain(head) if len(head) <= room else plain(head)[: max(room - 1, 1)] + "…"
    text.append(f"{name:<{room}} {stands}\n", style="bold" if late else "")
    zone, now = sheet.zone, sheet.now
    said = [] if line.wanted is None else [f"wanted {short_time(line.wanted, zone, now)}"]
    if line.packed is not None:
        said.append("may be packed now" if line.packed <= now else f"packed {short_time(line.packed, zone, now)}")
    if line.chance is not None:
        said.append(f"chance {chance_words(line.chance)}")
    if said:
        _put(text, ", ".join(said), width)
    if line.why:
        _put(text, line.why, width)


def _heading(text: Text, words: str) -> None:
    text.append(f"{'' if not text.plain else chr(10)}{words}\n", style="bold")


def _put(text: Text, words: str, width: int) -> None:
    for line in textwrap.wrap(plain(words), max(width, 20), initial_indent="  ", subsequent_indent="    "):
        text.append(f"{line}\n")
