"""Text from files and people, made safe to show on a terminal: nothing in it can move the cursor or turn the line."""

from __future__ import annotations

import re
import unicodedata

BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069") | frozenset(
    "\u206a\u206b\u206c\u206d\u206e\u206f"
)
"""The characters with the Unicode property Bidi_Control (UAX #9): invisible, they reorder what is read; and the
deprecated format characters that swap mirrored marks or shapes."""

HIDDEN = frozenset({"Cc", "Cs", "Zl", "Zp"})
"""Unicode categories shown as escapes: controls (C0, C1, DEL), lone surrogates, line and paragraph separators."""


def plain(text: str, most: int | None = None) -> str:
    """The text with control characters and bidi overrides as visible escapes (`\\x1b`, `\\u202e`).

    Letters of any script, marks, joiners and emoji stay. most: cut to so many characters, the cut shown by "…".
    """
    if most is not None and len(text) > most:
        text = text[: most - 1] + "…"
    if text.isascii() and text.isprintable():
        return text
    return "".join(_escape(c) if c in BIDI or unicodedata.category(c) in HIDDEN else c for c in text)


def one_line(text: str) -> str:
    """A name on one line: where it is broken, or has a tab, a space stands."""
    return BREAKS.sub(" ", text).strip()


BREAKS = re.compile(r"\s*[\t\n\v\f\r\x1c-\x1e\x85\u2028\u2029]\s*")


def escaped_json(text: str) -> str:
    """A line of JSON with the same characters as JSON escapes them; it reads back as it was."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(f"\\u{ord(c):04x}" if c in BIDI or unicodedata.category(c) in HIDDEN else c for c in text)


def _escape(character: str) -> str:
    code = ord(character)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
