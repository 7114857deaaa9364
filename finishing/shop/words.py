"""Steps, times and reasons in the words a maker reads. Names come out as they are; whoever prints them escapes them."""

from __future__ import annotations

from finishing.clock import at_zone
from finishing.cure.coat import SOFT, Coat, ShopFactor
from finishing.cure.film import film_factor
from finishing.cure.finish import Finish
from finishing.cure.fold import Fold, Next, State
from finishing.cure.progress import Progress, StepState
from finishing.cure.schedule import Schedule
from finishing.cure.terms import Extractives, Face, Release, Stage, StepKind
from finishing.cure.track import Track
from finishing.cure.work import Finding, Shape, Size
from finishing.units import counted, show_duration, show_length, show_temperature

RELEASE_WORDS = {
    Release.HANDLE: "may be handled",
    Release.PACK: "may be packed",
    Release.USE: "may be used",
}

COMING = 6
"""So many days ahead a weekday says which day is meant."""

NEAR, NEW_YEAR = 182, 28
"""So many days away a date says which year is meant: in this year, and over New Year."""


def and_words(words: list[str]) -> str:
    """A list in words: "a", "a and b", "a, b and c"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def size_words(size: Size, units: str) -> str:
    """A piece's size: "300 mm × 200 mm × 18 mm", "round 180 mm × 15 mm"."""
    length, width, thick = (show_length(mm, units) for mm in (size.length_mm, size.width_mm, size.thickness_mm))
    return f"round {length} × {thick}" if size.shape is Shape.ROUND else f"{length} × {width} × {thick}"


def step_words(schedule: Schedule, position: int, finishes: dict[str, Finish] | None = None) -> str:
    """A step in a few words: "coat 2 of 3, bottom", "abrade P320", "turn over"."""
    step = schedule.steps[position]
    side = "" if step.face is Face.BOTH else f", {step.face.value}"
    if step.kind is StepKind.COAT:
        name = "" if finishes is None or step.finish is None else f", {finishes[step.finish].title}"
        return f"coat {schedule.coat_number(position)} of {schedule.coats}{side}{name}"
    grit = f" P{step.grit}" if step.grit else ""
    words = {
        StepKind.PREPARE: f"prepare{grit}",
        StepKind.CLEAN: "wipe with solvent",
        StepKind.SOAK: "soak",
        StepKind.WIPE: "wipe off",
        StepKind.TURN: "turn over",
        StepKind.ABRADE: f"abrade{grit}{side}",
        StepKind.BUFF: "buff",
        StepKind.REST: "rest",
    }
    return words[step.kind]


def short_time(hour: float, zone: str, now: float, *, narrow: bool = False) -> str:
    """A clock time with as much of the date as it needs, in words that can't mean two days.

    "14:20" is today's, "yesterday 14:20"; a weekday alone, as in "Thu 14:20", is one of the six days to come; anything
    else has the date, as in "24 Nov 14:20"; of another year, but for the weeks about New Year, or more than half a year
    away, the year: "5 Jan 2027". So a date without it is the nearest such day.

    narrow: no more than twelve cells, so yesterday by its date.
    """
    local, today = at_zone(hour, zone), at_zone(now, zone)
    days = (local.date() - today.date()).days
    if days == 0:
        return local.format("HH:mm")
    if days == -1 and not narrow:
        return f"yesterday {local.format('HH:mm')}"
    if 0 < days <= COMING:
        return local.format("ddd HH:mm")
    return local.format("D MMM YYYY" if with_year(hour, zone, now) else "D MMM HH:mm")


def with_year(hour: float, zone: str, now: float) -> bool:
    """Whether a date needs its year said: one of another year, but for the weeks about New Year, or far away."""
    local, today = at_zone(hour, zone), at_zone(now, zone)
    return abs((local.date() - today.date()).days) > (NEAR if local.year == today.year else NEW_YEAR)


def short_stretch(first: float, last: float, zone: str, now: float) -> str:
    """From one time to another, each as `short_time` has it: "Thu 14:20 to 16:00", "yesterday 22:00 to today 04:40"."""
    begins, ends = at_zone(first, zone).date(), at_zone(last, zone).date()
    said = short_time(last, zone, now)
    if begins == ends:
        said = at_zone(last, zone).format("HH:mm")
    elif ends == at_zone(now, zone).date():
        said = f"today {said}"
    return f"{short_time(first, zone, now)} to {said}"


def date_words(packed: float | None, late_days: int) -> str:
    """How a batch stands to the date it is wanted by: "in time", "2 days late", "no date"."""
    if packed is None:
        return "no date"
    return f"{counted(late_days, 'day')} late" if late_days else "in time"


def unrecorded_words(p: Progress, state: StepState, zone: str) -> str:
    """What there is to say of a step without an entry: that it is taken as done, or how a last rest goes on."""
    return "not on record, taken as done" if state.taken else rest_words(p, state, zone)


def rest_words(p: Progress, state: StepState, zone: str) -> str:
    """How long a last rest goes on, while the film still hardens; "" for any other step, and when it is over."""
    if p.next is not None or state.done:
        return ""
    until = p.releases[Release.USE]
    return "hardens, no date" if until is None else f"hardens until {short_time(until, zone, p.now)}"


def brief_step(schedule: Schedule, position: int) -> str:
    """A step in some fifteen cells: "coat 2/3 bottom"."""
    step = schedule.steps[position]
    if step.kind is not StepKind.COAT:
        return step_words(schedule, position).replace("wipe with solvent", "solvent wipe")
    side = "" if step.face is Face.BOTH else f" {step.face.value}"
    return f"coat {schedule.coat_number(position)}/{schedule.coats}{side}"


def next_words(following: Next, now: float, zone: str, *, ahead: bool = False) -> str:
    """How the next step stands: "open, shuts Thu 21:40 (3 h 10)", "from 18:20 (in 2 h)".

    ahead: at a time to come, of which "in" and "ago" would be misread.
    """
    if following.state is State.TEST_FIRST:
        return "seal or test first: no date on bare oily wood"
    if following.state is State.NEVER:
        return "stands still in this air"
    if following.state is State.SHUT:
        grit = f"abrade P{following.shut_grit} first" if following.shut_grit else "abrade first"
        since = f"since {short_time(following.shuts, zone, now)}" if ahead and following.shuts is not None else ""
        return f"window shut {since or _ago(following.shuts, now, zone)}: {grit}"
    shuts = ""
    if following.shuts is not None:
        shuts = f", shuts {short_time(following.shuts, zone, now)}"
    if following.state is State.OPEN:
        left = "" if following.shuts is None else f" ({show_duration(following.shuts - now)} left)"
        return f"open{shuts}{left}"
    assert following.opens is not None
    until = "" if ahead else f" (in {show_duration(following.opens - now)})"
    return f"from {short_time(following.opens, zone, now)}{until}{shuts}"


def brief_words(following: Next, now: float, zone: str) -> str:
    """As `next_words`, in a dozen cells: "3 h 10 left", "open", "Thu 18:20", "shut"."""
    match following.state:
        case State.TEST_FIRST:
            return "test first"
        case State.NEVER:
            return "stands still"
        case State.SHUT:
            return "window shut"
        case State.OPEN:
            return "open" if following.shuts is None else f"{show_duration(following.shuts - now)} left"
        case State.WAITING:
            assert following.opens is not None
            return short_time(following.opens, zone, now)


def _ago(hour: float | None, now: float, zone: str) -> str:
    return "" if hour is None else f"{short_time(hour, zone, now)} ({show_duration(now - hour)} ago)"


def why(coat: Coat, stage: Stage, track: Track, system: str) -> list[str]:
    """Why a stage of a coat comes when it does: stated time, woods, film, shop, and the air it stands in."""
    time = coat.stages.get(stage)
    if time is None:
        return []
    factors = coat.factors
    said = [f"{stage.words} {show_duration(time.stated_hours)} after coating, as stated"]
    if factors.species.factor != 1.0:
        said.append(f"{factors.species.limiting} ×{factors.species.factor:.2g}, an estimate")
    film = film_factor(coat.finish.film.law, factors.film_ratio, stage)
    if abs(film - 1.0) > 0.005:
        said.append(f"film {factors.film_ratio:.1f} of its own ×{film:.2g}")
    shop, own = factors.shop_for(stage), factors.shop_for(stage) is not factors.shop
    said += [f"{words}, but for this coat" if own else words for words in shop_words(shop, factors.species.extractives)]
    said += _felt_words(coat, stage)
    if time.likely is None:
        return [*said, "the air expected stops it"]
    hours = time.likely - coat.at
    if hours > 0:
        clock = coat.finish.stages[stage].clock
        pace = track.gathered(coat.finish, clock, coat.at, time.likely) / hours
        said.append(_air_words(coat, time.likely, pace, track, system))
    return said


def class_words(woods: Extractives) -> str:
    """A slow class of wood."""
    return "somewhat oily woods" if woods is Extractives.MODERATE else "very oily woods"


def shop_words(shop: ShopFactor, woods: Extractives = Extractives.NONE) -> list[str]:
    """What was learned, and from how much: "this shop ×1.2, learned from 7 tests".

    woods: the class of a coat's woods, said where the factor is theirs alone.
    """
    if shop.ln_sd is None:
        return []
    own = counted(shop.tests, "test") if shop.tests else ""
    similar = f"{shop.similar if own else counted(shop.similar, 'test')} of similar finishes" if shop.similar else ""
    where = f" on {class_words(woods)}" if shop.with_wood else ""
    found = f"×{shop.factor:.2f}" if shop.agreed else "as stated"
    return [f"this shop{where} {found}, learned from {' and '.join(w for w in (own, similar) if w)}"]


def _felt_words(coat: Coat, stage: Stage) -> list[str]:
    """What a finger found of this very coat, where it puts the stage off."""
    time = coat.stages.get(stage)
    if time is not None and time.seen is not None:
        return []
    short = [t for t in coat.tests if t.finding is Finding.TACKY and (t.stage is stage or t.stage in SOFT)]
    if not short:
        return []
    last = max(short, key=lambda t: t.at)
    said = "" if last.stage is stage else f" for {last.stage.words}"
    return [f"still tacky{said} {show_duration(last.at - coat.at)} after coating, so not before that"]


def _air_words(coat: Coat, until: float, pace: float, track: Track, system: str) -> str:
    air = track.windows(coat.at, until)
    low, high = min(float(a.temperature_c.min()) for a in air), max(float(a.temperature_c.max()) for a in air)
    coldest, warmest = show_temperature(low, system), show_temperature(high, system)
    between = coldest if coldest == warmest else f"{coldest} to {warmest}"
    reference = show_temperature(coat.finish.reference.temperature_c, system)
    return f"air {between}: {pace:.2g} of its pace at {reference}"


def next_why(fold: Fold, following: Next, system: str) -> list[str]:
    """Why the next step comes when it does."""
    if following.waits_on is None or following.gate is None:
        return []
    return why(following.waits_on, following.gate.stage, fold.track, system)
