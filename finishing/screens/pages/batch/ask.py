"""Which card each key of the page opens, filled in from how the batch stands. BadInput when it can't be."""

from __future__ import annotations

from finishing.clock import Clock
from finishing.cure.cautions import hazards, wood_cautions
from finishing.cure.fold import State
from finishing.cure.terms import Face, Hazard, Release, Stage
from finishing.cure.work import CoatEntry, Entry
from finishing.errors import BadInput
from finishing.screens.pages.batch import cards, text
from finishing.screens.pages.batch.entries import words
from finishing.screens.pages.batch.look import Look, if_moved
from finishing.screens.pages.batch.put_right import PutRight
from finishing.screens.pages.record_step import RecordStep
from finishing.screens.pages.touch_test import TouchTest
from finishing.shop import allowed, cans, record, split
from finishing.shop.correct import correctable
from finishing.shop.sheets import voided
from finishing.shop.shop import Shop, Standing
from finishing.shop.suggest import suggest
from finishing.shop.words import short_time
from finishing.units import show_temperature


def step(shop: Shop, look: Look, clock: Clock, position: int | None) -> RecordStep:
    """Recording a step, or the next one: before a coat on oily wood the wipe with solvent, if that has gone stale."""
    if position is None:
        position = look.standing.fold.wipe_again(clock())
    suggestion = suggest(shop, look.standing.row.code, position, clock())
    return RecordStep(suggestion, zone=look.zone, system=look.settings.units, clock=clock)


def coat(shop: Shop, look: Look, clock: Clock) -> RecordStep:
    """Recording the next coat, whatever lesser steps come before it; first one that is missing below another."""
    missing = allowed.gap(look.progress)
    if missing is None and look.next_coat is None:
        raise BadInput("coat", look.standing.row.code, "a batch with a coat left to put on")
    return step(shop, look, clock, look.next_coat if missing is None else missing)


def touch(look: Look, clock: Clock) -> TouchTest:
    """A touch test."""
    open_batch(look)
    return TouchTest(look.standing, zone=look.zone, clock=clock)


def abrade(look: Look) -> cards.AbradeCard:
    """Abrading, with the grit and faces of what comes next, and what its dust can do."""
    open_batch(look)
    if not look.standing.fold.coats:
        raise BadInput("abrade", look.standing.row.code, "a batch with a coat on it")
    following = look.progress.next
    grit, face = None, Face.BOTH
    if following is not None:
        grit = following.shut_grit if following.state is State.SHUT else following.step.grit
        face = following.step.face
    heed = [c.text for c in wood_cautions(look.standing.batch.woods) if c.code == "sensitising_dust"]
    found = {h for c in look.standing.fold.coats for h in c.finish.hazards}
    heed += [c.text for c in hazards(h for h in found if h is Hazard.ISOCYANATE)]
    return cards.AbradeCard(look.standing.row.code, grit, face, heed)


def move(shop: Shop, look: Look) -> cards.ChoiceCard:
    """The other places, with their air now and how the next step would stand there."""
    open_batch(look)
    rack, row = shop.rack(look.now), look.standing.row
    choices = []
    for place in rack.places:
        if place.name == look.progress.place:
            continue
        air = rack.air[place.name]
        warmth, damp = air.at(look.now)
        about = "" if air.measured_at(look.now) else "about "
        said = f"{place.name}: {about}{show_temperature(warmth, look.settings.units)}, {damp:.0f} % RH"
        choices.append((place.name, f"{said}; {if_moved(look.standing, place.name, look.now, look.zone)}"))
    if not choices:
        raise BadInput("place", look.progress.place, "a shop with more than one place")
    here = if_moved(look.standing, None, look.now, look.zone)
    stays = f"If it stays, every step at its earliest: {here}."
    return cards.ChoiceCard(f"{row.code}: from the {look.progress.place} to", choices, [stays])


def divide(shop: Shop, look: Look) -> cards.SplitCard:
    """Splitting."""
    open_batch(look)
    return divide_as(look.standing, split.free_part(shop, look.standing.row.code))


def divide_as(standing: Standing, part: str, go: int | None = None) -> cards.SplitCard:
    """Splitting, with the code of the part, and the pieces that go if they are known, filled in."""
    row = standing.row
    if row.pieces < 2:
        raise BadInput("split", row.code, "a batch of several pieces")
    top = standing.fold.coats[-1:]
    stages = [stage for stage in Stage if any(stage in c.finish.stages for c in top)]
    return cards.SplitCard(row.code, row.pieces, part, stages, go)


def release(look: Look) -> cards.ChoiceCard:
    """Handle, pack or use, with when each would be time, and what goes with food and allergies."""
    open_batch(look)
    choices = [(r.value, text.release_words(look, r)) for r in Release]
    return cards.ChoiceCard(f"{look.standing.row.code}: you say it", choices, _eaten_from(look))


def _eaten_from(look: Look) -> list[str]:
    """What goes with food and allergies."""
    finishes = {c.finish.name: c.finish for c in look.standing.fold.coats}.values()
    found = [h for f in finishes for h in f.hazards if h in (Hazard.FOOD, Hazard.NUT_OIL)]
    return [c.text for c in hazards(found)]


def leave(look: Look) -> cards.NoteCard:
    """Closing, with what is still open said first."""
    open_batch(look)
    heed = []
    if look.progress.next is not None:
        heed.append(f"not finished: {record.next_line(look.progress, look.now, look.zone)}")
    elif not look.progress.may(Release.PACK):
        heed.append("not yet ready to be packed")
    elif not look.progress.may(Release.USE):
        heed.append(text.release_words(look, Release.USE))
    heed += _eaten_from(look)
    return cards.NoteCard(f"{look.standing.row.code}: close it, it leaves the bench", "Close it", heed)


def undo(look: Look) -> Entry:
    """The newest entry that holds."""
    newest = record.undoable(look.standing)
    if newest is None:
        raise BadInput("undo", look.standing.row.code, "a batch with an entry to undo")
    return newest


def void(look: Look, number: int | None) -> Entry:
    """An entry by number. BadInput if it holds no more."""
    found = next((e for e in look.standing.entries if e.number == number), None)
    if found is None or found.number in voided(look.standing):
        raise BadInput("entry", number, "an entry of the record that still holds")
    return found


def put_right(shop: Shop, look: Look, clock: Clock, number: int | None) -> PutRight:
    """An entry by number, as it stands, to be put right; also of a closed batch."""
    if number is None:
        raise BadInput("entry", number, "an entry of the record that still holds")
    kept, batch = correctable(look.standing, number), look.standing.batch
    entry, wiped = kept.entry, False
    choices: tuple[tuple[int, str], ...] = ()
    if isinstance(entry, CoatEntry):
        step = batch.schedule.steps[entry.step]
        choices = cans.choices(shop, step.finish or "", emptied=True)
        wiped = allowed.wiped_off(batch.schedule, entry.step)
    return PutRight(
        look.standing.row.code,
        f"{short_time(entry.at, look.zone, look.now)}: {words(look.standing, entry, look.settings.units)}",
        kept,
        zone=look.zone,
        system=look.settings.units,
        clock=clock,
        cans=choices,
        wiped=wiped,
        places=[place.name for place in shop.rack(look.now).places],
    )


def taken_back(look: Look, entry: Entry) -> cards.Sure:
    """As `sure`; of a correction it says what holds again."""
    correction = record.correction_by(look.standing, entry.number)
    return sure(
        look, entry, "" if correction is None else f" Entry {correction.voids}, which it corrected, holds again."
    )


def sure(look: Look, entry: Entry, more: str = "") -> cards.Sure:
    """What would be voided in words, and what becomes of it."""
    said = f"{short_time(entry.at, look.zone, look.now)}: {words(look.standing, entry, look.settings.units)}"
    stays = f"The entry stays in the record, marked void.{more}"
    if split.is_split(entry):
        stays = "All pieces become one batch again; the entries of the other stay, marked void."
    return cards.Sure(f"{look.standing.row.code}: void entry {entry.number}?", "Void it", [said, stays])


def open_batch(look: Look) -> None:
    """BadInput for a closed batch."""
    if look.progress.closed is not None:
        raise BadInput("batch", look.standing.row.code, "an open batch; this one is closed")
