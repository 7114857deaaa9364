"""Feeling a coat from any page: the touch test, and the question where its answer doesn't go with all others."""

from __future__ import annotations

from finishing.screens.pages.batch import ask
from finishing.screens.pages.batch.cards import ChoiceCard
from finishing.screens.pages.batch.look import look
from finishing.screens.pages.page import Page
from finishing.shop import record
from finishing.shop.learning import word
from finishing.shop.learning.doubt import Doubt, doubt

COUNTS, LEAVE_OUT, VOID = "counts", "leave out", "void"

CHOICES = (
    (COUNTS, "it is as I found it: let it count"),
    (LEAVE_OUT, "a heavy coat, a cold spot, a run: leave it out of learning, not of this batch"),
    (VOID, "a slip, or another coat: void the test"),
)
"""What the maker may answer. Leaving the card is the first."""


def feel(page: Page, code: str) -> None:
    """Ask for a touch test of a batch, record it, and ask again where it surprises."""
    page.ask(
        lambda: ask.touch(look(page.shop, code, page.clock()), page.clock),
        lambda draft: record.touch_test(page.shop, draft, page.clock()),
        [code],
        lambda: ask_of(page, code),
    )


def ask_of(page: Page, code: str) -> None:
    """Ask of a batch's newest touch test where it surprises. It is on record; a further entry may leave it out."""
    found = doubt(page.shop, code, page.clock())
    if found is not None:
        page.ask(lambda: doubt_card(found), lambda answer: _answered(page, found, answer), [code])


def doubt_card(found: Doubt) -> ChoiceCard:
    """What is surprising, and what it might be."""
    words = found.words()
    return ChoiceCard(
        f"{found.code}: {found.finding.value}, are you sure?",
        CHOICES,
        [f"{words[0].upper()}{words[1:]}", "It is on record, and this batch goes by it. How shall it be learned from?"],
    )


def _answered(page: Page, found: Doubt, answer: str) -> str:
    now = page.clock()
    if answer == LEAVE_OUT:
        return word.exclude(page.shop, (found.test,), now, "asked when it was felt")
    if answer == VOID:
        return record.void(page.shop, found.code, found.test, now)
    return f"{found.code}: test {found.test} counts as found"
