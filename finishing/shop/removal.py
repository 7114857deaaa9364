"""Taking away one of the maker's own finishes, schedules or woods: what stands against it, and where the file goes."""

from __future__ import annotations

import os
from pathlib import Path

from finishing.errors import BadInput, StoreTrouble
from finishing.library import Kind, Library
from finishing.library.kinds import slug
from finishing.shop.own import own_file
from finishing.shop.shop import Shop, Standing
from finishing.store import cans

ASIDE = "removed"
"""Folder, beside the maker's own, that what is taken away goes to."""

MOST_NAMED = 4


def stands_in(kind: Kind, name: str) -> bool:
    """Whether the program has one of that name itself, which then comes back."""
    shipped = Library()
    if kind is Kind.SPECIES:
        return any(slug(wood.name) == slug(name) for wood in shipped.woods())
    return name in (shipped.finish_names if kind is Kind.FINISH else shipped.schedule_names)


def users(shop: Shop, kind: Kind, name: str, now: float) -> list[str]:
    """What could not do without it, in words: open batches, schedules, cans on the shelf."""
    if stands_in(kind, name):
        return []
    batches = [s.row.code for s in shop.rack(now).standings.values() if _goes_by(s, kind, name)]
    found = [_named("open batch", "open batches", batches)]
    if kind is Kind.FINISH:
        schedules = [schedule.name for schedule in shop.library.schedules() if name in schedule.finishes]
        found.append(_named("schedule", "schedules", schedules))
        with shop.store.read() as r:
            held = [str(row.id) for row in cans.on_shelf(r) if row.can.finish == name]
        found.append(_named("can", "cans", held))
    return [words for words in found if words]


def _goes_by(standing: Standing, kind: Kind, name: str) -> bool:
    if kind is Kind.SCHEDULE:
        return standing.row.schedule == name
    if kind is Kind.FINISH:
        return name in standing.batch.finishes
    return any(slug(wood.name) == slug(name) for wood in standing.batch.woods)


def _named(one: str, several: str, names: list[str]) -> str:
    if not names:
        return ""
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return f"{one if len(names) == 1 else several} {', '.join(names[:MOST_NAMED])}{more}"


def what_follows(shop: Shop, kind: Kind, name: str, now: float) -> str:
    """What taking it away comes to, in words. BadInput when it is not the maker's own, or still in use."""
    if not own_file(shop.home, kind, name).exists():
        raise BadInput(kind.value, name, "one of your own")
    using = users(shop, kind, name, now)
    if using:
        raise BadInput(kind.value, name, "one that nothing uses any more", f"in use: {'; '.join(using)}")
    if stands_in(kind, name):
        return f"the program's own {kind.value} of that name is used again; open batches keep what they began with"
    return "nothing that is open uses it; batches that are closed keep what they began with"


def remove(shop: Shop, kind: Kind, name: str, now: float) -> str:
    """Put the file of one of the maker's own aside; says where. BadInput as for `what_follows`."""
    what_follows(shop, kind, name, now)
    file = own_file(shop.home, kind, name)
    folder = shop.home / ASIDE / kind.folder
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        target = _free(folder / file.name)
        os.replace(file, target)
    except OSError as problem:
        raise StoreTrouble(f"{file}: can't be put aside ({problem.strerror})", "nothing was changed") from problem
    shop.library = Library(own=shop.home)
    return f"{name}: taken away; its file is kept in {target}"


def _free(path: Path) -> Path:
    number = 2
    free = path
    while free.exists():
        free, number = path.with_name(f"{path.stem}-{number}{path.suffix}"), number + 1
    return free
