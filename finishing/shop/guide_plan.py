"""What a coating session will take, before it is begun: finish, passes, air, cautions, cans, and what comes after."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.cure.advice import air_cautions
from finishing.cure.cautions import Caution, hazards
from finishing.cure.film import amount_ml
from finishing.cure.finish import Finish
from finishing.cure.progress import folded
from finishing.cure.schedule import Step
from finishing.cure.session import Plan, plan_session
from finishing.cure.session_run import MINUTE
from finishing.cure.terms import Hazard, StepKind
from finishing.cure.work import CoatEntry, Entry, StepEntry
from finishing.errors import BadInput
from finishing.shop import cans, record
from finishing.shop.drafts import StepDraft
from finishing.shop.shop import Shop, Standing
from finishing.shop.suggest import suggest
from finishing.shop.words import next_words, step_words
from finishing.units import show_temperature

OF_THE_WORK = ("seal_or_test", "window_shut", "window_tight", "bleeds")
"""Cautions of a batch that matter when it is coated, beside those of the air and of the finish."""

LAST = 1 << 60
"""Number of an entry that is only supposed: after every one on record."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """A session to come. words: the coat; pieces: "12 trays of hard maple"; note: the schedule's own word on it.

    trouble: why the coat can't go on record now, "" if it can. after: the next step, if coated now.
    """

    code: str
    position: int
    words: str
    pieces: str
    note: str
    finish: str
    plan: Plan
    air: str
    heed: str
    trouble: str
    after: str
    cautions: tuple[Caution, ...]
    cans: tuple[tuple[int, str], ...]


def prepare(shop: Shop, code: str, position: int | None, now: float) -> Prepared:
    """What a coat will take. position None: the next coat. BadInput for no coat, or with none to come."""
    batch = shop.standing(code, now)
    at = _coat_step(batch, position)
    step = batch.batch.schedule.steps[at]
    finish = batch.batch.finishes[step.finish or ""]
    plan = _plan(batch, at, step, finish)
    trouble = _trouble(shop, code, at, now)
    woods = ", ".join(w.name for w in batch.batch.woods)
    temperature, humidity = batch.fold.track.air_at(now)
    return Prepared(
        code=batch.row.code,
        position=at,
        words=step_words(batch.batch.schedule, at),
        pieces=f"{batch.row.what} ×{batch.row.pieces}" + (f" of {woods}" if woods else ""),
        note=step.note,
        finish=finish.title,
        plan=plan,
        air=f"{batch.fold.place} {show_temperature(temperature, shop.settings.units)}, {humidity:.0f} % RH",
        heed="" if trouble else suggest(shop, code, at, now).heed,
        trouble=trouble,
        after="" if trouble else _after(batch, at, now + (plan.setup_minutes + plan.minutes) * MINUTE, now, shop),
        cautions=_cautions(batch, finish, temperature, humidity, now),
        cans=cans.choices(shop, finish.name),
    )


def _coat_step(batch: Standing, position: int | None) -> int:
    steps, laid = batch.batch.schedule.steps, {coat.step for coat in batch.fold.coats}
    to_come = [i for i in batch.batch.schedule.coat_steps if i not in laid]
    if position is None and not to_come:
        raise BadInput("coat", batch.row.code, "a batch with a coat still to come")
    at = to_come[0] if position is None else position
    if not 0 <= at < len(steps) or steps[at].finish is None:
        raise BadInput("step", at, "a coat of its schedule")
    return at


def _plan(batch: Standing, position: int, step: Step, finish: Finish) -> Plan:
    area = batch.batch.area_m2(step.face)
    first = all(batch.fold.last_coat(side) is None for side in step.face.sides)
    amount = None if area is None else amount_ml(finish.film, area, first=first)
    return plan_session(batch.row.pieces, step, _wipe(batch, position), finish, amount)


def _wipe(batch: Standing, position: int) -> Step | None:
    """The wipe-off that belongs to the session: the very next step, with no soak before it."""
    following = batch.batch.schedule.steps[position + 1 : position + 2]
    return next((step for step in following if step.kind is StepKind.WIPE), None)


def _trouble(shop: Shop, code: str, position: int, now: float) -> str:
    try:
        record.ready_coat(shop, StepDraft(code, position), now)
    except BadInput as problem:
        return str(problem)
    return ""


def _cautions(batch: Standing, finish: Finish, temperature: float, humidity: float, now: float) -> tuple[Caution, ...]:
    """Of the air, the woods and the finish; urgent first. Food comes when it is done."""
    said = [c for c in batch.progress(now).cautions if c.code in OF_THE_WORK]
    said += air_cautions(finish, temperature, humidity)
    said += hazards(h for h in finish.hazards if h is not Hazard.FOOD)
    return tuple(sorted(said, key=lambda c: not c.urgent))


def _after(batch: Standing, position: int, end: float, now: float, shop: Shop) -> str:
    """What comes next once the coat is on, and when, in the air expected."""
    supposed: list[Entry] = [CoatEntry(LAST, end, position)]
    if _wipe(batch, position) is not None:
        supposed.append(StepEntry(LAST + 1, end, position + 1))
    fold = batch.fold
    following = folded(batch.batch, [*batch.entries, *supposed], fold.climate, fold.shop, fold.level).next(end)
    if following is None:
        return "it rests; no step is left for the hands"
    zone = shop.settings.zone
    return f"{step_words(batch.batch.schedule, following.position)}, {next_words(following, now, zone)}"
