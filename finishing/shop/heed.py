"""What to heed as a step is put on record: early, others skipped, a wipe gone stale, or an amount hardly true."""

from __future__ import annotations

from finishing.clock import at_zone
from finishing.cure.film import amount_ml
from finishing.cure.fold import WAITS, State
from finishing.cure.terms import Release, StepKind
from finishing.shop import cans
from finishing.shop.shop import Shop, Standing
from finishing.shop.words import RELEASE_WORDS, and_words, next_words, short_time, step_words
from finishing.units import show_duration, show_volume

MANY, FEW = 3.0, 0.2
"""An amount so many times what a coat should take is asked about. Our own choice."""


def before(batch: Standing, position: int, at: float, zone: str) -> str:
    """How a step stands just before it is done, "" where it is simply open: for asking."""
    if position == batch.fold.wipe_again(at):
        return "once more: so long after the last, oil has come up again"
    said = _heed(batch, position, at, zone, f"{_early(batch)}; feel it first")
    return "; ".join(
        filter(None, (said, _stale_wipe(batch, position, at, "the wipe with solvent was {} ago: wipe again")))
    )


def gap(batch: Standing, position: int, now: float, zone: str) -> str:
    """That a coat belongs before one which is on record already; "" for any other."""
    over = next((c for c in batch.fold.coats if c.step > position), None)
    if over is None:
        return ""
    words = step_words(batch.batch.schedule, over.step)
    return f"{words} is on record already: say when this was done, before {short_time(over.at, zone, now)}"


def after(batch: Standing, position: int, at: float, zone: str) -> str:
    """The same for a step that was done at an hour. batch: as it stood before."""
    said = _heed(batch, position, at, zone, _early(batch))
    return "; ".join(filter(None, (said, _stale_wipe(batch, position, at, "{} after the wipe with solvent"))))


def _early(batch: Standing) -> str:
    """In the maker's own level of certainty; what can be "counted on" is nine in ten everywhere."""
    return f"early: sure to {round(100 * batch.fold.level)} in 100 only {{}}"


def _heed(batch: Standing, position: int, at: float, zone: str, early: str) -> str:
    stands = batch.fold.held_up(position, at)
    words = "" if stands is None or stands.state is State.OPEN else next_words(stands, at, zone)
    if stands is not None and stands.state is State.WAITING:
        words = early.format(words)
    elif stands is not None and stands.step.kind is StepKind.WIPE and stands.shuts is not None and stands.shuts < at:
        words = f"late: its time to be wiped off was over {short_time(stands.shuts, zone, at)}; if it was done in time,"
        words += " say when"
    return "; ".join(filter(None, (_skipped(batch, position, at), words)))


def _stale_wipe(batch: Standing, position: int, at: float, words: str) -> str:
    """That oily wood was wiped too long before its first coat."""
    stale = batch.fold.stale_wipe(position, at)
    return "" if stale is None else words.format(show_duration(stale[1]))


def _skipped(batch: Standing, position: int, at: float) -> str:
    """Steps before it that nobody recorded. What only takes time goes without saying."""
    following = batch.fold.next(at)
    if following is None or following.position >= position:
        return ""
    schedule = batch.batch.schedule
    left_out = [i for i in range(following.position, position) if schedule.steps[i].kind not in WAITS]
    if not left_out:
        return ""
    words = and_words([step_words(schedule, i) for i in left_out])
    return f"{words} {'is' if len(left_out) == 1 else 'are'} not on record, taken as done"


LONG_AGO_HOURS = 60 * 24.0
"""A step put on record so long after it was done is asked about. Our own choice."""


def long_ago(at: float, now: float, zone: str) -> str:
    """A word on a time that is months back, as by a slip in its year; "" for any other."""
    if now - at < LONG_AGO_HOURS:
        return ""
    days = (now - at) / 24.0
    ago = f"{days / 365.25:.0f} years" if days >= 700 else f"{days / 30.4:.0f} months"
    return f"it is dated {at_zone(at, zone).format('D MMM YYYY')}, {ago} ago: correct it if that was a slip"


def before_its_time(batch: Standing, release: Release, now: float, zone: str) -> str:
    """From when on pieces would be ready for a release, where that is not yet; "" where it is."""
    p = batch.progress(now)
    if p.may(release):
        return ""
    when = p.releases[release]
    return f"{RELEASE_WORDS[release]} {'no date' if when is None else f'from {short_time(when, zone, now)}'}"


def leaves(batch: Standing, now: float, zone: str) -> str:
    """What is open of a batch that leaves the bench: coats to come, or a film still soft; "" for none."""
    p, schedule = batch.progress(now), batch.batch.schedule
    if not batch.fold.coats:
        return ""
    if p.next is not None and any(schedule.steps[i].kind is StepKind.COAT for i in batch.fold.remaining_hands):
        left = next(i for i in batch.fold.remaining_hands if schedule.steps[i].kind is StepKind.COAT)
        return f"not finished ({step_words(schedule, left)} is not on)"
    soft = before_its_time(batch, Release.PACK, now, zone)
    return f"still soft ({soft})" if soft else ""


def amount(shop: Shop, batch: Standing, position: int, used_ml: float | None, can: int | None) -> str:
    """A word on an amount that can hardly be true, or is more than the can held; "" for any other."""
    step, units = batch.batch.schedule.steps[position], shop.settings.units
    if used_ml is None or step.finish is None:
        return ""
    said = []
    area = batch.batch.area_m2(step.face)
    if area is not None:
        first = not any(c.step < position and step.face.sides[0] in c.face.sides for c in batch.fold.coats)
        usual = amount_ml(batch.batch.finishes[step.finish].film, area, first=first)
        if not FEW * usual <= used_ml <= MANY * usual:
            times = f"{used_ml / usual:.2g} times" if used_ml > usual else f"{used_ml / usual:.0%} of"
            said.append(f"{show_volume(used_ml, units)} is {times} what such a coat takes, {show_volume(usual, units)}")
    if can is not None and used_ml > (left := cans.sheet(shop, can).left_ml) + 0.5:
        said.append(f"by the record can {can} held {show_volume(left, units)}")
    return f"{'; '.join(said)}: void it if that was a slip" if said else ""
