"""What was learned in words: intervals, surprises and what they may mean, what the next test would tell."""

from __future__ import annotations

import math

from finishing.clock import at_zone
from finishing.cure.coat import ShopFactor
from finishing.cure.learn import Observation
from finishing.cure.learn.posterior import sign
from finishing.cure.learn.surprise import Verdict
from finishing.cure.terms import Extractives
from finishing.cure.work import Finding
from finishing.shop.learning.next_test import Chance
from finishing.shop.learning.sheet import LearnedSheet, Range, Said
from finishing.shop.words import class_words, short_time
from finishing.store.lessons import Felt, LessonKind
from finishing.units import counted

NEARLY_NOTHING = 0.03
"""Bits below which a look is said to tell next to nothing. Our own choice."""

ALMOST = 0.05
"""A chance so near to 0 or 1 is almost certain. Our own choice."""

WHOLE = 0.999
"""A coat of which less than this share of its pieces was felt is a part."""

LEAST_SHOWN = 0.001


def range_words(found: Range) -> str:
    """A factor with its interval: "×1.25 (9 in 10 between ×1.02 and ×1.53)"."""
    return f"×{found.middle:.2f} (9 in 10 between ×{found.low:.2f} and ×{found.high:.2f})"


def interval_words(seen: Observation) -> str:
    """What one coat said: "between ×0.80 and ×1.30 of its time"."""
    if math.isinf(seen.high):
        return f"longer than ×{seen.low:.2f}"
    if seen.low <= 0.0:
        return f"no longer than ×{seen.high:.2f}"
    return f"between ×{seen.low:.2f} and ×{seen.high:.2f}"


def odds_words(chance: float) -> str:
    """How rare: "about once in 140"."""
    return "less than once in 1,000" if chance < LEAST_SHOWN else f"about once in {1.0 / chance:,.0f}"


def surprise_words(verdict: Verdict) -> str:
    """How surprising a coat is, and what to ask oneself."""
    slow = "slow" if verdict.late else "fast"
    maybe = (
        "a heavy coat, a cold or damp spot, or another coat than you meant?"
        if verdict.late
        else "a thin coat, a warm spot, or another coat than you meant?"
    )
    return f"surprising: as {slow} as this by chance {odds_words(verdict.chance)}. Was it {maybe}"


def weight_words(verdict: Verdict) -> str:
    """How much a coat still counts: "" where it is fresh and whole."""
    return "" if verdict.weight > 0.995 else f"counts {verdict.weight:.0%}"


def tests_words(seen: Observation) -> str:
    """By which tests a coat was felt: "tests 12, 15"; a part that was not felt since it was split off has none."""
    if not seen.tests:
        return "felt before it was split off"
    return f"test{'' if len(seen.tests) == 1 else 's'} {', '.join(map(str, seen.tests))}"


def worth_words(sheet: LearnedSheet) -> str:
    """How much the finding rests on."""
    coats = sheet.lessons.coats
    if not coats:
        return "no touch test of it yet"
    tests = f"{counted(sheet.tests, 'test')} of {counted(coats, 'coat')}"
    if sheet.worth >= 0.95 * coats:
        return tests
    if any(o.pieces < WHOLE for o in sheet.lessons.observations):
        return f"{tests}, which weigh as much as {sheet.worth:.1f} fresh and whole coats"
    return f"{tests}, which after ageing weigh as much as {sheet.worth:.1f} fresh coats"


def use_words(sheet: LearnedSheet) -> str:
    """Whether windows rest on it, and why not yet."""
    if not sheet.lessons.all_coats:
        return "windows go by the stated times until two coats at least say otherwise"
    if sheet.shop.ln_sd is None:
        return "windows still go by the stated times: no date moves on the word of a single coat"
    if not sheet.learned:
        return as_stated_words(sheet.found)
    similar = sheet.lessons.similar
    rest = f"windows rest on it{f', and on tests of similar finishes: {similar}' if similar else ''}"
    return f"{rest}{_rails(sheet.found, sheet.shop)}"


def as_stated_words(found: Range) -> str:
    """Why windows go by the stated times though two coats or more were felt."""
    if sign(math.log(found.middle)) == 0:
        return "windows go by the stated times, as near as what was found"
    way = "slower" if found.middle > 1.0 else "faster"
    return f"windows still go by the stated times: leave one coat out and it is no {way}"


def slow_words(sheet: LearnedSheet, woods: Extractives) -> str:
    """What was found on a slow class of wood, and whether windows there rest on it."""
    found, shop = sheet.slow[woods], sheet.shop.on(woods)
    said = f"on {class_words(woods)} {range_words(found)}"
    if shop.ln_sd is None:
        return said
    return f"{said}{_rails(found, shop)}" if shop.moves else f"{said}; there {as_stated_words(found)}"


def _rails(found: Range, shop: ShopFactor) -> str:
    if f"{found.middle:.2f}" == f"{shop.factor:.2f}":
        return ""
    return f", but go no further than ×{shop.factor:.2f}"


def chance_words(look: Chance, zone: str, now: float) -> str:
    """A look to come: where, when, what for, and what either answer would make of the factor."""
    when = "now" if look.at <= now else short_time(look.at, zone, now)
    where = f"{look.code} coat {look.coat}, {look.stage.words}"
    chance = f"chance of dry {look.dry:.0%}"
    if look.bits < NEARLY_NOTHING:
        sure = "dry" if look.dry > 0.5 else "tacky"
        known = f"{sure} almost for certain" if abs(look.dry - 0.5) > 0.5 - ALMOST else chance
        return f"{when}: {where}. It would tell next to nothing: {known}"
    on = "" if look.woods is None else f" on {class_words(look.woods)}"
    # Not wrong: a coat tacky that late would no longer be believed to be one of these.
    other = ", as it would be taken for another coat" if look.if_tacky < look.if_dry else ""
    return f"{when}: {where}. dry would make it{on} ×{look.if_dry:.2f}, tacky ×{look.if_tacky:.2f}{other}; {chance}"


def next_words(sheet: LearnedSheet, zone: str, now: float) -> list[str]:
    """What a look now would tell, and the best hour for the next one."""
    if sheet.next.best is None:
        ratio = f"×{sheet.telling:.2f}"
        return [
            f"no coat of it is on that could be felt. On the next one a look at {ratio} of a stage's time tells most"
        ]
    said = [] if sheet.next.now is None else [chance_words(sheet.next.now, zone, now)]
    if sheet.next.best.at <= now:
        said.append("no later hour of work tells more")
    else:
        said.append(f"best {chance_words(sheet.next.best, zone, now)}")
    return said


def hands_words(sheet: LearnedSheet) -> str:
    """How quick the hands are at it; "" where no session was timed."""
    return "; ".join(pace.words(kind) for kind, pace in sheet.hands.items())


def felt_words(felt: Felt) -> str:
    """A test in a few words."""
    stage = felt.stage.replace("_", " ")
    return f"{felt.code}, test {felt.number}: {Finding(felt.finding).value} for {stage}"


def said_words(said: Said, zone: str, now: float) -> str:
    """An exclusion or reset that holds."""
    one = said.lesson
    note = f" ({one.note})" if one.note else ""
    who = f", {one.maker}" if one.maker else ""
    when = short_time(one.recorded_at, zone, now)
    if one.kind is LessonKind.EXCLUDE:
        what = felt_words(said.felt) if said.felt is not None else f"test {one.test}"
        return f"{one.number}: left out {what}{note}; said {when}{who}"
    until = at_zone(one.at, zone).format("D MMM YYYY HH:mm")
    return f"{one.number}: begun afresh after {until}{note}; said {when}{who}"


def if_excluded(sheet: LearnedSheet, verdict: Verdict) -> list[str]:
    """What happens when a coat's tests are left out, before it does."""
    seen = verdict.observation
    said = [f"It took {interval_words(seen)} of its stated time, felt for {', '.join(s.words for s in seen.stages)}."]
    if verdict.surprising:
        said.append(f"{surprise_words(verdict)[0].upper()}{surprise_words(verdict)[1:]}")
    said.append(_becomes(sheet, sheet.but_for(seen)))
    said.append("What the finger found of this coat itself stands. The tests stay on record; u takes this back.")
    return said


def if_reset(sheet: LearnedSheet) -> list[str]:
    """What happens when a finish is begun afresh, before it does."""
    taught = f"What {worth_words(sheet)} taught is forgotten, as for a new make of it or a shop that has moved."
    similar = sheet.lessons.similar
    found = f"×{sheet.found.middle:.2f} becomes ×{sheet.before.middle:.2f}"
    rest = f", from the stated times and {counted(similar, 'test')} of similar finishes" if similar else ""
    return [
        taught,
        f"{found}{rest}. {_becomes(sheet, sheet.afresh())}",
        "The tests stay on record; u takes this back.",
    ]


def _becomes(sheet: LearnedSheet, then: ShopFactor) -> str:
    now, later = (f"×{shop.factor:.2f}" if shop.moves else "the stated times" for shop in (sheet.shop, then))
    few = ": too few coats are left" if then.ln_sd is None and sheet.shop.ln_sd is not None else ""
    if now == later:
        return f"Windows go by {now} before and after{few}."
    return f"Windows go by {now} and then by {later}{few}."
