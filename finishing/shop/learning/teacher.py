"""Keeps what was learned up to date: reads the batches touched since the last look, and no other.

Open batches are at hand. Of closed ones only those with a new entry, a test newly left out, looks that a new reading
covers, or looks since readings that were left out or put back are read again; the rest comes from the notebook. At the
first look ever the newest BATCHES tested ones are read, AT_ONCE a look, newest first: what is older has faded, or says
what a thousand others say.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from finishing.clock import SECONDS
from finishing.cure.climate import PlaceAir
from finishing.cure.learn import Learned, Observation, Rules, learn, observations, together
from finishing.cure.progress import folded
from finishing.cure.work import Batch, TestEntry
from finishing.library import Frozen
from finishing.shop import climate
from finishing.shop.frozen import thaw_all
from finishing.shop.learning import notebook as kept
from finishing.shop.learning.kin import Kin, coat_entry, copies, share, split_of, with_kin
from finishing.shop.learning.notebook import Leaf, Notebook
from finishing.store import batches as stored
from finishing.store import entries, lessons
from finishing.store import left_out as leavings
from finishing.store.batches import BatchRow
from finishing.store.lessons import Lesson, LessonKind
from finishing.store.places import PlaceRow
from finishing.store.work import Reader, Store

BATCHES = 1000
AT_ONCE = 100

AS_MANY = 20
"""A notebook that says nothing new is written to its file after so many entries: whoever opens it reads those again."""

SOFT_HOURS = 60 * 24.0
"""Readings come later than looks, when a logger is read out; after so long nobody waits for them."""


BEFORE_HOURS = 24.0
"""So long before a reading the air may be another without it: a bridge or the end of a gap."""


@dataclass(frozen=True, slots=True)
class Look:
    """What a look at the open batches has at hand. newest: number of the newest entry of all, and its hour."""

    newest: tuple[int, float]
    rows: Sequence[BatchRow]
    thawed: Mapping[str, Frozen]
    air: Mapping[str, PlaceAir]
    air_mark: str
    places: Sequence[PlaceRow]
    zone: str
    now: float


class Teacher:
    """What was learned, for one open shop."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._book: Notebook | None = None
        self._key: object = None
        self._learned = learn((), 0.0)
        self._changes = 0
        self._kept = 0

    def learned(self, r: Reader, look: Look, rules: Rules) -> Learned:
        """Everything learned as of a look, the same object as long as nothing changed."""
        said = lessons.standing(r)
        self._read_up(r, look, frozenset(one.test for one in said if one.test is not None), AT_ONCE)
        key = (self._changes, said, int(look.now // 24.0), rules)
        if key != self._key:
            self._learned = learn(together(not_forgotten(self._observations(), said)), look.now, rules)
            self._key = key
        return self._learned

    def read_all(self, r: Reader, look: Look) -> None:
        """Read whatever is still pending, however long it takes."""
        out = frozenset(one.test for one in lessons.standing(r) if one.test is not None)
        self._read_up(r, look, out, BATCHES)

    def afresh(self) -> None:
        """Forget the notebook: the next look reads the record again."""
        kept.drop(self._store.location)
        self._book = None

    def _observations(self) -> list[Observation]:
        assert self._book is not None
        return [o for leaf in self._book.leaves.values() for o in leaf.observations]

    def _read_up(self, r: Reader, look: Look, left_out: frozenset[int], at_once: int) -> None:
        """Bring the notebook up to the record, and keep it where that changed anything."""
        book, wanted = self._begin(r, look)
        newest, stamp = look.newest
        if newest != book.seen:
            wanted |= lessons.batches_since(r, book.seen)
        if look.air_mark != book.air:
            wanted |= {i for i, leaf in book.leaves.items() if leaf.soft}
        wanted |= self._other_air(r, book, at_once)
        before = {number for leaf in book.leaves.values() for number in leaf.left_out}
        wanted |= set(lessons.batches_of(r, before ^ left_out).values()) if before ^ left_out else set()
        changed = bool(wanted) or newest != book.seen or look.air_mark != book.air
        wanted |= set(book.pending[:at_once])
        if not wanted and not changed:
            return
        worth_keeping = bool(book.pending) or look.air_mark != book.air or newest - self._kept >= AS_MANY
        book.pending = book.pending[at_once:]
        book.seen, book.stamp, book.air = newest, stamp, look.air_mark
        if self._take_in(r, look, wanted, left_out, book):
            self._changes += 1
            worth_keeping = True
        if worth_keeping and (book.leaves or book.pending):
            kept.save(self._store.location, book)
            self._kept = newest

    def _other_air(self, r: Reader, book: Notebook, at_once: int) -> set[int]:
        """Batches felt since the first reading that was left out or put back; those too many for one look wait."""
        newest = leavings.newest(r)
        if newest == book.left:
            return set()
        since = leavings.changed_since(r, book.left)
        book.left = newest
        hour = 0.0 if since is None else since / SECONDS - BEFORE_HOURS
        felt = sorted((i for i, leaf in book.leaves.items() if leaf.last >= hour), key=lambda i: -book.leaves[i].last)
        book.pending = [*felt[at_once:], *(i for i in book.pending if i not in felt)]
        return set(felt[:at_once])

    def _begin(self, r: Reader, look: Look) -> tuple[Notebook, set[int]]:
        """The notebook in hand, or from its file if it is of this record, or a new one."""
        if self._book is None:
            self._book = kept.load(self._store.location)
            self._kept = 0 if self._book is None else self._book.seen
            self._changes += 1
        book = self._book
        if book is not None:
            seen = book.seen, book.stamp
            if not book.seen or seen == look.newest or entries.written_at(r, book.seen) == book.stamp:
                return book, set()
        self._changes += 1
        self._book = Notebook(pending=lessons.newest_tested(r, BATCHES))
        self._book.seen, self._book.stamp = look.newest
        self._book.left = leavings.newest(r)
        return self._book, set()

    def _take_in(self, r: Reader, look: Look, ids: set[int], left_out: frozenset[int], book: Notebook) -> bool:
        """Read these batches, and those that splits connect them to; whether any says something else than before."""
        here = {row.id: row for row in look.rows}
        elsewhere = ids - here.keys()
        asked = [here[i] for i in ids if i in here]
        asked += stored.by_ids(r, elsewhere) if elsewhere else []
        kin = with_kin(r, asked, look.rows)
        before = {i: book.leaves.get(i) for i in ids | {row.id for row in kin.values()}}
        rows = [row for row in kin.values() if row.id in here and _tested(row)]
        others = [row for row in kin.values() if row.id not in here and _tested(row)]
        for i in before:
            book.leaves.pop(i, None)
        for row in rows:
            _put(book, row.id, digest(row, look.thawed[row.frozen_key], look.air, left_out, kin, look.now))
        if others:
            since = min(recorded.entry.at for row in others for recorded in row.record)
            air = climate.airs(r, look.places, since, look.zone, look.now)
            thawed = thaw_all(r, {row.frozen_key for row in others})
            for row in others:
                _put(book, row.id, digest(row, thawed[row.frozen_key], air, left_out, kin, look.now))
        if len(book.leaves) > BATCHES:
            for i in sorted(book.leaves, key=lambda i: book.leaves[i].last)[: len(book.leaves) - BATCHES]:
                del book.leaves[i]
        return any(book.leaves.get(i) != leaf for i, leaf in before.items())


def not_forgotten(seen: Iterable[Observation], said: Sequence[Lesson]) -> list[Observation]:
    """Without what came before a reset of its finish."""
    since: dict[str, float] = {}
    for one in said:
        if one.kind is LessonKind.RESET:
            since[one.finish] = max(one.at, since.get(one.finish, 0.0))
    return [o for o in seen if o.at > since.get(o.finish, -1.0)]


def digest(
    row: BatchRow,
    thawed: Frozen,
    air: Mapping[str, PlaceAir],
    left_out: frozenset[int],
    kin: Kin,
    now: float,
) -> Leaf:
    """What the looks at one batch come to. kin: it and the batches that splits connect it to."""
    entries = [recorded.entry for recorded in row.record]
    batch = Batch(
        row.code, thawed.schedule, thawed.finishes, thawed.woods, thawed.classes, row.place, row.pieces, row.size
    )
    fold = folded(batch, entries, air, {}, 0.5)
    mine = tuple(sorted(left_out & {e.number for e in entries}))
    copied, gone = copies(row, kin, left_out)
    found = []
    for o in observations(fold, left_out | gone, copies=copied):
        coat = coat_entry(row, o.entry)
        found.append(replace(o, pieces=share(row, coat.at, kin), split_of=split_of(row, coat, kin)))
    soft = False
    for o in found:
        measured = fold.track.place_at(o.at).measured
        soft = soft or ((measured is None or measured[1] < o.at) and now - o.at < SOFT_HOURS)
    return Leaf(tuple(found), mine, soft)


def _put(book: Notebook, number: int, leaf: Leaf) -> None:
    if leaf.observations or leaf.left_out:
        book.leaves[number] = leaf


def _tested(row: BatchRow) -> bool:
    return any(isinstance(recorded.entry, TestEntry) for recorded in row.record)
