"""`finishing learned [FINISH]`: what touch tests taught, printed."""

from __future__ import annotations

import textwrap

from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json, table
from finishing.clock import now_hour
from finishing.shop.learning import words
from finishing.shop.learning.sheet import LearnedSheet, Line, lines, sheet, total
from finishing.shop.learning.views import lines_view, sheet_view
from finishing.shop.words import short_time
from finishing.units import counted, show_duration

WIDTH = 80


def show(name: str | None, as_json: bool) -> None:
    """Every finish, or one in full."""
    now = now_hour()
    with open_shop(now) as shop:
        zone = shop.settings.zone
        if name is None:
            found = lines(shop, now)
            score = total(shop, found, now)
            if as_json:
                say_json(lines_view(found, score, now, zone))
                return
            _print_lines(found)
            say()
            say(f"past promises: {score.words()}")
            return
        one = sheet(shop, name, now)
        if as_json:
            say_json(sheet_view(one, now, zone))
        else:
            _print_sheet(one, zone, now)


def _print_lines(found: tuple[Line, ...]) -> None:
    if not found:
        say("no finish is on the bench, and no coat was felt yet")
        return
    rows = [
        (
            line.finish.name,
            str(line.tests) if line.tests else "-",
            str(line.coats) if line.coats else "-",
            f"×{line.found.middle:.2f}" if line.shop.moves else "as stated",
            f"×{line.found.low:.2f} to ×{line.found.high:.2f}",
            f"{line.surprising} surprising" if line.surprising else "",
        )
        for line in found
    ]
    table(rows, ("finish", "tests", "coats", "found", "9 in 10 between", ""))


def _print_sheet(one: LearnedSheet, zone: str, now: float) -> None:
    say(one.finish.title)
    stated = ", ".join(f"{stage.words} {show_duration(hours)}" for stage, hours in one.stated.items())
    _wrap(f"stated  {stated}", "        ")
    _wrap(f"before  {words.range_words(one.before)}, from the stated times{_and_similar(one)}", "        ")
    _wrap(f"found   {words.range_words(one.found)}, from {words.worth_words(one)}", "        ")
    for woods in one.slow:
        _wrap(f"        {words.slow_words(one, woods)}", "        ")
    _wrap(f"        {words.use_words(one)}", "        ")
    if one.looks:
        say()
        say("TESTS, as multiples of the stated time on these woods, in that air")
        rows = [
            (
                short_time(v.observation.at, zone, now),
                f"{v.observation.batch} coat {v.observation.coat}",
                words.interval_words(v.observation),
                words.weight_words(v),
                words.tests_words(v.observation),
            )
            for v in one.looks
        ]
        table(rows, ("felt", "", "took", "", ""), indent="  ")
        for v in one.surprising:
            seen = v.observation
            leave = f" If so: finishing learned exclude {' '.join(map(str, seen.tests))}" if seen.tests else ""
            _wrap(f"! {seen.batch} coat {seen.coat} {words.surprise_words(v)}{leave}", "  ")
    say()
    say("NEXT TEST")
    for line in words.next_words(one, zone, now):
        _wrap(f"  {line}", "    ")
    if one.said:
        say()
        say("SAID, taken back by its number")
        for one_said in one.said:
            _wrap(f"  {words.said_words(one_said, zone, now)}", "    ")
    say()
    if one.hands:
        _wrap(f"hands: {words.hands_words(one)}", "  ")
    _wrap(f"past promises: {one.score.words()}", "  ")


def _and_similar(one: LearnedSheet) -> str:
    similar = one.lessons.similar
    return f" and {counted(similar, 'test')} of similar finishes" if similar else ""


def _wrap(text: str, after: str) -> None:
    for line in textwrap.wrap(text, WIDTH, subsequent_indent=after, drop_whitespace=True):
        say(line)
