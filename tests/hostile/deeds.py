"""What hostile text is tried on, and what must hold: refused in one line, or taken whole and shown harmlessly."""

from __future__ import annotations

import io
import json
import sqlite3
import unicodedata
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, redirect_stderr, redirect_stdout
from dataclasses import fields, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from unittest.mock import patch

from hypothesis import strategies as st
from pypdfium2 import PdfDocument

from finishing import units
from finishing.__main__ import main
from finishing.cure.finish import Finish
from finishing.cure.schedule import Schedule
from finishing.cure.species import Species
from finishing.errors import FinishingError
from finishing.exchange.paper.fonts import Type
from finishing.exchange.plain import BIDI, plain
from finishing.exchange.readings import read_log
from finishing.library.build import build
from finishing.library.toml import parse
from finishing.moments import parse_day, parse_moment, zone_named
from finishing.shop import forms, hours
from finishing.shop.calendar import export_calendar
from finishing.shop.cans import shelve
from finishing.shop.cards import CardDraft, Worded, draw_cards, word_cards
from finishing.shop.drafts import CanDraft
from finishing.shop.exporting import export
from finishing.shop.notes import add_note
from finishing.shop.settings import parse_setting
from finishing.shop.shop import Shop

from .texts import logs, names, tables, typed

NOW = 490_000.0
Deed = Callable[[st.DataObject, Path], int | None]
"""Tries what is drawn on the shop of a folder. Returns how many inputs that was, where it is not one."""

PARSERS: tuple[Callable[[str], Any], ...] = (
    units.parse_temperature, units.parse_humidity, units.parse_length, units.parse_size, units.parse_volume,
    units.parse_hours, forms.parse_pieces, forms.parse_woods, forms.parse_piece_size, zone_named, hours.parse_week,
    hours.parse_dates, hours.parse_extra,
    lambda text: parse_moment(text, "--at", "Europe/Oslo", NOW),
    lambda text: parse_day(text, "--wanted", "Europe/Oslo", NOW, lambda _: "08:00"),
    *(lambda text, key=key: parse_setting(key, text) for key in ("level", "theme", "bell", "makers", "hourly_rate")),
)  # fmt: skip


def harmless(text: str, *, lines: bool = True) -> None:
    """Nothing in a text can move a cursor, ring, turn the line or hide."""
    for character in text:
        if lines and character == "\n":
            continue
        assert unicodedata.category(character) not in ("Cc", "Cs", "Zl", "Zp"), repr(text[:300])
        assert character not in BIDI, repr(text[:300])


def refused(problem: FinishingError) -> None:
    """A refusal is one line once it is shown."""
    harmless(plain(str(problem)), lines=False)


def parsing(data: st.DataObject, folder: Path) -> None:
    """Every field that is read from text."""
    parser, text = data.draw(st.sampled_from(PARSERS)), data.draw(typed)
    try:
        parser(text)
    except FinishingError as problem:
        refused(problem)


def showing(data: st.DataObject, folder: Path) -> None:
    """The one function everything shown passes through."""
    text = data.draw(typed)
    harmless(plain(text), lines=False)
    harmless(plain(text, 20), lines=False)


def reading_logs(data: st.DataObject, folder: Path) -> None:
    """A logger's file."""
    try:
        log = read_log(data.draw(logs), zone="Europe/Oslo")
    except FinishingError as problem:
        refused(problem)
        return
    for line in log.understanding.lines():
        harmless(line, lines=False)


def reading_tables(data: st.DataObject, folder: Path) -> None:
    """A TOML file of the maker's own."""
    kind = data.draw(st.sampled_from((Finish, Schedule, Species)))
    try:
        build(kind, parse(data.draw(tables), "own/x.toml"), "own/x.toml")
    except FinishingError as problem:
        refused(problem)


def rows_of(home: Path) -> dict[str, int]:
    """How many rows each table has."""
    file = home / "finishing.db"
    if not file.exists():
        return {}
    with closing(sqlite3.connect(file)) as plain_:
        tables_ = [n for (n,) in plain_.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {table: plain_.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in tables_}


def run(words: list[str], home: Path) -> int:
    """A command: what it prints is harmless; refused, it is one line and leaves every row as it was."""
    before = rows_of(home)
    out, err = io.StringIO(), io.StringIO()
    code: object = None
    try:
        with redirect_stdout(out), redirect_stderr(err):
            main(words)
    except SystemExit as left:
        code = left.code
    assert code in (0, 1, 2), words
    harmless(out.getvalue())
    harmless(err.getvalue())
    if "--json" in words and code == 0 and "--help" not in words and out.getvalue()[:1] in "[{":
        json.loads(out.getvalue())
    if code == 2:
        assert out.getvalue() == ""
        assert err.getvalue().count("\n") == 1, err.getvalue()
        assert rows_of(home) == before, words
    return int(code)


WRITE = (
    ("place", "add", 0, "--low", "9", "--high", "18"),
    ("place", "expect", "loft", 0, "--low", "9", "--high", "18"),
    ("batch", "add", "--what", 0, "--pieces", "4", "--species", "maple", "--schedule", "danish-three",
     "--place", "loft", "--note", 1),
    ("batch", "add", "--what", "trays", "--pieces", 0, "--species", 1, "--schedule", "danish-three", "--place", "loft"),
    ("batch", "add", "--what", "trays", "--pieces", "4", "--species", "maple", "--schedule", 0, "--code", 1,
     "--place", "loft"),
    ("batch", "add", "--what", "trays", "--pieces", "4", "--species", "maple", "--schedule", "danish-three",
     "--place", "loft", "--code", 0, "--size", 1),
    ("record", "step", "T-1", "--note", 0), ("record", "coat", 0, "--amount", 1), ("record", "step", "T-1", "--at", 0),
    ("batch", "change", "T-1", "--what", 0, "--note", 1), ("batch", "change", "T-1", "--size", 0, "--species", 1),
    ("record", "correct", "T-1", "1", "--at", 0, "--note", 1),
    ("record", "correct", "T-1", "1", "--amount", 0, "--can", 1),
    ("record", "move", "T-1", 0), ("record", "test", "T-1", 0, 1),
    ("can", "add", "tung-oil", "--volume", "1L", "--lot", 0, "--note", 1), ("can", "add", "tung-oil", "--volume", 0),
    ("readings", "leave-out", "--place", "loft", "--from", 0, "--until", 1),
    ("readings", "take-back", "1", "--note", 0),
    ("settings", 0, 1), ("settings", "maker", 0), ("settings", "currency", 0), ("settings", "hours", 0),
)  # fmt: skip
"""Commands that write; a number stands for a hostile text."""

READ = (
    ("due",), ("batch", "list"), ("batch", "show", "T-1"), ("place", "list"), ("place", "show", 0), ("can", "list"),
    ("settings",), ("batch", "show", 0), ("finishes", "show", 0), ("species", "show", 0), ("schedules", "show", 0),
    (0,), ("times", 0, "--species", 1, "--temperature", "20"), ("air", "--temperature", 0, "--humidity", 1),
    ("check", 0), ("restore", 0), ("readings", "import", 0, "--place", "loft"), ("readings", "list", "--place", 0),
    ("readings", "left-out"), ("readings", "take-back", 0), ("readings", "leave-out", 0, "--place", "loft"),
    ("find", 0), ("trace", 0), ("trace", 0, "--lot"), ("trace", "T-1"), ("compare", "danish-three", "--species", 0,
     "--pieces", 1), ("plan", "--quick", "--pin", 0), ("import", 0),
    ("backup", "--list"), ("schedules", "add", 0), ("finishes", "add", 0), ("species", "add", 0),
)  # fmt: skip


def commanding(data: st.DataObject, home: Path) -> None:
    """A command with hostile text in its places, then one that shows what came of it."""
    texts = [data.draw(typed), data.draw(typed)]
    run([w if isinstance(w, str) else texts[w] for w in data.draw(st.sampled_from(WRITE + READ))], home)
    reading = [w if isinstance(w, str) else texts[w] for w in data.draw(st.sampled_from(READ))]
    run([*reading, *(["--json"] if data.draw(st.booleans()) else [])], home)


TAKES_A_FILE = (
    (("readings", "import"), ("--place", "loft")),
    (("times", "danish-three", "--species", "maple", "--readings"), ()),
    (("restore",), ()),
    (("check",), ()),
    (("backup",), ()),
    (("finishes", "add"), ()),
    (("schedules", "add"), ()),
    (("import",), ()),
    (("calendar",), ()),
    (("cards", "rack", "T-1"), ()),
)
"""Commands that take a file: the words before it and after it."""


def naming_files(data: st.DataObject, home: Path) -> None:
    """A file whose name is hostile, handed to each command that takes one; what was read in is left out again."""
    path, held, note = home / data.draw(names), data.draw(logs), data.draw(typed)
    before, after = data.draw(st.sampled_from(TAKES_A_FILE))
    if path.exists():
        return
    try:
        path.write_bytes(held)
    except OSError:
        return  # no name on this system
    try:
        done = run([*before, str(path), *after], home)
        if done == 0 and before == ("readings", "import"):
            run(["readings", "leave-out", str(path), *after, "--note", note], home)
            run(["readings", "left-out", *data.draw(st.sampled_from(([], ["--json"])))], home)
    finally:
        path.unlink()


def taking_out(data: st.DataObject, home: Path) -> None:
    """Hostile text on record, then written out as a calendar, as tables or as JSON.

    A file keeps every character, for the way back in, and nothing goes anywhere else.
    """
    text, lot, form = data.draw(typed), data.draw(typed), data.draw(st.sampled_from(("csv", "json", "ics")))
    before = rows_of(home)
    shop = Shop.open(NOW)
    try:
        add_note(shop, "T-1", text, NOW)
        shelve(shop, CanDraft("tung-oil", 1000.0, lot), NOW)
    except FinishingError as problem:
        refused(problem)
        assert sum(rows_of(home).values()) <= sum(before.values()) + 1, "a note at most"
    with TemporaryDirectory(prefix="finishing-out-") as folder:
        target = Path(folder) / f"out.{form}"
        if form == "ics":
            export_calendar(shop, target, NOW)
        else:
            export(shop, target, form, NOW)
        assert [path.name for path in Path(folder).iterdir()] == [target.name], "nothing goes anywhere else"
    shop.close()


def printing(data: st.DataObject, home: Path) -> int:
    """Cards of every kind in one document, hostile text in all their places; no sign hides or turns the line."""
    texts = data.draw(st.lists(typed, min_size=20, max_size=40))
    printed(texts, home)
    return len(texts)


def printed(texts: Sequence[str], home: Path) -> None:
    """Cards with the texts on them: what is set is harmless, and so is the page, read by another library.

    Of the page, signs that turn or part lines: a glyph that stands for no single letter, as in Arabic, reads as its
    number there, which may be any control.
    """
    waiting, cards, ready = iter(texts), [], Type.ready

    def watched(type_: Type, text: str, style: str = "") -> str:
        said = ready(type_, text, style)
        harmless(said)
        return said

    shop = Shop.open(NOW)
    while (text := next(waiting, None)) is not None:
        for kind in ("care", "record", "rack"):
            [said] = word_cards(shop, CardDraft(kind, ("T-1",)), NOW).contents
            cards.append(_spoilt(said, text, waiting))
    shop.close()
    with TemporaryDirectory(prefix="finishing-out-") as folder:
        target = Path(folder) / "cards.pdf"
        # Not in bold: to make another weight of each font that chance asks for takes longer than all else.
        with patch.object(Type, "ready", watched), patch.object(Type, "_embolden"):
            draw_cards(Worded(CardDraft("rack", ("T-1",)), NOW, tuple(cards)), target)
        assert [path.name for path in Path(folder).iterdir()] == [target.name]
        with closing(PdfDocument(target)) as document:
            for page in document:
                text = page.get_textpage().get_text_range()
                harmless("".join(sign for sign in text if unicodedata.category(sign) != "Cc"))


def _spoilt(said: Any, text: str, waiting: Iterator[str]) -> Any:
    """A card with texts in place of its own, as long as there are any; the code is the shop's."""
    changed: dict[str, Any] = {}
    for name in (field.name for field in fields(said) if field.name != "code"):
        held = getattr(said, name)
        if isinstance(held, str):
            changed[name] = text
        elif isinstance(held, tuple) and held and isinstance(held[0], str):
            changed[name] = tuple(text for _ in held)
        elif name == "steps":
            changed[name] = tuple(replace(step, words=text, when=text) for step in held)
        elif name == "coats":
            changed[name] = tuple(tuple(text[:40] for _ in row) for row in held)
        text = next(waiting, text)
    return replace(said, **changed)


CHEAP: tuple[Deed, ...] = (parsing, showing, reading_logs, reading_tables)
DEAR: tuple[Deed, ...] = (commanding, naming_files, taking_out, printing)


def begin(home: Path) -> None:
    """A shop with a place and a batch whose names are bad enough."""
    for words in (
        ["place", "add", "loft", "--low", "20", "--high", "22"],
        ["place", "add", "x\x1b[31m\u202e[red]y", "--low", "20", "--high", "22"],
        ["batch", "add", "--what", "trays \x1b[2J[bold]\n=1+1", "--pieces", "4", "--species", "maple, padauk 20%",
         "--schedule", "wiped-varnish-four", "--place", "loft", "--code", "T-1", "--note", "\x9b31m" + "n" * 9000],
    ):  # fmt: skip
        assert run(words, home) == 0, words
