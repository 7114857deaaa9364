"""The order of batch codes: as a person counts, T-2 before T-10."""

from __future__ import annotations

import re


def natural(code: str) -> tuple[tuple[str | tuple[int, str], ...], str]:
    """A key to sort by: words by their letters, numbers in them by how much they are; the code itself breaks a tie."""
    parts = re.split(r"([0-9]+)", code)
    return tuple(_number(part) if n % 2 else part for n, part in enumerate(parts)), code


def _number(digits: str) -> tuple[int, str]:
    """Digits so that a larger number sorts later, however long it is."""
    value = digits.lstrip("0")
    return len(value), value
