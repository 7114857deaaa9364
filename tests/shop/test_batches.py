"""Adding batches: codes, shares of wood, the look ahead, and names of every kind kept as they are."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.outlook import UsualDay
from finishing.errors import BadInput, NotFound
from finishing.shop import batches, cans, places, record
from finishing.shop.batches import next_code, shares
from finishing.shop.drafts import CanDraft, NewBatchDraft
from finishing.shop.forms import parse_piece_size, parse_woods
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.shop.suggest import suggest
from finishing.store import batches as stored
from tests.shop.built import NOW, begin, local

DRAFT = NewBatchDraft("trays", 4, "hard-wax-two", "loft", (("hard maple", 0.0),))

STRANGE = {
    "markup": "trays [bold]red[/bold] [link=x]",
    "half a tag": "trays [/] [",
    "control characters": "tray\x1b[31m\x07\x7f\x9b31m",
    "line breaks": "two\nlines\rand\ttabs",
    "emoji": "🪵 boards 👩‍👩‍👧‍👦",
    "right to left": "לוחות חיתוך ‮drawkcab‬",
    "marks": "e\u0301\u0327 Z̴̧̛a̵l̷g̸o̶",
    "wide": "木のお盆",
    "quotes": "'; DROP TABLE batch; --",
    "formula": "=1+1",
    "long": "x" * 200,
    "long and wide": "盆" * 200,
    "spaces": "  around  ",
}


@pytest.mark.parametrize("form", STRANGE)
def test_names_are_kept_as_they_are(shop: Shop, form: str) -> None:
    """But on one line, and with nothing around them."""
    name = {"line breaks": "two lines and tabs", "spaces": "around"}.get(form, STRANGE[form])
    code = begin(shop, what=STRANGE[form])
    with Shop.open(NOW, shop.store.location).store as store, store.read() as r:
        assert stored.by_code(r, code).what == name
    (row,) = shop.bench(NOW).rows
    assert row.what == name


def test_places_of_every_name_are_found_again(shop: Shop) -> None:
    names = [name for kind, name in STRANGE.items() if "long" not in kind and kind not in ("spaces", "line breaks")]
    for name in names:
        places.add_place(shop, name, UsualDay(20.0, 20.0, 50.0, 50.0), NOW)
    assert [place.name for place in shop.places()] == ["loft", "cellar", *names]
    begin(shop, place=names[0])
    assert shop.standing("B-1", NOW).fold.place == names[0]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"what": "  "}, "what: got nothing, expected what the pieces are"),
        ({"what": "x" * 201}, "in 1 to 200 characters"),
        ({"code": "-1"}, "1 to 24 letters, digits"),
        ({"code": "a b"}, "1 to 24 letters, digits"),
        ({"code": "[bold]"}, "1 to 24 letters, digits"),
        ({"code": "B-1\n"}, "1 to 24 letters, digits"),
        ({"code": "x" * 25}, "1 to 24 letters, digits"),
        ({"schedule": "hard-wax-too"}, "nearest: hard-wax-two"),
        ({"place": "lofft"}, "nearest: loft"),
        ({"woods": (("hard mapel", 0.0),)}, "nearest: hard maple"),
        ({"woods": (("hard maple", 1.0), ("teak", 0.0))}, "a share left over for it"),
        ({"woods": ()}, "woods"),
        ({"pieces": 0}, "at least 1 piece"),
    ],
)
def test_refused_and_nothing_written(shop: Shop, change: dict[str, object], said: str) -> None:
    with pytest.raises(BadInput) as refusal:
        batches.begin_batch(shop, replace(DRAFT, **change), NOW)  # type: ignore[arg-type]
    assert said in str(refusal.value)
    assert shop.bench(NOW).rows == ()


def test_a_code_is_taken_once(shop: Shop) -> None:
    begin(shop, "B-1")
    with pytest.raises(BadInput, match="a code that no batch has yet"):
        begin(shop, "B-1")
    assert len(shop.bench(NOW).rows) == 1


def test_codes_go_on_from_the_highest_of_the_year() -> None:
    assert next_code((), 2026) == "26-001"
    assert next_code(("26-001", "26-009", "25-400", "26-x", "T-14"), 2026) == "26-010"
    assert next_code(("26-999",), 2026) == "26-1000"
    assert next_code(("26-1000", "26-999"), 2026) == "26-1001"
    assert next_code((), 2005) == "05-001"


def test_the_year_of_a_code_is_the_shops_own(shop: Shop) -> None:
    # 2026-12-31 23:30 UTC is New Year's Day in Oslo.
    assert batches.begin_batch(shop, DRAFT, local("2026-12-31 23:30", "UTC")) == "27-001"
    assert batches.begin_batch(shop, DRAFT, local("2027-01-01 09:00")) == "27-002"


def test_a_closed_batchs_code_is_not_given_again(shop: Shop) -> None:
    code = batches.begin_batch(shop, DRAFT, NOW)
    record.close(shop, code, NOW)
    assert batches.begin_batch(shop, DRAFT, NOW) == "26-002"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("maple", {"maple": 1.0}),
        ("maple, padauk 20%", {"maple": 0.8, "padauk": 0.2}),
        ("maple, padauk 20", {"maple": 0.8, "padauk": 0.2}),
        ("maple, padauk 33,3%", {"maple": 0.667, "padauk": 0.333}),
        ("maple 66,7,padauk 33,3", {"maple": 0.667, "padauk": 0.333}),
        ("maple20%,padauk", {"maple": 0.2, "padauk": 0.8}),
        ("maple 33%, walnut 33%, padauk 33%", {"maple": 1 / 3, "walnut": 1 / 3, "padauk": 1 / 3}),
        ("maple, walnut, padauk 20%", {"maple": 0.4, "walnut": 0.4, "padauk": 0.2}),
        ("maple 20%, maple 20%, walnut", {"maple": 0.4, "walnut": 0.6}),
    ],
)
def test_shares_of_wood(text: str, expected: dict[str, float]) -> None:
    assert dict(shares(list(parse_woods(text)))) == pytest.approx(expected)


@given(st.lists(st.tuples(st.sampled_from("abcde"), st.integers(0, 40)), min_size=1, max_size=6))
def test_shares_always_come_to_one_or_are_refused(percent: list[tuple[str, int]]) -> None:
    woods = [(name, share / 100.0) for name, share in percent]
    text = ", ".join(f"{name} {share}%" if share else name for name, share in percent)
    try:
        found = shares(list(parse_woods(text)))
    except BadInput:
        total = sum(share for _, share in percent)
        assert total >= 100 or (all(share for _, share in percent) and abs(total - 100) > 0.5 * len(percent))
        return
    assert sum(share for _, share in found) == pytest.approx(1.0)
    assert all(share > 0.0 for _, share in found)
    assert [name for name, _ in found] == list(dict.fromkeys(name for name, _ in woods))


def test_a_batch_keeps_its_woods_size_and_wanted_by(shop: Shop) -> None:
    wanted = local("2026-03-20 08:00")
    begin(shop, woods="hard maple, padauk 20%", wanted_by=wanted)
    row = shop.standing("B-1", NOW).row
    assert [(wood.species, wood.share) for wood in row.woods] == [("hard maple", 0.8), ("padauk", 0.2)]
    assert row.size == parse_piece_size("300x200x18")
    assert row.wanted_by == wanted
    assert (row.schedule, row.place, row.created_at) == ("wiped-varnish-in-window", "loft", NOW)


def preview(shop: Shop, **change: object) -> list[str]:
    return batches.preview(shop, replace(DRAFT, **change), NOW)  # type: ignore[arg-type]


def test_the_look_ahead_says_work_finish_cost_and_when(shop: Shop) -> None:
    change_setting(shop, "currency", "€", NOW)
    cans.add_can(shop, CanDraft("hard-wax-oil", 500.0, price=50.0), NOW)
    hands, finish, pack, use = preview(shop, size=parse_piece_size("300x200x18"))
    assert hands.startswith("2 coats, about ")
    # The area by hand; the spreading rates are those of the finish's own file.
    film = shop.library.finish("hard-wax-oil").film
    area = 4 * (2 * 0.3 * 0.2 + 2 * (0.3 + 0.2) * 0.018)
    amount = area / film.first_m2_per_l * 1000 + area / film.later_m2_per_l * 1000
    assert finish == f"Hard-wax oil, one-part: about {amount:.0f} mL, €{amount * 0.1:.2f}"
    assert pack.startswith("may be packed from ")
    assert use.startswith("may be used from ")


def test_the_look_ahead_says_what_it_cant_know(shop: Shop) -> None:
    assert preview(shop)[1] == "no size given: amounts of finish are not known"
    lines = preview(shop, woods=(("teak", 0.0),))
    assert "may be packed: no date" in lines
    assert lines[-1] in ("oily wood under this finish: seal or test first", "it stands still in this air")


def test_the_look_ahead_writes_nothing(shop: Shop) -> None:
    preview(shop)
    assert shop.bench(NOW).rows == ()
    with pytest.raises(NotFound):
        preview(shop, place="attic")


def test_the_preview_says_the_area_and_the_passes(shop: Shop) -> None:
    """As many pieces a pass as the pass guide plans; all of them in one go need no word."""
    size, woods = parse_piece_size("300x200x18"), parse_woods("hard maple")
    many, few = (
        batches.preview(shop, NewBatchDraft("trays", n, "wiped-varnish-in-window", "loft", woods, size), NOW)[0]
        for n in (40, 1)
    )
    draft = NewBatchDraft("trays", 40, "wiped-varnish-in-window", "loft", woods, size)
    code = batches.begin_batch(shop, draft, NOW)
    told = suggest(shop, code, 1, NOW).pass_words
    pieces = int(re.search(r"of up to (\d+) pieces", told)[1])  # type: ignore[index]
    assert many.endswith(f"; 5.52 m², in passes of {pieces}")  # 40 x 2 x (0.3 x 0.2 + 0.3 x 0.018 + 0.2 x 0.018) m²
    assert few.endswith("m²")
