"""The fields of a form or command, from text."""

from __future__ import annotations

import re

from finishing.cure.work import Shape, Size
from finishing.errors import BadInput
from finishing.units import parse_size

MOST_PIECES = 10_000


def parse_pieces(text: str, field: str = "pieces") -> int:
    """How many pieces."""
    body = text.strip()
    if not re.fullmatch(r"[0-9]{1,5}", body) or not 1 <= int(body) <= MOST_PIECES:
        raise BadInput(field, text, f"a whole number from 1 to {MOST_PIECES:,}")
    return int(body)


def parse_priority(text: str, field: str = "priority") -> int:
    """How much more than usual a day late counts: 0 is usual."""
    body = text.strip()
    if not re.fullmatch(r"[0-9]", body):
        raise BadInput(field, text, "a whole number from 0 (usual) to 9")
    return int(body)


def parse_piece_size(text: str, units: str = "metric") -> Size:
    """One piece's size, in mm or inches by the maker's units where none is written. Nobody measures mm in fractions."""
    if units != "imperial" and "/" in text and not re.search(r'm|in|["″]', text.lower()):
        raise BadInput("size", text, "a unit beside fractions, such as 11 3/4 x 7 1/2 x 5/8 in")
    length, width, thickness, is_round = parse_size(text, unit="in" if units == "imperial" else "mm")
    return Size(length, width, thickness, Shape.ROUND if is_round else Shape.RECTANGLE)


def parse_woods(text: str, field: str = "woods") -> tuple[tuple[str, float], ...]:
    """Woods with their shares, from "maple, padauk 20%" (or 20, or 33,3): names, and shares 0..1.

    0 where none is written: it has what is left. BadInput for a share of nothing, and where all have a share and these
    don't come to 100 %, by more than they may be rounded.
    """
    woods: list[tuple[str, float]] = []
    for part in (p.strip() for p in _BETWEEN.split(text)):
        if not part:
            continue
        match = _SHARE.fullmatch(part)
        share = float(match[2].replace(",", ".")) if match else None
        if share is not None and not 0.0 < share <= 100.0:
            raise BadInput(field, part, "a share above 0 % and up to 100 %")
        woods.append((part if match is None else match[1].strip(), 0.0 if share is None else share / 100.0))
    if not woods:
        raise BadInput(field, text, "one wood or more, with commas between, such as maple, padauk 20%")
    _whole(woods, text, field)
    return tuple(woods)


_BETWEEN = re.compile(r",(?!(?<=\d,)\d)")
"""A comma between woods, rather than within a number."""

_SHARE = re.compile(r"(.*?(?:\s|[^\W\d]))([-+]?(?:\d+(?:[.,]\d+)?|[.,]\d+))\s*%?")


def _whole(woods: list[tuple[str, float]], text: str, field: str) -> None:
    """BadInput where shares don't make a whole. All of them may be off by what whole numbers of percent can't say."""
    total = sum(share for _, share in woods)
    if not all(share for _, share in woods):
        if total >= 1.0 - 1e-9 and total:
            raise BadInput(field, text, "shares that leave something for the wood without one")
    elif abs(total - 1.0) > 0.005 * len(woods) + 1e-9:
        what = "a share for the rest of the piece, or none for one wood" if total < 1.0 else "shares"
        raise BadInput(field, text, f"{what}: these come to {100 * total:.4g} %, not 100 %")


def parse_price(text: str, currency: str, field: str = "price of the can") -> float | None:
    """A price, with or without the shop's currency before it; None for nothing."""
    body = text.removeprefix(currency).strip()
    if not body:
        return None
    try:
        value = float(body.replace(",", "."))
    except ValueError:
        value = float("nan")
    if not 0.0 <= value <= 1_000_000.0:
        raise BadInput(field, text, "a sum from 0 to 1,000,000, such as 24.50")
    return value
