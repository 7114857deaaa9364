"""What a process of its own does to a store in `test_processes`: `... append|write URL BATCH_ID PROCESSES`."""

from __future__ import annotations

import sys
from pathlib import Path

from finishing.cure.work import StepEntry
from finishing.store import Location, Store, entries, settings
from tests.forks import at_once

NOW = 490_000.0
TURNS = 25


def append(store: Store, batch_id: int) -> None:
    """Read, then write what was read: a lost update shows."""
    for _ in range(TURNS):
        with store.write() as w:
            seen, last = entries.entry_count(w, batch_id), entries.last_number(w, batch_id)
            counter = settings.all_settings(w).get("counter", 0)
            entries.add(w, batch_id, StepEntry(0, NOW, seen), recorded_at=NOW, expect_last=last)
            settings.put(w, "counter", counter + 1, NOW)
            w.commit()


def write(store: Store, batch_id: int) -> None:
    """Add entries without end and say each one that is acknowledged."""
    while True:
        with store.write() as w:
            number = entries.add(w, batch_id, StepEntry(0, NOW, 0), recorded_at=NOW)
            w.commit()
        print(number, flush=True)  # noqa: T201


if __name__ == "__main__":
    task, url, batch, processes = sys.argv[1:]

    def one() -> None:
        with Store.open(Location(Path(), url), NOW) as opened:
            {"append": append, "write": write}[task](opened, int(batch))

    if processes == "1":
        one()  # to be killed itself
    else:
        at_once([one] * int(processes))
