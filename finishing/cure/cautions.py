"""What can hurt someone, said where the work happens. One place in code; every text has its public source.

None of it replaces the product's label and safety data sheet, local codes or licensed practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from finishing.cure.species import Species
from finishing.cure.terms import Hazard

DEFER = "The product's label, its safety data sheet and local codes come first."


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: a stable code, the words, and where they come from ("" for what follows from the figures).

    urgent: it is said first, and where there is room for one only, it is this one. short: enough for whoever was told
    the whole of it in the same working session; "" for what is always said whole.
    """

    code: str
    text: str
    source: str = ""
    urgent: bool = False
    short: str = ""


HAZARDS: dict[Hazard, Caution] = {
    Hazard.RAGS: Caution(
        "oily_rags",
        "Oily rags heat up and catch fire by themselves, often within hours. At once after use: into a lidded metal"
        " can under water, or spread single and flat outdoors till stiff. Never in a heap, a bin or a pocket.",
        "29 CFR 1910.107(g)(3) and WAC 296-24-37013(3): approved metal waste cans immediately after use, emptied daily;"
        " Dlugogorski et al., Fire Safety Science 10 (2011) 389",
        urgent=True,
        short="rags: in the lidded can under water, now",
    ),
    Hazard.VAPOUR: Caution(
        "solvent_vapour",
        "Solvent vapour: no flame, spark or heater's pilot; move fresh air through while coating and drying. The health"
        " limit is passed long before the fire limit. Wear gloves and the respirator the label asks for.",
        "NIOSH Pocket Guide (ethanol); OSHA chemical sampling information (Stoddard solvent)",
    ),
    Hazard.ISOCYANATE: Caution(
        "isocyanate",
        "Contains isocyanate: can sensitise lungs and skin for life; who is sensitised must not go near it. Gloves,"
        " eye protection, no spraying or sanding of uncured film without supplied air.",
        "Reeb-Whitaker, Anderson and Bonauto, J. Occup. Environ. Hyg. 10 (2013) 597 (cases of asthma, most of them from"
        " coating, some in people who only stood near); the product's safety data sheet",
        urgent=True,
    ),
    Hazard.SPRAY: Caution(
        "spray",
        "Spray mist burns and harms lungs: use an exhausted booth or open air, no ignition source, a fitted respirator."
        " Let overspray and filters go out wet, never in a heap.",
        "29 CFR 1910.107 (spray finishing), (b)(5)(ii) on filter pads",
    ),
    Hazard.DUST: Caution(
        "sensitising_dust",
        "The dust of some of these woods can sensitise skin or lungs: extraction at the source, a fitted mask, and"
        " vacuum rather than blow or sweep.",
        "HSE (GB), woodworking pages and information sheet WIS30 (toxic woods): extraction, a respirator, no sweeping"
        " and no compressed air; which woods is recorded by species",
    ),
    Hazard.NUT_OIL: Caution(
        "nut_oil",
        "Made from a nut or seed oil: tell whoever gets the piece, on its card, in case of allergy.",
        "FDA food allergen guidance, edition 5 (2025) names the nuts for food labels; telling the owner is our advice",
    ),
    Hazard.FOOD: Caution(
        "food_before_cure",
        "Keep food, hot and wet things off until it is cured. A date is no proof that a surface suits food: the label"
        " and the law where you sell decide.",
        "21 CFR 175.300 covers continuous films as a barrier, not a wiped, penetrating oil; Regulation (EC) 1935/2004"
        " (from memory) asks that nothing harmful passes into food and names no finish; EN 71-3 for toys",
    ),
}


FOR_THE_OWNER: dict[Hazard, Caution] = {
    Hazard.NUT_OIL: Caution(
        "nut_oil",
        "The finish is made from a nut or seed oil. If nuts or seeds make you ill, ask your doctor before you use this"
        " piece with food, and tell whoever eats from it.",
        HAZARDS[Hazard.NUT_OIL].source,
    ),
    Hazard.FOOD: Caution(
        "food_before_cure",
        "A date is no proof that a surface suits food. United States rule 21 CFR 175.300 is about coatings that form a"
        " continuous film, not about a wiped, penetrating oil; what holds is the label of the finish and the law where"
        " you live.",
        HAZARDS[Hazard.FOOD].source,
    ),
    Hazard.RAGS: Caution(
        "oily_rags",
        "Rags with this finish can catch fire by themselves, often within hours: put them under water at once, or"
        " spread them single and flat outdoors until stiff.",
        HAZARDS[Hazard.RAGS].source,
        urgent=True,
    ),
}
"""The same for whoever gets the piece, on its card."""


def hazards(found: Iterable[Hazard]) -> list[Caution]:
    """The cautions of some hazards, urgent first, each once."""
    cautions = [HAZARDS[h] for h in dict.fromkeys(found)]
    return sorted(cautions, key=lambda c: not c.urgent)


def wood_cautions(woods: Sequence[Species]) -> list[Caution]:
    """What the woods of a batch ask for: dust, bleeding colour, trade listing, and their own cautions."""
    said: list[Caution] = []
    risky = [w.name for w in woods if {"sensitiser", "asthma"} & set(w.dust)]
    if risky:
        dust = HAZARDS[Hazard.DUST]
        said.append(Caution(dust.code, f"{', '.join(risky)}: {_lower(dust.text)}", dust.source))
    said += [
        Caution("bleeds", f"{w.name} bleeds {w.bleeds} into its neighbours: seal it, and wipe along the strips")
        for w in woods
        if w.bleeds
    ]
    said += [
        Caution(
            "trade_listed",
            f"{w.name}: {w.trade_listed}; check before it is sold abroad",
            "CITES appendices, from memory",
        )
        for w in woods
        if w.trade_listed
    ]
    said += [Caution("wood", f"{w.name}: {text}", w.source) for w in woods for text in w.cautions]
    return said


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
