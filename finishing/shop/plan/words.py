"""What a plan comes to, in sentences for commands and screens alike."""

from __future__ import annotations

from finishing.shop.plan.kept import Changes
from finishing.shop.plan.make import Moved
from finishing.shop.plan.nights import Night
from finishing.shop.plan.parts import Parts
from finishing.shop.plan.sheet import Line, PlanSheet
from finishing.shop.words import and_words, date_words, short_time
from finishing.units import counted, show_duration, show_temperature, show_work


def sum_words(sheet: PlanSheet) -> str:
    """How much work it is."""
    works = sum(len(session.works) for day in sheet.days for session in day.sessions)
    late, lost, undated = len(sheet.late), len(sheet.lost), len(sheet.undated)
    missed = [f"{counted(late, 'batch', 'batches')} late"] if late else []
    if lost:
        missed.append(f"{counted(lost, 'batch finds', 'batches find')} no place in the hours there are")
    if undated:
        missed.append(f"{counted(undated, 'batch', 'batches')} with no date to give")
    if not works:
        return "; ".join(missed) or "nothing for the hands to plan"
    said = f"{show_work(sheet.minutes)} of hands' work in {counted(sheet.score.sessions, 'session')}"
    if not missed:
        none = all(line.wanted is None or line.held for line in sheet.lines)
        missed = ["no batch has a date" if none else "every date is made"]
    return "; ".join([said, *missed])


def split_words(split: Parts, how: str = "") -> str:
    """That a batch is planned in parts, why, and how to make them: by commands, unless told otherwise."""
    said = f"; planned as split into {and_words(list(map(str, split.pieces)))}."
    return f"{split.code}: {split_why(split)}{said} Before its next coat: {how or '; '.join(split.commands)}"


def split_why(split: Parts) -> str:
    """What is too short, or too small, for all its pieces at once."""
    whole, why = sum(split.pieces), []
    if split.minutes:
        takes, hours = show_duration(split.minutes / 60), show_duration(split.longest / 60)
        why.append(f"a coat on all {whole} takes {takes}, your longest hours are {hours}")
    if split.room:
        why.append(f"the rack in {split.place} has room for {split.room}, not for all {whole}")
    return "; ".join(why)


def bound_words(sheet: PlanSheet) -> str:
    """How good the plan is, as far as it is known."""
    if sheet.kept_at is not None and not sheet.improved:
        return _kept_words(sheet)
    if sheet.proved:
        return "best possible, among starts on the quarter hour: proved"
    if not sheet.improved:
        return "a first plan, at once; how much better one could be was not looked into"
    score, bound = sheet.score, sheet.bound
    if bound.late < score.late:
        least = sheet.least_late_days
        said = f"late by {counted(sheet.late_days, 'day')} in all"
        if least is None:
            return f"{said}; counted by priority, at most {score.late - bound.late} fewer can be had"
        return f"{said}; any plan is by {least} or more"
    if bound.ready < score.ready:
        return (
            f"no plan is less late; batches wait {counted(score.ready, 'day')} in all, any plan {bound.ready} or more"
        )
    sessions = counted(score.sessions, "session")
    return f"no plan is less late or ready sooner; {sessions}, any such plan needs {bound.sessions} or more"


def _kept_words(sheet: PlanSheet) -> str:
    assert sheet.kept_at is not None
    said = f"goes on from the plan of {short_time(sheet.kept_at, sheet.zone, sheet.now)}"
    if sheet.better is None:
        return said
    days = sheet.score.ready - sheet.better.ready
    if days > 0:
        return f"{said}; a fresh one would be ready sooner, by {counted(days, 'day')} over all batches"
    return f"{said}; a fresh one would take {counted(sheet.better.sessions, 'session')}"


def moved_words(moved: Moved, sheet: PlanSheet) -> str:
    """What moved against the plan before."""
    after = short_time(moved.after, sheet.zone, sheet.now)
    works = [w for day in sheet.days for session in day.sessions for w in session.works]
    do = next((w.brief for w in works if (w.code, w.number) == (moved.code, moved.number)), "work")
    if moved.before is None:
        return f"{moved.code} {do}: new, {after}"
    return f"{moved.code} {do}: {short_time(moved.before, sheet.zone, sheet.now)} → {after}"


def went_on_words(sheet: PlanSheet) -> list[str]:
    """What moved against the plan gone on from, a line each."""
    if sheet.kept_at is None:
        return []
    since = f"the plan of {short_time(sheet.kept_at, sheet.zone, sheet.now)}"
    if not sheet.moved:
        return [f"nothing against {since}"]
    return [f"against {since}:", *(moved_words(moved, sheet) for moved in sheet.moved)]


def pins_words(sheet: PlanSheet) -> list[str]:
    """What is pinned in a plan, and that it is outside the hours where it is: a line each; [] for nothing."""
    works = [(s, w) for day in sheet.days for s in day.sessions for w in s.works if w.pinned]
    if not works:
        return []
    said = []
    for session, work in works:
        if session.outside or work.ends > session.until + 1e-9:
            partly = "" if session.outside else "partly "
            when = short_time(work.begins, sheet.zone, sheet.now)
            said.append(f"! {work.code} {work.brief}: pinned to {when}, {partly}outside your hours")
    codes = and_words(list(dict.fromkeys(work.code for _, work in works)))
    return [*said, f"* pinned, kept or not: every later plan leaves {codes} there until finishing plan --unpin"]


def pinned_words(pins: Changes, zone: str, now: float) -> str:
    """What was pinned and let go of."""
    put = [f"{code} to {short_time(hour, zone, now)}" for (code, _), hour in pins.items() if hour is not None]
    let = [code for (code, _), hour in pins.items() if hour is None]
    said = [f"pinned {', '.join(put)}"] if put else []
    if let:
        said.append(f"let go of {', '.join(dict.fromkeys(let))}")
    return "; ".join(said)


def night_words(nights: tuple[Night, ...], units: str) -> str:
    """The night after a day: how cold it gets, and what stands still."""
    said = []
    for night in nights:
        words = f"{night.place} down to {show_temperature(night.low_c, units)}"
        stills = [
            f"{s.code} stands still {show_duration(s.hours)} (below {show_temperature(s.minimum_c, units)})"
            for s in night.stills
        ]
        said.append(", ".join([words, *stills]))
    return "; ".join(said)


def chance_words(chance: float | None) -> str:
    """A chance in words that don't claim more than it is worth."""
    if chance is None:
        return ""
    if chance >= 0.975:
        return "near certain"
    if chance < 0.025:
        return "hardly"
    return f"{round(chance * 20) * 5} in 100"


def late_words(line: Line) -> str:
    """How a batch stands to its date, in a few cells."""
    if line.held:
        return "on hold"
    if line.wanted is None and line.packed is not None:
        return ""
    return date_words(line.packed, line.late_days)
