"""The time of day in a cell, as one number: seconds since midnight, with or without an offset from UTC."""

from __future__ import annotations

import re

import numpy as np
import numpy.typing as npt

from finishing.exchange.readings.memo import LONGEST

BAD = -1
"""Not a time of day."""

FIXED = 1 << 40
"""Added to the seconds when the cell itself fixes UTC: then `code - FIXED` is the UTC seconds since midnight."""

_CLOCK = re.compile(
    r"(?P<h>\d{1,2})(?P<sep>[:.])(?P<m>\d{2})(?:(?P=sep)(?P<s>\d{2})(?:[.,:]\d{1,9})?)?"
    r"\s*(?P<half>[ap]\.?\s?m\.?)?\s*(?P<off>z|(?:utc|gmt)?\s*[+-]\d{1,2}(?::?\d{2})?|utc|gmt)?",
    re.IGNORECASE | re.ASCII,
)
_COMPACT = re.compile(r"(?P<h>\d{2})(?P<m>\d{2})(?P<s>\d{2})?(?P<off>z|[+-]\d{2}(?::?\d{2})?)?", re.I | re.ASCII)
_OFFSET = re.compile(r"([+-])(\d{1,2})(?::?(\d{2}))?$", re.ASCII)


def clock_code(text: str) -> int:
    """Seconds since midnight (fractions dropped) of "9:05", "21:05:30.5", "9:05 PM", "090530Z", "21:05+01:00".

    With Z, UTC, GMT or an offset the code is counted in UTC and has FIXED added. BAD when it is not a time.
    """
    text = text.strip().replace("\u202f", " ").replace("\xa0", " ").replace("\u2212", "-")
    if not text or len(text) > LONGEST:
        return BAD
    match = _CLOCK.fullmatch(text) or _COMPACT.fullmatch(text)
    if match is None:
        return BAD
    parts = match.groupdict()
    seconds = _seconds(int(parts["h"]), int(parts["m"]), int(parts["s"] or 0), parts.get("half"))
    if seconds == BAD or not parts["off"]:
        return seconds
    offset = offset_seconds(parts["off"])
    return BAD if offset is None else seconds - offset + FIXED


def _seconds(hour: int, minute: int, second: int, half: str | None) -> int:
    if half:
        if hour > 12:
            return BAD
        hour = hour % 12 + (12 if half[0] in "pP" else 0)
    if minute > 59 or second > 59 or hour > 24 or (hour == 24 and minute + second > 0):
        return BAD
    return hour * 3600 + minute * 60 + second


def is_fixed(codes: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
    """Which codes are counted in UTC."""
    return codes >= FIXED // 2


def second_of_day(codes: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Seconds since midnight of codes, those of UTC among them."""
    return np.where(is_fixed(codes), codes - FIXED, codes)


def offset_seconds(text: str) -> int | None:
    """Seconds east of UTC of "Z", "UTC", "GMT", "+01:00", "GMT-0500"; None when it is more than 15 hours."""
    match = _OFFSET.search(text)
    if match is None:
        return 0
    sign, hours, minutes = match.groups()
    value = int(hours) * 3600 + int(minutes or 0) * 60
    if value > 15 * 3600 or int(minutes or 0) > 59:
        return None
    return -value if sign == "-" else value
