"""What cards say of a batch, in words; and from when its owner may use a piece."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

from finishing.clock import at_zone
from finishing.cure.cautions import DEFER, FOR_THE_OWNER, HAZARDS, Caution, wood_cautions
from finishing.cure.coat import Coat
from finishing.cure.finish import Finish
from finishing.cure.spread import COUNT_ON
from finishing.cure.terms import RELEASE_STAGE, Family, Hazard, Release, Stage
from finishing.shop.shop import Standing
from finishing.units import counted

PLAIN = {
    Family.DRYING_OIL: "An oil that soaks into the wood and hardens there in the air. It leaves the feel of the wood.",
    Family.HARD_WAX_OIL: "An oil with hard wax that hardens in and on the wood: silky, and easy to mend.",
    Family.TWO_PART_HARD_WAX_OIL: "A two-part oil with hard wax that hardens in the wood: silky, and easy to mend.",
    Family.WIPING_VARNISH: "A thin varnish, wiped on in several coats: a fine film over the wood that keeps water off.",
    Family.BRUSHING_VARNISH: "A varnish, brushed on: a film over the wood that keeps water off.",
    Family.OIL_VARNISH_BLEND: "A blend of oil and varnish that soaks in and hardens: a low sheen, and easy to mend.",
    Family.SHELLAC: "Shellac, a natural resin dissolved in alcohol: a clear film over the wood.",
    Family.LACQUER: "Lacquer, sprayed: a thin, clear film over the wood.",
    Family.WATERBORNE: "A waterborne finish: a clear film over the wood that hardly changes its colour.",
    Family.TWO_PART_FILM: "A two-part finish: a hard, clear film over the wood.",
    Family.NON_CURING_OIL: "An oil that soaks into the wood and never hardens: it is renewed now and then.",
    Family.OIL_AND_WAX: "Oil and wax, rubbed in: they stay soft in the wood, and are renewed from time to time.",
}
"""A finish for people who know nothing of finishes. Common practice, no source."""


def card_day(coats: Sequence[Coat], zone: str) -> dt.date | None:
    """Before which day nothing hot, wet or edible may come upon a piece; None where none can be given.

    The day after it is cured: from the morning of a date on a card it is sure.
    """
    when = cured_by(coats)
    return None if when is None else at_zone(when, zone).add(days=1).date()


def until_words(day: dt.date | None, steps_left: bool) -> str:
    """What a card says of that day."""
    if day is None:
        return "Keep hot, wet things and food off it until its maker says that it has hardened."
    expected = ", as expected when this was printed" if steps_left else ""
    return f"{BEFORE} {day.day} {day:%B %Y}{expected}."


BEFORE = "No hot mugs or dishes, no food and no standing water on it before"
"""What a card asks for, up to its date."""


def coats_to_come(standing: Standing, now: float) -> int:
    """Coats that are not on yet, however many sides each has; 0 for a closed batch. The date of use hangs on them."""
    if standing.fold.closed is not None:
        return 0
    schedule = standing.batch.schedule
    steps = standing.progress(now).steps
    left = {s.position for s in steps if not s.done} & set(schedule.coat_steps)
    return len({schedule.coat_number(position) for position in left})


def open_date_words(code: str, coats: int) -> str:
    """That a batch's card has no date yet, and when it will have one."""
    many, last = counted(coats, "coat"), "it is on" if coats == 1 else "the last is on"
    return f"{code}: {many} to come; its date is left open on the card, print it again when {last}"


def surer_words(level: float) -> str:
    """That dates on care cards are surer than a shop's others; "" where they are not."""
    if level >= COUNT_ON:
        return ""
    return f"the date on a care card is sure to {COUNT_ON * 100:.0f} in 100, the others here to {level * 100:.0f}"


def cured_by(coats: Sequence[Coat]) -> float | None:
    """The hour by which nine in ten such pieces may be used, or more at a shop's surer level; None without a date."""
    latest = -math.inf
    for coat in coats:
        stage = RELEASE_STAGE[Release.USE] if coat.finish.cures else Stage.STACKABLE
        if stage not in coat.finish.stages:
            continue
        time = coat.stages.get(stage)
        if coat.undated or time is None or time.count_on is None or time.at_level is None:
            return None
        latest = max(latest, time.count_on, time.at_level, time.seen or 0.0)
    return None if latest == -math.inf else latest


def finishes_words(finishes: Sequence[Finish]) -> str:
    """What is on it, in plain words: the last coat's finish, and what lies below."""
    last = finishes[-1]
    below = [f.title for f in finishes[:-1] if f.name != last.name]
    under = f" Below it: {', '.join(dict.fromkeys(below))}." if below else ""
    return f"{PLAIN[last.family]}{under} ({last.title}.)"


def care_parts(standing: Standing, finishes: Sequence[Finish]) -> list[tuple[str, str]]:
    """Headings and words of a care card."""
    last, found = finishes[-1], {hazard for finish in finishes for hazard in finish.hazards}
    months = last.care.reoil_months
    every = ""
    if months is not None:
        span = "every month" if months == 1 else f"every {months:g} months"
        every = f" How often: about {span}, sooner if it is washed daily."
    parts = [("What is on it", finishes_words(finishes)), ("Looking after it", f"{last.care.words}{every}")]
    if months is not None and Hazard.RAGS in last.hazards:
        parts.append(("Oily rags", FOR_THE_OWNER[Hazard.RAGS].text))
    if Hazard.NUT_OIL in found:
        parts.append(("Nuts and seeds", FOR_THE_OWNER[Hazard.NUT_OIL].text))
    parts.append(("Food", FOR_THE_OWNER[Hazard.FOOD].text))
    return parts


def woods_words(standing: Standing) -> str:
    """The woods of a piece, the most of it first."""
    names = [wood.species for wood in sorted(standing.row.woods, key=lambda wood: -wood.share)]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def rack_cautions(standing: Standing) -> tuple[tuple[str, bool], ...]:
    """All that the whole schedule and the woods ask for, urgent first; what is not, by its first sentence."""
    found = {hazard for finish in standing.batch.finishes.values() for hazard in finish.hazards}
    said: list[Caution] = [HAZARDS[hazard] for hazard in Hazard if hazard in found]
    said += [c for c in wood_cautions(standing.batch.woods) if c.code != "trade_listed"]
    said.sort(key=lambda caution: not caution.urgent)
    short = [(c.text if c.urgent else first_sentence(c.text), c.urgent) for c in said]
    return (*short, (DEFER, False)) if short else ()


def first_sentence(text: str) -> str:
    """Up to the first full stop that ends a sentence."""
    head, stop, _ = text.partition(". ")
    return f"{head}." if stop else text
