"""`finishing plan`: every remaining step of every batch, in the hours there are hands."""

from __future__ import annotations

import signal
import sys
import textwrap
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import click
import pendulum

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json, table, what_words
from finishing.clock import at_zone, now_hour
from finishing.errors import BadInput
from finishing.moments import parse_day
from finishing.plan.batches import News
from finishing.plan.batches.outcome import Heard
from finishing.shop.plan import kept
from finishing.shop.plan.ask import Asked, ask
from finishing.shop.plan.make import SECONDS, Made, make
from finishing.shop.plan.relief import PAST, Relief, reliefs
from finishing.shop.plan.sheet import Day, Line, PlanSheet, Session, Work, late_in_all, sheet
from finishing.shop.plan.views import plan_view
from finishing.shop.plan.why import Clash, Reasons
from finishing.shop.plan.words import (
    bound_words,
    chance_words,
    late_words,
    moved_words,
    night_words,
    pins_words,
    split_words,
    sum_words,
)
from finishing.shop.shop import Shop
from finishing.shop.words import short_time
from finishing.units import counted, show_duration, show_volume, show_work

WIDTH = 80


@click.command()
@click.option("--until", help="show no work after this day: saturday, 2026-12-19")
@click.option("--quick", is_flag=True, help="the first plan alone, not improved and without what would help")
@click.option("--seconds", type=options.Number(0.0, 3600.0), default=SECONDS, show_default=True,
              help="how long to improve it at most")  # fmt: skip
@click.option("--keep", is_flag=True, help="go by this plan: later ones move as little of it as they must")
@click.option("--fresh", is_flag=True, help="whatever plan was kept before")
@click.option(
    "--pin",
    metavar="CODE=TIME",
    help="first pin the batch's next work to a time: T-14=2026-12-01T18:00, 'T-14=sat 9:00'",
)
@click.option("--unpin", metavar="CODE", help="first let go of the batch's pinned work")
@options.as_json
def plan(
    until: str | None,
    quick: bool,
    seconds: float,
    keep: bool,
    fresh: bool,
    pin: str | None,
    unpin: str | None,
    as_json: bool,
) -> None:
    """Plan every remaining step of every batch into your working hours, so that they are ready when wanted.

    The hours are a setting, and so are days off, extra days, and how sure a coat must be to be ready. Ctrl-c while it
    is being improved gives the best plan so far.
    """
    now = now_hour()
    with open_shop(now) as shop:
        last = None if until is None else _until(until, shop, now)
        if pin is not None:
            _pin(shop, pin, now)
        if unpin is not None:
            _unpin(shop, unpin, now)
        with _ctrl_c_stops() as stop:
            seconds = 0.0 if quick else seconds
            asked = ask(shop, now)
            heard = _heard(asked) if _watched() else None
            made = make(shop, now, seconds=seconds, fresh=fresh, asked=asked, heard=heard, stop=stop)
        if stop.is_set():
            click.echo("\nstopped looking: the best plan so far, without what would help", err=True)
        if keep:
            kept.keep(shop, made.asked.problem, made.outcome.schedule, now)
        laid, clashes, ways = _explained(shop, made, quick or stop.is_set())
        if as_json:
            say_json(plan_view(_cut(laid, last), clashes, ways))
            return
        _print(shop, laid, last, clashes, ways)
        if keep:
            say()
            say("kept: later plans move as little of it as they must")


def _until(text: str, shop: Shop, now: float) -> float:
    return parse_day(text, "--until", shop.settings.zone, now, lambda _: "23:59")


def _pin(shop: Shop, text: str, now: float) -> None:
    name, _, time = text.partition("=")
    asked = ask(shop, now)
    code = name.strip()
    fold = asked.items[code].fold if code in asked.parts else shop.standing(code, now).fold
    following = fold.next(now)
    if not time or following is None:
        raise BadInput("--pin", text, "a batch with work left, and a time: T-14=2026-12-01T18:00")
    hour = parse_day(time, "--pin", shop.settings.zone, now, shop.settings.working_hours().begins)
    kept.pin_all(shop, {(code, following.position): hour}, now, asked.parts)


def _unpin(shop: Shop, code: str, now: float) -> None:
    name = code.strip()
    pinned = kept.pins(shop).get(name)
    if not pinned:
        raise BadInput("--unpin", shop.standing(name, now).row.code, "a batch with pinned work")
    kept.pin_all(shop, {(name, position): None for position in pinned}, now, ask(shop, now).parts)


@contextmanager
def _ctrl_c_stops() -> Iterator[threading.Event]:
    """Set by the first ctrl-c; the next ends the program as ever."""
    stop = threading.Event()
    before = signal.getsignal(signal.SIGINT)

    def heard(*_: object) -> None:
        stop.set()
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, heard)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)


def _watched() -> bool:
    return sys.stderr.isatty()


def _heard(asked: Asked) -> Heard:
    """Says how far the search has got, in days late as the plan will tell them."""
    alike = all(job.weight == 1 for job in asked.problem.jobs)

    def heard(news: News) -> None:
        late = late_in_all(asked, news.schedule)
        least = max(late - (news.schedule.score.late - news.bound.late), 0)
        said = f"{counted(late, 'late day')}{f' (at least {least})' if alike else ''}"
        click.echo(f"\rimproving: {said}, {news.seconds:.0f} s ", err=True, nl=False)

    return heard


def _explained(shop: Shop, made: Made, quick: bool) -> tuple[PlanSheet, list[Clash], list[Relief]]:
    """The plan laid out with reasons, and, unless it is to be quick, clashes and what would help."""
    if _watched():
        click.echo("\r\x1b[K", err=True, nl=False)
    reasons = Reasons(shop, made, 0.0) if quick else Reasons(shop, made)
    late = reasons.late()
    why = {code: reasons.why(code) for code in late}
    laid = sheet(made, why)
    if quick or not late:
        return laid, [], []
    found = [reasons.clash(code) for code in late]
    clashes = list({(c.codes, c.limits): c for c in found if not c.own}.values())
    return laid, clashes, reliefs(shop, made, late)


def _cut(laid: PlanSheet, last: float | None) -> PlanSheet:
    """Without the days after an hour."""
    if last is None:
        return laid
    date = at_zone(last, laid.zone).date()
    return replace(laid, days=tuple(day for day in laid.days if day.date <= date))


def _print(shop: Shop, laid: PlanSheet, last: float | None, clashes: list[Clash], ways: list[Relief]) -> None:
    units = shop.settings.units
    invented = "  (an invented shop)" if shop.invented else ""
    say(f"Plan from {at_zone(laid.now, laid.zone).format('dddd D MMMM YYYY, HH:mm')}{invented}")
    say(f"{sum_words(laid)}; sure to {round(laid.level * 100)} in 100")
    _wrap(bound_words(laid))
    for split in laid.splits:
        _wrap(f"! {split_words(split)}", "", "  ")
    for code in laid.unkept:
        say(f"! {code}: what was pinned can't be kept there")
    for words in pins_words(laid):
        _wrap(words, "", "  ")
    shown = _cut(laid, last)
    if any(work.ready_ml is not None for day in shown.days for session in day.sessions for work in session.works):
        say("what to have ready is a tenth over what goes on")
    for day in shown.days:
        _print_day(day, laid, units)
    if len(shown.days) < len(laid.days):
        say()
        more = sum(bool(day.sessions) for day in laid.days[len(shown.days) :])
        say(f"and {counted(more, 'more day')} with work")
    _print_lines(laid)
    _print_late(laid, clashes)
    if ways:
        say()
        say("WHAT WOULD HELP, and the days late it gains, planned anew each time")
        for relief in ways:
            _print_relief(relief)
    if laid.moved and laid.kept_at is not None:
        say()
        say("MOVED")
        for moved in laid.moved:
            _wrap(moved_words(moved, laid), "  ", "    ")


def _print_day(day: Day, laid: PlanSheet, units: str) -> None:
    say()
    date = pendulum.date(day.date.year, day.date.month, day.date.day).format("ddd D MMM").upper()
    if not day.sessions:
        say(f"{date}  no work")
    for session in day.sessions:
        say(f"{date}  {_clock(session.begins, laid)}-{_clock(session.ends, laid)}   {_filled(session)}")
        date = " " * len(date)
        for work in session.works:
            _print_work(work, laid, units)
    if words := night_words(day.nights, units):
        _wrap(f"night: {words}", "  ~ ")


def _filled(session: Session) -> str:
    if session.outside:
        return f"{show_work(session.minutes)} of work, outside your hours"
    free = session.until - session.ends
    left = f", {show_duration(free)} left" if free >= 0.25 else ""
    return f"{show_work(session.minutes)} of work{left}"


def _print_work(work: Work, laid: PlanSheet, units: str) -> None:
    pieces = f"×{work.pieces}" if work.pieces == work.of else f"{work.pieces} of {work.of}"
    pin = "*" if work.pinned else " "
    head = f"  {_clock(work.begins, laid)}{pin} {show_work(work.minutes):>6}  {work.code:<7} "
    for n, line in enumerate(textwrap.wrap(f"{work.what} {pieces}: {work.do}", WIDTH - len(head)) or [""]):
        say((head if n == 0 else " " * len(head)) + line)
    if work.ready_ml is not None:
        passes = f", passes of {', '.join(map(str, work.passes))}" if work.passes else ""
        _wrap(f"have {show_volume(work.ready_ml, units)} of {work.finish}{passes}", " " * len(head))


def _clock(hour: float, laid: PlanSheet) -> str:
    return at_zone(hour, laid.zone).format("HH:mm")


def _print_lines(laid: PlanSheet) -> None:
    if not laid.lines:
        return
    say()
    rows = [
        (
            line.code,
            what_words(line.what, line.pieces, 14),
            _date(line.wanted, laid),
            _packed(line, laid),
            late_words(line),
            chance_words(line.chance),
        )
        for line in laid.lines
    ]
    table(rows, ("READY", "", "wanted", "may be packed", "", "chance"))


def _date(hour: float | None, laid: PlanSheet) -> str:
    return "" if hour is None else short_time(hour, laid.zone, laid.now)


def _packed(line: Line, laid: PlanSheet) -> str:
    if line.packed is None:
        return "-"
    return "now" if line.packed <= laid.now else _date(line.packed, laid)


def _print_late(laid: PlanSheet, clashes: list[Clash]) -> None:
    told: list[Line] = [line for line in laid.lines if line.why and not line.held]
    if told:
        say()
        say("WHY")
    for line in told:
        _wrap(f"{line.code}: {line.why}", "  ", "      ")
    for clash in clashes:
        _wrap(clash.words(), "  ", "      ")


def _print_relief(relief: Relief) -> None:
    """What it gains and what it is; what it costs and whom it frees beneath, as no row holds all of it."""
    if relief.kind == PAST:
        _wrap(relief.words, " " * 8)
        return
    gains = f"{relief.days} d"
    _wrap(f"{gains:>6}  {relief.words}", "", " " * 8)
    asks = [f"costs {relief.costs}"] if relief.costs else []
    freed = [f"then in time: {', '.join(relief.on_time)}"] if relief.on_time else []
    if asks or freed:
        _wrap("; ".join([*asks, *freed]), " " * 8)


def _wrap(text: str, indent: str = "", after: str | None = None) -> None:
    for line in textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent if after is None else after):
        say(line)
