"""Everything about a wood: what it does to each kind of finish, its pores, dust and colour."""

from __future__ import annotations

from rich.text import Text

from finishing.cure.cautions import wood_cautions
from finishing.cure.species import ClassTable, Species
from finishing.cure.terms import Mechanism
from finishing.exchange.plain import plain
from finishing.screens.pages.library.about import Parts, figure, ground, head, heading, heed
from finishing.screens.widgets.figures import SLOWING, ScaleRow


def about_wood(wood: Species, classes: ClassTable, whose: str) -> Parts:
    """Class, factors by mechanism, pores, dust, colour and cautions."""
    also = f"also called {', '.join(wood.aliases)}" if wood.aliases else ""
    yield from head(wood.name, wood.botanical, whose, also)
    yield from heading("the wood")
    yield from figure("extractives", wood.extractives.value, wood.evidence.value, wood.source)
    pores = f"{wood.pores.value}, {'open' if wood.open_pores else 'closed'}"
    yield Text.assemble(("pores  ", "dim"), (pores, "bold"))
    dust = ", ".join(wood.dust) or "nothing reported here; any dust irritates"
    yield Text.assemble(("dust  ", "dim"), (plain(dust), "bold"))
    yield Text.assemble(("bleeds  ", "dim"), (plain(wood.bleeds or "no colour known to run"), "bold"))
    yield from _factors(wood, classes)
    yield from heed(wood_cautions([wood]))


def _factors(wood: Species, classes: ClassTable) -> Parts:
    yield from heading("how much it slows a finish that hardens by")
    yield ScaleRow("", SLOWING, None, words_cells=7)
    for mechanism in (m for m in Mechanism if m is not Mechanism.NONE):
        row = classes.get(wood.extractives, mechanism)
        factor = wood.factors.get(mechanism, row.typical)
        values = (min(row.low, factor), factor, max(row.high, factor))
        name = mechanism.value.replace("_", " ")
        yield ScaleRow(name, SLOWING, values, f"×{factor:.3g}", words_cells=7)
        never = f", never on bare wood {row.never_bare:.0%}" if row.never_bare else ""
        of = "its class" if mechanism not in wood.factors else "its own; its class"
        yield ground(row.evidence.value, row.source, f"{of} ×{row.low:.3g} to ×{row.high:.3g}{never}; ")
