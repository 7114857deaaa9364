"""What a touch test changed, beyond its own batch: what was learned, and which other steps it moves."""

from __future__ import annotations

import math
from dataclasses import dataclass

from finishing.cure.coat import ShopFactor
from finishing.cure.finish import Finish
from finishing.cure.learn import Lessons
from finishing.cure.learn.posterior import class_of
from finishing.cure.terms import Extractives
from finishing.shop.learning.words import interval_words
from finishing.shop.shop import Shop
from finishing.shop.words import class_words, shop_words, short_time

NOTICED = 0.005
"""In ln(factor): what shows in the second decimal."""

SHOWN = 3
"""So many other batches are named."""


@dataclass(frozen=True, slots=True)
class Before:
    """How things stood: what was known of a finish, and when the next step of each open batch could be counted on."""

    factor: ShopFactor
    opens: dict[str, float | None]
    lessons: Lessons | None = None


def before(shop: Shop, finish: Finish, now: float) -> Before:
    """As of now."""
    learned = shop.rack(now).learned
    return Before(learned.factor(finish), _opens(shop, now), learned.about(finish))


def changes(shop: Shop, finish: Finish, code: str, was: Before, now: float) -> str:
    """What changed since, in words; "" if nothing did."""
    factor = shop.rack(now).learned.factor(finish)
    said = []
    if factor != was.factor and (factor.moves or was.factor.moves):
        old, new = ("as stated" if not f.moves else f"×{f.factor:.2f}" for f in (was.factor, factor))
        moved = f"; it was {old}" if old != new else ""
        if not was.factor.moves:
            moved += _from_now_on(shop, finish, now)
        found = shop_words(factor)[0] if factor.ln_sd is not None else "this shop as stated: too few coats are left"
        said.append(f"{finish.title} in {found}{moved}{_with_its_woods(shop, finish, code, factor, now)}")
    said += _against(shop, finish, code, was, now)
    zone = shop.settings.zone
    later = [
        f"{other} {_when(hour, zone, now)}, was {_when(was.opens[other], zone, now)}"
        for other, hour in _opens(shop, now).items()
        if other != code and other in was.opens and _when(hour, zone, now) != _when(was.opens[other], zone, now)
    ]
    if later:
        more = f" and {len(later) - SHOWN} more" if len(later) > SHOWN else ""
        said.append(f"It moves {'; '.join(later[:SHOWN])}{more}")
    return ". ".join(said)


def _against(shop: Shop, finish: Finish, code: str, was: Before, now: float) -> list[str]:
    """Why a "tacky" made it faster, or a "dry" slower: what it told before is read anew."""
    lessons = shop.rack(now).learned.about(finish)
    on = [i for i, o in enumerate(lessons.observations) if o.batch == code and o.tests]
    if not on or was.lessons is None:
        return []
    newest = max(on, key=lambda i: lessons.observations[i].at)
    seen = lessons.observations[newest]
    rose = lessons.woods(class_of(seen)).mean - was.lessons.woods(class_of(seen)).mean
    if abs(rose) < NOTICED or (rose > 0.0) is math.isinf(seen.high):
        return []
    if not any(one.shop_factor().on(seen.woods).moves for one in (lessons, was.lessons)):
        return []
    if rose > 0.0 and any(o.entry == seen.entry and o.never > 0.0 for o in was.lessons.observations):
        return [f"Coat {seen.coat} hardened after all: so it was slow, where it might have been one that never does"]
    return [f"Coat {seen.coat} is now so far from the others that it counts for less than it did"]


def _from_now_on(shop: Shop, finish: Finish, now: float) -> str:
    """Which coats count from now on, those felt earlier too: a second one lets what the first taught move dates."""
    seen = shop.rack(now).learned.about(finish).observations
    coats = [f"{o.batch} coat {o.coat} {interval_words(o)}" for o in seen[-SHOWN:]]
    return f"; counting from now on: {', '.join(coats)}" if len(seen) > 1 else ""


def _with_its_woods(shop: Shop, finish: Finish, code: str, factor: ShopFactor, now: float) -> str:
    """The factor on the woods of the batch that was felt, where they have one of their own: its windows go by that."""
    standing = shop.rack(now).standings.get(code)
    coats = [coat for coat in standing.fold.coats if coat.finish.name == finish.name] if standing else []
    woods = coats[-1].factors.species.extractives if coats else Extractives.NONE
    own = factor.on(woods)
    return f"; on {class_words(woods)}, as these, ×{own.factor:.2f}" if own.with_wood else ""


def _opens(shop: Shop, now: float) -> dict[str, float | None]:
    steps = {code: standing.fold.next(now) for code, standing in shop.rack(now).standings.items()}
    return {code: step.opens for code, step in steps.items() if step is not None and step.waits_on is not None}


def _when(hour: float | None, zone: str, now: float) -> str:
    if hour is None:
        return "no date"
    return "now" if hour <= now else short_time(hour, zone, now)
