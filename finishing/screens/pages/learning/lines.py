"""The words of the learning page: a finish in a line, a coat in a line, and the story of the chosen finish."""

from __future__ import annotations

from rich.text import Text

from finishing.cure.learn.surprise import Verdict
from finishing.exchange.plain import plain
from finishing.screens.pages.learning.drawing import bar, hill, ruler
from finishing.screens.widgets.figures import cut
from finishing.shop.learning import words
from finishing.shop.learning.sheet import LearnedSheet, Line
from finishing.shop.words import class_words, short_time
from finishing.units import show_duration

NAME = 24
"""Cells before the scale."""

TAIL = 9
"""Cells after it."""

TITLE_LEAST = 16

LITTLE = 0.8
"""A coat that counts less than this is said to."""


def axis_width(width: int) -> int:
    """Cells of the scale in a line of so many."""
    return max(width - NAME - TAIL, 10)


def head(width: int) -> str:
    """What the columns of the list of finishes are."""
    return _columns(("finish", "tests", "found", "9 in 10 between", ""), width)


def finish_row(line: Line, width: int) -> str:
    """A finish in a line."""
    found = f"×{line.found.middle:.2f}" if line.shop.moves else "as stated"
    between = f"×{line.found.low:.2f} and ×{line.found.high:.2f}"
    asks = "! surprises" if line.surprising else ""
    return _columns((plain(line.finish.title), str(line.tests) if line.tests else "-", found, between, asks), width)


def _columns(cells: tuple[str, str, str, str, str], width: int) -> str:
    rest = (6, 10, 18, 11)
    title = max(width - sum(rest) - len(rest), TITLE_LEAST)
    return " ".join(cut(cell, cells) for cell, cells in zip(cells, (title, *rest), strict=True))


def curves(sheet: LearnedSheet, width: int) -> Text:
    """The scale, and what was believed before any test of it and after all of them."""
    cells = axis_width(width)
    text = Text(no_wrap=True)
    text.append(f"{'times the stated time':<{NAME}}{ruler(cells)}\n", style="dim")
    text.append(f"{'before its tests':<{NAME}}{hill(sheet.lessons.before(), cells)}  ×{sheet.before.middle:.2f}\n")
    after = sheet.lessons.theta() if sheet.looks else sheet.lessons.before()
    text.append(f"{'after them':<{NAME}}{hill(after, cells)}  ×{sheet.found.middle:.2f}", style="bold")
    return text


def look_row(verdict: Verdict, sheet: LearnedSheet, zone: str, now: float, width: int) -> str:
    """A coat that was felt, its interval on the scale, and whether it surprises or has faded."""
    seen = verdict.observation
    when, what = (
        cut(short_time(seen.at, zone, now, narrow=True), 12),
        cut(plain(f"{seen.batch}/{seen.coat}"), NAME - 14),
    )
    found = sheet.slow[seen.woods].middle if seen.woods in sheet.slow else sheet.found.middle
    tail = "! " if verdict.surprising else "  "
    weight = f"{verdict.weight:.0%}" if verdict.weight < 0.995 else ""
    return f"{when} {what} {bar(seen, found, axis_width(width))} {tail}{weight:>4}"


def look_words(verdict: Verdict) -> Text:
    """The chosen coat in words."""
    seen = verdict.observation
    tests = words.tests_words(seen)
    text = Text(f"{plain(seen.batch)} coat {seen.coat}, {tests}: took {words.interval_words(seen)} of its stated time")
    if seen.slow:
        text.append(f", on {class_words(seen.woods)}")
    if seen.clashing:
        text.append("; its stages contradict one another")
    if verdict.weight < LITTLE:
        text.append(f"; {words.weight_words(verdict)}")
    if verdict.surprising:
        leave = " x leaves it out" if seen.tests else ""
        text.append(f". ! {words.surprise_words(verdict)}{leave}", style="bold")
    return text


def story(sheet: LearnedSheet, zone: str, now: float) -> Text:
    """What was found, what the next test would tell, how promises came out, what was said."""
    text = Text()
    for i, line in enumerate(words.next_words(sheet, zone, now)):
        _part(text, "" if i else "next test", plain(line))
    _part(text, "found", f"{words.range_words(sheet.found)}, from {words.worth_words(sheet)}; {words.use_words(sheet)}")
    for woods in sheet.slow:
        _part(text, "", words.slow_words(sheet, woods))
    _part(text, "promises", sheet.score.words())
    if sheet.hands:
        _part(text, "hands", words.hands_words(sheet))
    stated = ", ".join(f"{stage.words} {show_duration(hours)}" for stage, hours in sheet.stated.items())
    _part(text, "stated", stated)
    for i, said in enumerate(sheet.said):
        _part(text, "" if i else "you said", plain(words.said_words(said, zone, now)))
    text.rstrip()
    return text


def _part(text: Text, name: str, said: str) -> None:
    text.append(f"{name}: " if name else "", style="bold")
    text.append(f"{said}\n", style="not bold")
