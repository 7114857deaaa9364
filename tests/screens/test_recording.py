"""Recording from the bench: two keys, on the file before it is said, refused in one line, undone."""

from __future__ import annotations

from textual.widgets import Input, Select, Static

from finishing.cure.work import CoatEntry, StepEntry, VoidEntry
from finishing.shop import cans, record
from finishing.shop.drafts import CanDraft, StepDraft
from finishing.shop.shop import Shop
from finishing.shop.suggest import suggest
from tests.screens.conftest import Run, Seen, count, type_in
from tests.shop.built import NOW, begin
from tests.shop.doing import coat, do, on_file


def problem(seen: Seen) -> str:
    """What the card says is wrong."""
    return str(seen.app.screen.query_one("#problem", Static).render())


async def test_a_coat_in_two_keys_is_on_the_file_before_it_is_said(shop: Shop, run: Run) -> None:
    begin(shop)
    async with run(shop) as seen:
        await seen.keys("c")
        assert seen.card == "RecordStep"
        assert count(shop) == 0
        await seen.keys("enter")
        assert seen.card == "BenchScreen"
        assert seen.said == [("B-1: coat 1 of 4, on record", 1)]
        assert "wipe off" in seen.text()
    (only,) = on_file(shop, "B-1")
    assert only.entry == CoatEntry(1, NOW, 1)


async def test_d_records_the_next_step_and_u_takes_it_back(shop: Shop, run: Run) -> None:
    begin(shop)
    async with run(shop) as seen:
        await seen.keys("d", "enter")
        await seen.keys("enter", "enter")  # on a row, enter is the same as d
        assert [said for said, _ in seen.said] == ["B-1: prepare P220, on record", "B-1: coat 1 of 4, on record"]
        await seen.keys("u")
        assert seen.card == "Sure"
        assert "void entry 2?" in seen.text()
        assert "coat 1 of 4" in seen.text()
        await seen.keys("escape")
        assert count(shop) == 2
        await seen.keys("u", "enter")
        assert seen.said[-1] == ("B-1: void, coat 1 of 4", 3)
        assert "coat 1/4" in seen.text()
        await seen.keys("u", "enter", "u")
        assert seen.card == "BenchScreen"
        assert seen.said[-1] == ("undo: got 'B-1', expected a batch with an entry to undo", 4)
    kinds = [type(recorded.entry) for recorded in on_file(shop, "B-1")]
    assert kinds == [StepEntry, CoatEntry, VoidEntry, VoidEntry]


async def test_amount_can_and_time_are_put_down_by_keys(shop: Shop, run: Run) -> None:
    cans.shelve(shop, CanDraft("wiping-varnish", 500.0, "old"), NOW)
    second = cans.shelve(shop, CanDraft("wiping-varnish", 500.0, "new"), NOW)
    begin(shop)
    async with run(shop) as seen:
        await seen.keys("c")
        assert "about 28 mL" in seen.text()  # 0.552 m² at the first coat's 20 m²/L
        for field, text in (("at", "07:30"), ("amount", "31")):
            seen.app.screen.query_one(f"#{field}", Input).focus()
            await type_in(seen, text)
        await seen.keys("tab")
        assert isinstance(seen.app.focused, Select)
        await seen.keys("enter", "end", "enter")
        seen.app.screen.query_one("#done").focus()
        await seen.keys("enter")
        assert seen.card == "BenchScreen"
    (only,) = on_file(shop, "B-1")
    assert only.entry == CoatEntry(1, NOW - 1.5, 1, 31.0)
    assert only.can_id == second


BAD = (
    ("amount", "a lot", "finish used: got 'a lot', expected"),
    ("amount", "-4", "finish used: got '-4', expected"),
    ("at", "half past", "done at: got 'half past', expected a time such as 18:30"),
    ("at", "09:30", "done at: got '09:30', expected a time that has passed"),
    ("at", "25:61", "done at: got '25:61', expected"),
)


async def test_a_bad_field_gets_one_line_and_nothing_is_saved(shop: Shop, run: Run) -> None:
    begin(shop)
    async with run(shop) as seen:
        await seen.keys("c")
        for field, text, said in BAD:
            box = seen.app.screen.query_one(f"#{field}", Input)
            box.value = text
            box.focus()
            await seen.keys("enter")
            assert seen.card == "RecordStep"
            assert problem(seen).startswith(said)
            assert "\n" not in problem(seen)
            assert box.value == text
            box.value = ""
        await seen.keys("escape")
        assert (seen.card, seen.said) == ("BenchScreen", [])
    assert count(shop) == 0


async def test_what_another_put_on_meanwhile_is_refused_in_a_line(shop: Shop, run: Run) -> None:
    begin(shop)
    other = Shop.open(NOW, shop.store.location)
    async with run(shop) as seen:
        await seen.keys("c")
        record.record_step(other, StepDraft("B-1", 1), NOW)
        await seen.keys("enter")
        assert seen.card == "BenchScreen"
        ((said, entries),) = seen.said
        assert said.startswith("B-1: coat 1 of 4 came on record while you were about it; nothing of yours was recorded")
        assert entries == 1
    other.close()


async def test_early_late_and_the_finishs_own_cautions_stand_on_the_card(shop: Shop, run: Run) -> None:
    coat(shop, begin(shop, "E"), NOW - 2)
    coat(shop, begin(shop, "L"), NOW - 30)
    async with run(shop) as seen:
        assert seen.code == "L"
        await seen.keys("c")
        assert "abrade P320 first" in seen.text()
        await seen.keys("escape", "down", "c")
        assert "! early: sure to 80 in 100 only from 16:40 (in 7 h 41)" in seen.text()
        shown = " ".join(seen.text().split())
        cautions = suggest(shop, "E", 3, NOW).cautions
        assert {"oily_rags", "solvent_vapour"} <= {caution.code for caution in cautions}
        for caution in cautions:
            assert " ".join(caution.text.split())[:40] in shown
    assert count(shop) == 2


async def test_one_coat_for_several_shares_out_what_was_used(shop: Shop, run: Run) -> None:
    begin(shop, "A")
    coat(shop, begin(shop, "B"), NOW - 30)  # its window has shut
    async with run(shop) as seen:
        await seen.go_to("A")
        await seen.keys("space")
        await seen.go_to("B")
        await seen.keys("space", "c")
        assert "next coat for 2 batches" in seen.text()
        assert "! B: window shut" in seen.text()
        box = seen.app.screen.query_one("#amount", Input)
        box.value = "50"
        box.focus()
        await seen.keys("enter")
        assert seen.card == "BenchScreen"
        assert len(seen.said) == 1
    # Both have the same area, so each got half.
    assert [on_file(shop, code)[-1].entry.amount_ml for code in ("A", "B")] == [25.0, 25.0]  # type: ignore[attr-defined]


async def test_a_batch_with_every_coat_on_says_so(shop: Shop, run: Run) -> None:
    begin(shop, schedule="two-part-hard-wax-one")
    do(shop, "B-1", NOW - 3, NOW - 2, NOW - 1)
    async with run(shop) as seen:
        await seen.keys("d")
        assert seen.card == "RecordStep", "its wiping off is not on record, and the coat still fresh"
        assert "wipe off" in seen.text()
        assert "late: " in seen.text()
        await seen.keys("enter")
        await seen.keys("c", "d")
        assert seen.card == "BenchScreen"
        assert seen.said == [
            ("B-1: wipe off, on record", 4),
            ("every coat of this batch is on", 4),
            ("B-1: hardens, no step is left (o, then r, releases it early)", 4),
        ]


async def test_the_card_is_whole_on_a_small_terminal(shop: Shop, run: Run) -> None:
    begin(shop)
    async with run(shop, size=(80, 24)) as seen:
        await seen.keys("c")
        assert "B-1: coat 1 of 4" in seen.text()
        assert "Record (enter)" in seen.text()
        await seen.keys("enter")
    assert count(shop) == 1


async def test_a_time_typed_at_once_is_the_time_recorded(shop: Shop, run: Run) -> None:
    """The button has the focus, so that enter alone records; what is typed there must not be lost."""
    begin(shop)
    async with run(shop) as seen:
        await seen.keys("c")
        await type_in(seen, "08:30")
        assert seen.app.screen.query_one("#at", Input).value == "08:30"
        await seen.keys("enter")
        assert seen.card == "BenchScreen"
    (only,) = on_file(shop, "B-1")
    assert only.entry.at == NOW - 0.5


async def test_which_batch_and_the_buttons_stay_in_sight(shop: Shop, run: Run) -> None:
    """However long the cautions are: the field is at the top, the button with the focus below."""
    begin(shop)
    async with run(shop, NOW, (80, 16)) as seen:
        await seen.keys("c")
        card = seen.app.screen.query_one("#card")
        assert card.max_scroll_y > 0
        for at in (0, card.max_scroll_y):
            card.scroll_to(y=at, animate=False)
            await seen.pilot.pause()
            assert "B-1: coat 1 of 4" in seen.text()
            assert "Record (enter)" in seen.text()
        seen.app.screen.query_one("#at", Input).value = "half past"
        seen.app.notify("something that was said before")
        seen.app.screen.query_one("#at", Input).focus()
        await seen.keys("enter")
        assert "done at: got 'half past', expected a time such as" in seen.text()
        assert "something that was said before" not in seen.text()
