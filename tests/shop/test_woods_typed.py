"""Woods as they are typed: the rest of a name, and what is said of each."""

from __future__ import annotations

import pytest

from finishing.shop import woods
from finishing.shop.shop import Shop


@pytest.mark.parametrize(
    ("typed", "whole"),
    [
        ("maple, pad", "maple, padauk"),
        ("Mapl", "Maple"),
        ("tea", "teak"),
        ("p", None),
        ("maple", None),
        ("", None),
        ("maple, ", None),
        ("xyzzy", None),
    ],
)
def test_a_beginning_is_written_out(shop: Shop, typed: str, whole: str | None) -> None:
    assert woods.completed(shop, typed) == whole


def test_what_is_said_of_each(shop: Shop) -> None:
    said = woods.remarks(shop, "maple, teak 20%, padok")
    assert said[0].startswith("teak: slows finishes much")
    assert said[1].startswith("no wood is called padok")
    assert len(said) == 2  # plain maple asks for nothing
