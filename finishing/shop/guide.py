"""The pass guide: one coating session of one batch, kept after every press, that leaves its entries at the end."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from typing import Any

from finishing.clock import at_zone
from finishing.codes import natural
from finishing.cure.session import Plan
from finishing.cure.session_run import Do, Press, Run, replay
from finishing.cure.terms import StepKind
from finishing.cure.work import Entry, StepEntry
from finishing.errors import BadInput, StoreTrouble
from finishing.shop import record
from finishing.shop.drafts import StepDraft
from finishing.shop.guide_plan import prepare
from finishing.shop.shop import Shop
from finishing.shop.split import SplitDraft, free_part, split
from finishing.shop.words import step_words
from finishing.store import Conflict, entries, guides
from finishing.store.kinds import NoteEntry

FORMAT = 1
"""Raised when what is kept changes its meaning."""


@dataclass(frozen=True, slots=True)
class Guide:
    """A running guide: of which batch and coat step, its plan, and everything it was told."""

    code: str
    position: int
    plan: Plan
    presses: tuple[Press, ...]

    def run(self) -> Run:
        """How far it is."""
        return replay(self.plan, self.presses)


@dataclass(frozen=True, slots=True)
class Used:
    """What the maker types at the end: finish really used on all pieces [mL], number of the can, a note."""

    amount_ml: float | None = None
    can: int | None = None
    note: str = ""


def resume(shop: Shop, code: str) -> Guide | None:
    """The running guide of a batch, None if there is none. StoreTrouble if it can't be read."""
    with shop.store.read() as r:
        body = guides.load(r, code)
    return None if body is None else _thaw(code, body)


def running(shop: Shop) -> tuple[Guide, ...]:
    """Every running guide, by batch. One that can't be read is left out: `resume` says what is wrong with it."""
    with shop.store.read() as r:
        bodies = guides.load_all(r)
    found: list[Guide] = []
    for code, body in bodies.items():
        try:
            found.append(_thaw(code, body))
        except StoreTrouble:
            continue
    return tuple(sorted(found, key=lambda guide: natural(guide.code)))


def begin(shop: Shop, code: str, position: int | None, now: float) -> Guide:
    """Start a session with its first pass. BadInput if the coat can't go on, or a guide of the batch is running."""
    prepared = prepare(shop, code, position, now)
    record.ready_coat(shop, StepDraft(prepared.code, prepared.position), now)
    guide = Guide(prepared.code, prepared.position, prepared.plan, (Press(Do.START, now),))
    with shop.store.write() as w:
        if guides.claim(w, guide.code) is not None:
            raise BadInput("guide", guide.code, "a batch with no guide running; open that one, or give it up")
        guides.keep(w, guide.code, _freeze(guide), now)
        w.commit()
    return guide


def press(shop: Shop, code: str, do: Do, now: float, seen: int | None = None) -> Guide:
    """Note one thing told. seen: how many had been told when the maker looked; Conflict if it was told more since.

    BadInput for what can't be now. It is on disk when this returns.
    """

    def told(guide: Guide) -> tuple[Press, ...]:
        run = guide.run()
        run.apply(Press(do, now))
        return (*guide.presses, Press(do, run.last))

    return _change(shop, code, now, seen, told)


def take_back(shop: Shop, code: str, now: float, seen: int | None = None) -> Guide:
    """Take back the last thing told; the start stays (give the guide up instead)."""

    def fewer(guide: Guide) -> tuple[Press, ...]:
        if len(guide.presses) < 2:
            raise BadInput("guide", code, "something told since the start")
        return guide.presses[:-1]

    return _change(shop, code, now, seen, fewer)


def _change(shop: Shop, code: str, now: float, seen: int | None, change: Callable[[Guide], tuple[Press, ...]]) -> Guide:
    with shop.store.write() as w:
        guide = _still(code, guides.claim(w, code), seen)
        guide = Guide(guide.code, guide.position, guide.plan, change(guide))
        guides.keep(w, code, _freeze(guide), now)
        w.commit()
    return guide


def _still(code: str, body: Any, seen: int | None) -> Guide:
    """The guide, if it is there and as the maker saw it."""
    if body is None:
        raise BadInput("guide", code, "a batch with a guide running; this one ended elsewhere or never began")
    guide = _thaw(code, body)
    if seen is not None and len(guide.presses) != seen:
        raise Conflict(f"the guide of {code} went on elsewhere", "look again, then repeat")
    return guide


def finish(shop: Shop, code: str, used: Used, now: float) -> str:
    """End a session: coat, wipe-off and a note of how it went go on record at once, and the guide is over.

    The coat's time is when the last piece was coated: no piece is then called ready too early. One piece never wiped
    makes it a coat not wiped back, as slow as that piece. Pieces that got no finish go to a batch of their own first,
    where the coat is still to be put on. BadInput while the session goes on, or rags lie about.
    """
    guide = resume(shop, code)
    if guide is None:
        raise BadInput("guide", code, "a batch with a guide running")
    run = guide.run()
    if run.ended is None:
        raise BadInput("guide", code, "a session that is over")
    _rags_safe(run)
    record.ready_coat(shop, StepDraft(code, guide.position), now)  # one that can't go on at all says so first
    parted = _part_bare(shop, code, run, now)
    draft = StepDraft(
        code, guide.position, min(run.coated[-1], now), used.amount_ml, wiped_back=not run.left, can=used.can
    )
    batch, coat, can = record.ready_coat(shop, draft, now)
    new: list[Entry] = [replace(coat, minutes_each=_each(run.coat_hours, len(run.coated)))]
    after = guide.position + 1
    if run.wiped and not run.left and batch.batch.schedule.steps[after].kind is StepKind.WIPE:
        wiped = max(min(max(run.wiped.values()), now), coat.at)
        new.append(StepEntry(0, wiped, after, _each(run.wipe_hours, len(run.wiped))))
    words = run_words(run, shop.settings.zone, now)
    new.append(_note(words, used.note, now))
    _end(shop, code, len(guide.presses), new, now, can=can, expect=batch.row.last_number)
    said = f"{code}: {step_words(batch.batch.schedule, guide.position)}, on record{parted}"
    return f"{said}; {_next(shop, code, now)}"


def _part_bare(shop: Shop, code: str, run: Run, now: float) -> str:
    """Split the pieces off that the session never coated; says where they are, "" if there is none.

    By the pieces the batch has now: a split whose coat did not go on record with it is not made again.
    """
    bare = shop.standing(code, now).row.pieces - len(run.coated)
    if bare <= 0:
        return ""
    part = free_part(shop, code)
    split(shop, SplitDraft(code, bare, part, note=f"no finish on these yet when {code} was coated"), now)
    return f" for {len(run.coated)}; not coated: {bare}, now {part}"


def _each(hours: float, pieces: int) -> float | None:
    """Minutes a piece; None where nothing was timed."""
    return round(hours * 60.0 / pieces, 3) if pieces and hours > 0.0 else None


def _next(shop: Shop, code: str, now: float) -> str:
    return f"next: {record.next_line(shop.standing(code, now).progress(now), now, shop.settings.zone)}"


def abandon(shop: Shop, code: str, now: float, reason: str = "") -> str:
    """Give a guide up. Only a note of how far it was goes on record. BadInput while rags lie about."""
    batch = shop.standing(code, now)
    with shop.store.read() as r:
        body = guides.load(r, code)
    if body is None:
        raise BadInput("guide", code, "a batch with a guide running")
    seen: int | None = None
    try:
        guide = _thaw(code, body)
        seen, run = len(guide.presses), guide.run()
        _rags_safe(run)
        words = f"pass guide of {step_words(batch.batch.schedule, guide.position)} given up: {_counts(run)}"
    except StoreTrouble as trouble:  # giving it up is the way out of a guide that can't be read
        words = f"pass guide given up: {trouble.message}"
    _end(shop, code, seen, [_note(words, reason, now)], now)
    return f"{code}: guide given up; its note is on record, no coat is"


def _note(words: str, typed: str, now: float) -> NoteEntry:
    if len(typed) > record.LONGEST_NOTE:
        raise BadInput("note", f"{len(typed):,} characters", f"no more than {record.LONGEST_NOTE:,} characters")
    return NoteEntry(0, now, f"{words}. {typed.strip()}" if typed.strip() else words)


def _end(
    shop: Shop,
    code: str,
    seen: int | None,
    new: list[Entry],
    now: float,
    *,
    can: int | None = None,
    expect: int | None = None,
) -> None:
    """Entries (the can for the first) and the guide's end in one transaction; refused if either went on meanwhile."""
    batch = shop.standing(code, now)
    who = shop.settings.maker
    with shop.store.write() as w:
        body = guides.claim(w, code)
        if seen is not None:
            _still(code, body, seen)
        for entry in new:
            entries.add(w, batch.row.id, entry, recorded_at=now, maker=who, can_id=can, expect_last=expect)
            can = expect = None
        guides.drop(w, code)
        w.commit()
    shop.forget()


def _rags_safe(run: Run) -> None:
    if run.rags_due:
        raise BadInput("rags", "not said to be safe", "the rags under water in a lidded can, or spread out, first")


def run_words(run: Run, zone: str, now: float) -> str:
    """How a session went, for the record: counts, hands-on minutes per piece, what was late or left."""
    begun, ended = at_zone(run.begun[0], zone), at_zone(run.last if run.ended is None else run.ended, zone)
    form = "HH:mm" if begun.date() == ended.date() == at_zone(now, zone).date() else "D MMM HH:mm"  # read years later
    said = [
        f"pass guide {begun.format(form)} to {ended.format(form)}: {_counts(run)}, passes {len(run.begun)}",
        f"coating {run.coat_hours * 60 / max(len(run.coated), 1):.1f} min a piece",
    ]
    if run.wiped:
        said.append(f"wiping {run.wipe_hours * 60 / len(run.wiped):.1f} min a piece")
    said.append(f"hands-on {(run.coat_hours + run.wipe_hours) * 60:.0f} min")
    for number, words in ((len(run.late), "wiped late"), (len(run.left), "left unwiped")):
        if number:
            said.append(f"{number} {words}")
    return "; ".join(said)


def _counts(run: Run) -> str:
    done = f"{len(run.coated)} of {run.plan.pieces} pieces coated"
    return done if run.plan.wipe_minutes is None else f"{done}, {len(run.wiped)} wiped"


def _freeze(guide: Guide) -> dict[str, Any]:
    plan = {**asdict(guide.plan), "sizes": list(guide.plan.sizes)}
    presses = [[p.do.value, p.at] for p in guide.presses]
    return {"format": FORMAT, "position": guide.position, "plan": plan, "presses": presses}


def _thaw(code: str, body: Any) -> Guide:
    """StoreTrouble for what this program did not write, or a later one."""
    try:
        if body["format"] != FORMAT:
            raise ValueError(f"format {body['format']!r}")
        plan = Plan(**{**body["plan"], "sizes": tuple(body["plan"]["sizes"])})
        guide = Guide(code, int(body["position"]), plan, tuple(Press(Do(do), float(at)) for do, at in body["presses"]))
        guide.run()
    except (KeyError, TypeError, ValueError, BadInput) as error:
        raise StoreTrouble(f"the guide of {code} can't be read ({error})", "give it up, and begin anew") from error
    return guide
