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
    """Woods with their shares, from "maple, padauk 20%" (or 20): names, and shares 0..1, 0 where none is written."""
    woods: list[tuple[str, float]] = []
    for part in (p.strip() for p in text.split(",")):
        if not part:
            continue
        match = re.fullmatch(r"(.*?)\s+(\d+(?:\.\d+)?)\s*%?", part)
        name, share = (match[1], float(match[2])) if match else (part, 0.0)
        if share > 100.0:
            raise BadInput(field, part, "a share of no more than 100 %")
        woods.append((name, share / 100.0))
    if not woods:
        raise BadInput(field, text, "one wood or more, with commas between, such as maple, padauk 20%")
    if sum(share for _, share in woods) > 1.0 + 1e-9:
        raise BadInput(field, text, "shares that come to no more than 100 %")
    return tuple(woods)


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
