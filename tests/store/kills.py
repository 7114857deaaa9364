"""What is done to a record while the process that does it is killed, and what must hold afterwards.

Each work runs in a process of its own that says on a pipe what was acknowledged to the maker; it is killed with
SIGKILL at a random moment, which nothing in it can catch. That a disk keeps what it says it has written is not tested.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from finishing.cure.outlook import UsualDay
from finishing.exchange.readings import read_log
from finishing.shop import batches, keeping, left_out, notes, places, record
from finishing.shop.drafts import NewBatchDraft, StepDraft
from finishing.shop.plan import kept as kept_plan
from finishing.shop.plan.make import make
from finishing.shop.shop import Shop
from finishing.store import Location, Store, at_file, schema
from finishing.store.kept import all_kept, folder_of
from finishing.store.sound import examine

NOW = 490_000.25
CODE = "K-1"
ROWS = 20_000
FILE = "finishing.db"
FOR_EVER = 10**9

Acknowledge = Callable[[object], None]


@dataclass
class Tally:
    """What a work came to. halves: what should be whole or absent and was neither; unsound: files failing a check."""

    work: str
    kills: int = 0
    acknowledged: int = 0
    lost: int = 0
    whole: int = 0
    absent: int = 0
    halves: int = 0
    unsound: list[str] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        """Whether nothing went wrong."""
        return not (self.lost or self.halves or self.unsound)

    def checked(self, file: Path) -> None:
        """Examine a file and note what is wrong with it."""
        self.unsound += examine(file).problems

    def either(self, found: object, absent: object, whole: object) -> None:
        """Count a state that must be one of two."""
        self.whole += found == whole
        self.absent += found == absent
        self.halves += found not in (whole, absent)


def strike(work: Callable[[Acknowledge], None], seconds: float) -> list[str]:
    """Run a work in a process, kill it so many seconds later, and return what it had acknowledged."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reads)
        _be(lambda: work(lambda said: os.write(writes, f"{said}\n".encode()) and None))
    os.close(writes)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    _ended(child)
    with os.fdopen(reads, encoding="utf-8") as lines:
        return [line[:-1] for line in lines if line.endswith("\n")]


def duration(work: Callable[[Acknowledge], None]) -> float:
    """Seconds a work takes when nobody kills it."""
    begun = time.monotonic()
    child = os.fork()
    if child == 0:
        _be(lambda: work(lambda said: None))
    _ended(child)
    return time.monotonic() - begun


@dataclass
class Fuse:
    """When to kill next: any time up to a little after the work would be done, however busy the machine is by then."""

    long: float
    chance: random.Random

    def burns(self) -> float:
        """Seconds."""
        return self.chance.uniform(0.0, 1.15 * self.long)

    def heed(self, said: list[str]) -> None:
        """Two in five should be killed too late."""
        self.long *= 0.93 if said else 1.05


def struck(
    work: Callable[[Acknowledge], None], anew: Callable[[], object], kills: int, chance: random.Random, tally: Tally
) -> Iterator[list[str]]:
    """Kill a work so many times, each on what `anew` lays out; what was acknowledged before each."""
    anew()
    fuse = Fuse(duration(work), chance)
    for _ in range(kills):
        anew()
        said = strike(work, fuse.burns())
        fuse.heed(said)
        tally.kills += 1
        tally.acknowledged += len(said)
        yield said


def copied(home: Path, there: Path) -> Callable[[], object]:
    """What lays out a copy of a home, in place of what is there."""

    def anew() -> None:
        shutil.rmtree(there, ignore_errors=True)
        shutil.copytree(home, there)

    return anew


def _be(work: Callable[[], None]) -> None:
    """All that a child process is; what goes wrong in it is shown and makes it end with 1."""
    code = 1
    try:
        work()
        code = 0
    finally:
        if code:
            traceback.print_exc()
        os._exit(code)


def _ended(child: int) -> None:
    """Wait for a child that was killed or came to its end. RuntimeError if it failed by itself."""
    _, status = os.waitpid(child, 0)
    if os.WIFEXITED(status) and os.WEXITSTATUS(status):
        raise RuntimeError("the work failed by itself, before it was killed")


@contextmanager
def opened(home: Path) -> Iterator[Shop]:
    """The shop of a folder."""
    shop = Shop.open(NOW, at_file(home / FILE))
    try:
        yield shop
    finally:
        shop.close()


def begin(home: Path) -> Path:
    """A shop with a place and a batch, and a log to read in."""
    with opened(home) as shop:
        places.add_place(shop, "loft", UsualDay(18.0, 22.0, 55.0, 45.0), NOW)
        draft = NewBatchDraft("trays", 4, "wiped-varnish-four", "loft", (("hard maple", 0.0),), None, CODE, NOW + 900)
        batches.begin_batch(shop, draft, NOW)
    lines = [f"{1_600_000_000 + 600 * i},{15 + i % 90 / 10},{40 + i % 30}" for i in range(ROWS)]
    (home / "log.csv").write_text("\n".join(["time,temperature (C),humidity (%)", *lines]), encoding="utf-8")
    return home


def ask(file: Path, query: str) -> list[Any]:
    """Rows, past the program."""
    with closing(sqlite3.connect(file)) as plain:
        return plain.execute(query).fetchall()


def dump(file: Path) -> list[str]:
    """Everything in a database."""
    with closing(sqlite3.connect(file)) as plain:
        return list(plain.iterdump())


def recording(home: Path, kills: int, chance: random.Random) -> Tally:
    """Steps, notes and undoings, one after the other: every acknowledged entry must be there, and none half."""
    tally = Tally("recording")

    def work(acknowledge: Acknowledge, turns: int = FOR_EVER) -> None:
        with opened(home) as shop:
            for _ in range(turns):
                before = shop.standing(CODE, NOW).row.last_number
                while shop.standing(CODE, NOW).fold.next(NOW) is None:  # what was killed was never undone
                    record.undo(shop, CODE, NOW)
                record.record_step(shop, StepDraft(CODE), NOW)
                notes.add_note(shop, CODE, "x" * chance.randrange(1, 1500), NOW)
                record.undo(shop, CODE, NOW)
                record.undo(shop, CODE, NOW)
                for number in range(before + 1, shop.standing(CODE, NOW).row.last_number + 1):
                    acknowledge(number)

    seen: set[int] = set()
    long = duration(lambda acknowledge: work(acknowledge, 3))
    for _ in range(kills):
        seen |= {int(number) for number in strike(work, chance.uniform(0.0, 2.0 * long))}
        tally.kills += 1
        there = {row[0] for row in ask(home / FILE, "SELECT id FROM entry")}
        tally.lost += len(seen - there)
        tally.halves += there != set(range(1, len(there) + 1))
        tally.checked(home / FILE)
    tally.acknowledged = len(seen)
    return tally


def planning(home: Path, kills: int, chance: random.Random) -> Tally:
    """A plan kept and a step pinned, again and again: what is there is the last acknowledged or the one after it."""
    tally = Tally("planning")
    last = 0  # turns begun

    def work(acknowledge: Acknowledge, turns: int = FOR_EVER) -> None:
        with opened(home) as shop:
            for turn in range(last + 1, last + 1 + turns):
                made = make(shop, NOW + turn, seconds=0.0, fresh=True)
                kept_plan.keep(shop, made.asked.problem, made.outcome.schedule, NOW + turn)
                kept_plan.pin(shop, CODE, 0, NOW + turn, NOW + turn)
                acknowledge(turn)

    with opened(home) as shop:  # once here, so that what it imports need not be imported by each that is killed
        make(shop, NOW, seconds=0.0, fresh=True)
    long = duration(lambda acknowledge: work(acknowledge, 3))
    last = acknowledged = 3
    for _ in range(kills):
        said = [int(line) for line in strike(work, chance.uniform(0.0, 2.0 * long))]
        tally.kills += 1
        tally.acknowledged += len(said)
        acknowledged = max([acknowledged, *said])
        with opened(home) as shop:
            plan, pins = kept_plan.plan(shop), kept_plan.pins(shop)
        at, pinned = NOW if plan is None else plan.made_at, pins.get(CODE, {}).get(0, NOW)
        tally.lost += at < NOW + acknowledged or pinned < NOW + acknowledged
        tally.halves += plan is not None and CODE not in plan.begins
        last = max(acknowledged, round(at - NOW))  # a plan may be kept and the kill come before its pin
        tally.checked(home / FILE)
    return tally


def importing(home: Path, kills: int, chance: random.Random) -> Tally:
    """A log read in: all its readings are there, or none; all, if that was acknowledged."""
    tally = Tally("importing")
    there = home.with_name("importing")

    def work(acknowledge: Acknowledge) -> None:
        with opened(there) as shop:
            log = read_log(there / "log.csv", zone="UTC")
            places.import_log(shop, "loft", there / "log.csv", log, NOW)
            acknowledge("imported")

    for said in struck(work, copied(home, there), kills, chance, tally):
        [found] = ask(there / FILE, "SELECT (SELECT count(*) FROM reading), (SELECT total(added) FROM log_import)")
        tally.either(found, (0, 0), (ROWS, ROWS))
        tally.lost += bool(said) and found != (ROWS, ROWS)
        tally.checked(there / FILE)
    return tally


def leaving_out(home: Path, kills: int, chance: random.Random) -> Tally:
    """A log's readings left out: all stand where they stood, or all among those left out; not one anywhere else."""
    tally = Tally("leaving readings out")
    there, full = home.with_name("leaving"), home.with_name("full")
    copied(home, full)()
    log = read_log(home / "log.csv", zone="UTC")
    with opened(full) as shop:
        places.import_log(shop, "loft", full / "log.csv", log, NOW)

    def work(acknowledge: Acknowledge) -> None:
        with opened(there) as shop:
            left_out.leave_log_out(shop, "loft", there / "log.csv", log, NOW)
            acknowledge("left out")

    tables = [f"(SELECT {what} FROM {name})" for name, what in (
        ("reading", "count(*)"), ("left_reading", "count(*)"), ("leaving", "total(readings)"))]  # fmt: skip
    for said in struck(work, copied(full, there), kills, chance, tally):
        [found] = ask(there / FILE, f"SELECT {', '.join(tables)}")
        tally.either(found, (ROWS, 0, 0), (0, ROWS, ROWS))
        tally.lost += sum(found[:2]) != ROWS or (bool(said) and found[0] != 0)
        tally.checked(there / FILE)
    return tally


def migrating(home: Path, kills: int, chance: random.Random) -> Tally:
    """A file of the first layout brought up to date: it is of the one or of the other, with all that was in it."""
    tally = Tally("migrating")
    there, old = home.with_name("migrating"), home.with_name("old.db")
    shutil.copy(released("0001", old.with_name("first.db")), old)
    queries = [f"SELECT * FROM {table} ORDER BY 1, 2" for table in ("batch", "entry", "reading", "frozen", "can")]
    held = [ask(old, query) for query in queries]

    def work(acknowledge: Acknowledge) -> None:
        Store.open(at_file(there / FILE), NOW).close()
        acknowledge("migrated")

    def anew() -> None:
        shutil.rmtree(there, ignore_errors=True)
        there.mkdir()
        shutil.copy(old, there / FILE)

    schema.known()  # imports what migrates, as above
    for said in struck(work, anew, kills, chance, tally):
        found = ask(there / FILE, "SELECT version_num FROM alembic_version")[0][0]
        tally.either(found, "0001", schema.HEAD)
        tally.lost += [ask(there / FILE, query) for query in queries] != held or (bool(said) and found != schema.HEAD)
        tally.checked(there / FILE)
        for kept in all_kept(there / "backups"):
            tally.checked(kept.file)
    return tally


def restoring(home: Path, kills: int, chance: random.Random) -> Tally:
    """A backup put back: the record is the one or the other, and the one that was replaced is kept whole."""
    tally = Tally("backing up and restoring")
    there = home.with_name("restoring")
    location = Location(there, at_file(there / FILE).url)
    saved = home.with_name("saved.db")
    with opened(home) as shop:
        keeping.back_up(shop, saved, NOW)
        notes.add_note(shop, CODE, "after the backup", NOW)
    old, new = dump(home / FILE), dump(saved)

    def work(acknowledge: Acknowledge) -> None:
        with opened(there) as shop:
            keeping.back_up(shop, None, NOW)
        keeping.restore(saved, NOW, location)
        acknowledge("restored")

    for said in struck(work, copied(home, there), kills, chance, tally):
        found = dump(there / FILE)
        tally.either(found, old, new)
        tally.lost += bool(said) and found != new
        tally.checked(there / FILE)
        backups = all_kept(folder_of(location))
        tally.lost += found == new and not any(k.why == "replaced" and dump(k.file) == old for k in backups)
        for kept in backups:
            tally.checked(kept.file)
    return tally


def released(revision: str, file: Path) -> Path:
    """A file of a released layout with something in every table, from its SQL as it was then."""
    script = Path(__file__).with_name("released") / f"{revision}.sql"
    with closing(sqlite3.connect(file)) as plain:
        plain.executescript(script.read_text(encoding="utf-8"))
    return file


WORKS = {"recording": recording, "importing": importing, "leaving-out": leaving_out, "planning": planning,
         "migrating": migrating, "restoring": restoring}  # fmt: skip
