"""Cautions: one place in code, each with a public source, on every finish that needs it, and never a promise."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import finishing
from finishing.cure.cautions import DEFER, HAZARDS, hazards
from finishing.cure.terms import Hazard
from finishing.library import Library

PACKAGE = Path(finishing.__file__).parent
ROOT = PACKAGE.parent

# What each names: OSHA's rules on spray finishing (29 CFR 1910.107) and its state twin, NIOSH's pocket guide, the open
# article on isocyanate asthma, HSE's sheet on toxic woods, FDA on allergens and on coatings in contact with food.
SOURCES = {
    Hazard.RAGS: "29 CFR 1910.107(g)(3)",
    Hazard.VAPOUR: "NIOSH Pocket Guide",
    Hazard.ISOCYANATE: "J. Occup. Environ. Hyg. 10 (2013) 597",
    Hazard.SPRAY: "29 CFR 1910.107",
    Hazard.DUST: "WIS30",
    Hazard.NUT_OIL: "FDA food allergen guidance",
    Hazard.FOOD: "21 CFR 175.300",
}


def test_every_hazard_has_its_caution_and_a_public_source() -> None:
    assert set(HAZARDS) == set(SOURCES) == set(Hazard)
    for hazard, caution in HAZARDS.items():
        assert SOURCES[hazard] in caution.source
        assert caution.code == hazard.value
        assert "no source" not in caution.source
    assert "label" in DEFER


def test_what_can_kill_comes_first() -> None:
    said = [caution.code for caution in hazards(Hazard)]
    assert said[:2] == [Hazard.RAGS, Hazard.ISOCYANATE]
    assert all(HAZARDS[h].urgent == (h in (Hazard.RAGS, Hazard.ISOCYANATE)) for h in Hazard)


DRYING = ("linseed", "tung", "walnut-oil", "varnish", "oil-varnish", "hard-wax-oil")


def test_every_shipped_finish_has_the_cautions_of_its_kind() -> None:
    """By its name, which says what is in it: drying oils heat rags; two-part and moisture cure hold isocyanate."""
    finishes = Library().finishes()
    for finish in finishes:
        name = finish.name
        found = set(finish.hazards)
        assert (Hazard.RAGS in found) == any(word in name for word in DRYING), name
        assert (Hazard.ISOCYANATE in found) == name.startswith(("two-part", "moisture-cured")), name
        assert (Hazard.NUT_OIL in found) == name.startswith(("tung", "walnut")), name
        assert (Hazard.SPRAY in found) == ("sprayed" in name), name
        assert (Hazard.FOOD in found) == (not name.startswith("mineral-oil")), name
    assert len(finishes) > 15


def shipped_texts() -> list[Path]:
    """Everything a maker may come to read."""
    found = [*PACKAGE.rglob("*.py"), *(ROOT / "data").rglob("*.toml"), *(ROOT / "data").rglob("*.csv")]
    return [*found, *(ROOT / "schedules").rglob("*.toml"), ROOT / "README.md"]


@pytest.mark.parametrize("words", [r"food[ -]?safe", r"safe for food", r"food[ -]contact approved"])
def test_nothing_promises_that_a_piece_suits_food(words: str) -> None:
    for path in shipped_texts():
        for line in path.read_text(encoding="utf-8").splitlines():
            match = re.search(words, line, re.IGNORECASE)
            denied = match is not None and re.search(r"\b(never|not|no|nothing)\b", line, re.IGNORECASE)
            assert match is None or denied, f"{path}: {line}"


def test_the_words_stand_in_one_place() -> None:
    """The sentences themselves, not the hazard's name: a second copy would one day say something else."""
    sentences = [
        sentence for caution in HAZARDS.values() for sentence in caution.text.split(". ") if len(sentence) > 40
    ]
    for path in PACKAGE.rglob("*.py"):
        if path.name == "cautions.py":
            continue
        text = " ".join(path.read_text(encoding="utf-8").split())
        assert not any(sentence in text for sentence in sentences), path
