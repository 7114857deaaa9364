"""What every recording command does around its one act: open, record, and say what is next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from finishing.cli.context import open_shop
from finishing.cli.text import say, say_json
from finishing.clock import now_hour
from finishing.cure.cautions import Caution
from finishing.moments import parse_when, which
from finishing.shop import told
from finishing.shop.record import next_line
from finishing.shop.sheets import next_views, record_view
from finishing.shop.shop import Shop
from finishing.shop.views import View, caution_view
from finishing.units import spoken

Act = Callable[[Shop, float], str]
"""Records something at the shop's present hour and says what."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked back, a line each, and its keys in JSON."""

    lines: tuple[str, ...]
    view: View


def put(code: str, as_json: bool, act: Act, *, heed: str = "", cautions: Sequence[Caution] = ()) -> None:
    """Record something about a batch, then say what was recorded and what is next."""
    now = now_hour()
    with open_shop(now) as shop:
        put_in(shop, now, code, as_json, act, heed=heed, cautions=cautions)


def put_in(
    shop: Shop,
    now: float,
    code: str,
    as_json: bool,
    act: Act,
    *,
    heed: str = "",
    cautions: Sequence[Caution] = (),
    asked: Callable[[], Question | None] | None = None,
) -> None:
    """As `put`, in a shop that is open. heed: how the step stood; cautions: of the work just done.

    asked: a question back, once it is recorded; None where this act never has one.
    """
    before = shop.standing(code, now).row.last_number
    said = act(shop, now)
    standing, zone = shop.standing(code, now), shop.settings.zone
    why = shop.reasons(code, now)
    p = standing.progress(now)
    about = [c for c in cautions if c not in p.cautions]
    question = None if asked is None else asked()
    new = [recorded for recorded in standing.row.record if recorded.entry.number > before]
    if as_json:
        following = next_views(p, why, now, zone)
        following["cautions"] = [caution_view(c) for c in about] + following["cautions"]
        say_json(
            {
                "batch": code,
                "said": said,
                "heed": heed or None,
                "recorded": record_view(standing, new, zone),
                **following,
                **({} if asked is None else {"surprise": question and question.view}),
            }
        )
        return
    say(said)
    if twice := {which(recorded.entry.at, zone) for recorded in new} - {""}:
        say(f"  of the hour that comes twice: {', '.join(sorted(twice))}")
    if heed:
        say(f"  {heed}")
    for line in question.lines if question is not None else ():
        say(f"? {line}")
    for caution in [*about, *p.cautions]:
        if caution.urgent or caution in cautions:  # of the work just done all, as the coat still lies wet
            words = told.words(caution, shop, code, before, now)
            if words:
                say(f"! {spoken(words, shop.settings.units)}")
    if p.closed is None:
        say(f"next: {next_line(p, now, zone)}")
        for line in why:
            say(f"  {line}")


def doubted(shop: Shop, code: str, now: float) -> Question | None:
    """What to ask back where a touch test doesn't go with all others."""
    from finishing.shop.learning.doubt import doubt, doubt_view

    found = doubt(shop, code, now)
    view = doubt_view(found)
    if found is None or view is None:
        return None
    ways = (
        f"it counts as found; if it tells nothing of the finish: finishing learned exclude {found.test}",
        f"if it was a slip: finishing record void {code} {found.test}",
    )
    return Question((found.words(), *ways), view)


def at_hour(shop: Shop, text: str | None, now: float) -> float | None:
    """The hour typed with --at, in the shop's zone; None when it is just now."""
    return None if text is None else parse_when(text, "--at", shop.settings.zone, now)
