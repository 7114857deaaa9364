"""How much finish a coat takes, how thick it lies, how its thickness bears on time, and what it costs."""

from __future__ import annotations

from finishing.cure.finish import Film, between
from finishing.cure.terms import FilmLaw, Stage

THIN, HEAVY = 0.5, 3.0
"""Beyond these ratios to the reference film the law of thickness is not trusted, and the ratio is held."""

NOT_WIPED_BACK = 3.0
"""A wiping finish left on lies about this many times too thick. From memory, common practice."""

# Share of the square law by stage; the surface skins in proportion to film, the depth hardens by diffusion
# through a growing skin. An estimate: no published law of time against thickness for wood finishes was found.
DEPTH = {
    Stage.DUST_FREE: 0.0,
    Stage.TACK_FREE: 0.0,
    Stage.DRY_TO_TOUCH: 0.0,
    Stage.DRY_TO_RECOAT: 0.5,
    Stage.DRY_TO_HANDLE: 0.5,
    Stage.STACKABLE: 1.0,
    Stage.CURED: 1.0,
}

REACTION_EXPONENT = 0.3
"""A two-part film hardens throughout at once; only its little solvent has to leave. From memory."""

LAC_LB_GAL_TO_G_L = 119.826
"""One pound of dry lac to one US gallon of solvent, in grams to the litre (TT-S-300A's meaning of cut)."""

ETHANOL_G_L = 813.0
"""95 % ethanol at about 20 °C; from memory, 811 to 816."""


def amount_ml(film: Film, area_m2: float, *, first: bool) -> float:
    """Finish one coat takes [mL] for an area [m²]: area ÷ spreading rate."""
    return area_m2 / film.m2_per_l(first=first) * 1000.0


def wet_um(amount: float, area_m2: float) -> float:
    """Wet film [µm] of an amount [mL] over an area [m²]: 1 mL on 0.1 m² lies 10 µm thick."""
    between("area", area_m2, 1e-5, 1e4, "an area from 0.00001 to 10,000 m²")
    return amount / area_m2


def dry_um(wet: float, volume_solids_pct: float, *, thinned: float = 0.0) -> float:
    """Dry film [µm]: wet film × volume solids ÷ (1 + thinner added per volume). UFC 3-190-06, 2.1.5."""
    return wet * volume_solids_pct / 100.0 / (1.0 + thinned)


def film_ratio(film: Film, amount: float | None, area_m2: float | None, *, first: bool, wiped_back: bool) -> float:
    """A coat's wet film against the finish's own, held to THIN..HEAVY; 1 when the amount is unknown."""
    if not wiped_back:
        return NOT_WIPED_BACK
    if amount is None or area_m2 is None:
        return 1.0
    ratio = wet_um(amount, area_m2) * film.m2_per_l(first=first) / 1000.0
    return min(max(ratio, THIN), HEAVY)


def film_factor(law: FilmLaw, ratio: float, stage: Stage) -> float:
    """Factor on a stage's time: (1-φ)·r + φ·r² by diffusion, r^0.3 by reaction, 1 where nothing hardens."""
    if law is FilmLaw.NONE:
        return 1.0
    if law is FilmLaw.REACTION:
        return float(ratio**REACTION_EXPONENT)
    depth = DEPTH[stage]
    return (1.0 - depth) * ratio + depth * ratio**2


def cost(amount: float, can_price: float, can_ml: float) -> float:
    """What an amount [mL] costs, in the money of the price, from a can of `can_ml` at `can_price`."""
    between("can volume", can_ml, 1.0, 1e6, "1 to 1,000,000 mL")
    return amount / can_ml * can_price


def shellac_g_per_l(cut_lb: float) -> float:
    """Flakes [g] to add to one litre of alcohol for a cut [lb/US gal of solvent]."""
    return cut_lb * LAC_LB_GAL_TO_G_L


def shellac_solids_pct(cut_lb: float) -> float:
    """Non-volatile share [% by mass] of a cut, before any allowance for moisture and loss."""
    flakes = shellac_g_per_l(cut_lb)
    return 100.0 * flakes / (flakes + ETHANOL_G_L)
