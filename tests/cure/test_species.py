"""What woods do to a coat. No published multiplier exists: the figures are estimates, the rules are checked here."""

from __future__ import annotations

import math

import pytest

from finishing.cure.species import ClassTable, common_names, species_factor
from finishing.cure.terms import Extractives, Mechanism
from finishing.errors import BadInput

from .factory import COCOBOLO, MAPLE, PADAUK, WALNUT, classes, wood

OXIDATION = Mechanism.OXIDATION


def factor(*woods, mechanism: Mechanism = OXIDATION, coat: int = 1, **how: bool):  # type: ignore[no-untyped-def]
    return species_factor(woods, classes(), mechanism, coat_on_face=coat, **how)


def test_slowest_exposed_wood_governs_whatever_its_share() -> None:
    found = factor(MAPLE, WALNUT, PADAUK)
    assert (found.factor, found.limiting) == (1.6, "padauk")
    assert factor(MAPLE, WALNUT).factor == 1.1
    assert factor().factor == 1.0


def test_slowest_and_likeliest_never_need_not_be_one_wood() -> None:
    slow = wood("slow", Extractives.LOW, factors={OXIDATION: 5.0})
    found = factor(COCOBOLO, slow)
    assert (found.factor, found.limiting, found.never, found.spread) == (5.0, "slow", 0.30, 0.15)


def test_a_later_oxidising_coat_sees_the_square_root() -> None:
    assert factor(PADAUK, coat=2).factor == pytest.approx(math.sqrt(1.6))
    assert factor(PADAUK, coat=2, mechanism=Mechanism.COALESCENCE).factor == 1.05


def test_bare_oily_wood_under_oil_has_no_date() -> None:
    assert factor(COCOBOLO).test_first
    assert factor(MAPLE, COCOBOLO).test_first
    assert not factor(PADAUK).test_first
    assert not factor(COCOBOLO, mechanism=Mechanism.EVAPORATION).test_first


def test_seal_wipe_or_proof_changes_that() -> None:
    sealed = factor(COCOBOLO, coat=2, sealed=True)
    assert (sealed.factor, sealed.test_first) == (1.1, False), "a dry barrier makes it count as low"
    wiped = factor(COCOBOLO, wiped=True)
    assert (wiped.factor, wiped.test_first) == (1.6, False), "a solvent wipe makes the first coat see one class lower"
    assert factor(COCOBOLO, coat=2, wiped=True).factor == pytest.approx(math.sqrt(3.0)), "and no later coat"
    assert not factor(COCOBOLO, proven=True).test_first


def test_a_barrier_never_makes_a_plain_wood_slower() -> None:
    assert factor(MAPLE, coat=2, sealed=True).factor == 1.0
    assert factor(MAPLE, wiped=True).factor == 1.0


def test_a_woods_own_factor_replaces_its_classs() -> None:
    own = wood("teak", Extractives.HIGH, factors={OXIDATION: 2.0})
    assert factor(own).factor == 2.0
    assert factor(own, sealed=True, coat=2).factor == 1.1, "sealed, its class counts, not its own figure"


def test_table_must_be_whole() -> None:
    with pytest.raises(BadInput, match="high/oxidation"):
        ClassTable(tuple(r for r in classes().rows if (r.extractives, r.mechanism) != (Extractives.HIGH, OXIDATION)))


def test_factors_out_of_range_are_refused() -> None:
    for bad in (0.4, 21.0, math.nan):
        with pytest.raises(BadInput, match="factor of teak"):
            wood("teak", Extractives.HIGH, factors={OXIDATION: bad})


def test_names_and_aliases() -> None:
    rock = wood("hard maple", Extractives.NONE, botanical="Acer saccharum", aliases=("Rock Maple", "black walnut"))
    names = common_names([rock, WALNUT])
    assert names["rock maple"] == names["acer saccharum"] == "hard maple"
    assert names["black walnut"] == "black walnut", "a wood's own name beats another's alias"
