"""`finishing export` and `finishing import`: out and in again, compared by the driver's own dump."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import math
import sqlite3
import stat
from contextlib import closing
from pathlib import Path
from typing import Any

import pandas
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishing.clock import now_hour
from finishing.exchange import tables
from finishing.exchange.tables import Column
from finishing.shop.exporting import bring_in, export, shapes
from finishing.shop.notes import add_note
from finishing.shop.shop import Shop
from finishing.store import at_file
from finishing.store import rows as stored

from .conftest import Command, contents

NOW = 490_000.0
HOSTILE = [
    '=HYPERLINK("http://x")',
    "+1",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    " =1",
    "＝1",
    "'quoted",
    "",
    '"',
    "a\r\nb",
    ",;",
    "é 木 🪵",
]


def rows(file: Path) -> list[str]:
    """The whole database as SQL, by the driver; what other programs would find."""
    with closing(sqlite3.connect(file)) as plain:
        return sorted(line for line in plain.iterdump() if line.startswith("INSERT"))


OWN = {
    "finishes/ma_finition.toml": "name = 'é'\r\n".encode(),
    "schedules/mine.toml": b"# not a schedule yet",
    "species/garden.toml": b"\xef\xbb\xbf",
}


@pytest.fixture
def full(shop: Command) -> Command:
    """A shop with something in most tables, and with text that spreadsheets and terminals take for more than text."""
    for path, body in OWN.items():
        (shop.home / path).parent.mkdir()
        (shop.home / path).write_bytes(body)
    opened = Shop.open(now_hour())
    for text in filter(str.strip, HOSTILE):
        add_note(opened, "T-1", text, now_hour())
    opened.close()
    shop.ok("can", "add", "wiping-varnish", "--volume", "1L", "--lot", "=1+1", "--price", "24", "--opened")
    shop.ok("record", "coat", "T-1", "--amount", "30.25mL", "--maker", "-Ada", "--can", "3")
    shop.ok("record", "void", "T-1", "1")
    shop.ok("place", "expect", "loft", "2026-03-12", "--low", "-3.5", "--high", "4")
    shop.ok("batch", "add", "--what", "@bowls", "--pieces", "2", "--species", "teak", "--schedule", "danish-three",
            "--place", "cellar", "--code", "T-2", "--note", "=cmd")  # fmt: skip
    return shop


@pytest.mark.parametrize("name", ["out", "out.json"])
def test_out_and_in_again_is_the_same(
    full: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    target = tmp_path / name
    counts = full.json("export", str(target))["tables"]
    assert counts["entry"] > 10
    before = rows(full.home / "finishing.db")
    other = tmp_path / "new-home"
    monkeypatch.setenv("FINISHING_HOME", str(other))
    there = other / "schedules" / "mine.toml"
    there.parent.mkdir(parents=True)
    there.write_text("another's")
    assert "own file: got 'schedules/mine.toml'" in full.refused("import", str(target))
    there.unlink()
    assert full.json("import", str(target))["tables"] == counts
    assert rows(other / "finishing.db") == before
    assert {path: (other / path).read_bytes() for path in OWN} == OWN
    assert full.json("batch", "list") != []
    added = full.json("record", "coat", "T-1", "--coat", "2")["recorded"][0]["number"]
    assert added == counts["entry"] + 1


def test_private_and_nothing_left_behind(full: Command, tmp_path: Path) -> None:
    full.ok("export", str(tmp_path / "out"))
    full.ok("export", str(tmp_path / "all.json"))
    full.ok("export", str(tmp_path / "all.json"))
    assert stat.S_IMODE((tmp_path / "out").stat().st_mode) == 0o700
    for file in [*(p for p in (tmp_path / "out").rglob("*") if p.is_file()), tmp_path / "all.json"]:
        assert stat.S_IMODE(file.stat().st_mode) == 0o600, file
    assert sorted(p.name for p in tmp_path.iterdir() if p.name.startswith(".")) == []


def test_no_cell_is_a_formula_and_each_table_is_rfc_4180(full: Command, tmp_path: Path) -> None:
    """Read by pandas, whose reader is its own: as many rows and columns; lines end in CR LF (RFC 4180, 2.1)."""
    counts = full.json("export", str(tmp_path / "out"))["tables"]
    for name, count in counts.items():
        file = tmp_path / "out" / f"{name}.csv"
        frame = pandas.read_csv(file, dtype=str, keep_default_na=False, encoding="utf-8-sig")
        assert (len(frame), list(frame.columns)) == (count, [c.name for c in shapes()[name]])
        for value in frame.to_numpy().ravel():
            first = value.lstrip()[:1]
            assert first not in tables.FORMULA or _is_number(value), (name, value)
        head = file.read_bytes().split(b"\n", 1)[0]
        assert head.endswith(b"\r")
    body = json.loads((tmp_path / "out" / "about.json").read_text(encoding="utf-8"))
    assert body["tables"] == counts


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def test_what_is_no_whole_export_is_refused(full: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    full.ok("export", str(out))
    assert "not empty" in full.refused("import", str(out))
    assert "new or empty folder" in full.refused("export", str(out))
    monkeypatch.setenv("FINISHING_HOME", str(tmp_path / "new"))
    full.home = tmp_path / "new"
    full.ok("due")
    before = contents(full.home)
    assert "a folder or file" in full.refused("import", str(tmp_path / "none"))
    entries, kept = out / "entry.csv", (out / "entry.csv").read_bytes()
    lines = kept.split(b"\r\n")
    for wrong, said in (
        (b"\r\n".join(lines[:2]) + b"\r\n", "instead of"),
        (kept.replace(b",note,", b",dance,", 1), "dance"),
        (kept.replace(b"\r\n1,1,", b"\r\n1,one,", 1), "line 2, batch_id"),
        (kept.replace(b"\r\n1,1,", b"\r\n1,99,", 1), "don't go together"),
        (kept.replace(b"batch_id", b"other", 1), "first line"),
        (b"\xff\xfe" + kept, "can't be read as CSV"),
    ):
        assert wrong != kept
        entries.write_bytes(wrong)
        assert said in full.refused("import", str(out)), said
    entries.unlink()
    assert "entry.csv is not in it" in full.refused("import", str(out))
    entries.write_bytes(kept)
    about = out / "about.json"
    good = about.read_text("utf-8")
    about.write_text(about.read_text("utf-8").replace('"schema": "', '"schema": "9'), encoding="utf-8")
    assert "of version 9" in full.refused("import", str(out))
    about.write_text(good.replace("schedules/mine", "../mine"), encoding="utf-8")
    assert "no finish, schedule or wood" in full.refused("import", str(out))
    about.write_text(good.replace("schedules/mine", "schedules/gone"), encoding="utf-8")
    assert "own/schedules/gone.toml is not in it" in full.refused("import", str(out))
    about.write_text("[" * 100_000, encoding="utf-8")
    assert "can't be read as JSON" in full.refused("import", str(out))
    assert contents(full.home) == before


VALUES: dict[str, st.SearchStrategy[Any]] = {
    "text": st.text() | st.sampled_from(HOSTILE),
    "int": st.integers(-(2**62), 2**62),
    "float": st.floats(allow_nan=False),
    "bool": st.booleans(),
    "date": st.dates(),
    "instant": st.datetimes(timezones=st.just(dt.UTC)),
    "json": st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
        max_leaves=6,
    ).filter(lambda value: value is not None),
}


@settings(max_examples=400, deadline=None)
@given(st.data())
def test_any_value_comes_back_from_either(data: st.DataObject) -> None:
    """Through the standard library's csv and json, whatever the kind; and no cell of text begins a formula."""
    kind = data.draw(st.sampled_from(sorted(VALUES)))
    value, column = data.draw(VALUES[kind] | st.none()), Column("x", kind, True)
    text = io.StringIO(newline="")
    csv.writer(text).writerow([tables.cell(kind, value), "end"])
    text.seek(0)
    ((cell, _),) = csv.reader(text)
    back = tables.value_of(column, cell)
    # Written out, -0.0 is not 0.0 and 1 not True; the order of an object's keys says nothing.
    shown = str if kind in ("date", "instant") else lambda v: json.dumps(v, sort_keys=True)
    assert (back, shown(back)) == (value, shown(value))
    if kind in ("text", "json"):
        assert cell.lstrip(" \u00a0")[:1] not in tables.FORMULA
    once = json.loads(json.dumps(tables.json_value(kind, value), allow_nan=False))
    again = tables.from_json(column, once)
    assert (again, shown(again)) == (value, shown(value))


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(*[VALUES["text"].map(lambda t: t.replace("\x00", "0"))] * 3), max_size=12), st.booleans())
def test_any_shop_comes_back(
    tmp_path_factory: pytest.TempPathFactory, texts: list[tuple[str, str, str]], as_json: bool
) -> None:
    """Cans and settings with whatever was typed, through files into another database."""
    folder = tmp_path_factory.mktemp("any")
    at = dt.datetime(2026, 3, 1, 2, 3, 4, 567891, tzinfo=dt.UTC)
    cans = [
        (n + 1, finish, lot, 10.1 * (n + 1), None, at.date(), None, n or 1, note, at, None)
        for n, (finish, lot, note) in enumerate(texts)
    ]
    given_rows = {name: iter(()) for name in shapes()} | {
        "can": iter(cans),
        "setting": iter([(f"k{n}{t[0]}", list(t), at) for n, t in enumerate(texts)]),
    }
    one, two = (Shop.open(NOW, at_file(folder / f"{n}" / "finishing.db")) for n in "12")
    with one.store.write() as w:
        stored.put_all(w, given_rows)
        w.commit()
    target = folder / ("x.json" if as_json else "x")
    export(one, target, "json" if as_json else "csv", NOW)
    bring_in(two, target)
    one.close()
    two.close()
    assert rows(folder / "1" / "finishing.db") == rows(folder / "2" / "finishing.db")
