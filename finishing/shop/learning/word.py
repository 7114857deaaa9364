"""What a maker says to the learning: leave tests out, begin afresh, take either back. Each is an entry; all stay."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from finishing.cure.coat import Coat
from finishing.cure.finish import Finish
from finishing.errors import BadInput
from finishing.shop.inherited import inherited
from finishing.shop.learning import changes
from finishing.shop.learning.sheet import finish_named
from finishing.shop.shop import Shop
from finishing.store import lessons as stored
from finishing.store.work import Writer

LONGEST_NOTE = 1_000


def exclude(shop: Shop, numbers: Sequence[int], now: float, note: str = "") -> str:
    """Leave touch tests of one finish out, by the numbers of their entries. What they say of their own coat stands.

    BadInput for the number of no touch test that holds, or of one left out already.
    """
    found = {coat.finish.name: coat.finish for coat in (coat_felt(shop, number, now) for number in numbers)}
    if len(found) != 1:
        raise BadInput("test", ", ".join(map(str, numbers)), "touch tests of one finish")
    (finish,) = found.values()

    def put(w: Writer, maker: str) -> None:
        out = {lesson.test for lesson in stored.standing(w)}
        for number in numbers:
            if number in out:
                raise BadInput("test", number, "a touch test that is not left out already")
            stored.exclude(w, finish.name, number, now, maker=maker, note=checked(note))

    words = f"test {numbers[0]}" if len(numbers) == 1 else f"tests {', '.join(map(str, numbers))}"
    return _say(shop, finish, now, f"{words} left out of learning, on record", put)


def reset(shop: Shop, name: str, now: float, note: str = "") -> str:
    """Forget what the tests of a finish up to now taught, as for a new can of another make or a moved shop."""
    finish = finish_named(shop, name, now)

    def put(w: Writer, maker: str) -> None:
        stored.reset(w, finish.name, now, now, maker=maker, note=checked(note))

    return _say(shop, finish, now, f"{finish.title}: begun afresh, on record; the tests stay in the record", put)


def take_back(shop: Shop, number: int, now: float, note: str = "") -> str:
    """Void an exclusion or a reset by its number. BadInput for one that doesn't hold."""
    with shop.store.read() as r:
        said = next((one for one in stored.standing(r) if one.number == number), None)
    if said is None:
        raise BadInput("number", number, "the number of an exclusion or reset that still holds")

    def put(w: Writer, maker: str) -> None:
        stored.void(w, number, now, maker=maker, note=checked(note))

    finish = finish_named(shop, said.finish, now)
    return _say(shop, finish, now, f"{said.kind.value} {number} taken back, on record", put)


def coat_felt(shop: Shop, number: int, now: float) -> Coat:
    """The coat that a touch test was made of. BadInput for the number of no test that holds and was made there."""
    with shop.store.read() as r:
        felt = stored.felt(r, [number]).get(number)
    if felt is not None:
        standing = shop.standing(felt.code, now)
        if number in inherited(standing.entries):
            raise BadInput("test", number, f"its number in the batch {felt.code} was split from: it counts there")
        for coat in standing.fold.coats:
            if any(test.number == number for test in coat.tests):
                return coat
    raise BadInput("test", number, "the number of a touch test on record that was not voided")


def checked(note: str) -> str:
    """A note as it is kept. BadInput for one too long."""
    if len(note) > LONGEST_NOTE:
        raise BadInput("note", f"{len(note):,} characters", f"no more than {LONGEST_NOTE:,} characters")
    return note.strip()


def _say(shop: Shop, finish: Finish, now: float, said: str, put: Callable[[Writer, str], None]) -> str:
    """Put it on record, then say what it changed."""
    was = changes.before(shop, finish, now)
    maker = shop.settings.maker
    with shop.store.write() as w:
        put(w, maker)
        w.commit()
    shop.forget()
    taught = changes.changes(shop, finish, "", was, now)
    return f"{said}. {taught or 'No date moves'}"
