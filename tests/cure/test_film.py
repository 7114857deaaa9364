"""Film, spreading and shellac against UFC 3-190-06 and ASTM D360."""

from __future__ import annotations

import pytest

from finishing.cure.film import (
    HEAVY,
    NOT_WIPED_BACK,
    THIN,
    amount_ml,
    cost,
    dry_um,
    film_factor,
    film_ratio,
    shellac_g_per_l,
    shellac_solids_pct,
    wet_um,
)
from finishing.cure.terms import FilmLaw, Stage
from finishing.errors import BadInput

from .factory import varnish

GALLON_ML = 3785.411784  # US gallon, 231 in3
FT2 = 0.09290304  # m2, exact
MIL = 25.4  # um, exact

# UFC 3-190-06 (MIL-HDBK-1110), 2.1.5: ft2 one US gallon covers at a dry film of so many mils. The page rounds
# 1604 to 1600; for 50 % solids at 1 mil it prints "600", where its own rule gives 800 (a misprint).
UFC = [(100, 1, 1600), (100, 2, 800), (100, 4, 400), (50, 1, 800), (50, 2, 400), (50, 4, 200)]


@pytest.mark.parametrize(("solids", "mils", "covers"), UFC)
def test_a_gallon_covers_what_the_handbook_says(solids: int, mils: int, covers: int) -> None:
    wet = wet_um(GALLON_ML, covers * FT2)
    assert dry_um(wet, solids) / MIL == pytest.approx(mils, rel=0.003)


def test_exact_coverage_of_a_gallon() -> None:
    # 231 in3 spread 0.001 in thick is 231000 in2 = 1604.1667 ft2.
    assert wet_um(GALLON_ML, 231_000 / 144 * FT2) == pytest.approx(MIL, rel=1e-12)


def test_a_millilitre_on_a_tenth_of_a_square_metre() -> None:
    assert wet_um(1.0, 0.1) == pytest.approx(10.0)  # 1e-6 m3 / 0.1 m2


# Thinned: dry = wet x solids / (1 + thinner); worked by hand. "Thinning needs a new % solids" (UFC 3-190-06, 2.1.5).
@pytest.mark.parametrize(
    ("wet", "solids", "thinned", "dry"), [(100, 35, 0.0, 35.0), (100, 35, 0.10, 31.82), (78.57, 35, 0.10, 25.0)]
)
def test_thinning_thins_the_dry_film(wet: float, solids: float, thinned: float, dry: float) -> None:
    assert dry_um(wet, solids, thinned=thinned) == pytest.approx(dry, abs=0.005)


def test_handbook_rates_for_new_wood() -> None:
    # TM 43-0139, Table 3-2: oil paint on new wood, 500 to 600 ft2 a gallon a coat, is 12.3 to 14.7 m2 a litre.
    for ft2, m2 in ((500, 12.3), (600, 14.7)):
        film = varnish().film
        per_litre = ft2 * FT2 / (GALLON_ML / 1000)
        assert per_litre == pytest.approx(m2, abs=0.05)
        assert amount_ml(film, film.first_m2_per_l, first=True) == pytest.approx(1000.0)


def test_amount_of_a_coat_is_area_over_spreading_rate() -> None:
    film = varnish().film  # 9 m2/L on bare wood, 12 after
    assert amount_ml(film, 1.8, first=True) == pytest.approx(200.0)
    assert amount_ml(film, 1.8, first=False) == pytest.approx(150.0)


# (1 - phi) r + phi r^2 with phi 0, 0.5 and 1: an estimate, no published law of time against thickness.
@pytest.mark.parametrize(("ratio", "by_depth"), [(2.0, (2.0, 3.0, 4.0)), (0.5, (0.5, 0.375, 0.25)), (1.0, (1, 1, 1))])
def test_film_factor_by_stage(ratio: float, by_depth: tuple[float, float, float]) -> None:
    stages = ((Stage.DUST_FREE, Stage.TACK_FREE, Stage.DRY_TO_TOUCH), (Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE),
              (Stage.STACKABLE, Stage.CURED))  # fmt: skip
    for alike, expected in zip(stages, by_depth, strict=True):
        for stage in alike:
            assert film_factor(FilmLaw.DIFFUSION, ratio, stage) == pytest.approx(expected)


def test_film_factor_of_a_reaction_and_of_none() -> None:
    assert film_factor(FilmLaw.REACTION, 2.0, Stage.CURED) == pytest.approx(2**0.3)
    assert film_factor(FilmLaw.NONE, 3.0, Stage.CURED) == 1.0


def test_ratio_is_the_recorded_amount_over_the_usual() -> None:
    film = varnish().film
    assert film_ratio(film, 200.0, 1.8, first=True, wiped_back=True) == pytest.approx(1.0)
    assert film_ratio(film, 300.0, 1.8, first=False, wiped_back=True) == pytest.approx(2.0)
    assert film_ratio(film, 1.0, 1.8, first=False, wiped_back=True) == THIN
    assert film_ratio(film, 9000.0, 1.8, first=False, wiped_back=True) == HEAVY
    assert film_ratio(film, None, 1.8, first=False, wiped_back=True) == 1.0
    assert film_ratio(film, 300.0, None, first=False, wiped_back=True) == 1.0
    assert film_ratio(film, 150.0, 1.8, first=False, wiped_back=False) == NOT_WIPED_BACK


# ASTM D360-89(2001), minimum non-volatile [% by mass] of shellac varnish by cut: orange, bleached.
D360 = {3: (28.5, 28.0), 4: (35.0, 34.5), 4.5: (37.5, 37.0), 5: (40.0, 39.5), 6: (44.0, 43.5), 8: (51.0, 50.5)}


@pytest.mark.parametrize("cut", D360)
def test_shellac_cut_lies_a_little_above_the_standards_minimum(cut: float) -> None:
    # The standard allows for moisture in the lac and loss: its minima are 6 to 8 % below the dry computed share.
    orange, bleached = D360[cut]
    computed = shellac_solids_pct(cut)
    assert 0.925 <= orange / computed <= 0.95
    assert 0.91 <= bleached / computed <= 0.94


def test_cut_is_pounds_to_the_gallon_of_solvent() -> None:
    # TT-S-300A: pounds of dry lac to one US gallon of solvent. 453.59237 g over 3.785411784 L.
    assert shellac_g_per_l(1.0) == pytest.approx(453.59237 / 3.785411784, rel=1e-4)
    assert shellac_g_per_l(2.0) == pytest.approx(239.7, abs=0.1)


def test_cost_of_an_amount() -> None:
    assert cost(150.0, 24.0, 750.0) == pytest.approx(4.8)
    with pytest.raises(BadInput):
        cost(150.0, 24.0, 0.0)
    with pytest.raises(BadInput):
        wet_um(150.0, 0.0)
