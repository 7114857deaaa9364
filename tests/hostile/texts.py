"""Text nobody should have to expect: escapes, markup, formulas, bombs, tricks with paths, and plain noise."""

from __future__ import annotations

from hypothesis import strategies as st

NASTY = (
    # what a terminal acts on
    "\x1b[2J\x1b[31m", "\x1b]0;title\x07", "\x1bP+q\x1b\\", "\x9b31m", "\x90q\x9c", "\x07\x08\x7f", "a\rb",
    "a\nb\tc", "\x0b\x0c", "\u202eabc\u202c", "\u2066x\u2069", "\u2028\u2029", "\u200b\ufeff", "\ud800",
    # markup, formulas, queries, places to put things in
    "[bold red]x[/]", "[@click=app.quit]x[/]", "[/", "]]", "$name {0} %s %n", "<script>alert(1)</script>", "&amp;",
    "`x`", "=1+1", "@SUM(A1)", "-2+3", "+cmd|' /C calc'!A0", '"; DROP TABLE entry; --', "' OR 1=1", "\\x1b", "\\",
    # paths and options
    "%00", "../../etc/passwd", "..", "/", "~", "con", "nul.txt", "a/../b", "C:\\x", "-rf", "--json", "--", "*",
    # numbers that are none, or nearly
    "1e309", "nan", "-0", "0x10", "9" * 400, "１２", "٣", "½", "1/0", "12in x 8 x 3/4", "300x200x18", "31/12/2025",
    # too much, and nothing
    "", " ", "\u3000", "x" * 10_000, "ß" * 3000, "e\u0301" * 40, "\U0001f468\u200d\U0001f527", "日本語", "العربية",
)  # fmt: skip

anything = st.text(max_size=80) | st.sampled_from(NASTY) | st.lists(st.sampled_from(NASTY), max_size=4).map("".join)
"""Any text."""

typed = anything.map(lambda text: text.replace("\0", ""))
"""Any text that can come in as an argument of a command: no system passes a zero in one."""

names = typed.map(lambda text: text.replace("/", "_")[:60].encode("utf-8", "ignore").decode()).filter(
    lambda text: text not in ("", ".", "..")
)
"""Any text that a file can have for its name."""

LOG = (
    "Time,Temperature (°C),Humidity (%)\n2026-03-01 10:00,18.5,45\n2026-03-01 10:10,18.6,46\n2026-03-13 10:10,18.6,46\n"
)

FINISH = """
name = "x"
title = "Something"
[clocks.flash]
activation_kj = 40
[stages.cured]
low = 1
typical = 2
high = 3
"""


@st.composite
def spoilt(draw: st.DrawFn, text: str) -> str:
    """A sound text with pieces cut out, doubled, or replaced by anything."""
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 30)))
        text = text[:start] + draw(anything | st.just(text[start:end] * 3)) + text[end:]
    return text


logs = (spoilt(LOG) | anything).map(lambda text: text.encode("utf-8", "surrogatepass")) | st.binary(max_size=400)
"""What somebody may hand in as a logger's file."""

BOMBS = (
    "[" * 3000, "a." * 5000 + "a = 1", "x = " + "[" * 4000 + "]" * 4000, "x = 1" + "0" * 9000, 'x = """' + "y" * 90_000,
    "\n".join(f"k{i} = {i}" for i in range(5000)), "[a]\n[a]\n", "x = 1979-05-27", "x = nan", "x = '\u202e'",
)  # fmt: skip

tables = spoilt(FINISH) | anything | st.sampled_from(BOMBS)
"""What somebody may hand in as a finish, wood or schedule."""
