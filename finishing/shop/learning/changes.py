"""What a touch test changed, beyond its own batch: what was learned, and which other steps it moves."""

from __future__ import annotations

from dataclasses import dataclass

from finishing.cure.coat import ShopFactor
from finishing.cure.finish import Finish
from finishing.cure.terms import Extractives
from finishing.shop.learning.words import interval_words
from finishing.shop.shop import Shop
from finishing.shop.words import class_words, shop_words, short_time

SHOWN = 3
"""So many other batches are named."""


@dataclass(frozen=True, slots=True)
class Before:
    """How things stood: what was known of a finish, and when the next step of each open batch could be counted on."""

    factor: ShopFactor
    opens: dict[str, float | None]


def before(shop: Shop, finish: Finish, now: float) -> Before:
    """As of now."""
    return Before(shop.rack(now).learned.factor(finish), _opens(shop, now))


def changes(shop: Shop, finish: Finish, code: str, was: Before, now: float) -> str:
    """What changed since, in words; "" if nothing did."""
    factor = shop.rack(now).learned.factor(finish)
    said = []
    if factor.ln_sd is not None and factor != was.factor:
        old = 1.0 if was.factor.ln_sd is None else was.factor.factor
        moved = f"; it was ×{old:.2f}" if f"{old:.2f}" != f"{factor.factor:.2f}" else ""
        if was.factor.ln_sd is None:
            moved += _from_now_on(shop, finish, now)
        said.append(
            f"{finish.title} in {shop_words(factor)[0]}{moved}{_with_its_woods(shop, finish, code, factor, now)}"
        )
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
