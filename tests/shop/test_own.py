"""The maker's own finishes, schedules and woods: copied, changed, typed from a label, told apart from the shipped."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from pathlib import Path

import pytest
from scipy.stats import lognorm

from finishing.cure.finish import Finish
from finishing.cure.terms import Evidence, Stage
from finishing.errors import BadFile, BadInput, FinishingError
from finishing.library import Kind, Library
from finishing.shop import own
from finishing.shop.own import Label
from finishing.shop.shop import Shop

DAY = dt.date(2026, 3, 10)
TOUCH, RECOAT, HANDLE, CURED = Stage.DRY_TO_TOUCH, Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE, Stage.CURED


@pytest.fixture
def library(tmp_path: Path) -> Library:
    return Library(own=tmp_path / "home")


def said(**more: object) -> Label:
    return replace(Label("Blue can", "wiping-varnish", {RECOAT: (4.0, 4.0)}), **more)  # type: ignore[arg-type]


def test_a_label_gives_its_times_and_the_generic_finish_their_spread(library: Library) -> None:
    base = library.finish("wiping-varnish")
    hours = {TOUCH: (1.0, 1.5), RECOAT: (4.0, 4.0), CURED: (168.0, 168.0)}
    made = own.from_label(library, said(hours=hours, temperature_c=20.0, humidity_pct=65.0), DAY)
    assert (made.name, made.title) == ("blue-can", "Blue can")
    assert (made.reference.temperature_c, made.reference.humidity_pct) == (20.0, 65.0)
    for stage, typical in ((TOUCH, 1.5), (RECOAT, 4.0), (CURED, 168.0)):
        time, old = made.stages[stage], base.stages[stage]
        assert time.typical == typical
        assert time.low / typical == pytest.approx(old.low / old.typical, rel=1e-3)
        assert time.high / typical == pytest.approx(old.high / old.typical, rel=1e-3)
        assert time.evidence is Evidence.LABEL
        assert time.source.startswith("the label of the can, typed in 2026-03-10: ")
        assert f"in proportion to wiping-varnish's {old.low:g}, {old.typical:g} and {old.high:g} h" in time.source
    assert "1h to 1.5h" in made.stages[TOUCH].source
    # Hazards, cautions and the rate laws are the generic one's: a label's times change none of them.
    assert made.hazards == base.hazards
    assert made.clocks == base.clocks


def test_what_the_label_leaves_out_follows_the_nearest_stage_it_gives_and_is_called_an_estimate(
    library: Library,
) -> None:
    base = library.finish("wiping-varnish")
    made = own.from_label(library, said(hours={TOUCH: (1.0, 1.0), CURED: (252.0, 252.0)}), DAY)
    # Half of touch's 2 h, half of cured's 504 h: whichever is nearest, all is halved.
    for stage in (Stage.DUST_FREE, RECOAT, HANDLE, Stage.STACKABLE):
        assert made.stages[stage].typical == pytest.approx(base.stages[stage].typical / 2)
        assert made.stages[stage].evidence is Evidence.ESTIMATE
        assert made.stages[stage].source.startswith("not on the label: ")
    assert made.recoat_limit is not None
    assert base.recoat_limit is not None
    assert made.recoat_limit.typical == pytest.approx(base.recoat_limit.typical / 2)
    assert made.recoat_limit.evidence is Evidence.ESTIMATE


def test_the_earlier_end_of_a_stated_window_counts(library: Library) -> None:
    made = own.from_label(library, said(recoat_until=(18.0, 24.0)), DAY)
    assert made.recoat_limit is not None
    assert (made.recoat_limit.low, made.recoat_limit.typical, made.recoat_limit.high) == (9.0, 18.0, 36.0)
    assert made.recoat_limit.evidence is Evidence.LABEL


def test_a_window_the_generic_finish_has_not_gets_its_spread(library: Library) -> None:
    base = next(f for f in library.finishes() if f.recoat_limit is None and RECOAT in f.stages and f.spread)
    until = base.stages[RECOAT].typical * 4
    hours = {RECOAT: (base.stages[RECOAT].typical,) * 2}
    made = own.from_label(library, Label("Blue can", base.name, hours, (until, until)), DAY)
    assert made.recoat_limit is not None
    # Against scipy's log-normal distribution: a twentieth below low, a twentieth above high.
    low, high = lognorm(s=base.spread, scale=until).ppf([0.05, 0.95])
    assert made.recoat_limit.low == pytest.approx(low, rel=1e-3)
    assert made.recoat_limit.high == pytest.approx(high, rel=1e-3)
    assert "which has no such window" in made.recoat_limit.source


def test_coldest_and_spreading_rate(library: Library) -> None:
    base = library.finish("wiping-varnish")
    made = own.from_label(library, said(minimum_c=12.0, m2_per_l=15.0), DAY)
    assert made.limits.minimum_c == 12.0
    assert made.limits.evidence is Evidence.LABEL
    assert made.film.later_m2_per_l == 15.0
    assert made.film.first_m2_per_l / 15.0 == pytest.approx(base.film.first_m2_per_l / base.film.later_m2_per_l)
    assert made.film.evidence is Evidence.LABEL


def test_a_label_without_an_air_is_for_the_standard_test_atmosphere(library: Library) -> None:
    made = own.from_label(library, said(), DAY)
    # ASTM D3924: 23 °C and 50 % relative humidity.
    assert (made.reference.temperature_c, made.reference.humidity_pct) == (23.0, 50.0)
    assert "ASTM D3924" in made.notes[-1]


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"hours": {}}, "times"),
        ({"title": " … "}, "name"),
        ({"title": "tung oil"}, "name"),
        ({"base": "mineral-oil", "hours": {CURED: (24.0, 24.0)}}, "cured"),
        ({"recoat_until": (2.0, 2.0)}, "recoat until"),
        ({"minimum_c": 23.0}, "coldest"),
        ({"humidity_pct": 0.0}, "reference humidity_pct"),
    ],
)
def test_a_label_that_cannot_be_is_refused_by_its_field(library: Library, more: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        own.from_label(library, said(**more), DAY)
    assert caught.value.field == field


def test_every_shipped_finish_can_be_the_nearest_generic_one(shop: Shop) -> None:
    for base in Library().finishes():
        stage = RECOAT if RECOAT in base.stages else next(iter(base.stages))
        half = base.stages[stage].typical / 2
        made = own.from_label(shop.library, Label(f"Half {base.name}", base.name, {stage: (half, half)}), DAY)
        own.add(shop, made)
        assert Library(own=shop.home).finish(f"half-{base.name}") == made
    assert Library(own=shop.home).problems == ()


def test_the_nearest_generic_is_the_one_of_the_same_times(library: Library) -> None:
    finishes = library.finishes()
    varnish = library.finish("brushing-varnish")
    hours = {s: (varnish.stages[s].typical,) * 2 for s in (TOUCH, RECOAT, CURED)}
    assert own.nearest_generic(finishes, hours) is varnish
    assert own.nearest_generic(finishes, {}) is None


def test_times_and_spreading_rates_as_labels_have_them() -> None:
    assert own.parse_range("6h", "recoat") == (6.0, 6.0)
    assert own.parse_range("4-6 h", "recoat") == (4.0, 6.0)
    assert own.parse_range("20min to 1h", "touch") == pytest.approx((1 / 3, 1.0))
    assert own.parse_range("7 – 21 d", "cured") == (168.0, 504.0)
    for text in ("6-4h", "", "soon", "4-", "h"):
        with pytest.raises(BadInput, match=r"^recoat: "):
            own.parse_range(text, "recoat")
    # NIST SP 811, appendix B: 1 ft² = 0.09290304 m², 1 US gal = 3.785412 L.
    assert own.parse_spreading("400 ft²/gal", "spreads", "metric") == pytest.approx(
        400 * 0.09290304 / 3.785412, rel=1e-3
    )
    assert own.parse_spreading("400", "spreads", "imperial") == own.parse_spreading(
        "400 sq ft/gal", "spreads", "metric"
    )
    assert own.parse_spreading("12,5 m2/L", "spreads", "imperial") == 12.5
    for text in ("0", "9999", "12 kg", "much"):
        with pytest.raises(BadInput, match=r"^spreads: "):
            own.parse_spreading(text, "spreads", "metric")
    assert own.show_spreading(own.parse_spreading("400", "s", "imperial"), "imperial") == "400 ft²/gal"
    for hours in (0.25, 1.0, 5.5, 36.0, 504.0):
        assert own.parse_range(own.exact_hours(hours), "t")[0] == pytest.approx(hours)


def test_a_copy_has_its_own_name_and_the_rest_alike(shop: Shop) -> None:
    finish = shop.library.finish("wiping-varnish")
    copy = own.copied(shop.library, finish, "  My  quick varnish ")
    assert (copy.name, copy) == ("my-quick-varnish", replace(finish, name="my-quick-varnish", title="My quick varnish"))
    text = own.add(shop, copy)
    assert text == f"my-quick-varnish: saved in {shop.home / 'finishes' / 'my-quick-varnish.toml'}"
    assert shop.library.finish("my-quick-varnish") == copy
    wood = own.copied(shop.library, shop.library.species("hard maple"), "Érable à vagues")
    own.add(shop, wood)
    assert (shop.home / "species" / "erable-a-vagues.toml").is_file()
    assert shop.library.species("maple").name == "hard maple"
    for taken in ("My quick varnish", "tung-oil", "Tung Oil"):
        with pytest.raises(BadInput, match=r"^name: "):
            own.copied(shop.library, finish, taken)
    with pytest.raises(BadInput, match="a name that no species has yet"):
        own.copied(shop.library, wood, "HARD maple")


def test_the_name_of_a_file_that_cannot_be_read_is_taken_too(shop: Shop) -> None:
    (shop.home / "species").mkdir(parents=True)
    (shop.home / "species" / "old-oak.toml").write_text("name = ", "utf-8")
    with pytest.raises(FinishingError, match="name"):
        own.copied(shop.library, shop.library.species("hard maple"), "Old oak")


def test_a_change_begun_on_an_older_file_is_refused(shop: Shop) -> None:
    finish = shop.library.finish("wiping-varnish")
    own.add(shop, own.copied(shop.library, finish, "mine"))
    path = own.own_file(shop.home, Kind.FINISH, "mine")
    seen = path.read_text("utf-8")
    mine = shop.library.finish("mine")
    assert own.change(shop, replace(mine, protection=5), seen).startswith("mine: saved in")
    assert shop.library.finish("mine").protection == 5
    with pytest.raises(BadInput, match="as it was when you began"):
        own.change(shop, replace(mine, protection=1), seen)
    assert Library(own=shop.home).finish("mine").protection == 5


def test_an_edited_file_is_put_in_place_as_it_is_or_not_at_all(shop: Shop, tmp_path: Path) -> None:
    own.add(shop, own.copied(shop.library, shop.library.finish("wiping-varnish"), "mine"))
    target = own.own_file(shop.home, Kind.FINISH, "mine")
    seen = target.read_text("utf-8")
    edited = tmp_path / "finishes" / "mine.toml"
    edited.parent.mkdir()

    def put(text: str) -> str:
        edited.write_text(text, "utf-8")
        return own.put_back(shop, Kind.FINISH, edited, target, seen)

    assert put(seen) == "finishes/mine.toml: nothing changed"
    with pytest.raises(BadFile, match=r"finishes/mine\.toml, protection: got 9, expected 1 to 5"):
        put(seen.replace("protection = 3", "protection = 9"))
    with pytest.raises(BadFile, match=r"finishes/mine\.toml, line 1: is not TOML"):
        put("nonsense\n" + seen)
    with pytest.raises(BadFile, match="name: got 'other', expected 'mine'"):
        put(seen.replace('name = "mine"', 'name = "other"'))
    assert target.read_text("utf-8") == seen
    put("# my remark\n" + seen.replace("protection = 3", "protection = 4"))
    assert target.read_text("utf-8").startswith("# my remark\n")
    assert shop.library.finish("mine").protection == 4
    with pytest.raises(BadInput, match="as it was when you began"):
        put(seen.replace("protection = 3", "protection = 2"))


def test_the_catalogue_tells_own_from_shipped_and_names_what_is_broken(shop: Shop) -> None:
    before = own.catalogue(shop.home)
    assert not before.own
    assert not before.broken
    own.add(shop, own.copied(shop.library, shop.library.finish("tung-oil"), "mine"))
    own.add(shop, replace(shop.library.finish("tung-oil"), protection=1))
    own.add(shop, replace(shop.library.species("beech"), bleeds="brown"))
    (shop.home / "schedules").mkdir()
    (shop.home / "schedules" / "bad, one.toml").write_text("name = 1", "utf-8")
    found = own.catalogue(shop.home)
    assert found.mark != before.mark
    assert found.own == {(Kind.FINISH, "mine"), (Kind.FINISH, "tung-oil"), (Kind.SPECIES, "beech")}
    assert found.replaced == {(Kind.FINISH, "tung-oil"), (Kind.SPECIES, "beech")}
    [broken] = found.broken
    assert (broken.kind, broken.file.name) == (Kind.SCHEDULE, "bad, one.toml")
    assert "\n" not in broken.problem
    tung = next(f for f in found.items[Kind.FINISH] if f.name == "tung-oil")
    assert isinstance(tung, Finish)
    assert tung.protection == 1
    assert own.mark(shop.home) == found.mark


def test_scaling_keeps_low_below_and_high_above(library: Library) -> None:
    for finish in library.finishes():
        for time in finish.stages.values():
            for factor in (0.013, 1 / 3, 1.0, 2.1):
                new = own.scaled(time, time.typical * factor, Evidence.LABEL, "x")
                assert new.low <= new.typical <= new.high <= own.LONGEST
                if time.low > 0:
                    assert math.log(new.typical / new.low) == pytest.approx(math.log(time.typical / time.low), abs=2e-3)
