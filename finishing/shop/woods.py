"""Woods as they are typed: what a beginning stands for, and what is to be known of them before there is a batch."""

from __future__ import annotations

from finishing.cure.species import Species
from finishing.cure.terms import Extractives
from finishing.errors import BadFile, NotFound
from finishing.shop.forms import parse_woods
from finishing.shop.shop import Shop

LEAST_LETTERS = 2
"""Letters of a name before the rest of it is offered."""

SLOWING = {Extractives.MODERATE: "slows finishes", Extractives.HIGH: "slows finishes much"}


def completed(shop: Shop, text: str) -> str | None:
    """A line of woods with its last name written out, None where no wood begins so."""
    before, comma, last = text.rpartition(",")
    begun = last.strip().casefold()
    if len(begun) < LEAST_LETTERS:
        return None
    gap = last[: len(last) - len(last.lstrip())]
    woods = shop.library.woods()
    names = [w.name for w in woods] + [alias for w in woods for alias in w.aliases]
    for name in sorted(names, key=lambda name: (len(name), name)):
        if name.casefold().startswith(begun) and len(name) > len(begun):
            return f"{before}{comma}{gap}{last.strip()}{name[len(begun) :]}"
    return None


def remarks(shop: Shop, text: str) -> list[str]:
    """A line for each wood that nobody here knows, and for each that asks for something. BadInput from the shares."""
    said = []
    for name, _ in parse_woods(text):
        try:
            said.append(remark(shop.library.species(name)))
        except NotFound as unknown:
            near = f"; nearest: {', '.join(unknown.nearest)}" if unknown.nearest else ""
            said.append(f"no wood is called {name}{near}")
        except BadFile as problem:
            said.append(str(problem))
    return [line for line in said if line]


def remark(wood: Species) -> str:
    """What one wood asks for, in a line; "" for nothing."""
    words = [SLOWING.get(wood.extractives, "")]
    words.append(f"bleeds {wood.bleeds}" if wood.bleeds else "")
    words.append("its dust sensitises" if {"sensitiser", "asthma"} & set(wood.dust) else "")
    said = ", ".join(word for word in words if word)
    return f"{wood.name}: {said}" if said else ""
