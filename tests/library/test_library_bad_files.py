"""A broken file gives one line that names the file, the key, the value and what was expected."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from finishing.cure.finish import Finish
from finishing.cure.schedule import Schedule
from finishing.cure.species import Species
from finishing.errors import BadFile
from finishing.library import thaw
from finishing.library.build import build, read_item
from finishing.library.content import shipped
from finishing.library.files import MOST_BYTES
from finishing.library.toml import parse
from finishing.library.woods import class_table, shipped_species

FINISH = (shipped("data") / "finishes" / "wiping-varnish.toml").read_text(encoding="utf-8")
SCHEDULE = (shipped("schedules") / "wiped-varnish-four.toml").read_text(encoding="utf-8")


def _refused(cls: type, text: str | bytes, folder: Path, name: str = "x.toml") -> str:
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    with pytest.raises(BadFile) as caught:
        read_item(cls, path)
    line = str(caught.value)
    assert "\n" not in line
    assert line.isprintable()
    assert len(line) < 700
    assert line.startswith(f"{folder.name}/")
    return line


def _swap(text: str, old: str, new: str) -> str:
    assert old in text
    return text.replace(old, new, 1)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("spread = 0.5", "spred = 0.5", "spred: is no key of this table (and 1 more); nearest: spread"),
        ("spread = 0.5", "spread = 9", "spread: got 9.0, expected 0 to 2"),
        ("spread = 0.5", 'spread = "0.5"', "spread: got '0.5', expected a number"),
        ("spread = 0.5", "spread = nan", "spread: got nan, expected a finite number"),
        ("spread = 0.5", "spread = true", "spread: got True, expected a number"),
        ("spread = 0.5", "spread = 1979-05-27", "spread: got datetime.date(1979, 5, 27), expected text or a number"),
        ("spread = 0.5\n", "", "spread: is missing"),
        ("protection = 3", "protection = 3.0", "protection: got 3.0, expected a whole number"),
        ("protection = 3", "protection = 0xffffffffffffffffffffff", "protection: got 309485009821345068724781055"),
        ("minimum_c = 4", 'minimum_c = 4\nstops = "no"', "limits.stops: got 'no', expected true or false"),
        ("[stages.cured]", "[stages.cooked]", "stages.cooked: got 'cooked', expected 'dust_free', 'tack_free'"),
        ("grit = 320", "grit = 20", "recoat_limit.grit: got 20, expected an abrasive grit from P40 to P3000"),
        ("low = 168", "low = 600", "stages.cured: stage hours: got (600.0, 504.0, 720.0), expected low <= typical"),
        ("[clocks.flash]", "[clocks.flush]", "clocks.flush: got 'flush', expected 'flash' or 'cure'"),
        ("[film]", "[film]\nhiding = 3", "film.hiding: is no key of this table; known: first_m2_per_l"),
        (
            'title = "Wiping',
            'title = "\\u001b[31mWiping',
            "title: got '\\x1b[31mWiping varnish, oil-modified urethane'",
        ),
        ("[wipe]", "[wipe]\n[wipe]", "is not TOML: cannot declare"),
        ('name = "wiping-varnish"', 'name = "../x"', "name: got '../x', expected small letters"),
        ("typical = 24\nhigh = 48\nclock", "typical = 5\nhigh = 48\nclock", "got (12.0, 5.0, 48.0)"),
        ('source = "from memory, medium confidence"', 'source = " "', "source: got ' ', expected where the figure"),
    ],
)
def test_a_broken_finish(old: str, new: str, said: str, tmp_path: Path) -> None:
    assert said in _refused(Finish, _swap(FINISH, old, new), tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("grit = 320", 'grit = "P320"', "steps[3].grit (step 4): got 'P320', expected a whole number"),
        ("grit = 320", "grit = 30", "steps[3].grit (step 4): got 30, expected an abrasive grit from P40 to P3000"),
        ('kind = "coat"', 'kind = "paint"', "steps[1].kind (step 2): got 'paint', expected 'prepare', 'clean', 'coat'"),
        (
            'kind = "coat"',
            'kind = "wipe"',
            "steps[1].finish (step 2): got 'wiping-varnish', expected a finish on a coat",
        ),
        ('kind = "coat"', 'kind = "coat"\ncolour = "red"', "steps[1].colour (step 2): is no key of this table"),
        ("[[steps]]", "[steps]", "is not TOML"),
    ],
)
def test_a_broken_schedule(old: str, new: str, said: str, tmp_path: Path) -> None:
    assert said in _refused(Schedule, _swap(SCHEDULE, old, new), tmp_path)


def test_a_schedule_without_a_coat_or_with_too_many_steps(tmp_path: Path) -> None:
    bare = 'name = "x"\ntitle = "X"\nsummary = ""\n'
    assert "expected at least one step of kind coat" in _refused(Schedule, f"{bare}steps = []", tmp_path)
    assert "steps: got 3, expected a list" in _refused(Schedule, f"{bare}steps = 3", tmp_path)
    many = bare + '[[steps]]\nkind = "coat"\nfinish = "tung-oil"\n' * 61
    assert "expected no more than 60 steps" in _refused(Schedule, many, tmp_path)


def test_not_text_not_a_file_not_there(tmp_path: Path) -> None:
    assert "line 2: is not UTF-8 text" in _refused(Finish, b'name = "x"\ntitle = "caf\xe9"\n', tmp_path)
    assert "is larger than 1,024 KiB" in _refused(Finish, "#" * (MOST_BYTES + 1), tmp_path)
    for name in ("nothing.toml", "a\nb.toml", "a\0b.toml"):
        with pytest.raises(BadFile) as caught:
            read_item(Finish, tmp_path / name)
        assert str(caught.value).isprintable()
    (tmp_path / "folder.toml").mkdir()
    with pytest.raises(BadFile, match="is not a file"):
        read_item(Finish, tmp_path / "folder.toml")


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "wiping-varnish.toml"
    path.write_bytes(b"\xef\xbb\xbf" + FINISH.encode())
    assert read_item(Finish, path).name == "wiping-varnish"


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 100_000,
        "a = " + "[" * 300 + "]" * 300,
        "a = " + "{b = " * 30 + "1" + "}" * 30,
        "a.b = 1\n" * 2,
        ".".join(["a"] * 200_000) + " = 1",
        " . ".join(['"a"'] * 100_000) + " = 1",
        "[" + ".".join(["a"] * 200_000) + "]",
        "x = {" + ".".join(["a"] * 200_000) + " = 1}",
        "a = " + "9" * 500_000,
        "a = 0x" + "f" * 500_000,
        "a = 1e999999",
        'a = "' + "x" * 900_000 + '"',
        "a" * 1_000_000,
        "." * 1_000_000,
        '"' * 1_000_000,
        "a." * 7 + "b = 1",
        "\0",
        'a = "\\u202e"',
    ],
    ids=lambda text: text[:12],
)
def test_hostile_text_is_refused_at_once(text: str, tmp_path: Path) -> None:
    began = time.monotonic()
    _refused(Finish, text, tmp_path)
    assert time.monotonic() - began < 5.0  # seconds; what a hang would not meet even on a slow machine


def _read_or_refused(text: str) -> None:
    said = ""
    try:
        build(Schedule, parse(text, "x"), "x")
    except BadFile as problem:
        said = str(problem)
    assert said.isprintable()


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_one_line(text: str) -> None:
    _read_or_refused(text)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([line for line in SCHEDULE.splitlines() if " = " in line]),
    st.sampled_from(["1", "-1", "[]", "{}", "'x'", "true", "1.5", "[[1]]", "{ a = 1 }", "inf"]),
)
def test_any_value_in_any_place_is_read_or_refused_in_one_line(line: str, value: str) -> None:
    text = SCHEDULE.replace(line, f"{line.split(' = ')[0]} = {value}")
    _read_or_refused(text)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda rows: [rows[0].replace("pores", "pore", 1), *rows[1:]], "line 1: has columns"),
        (lambda rows: [rows[0], rows[1] + ",x"], "line 2: has 19 fields, expected 18"),
        (lambda rows: [rows[0], rows[1].replace("diffuse-porous", "porous")], "line 2, pores: got 'porous'"),
        (lambda rows: [rows[0], rows[1].replace("false", "no")], "line 2, open_pores: got '', expected true or false"),
        (lambda rows: [rows[0], rows[1].replace("irritant", "itchy")], "line 2, dust: got 'itchy', expected any of"),
        (
            lambda rows: [rows[0], rows[1].replace(",,,,,,", ",,x,,,,", 1)],
            "factor_oxidation: got 'x', expected a number",
        ),
        (lambda rows: [rows[0], rows[1].replace(",,,,,,", ",,99,,,,", 1)], "expected a time factor from 0.5 to 20"),
        (lambda rows: [rows[0], '"unclosed'], "is not CSV"),
    ],
)
def test_a_broken_table_of_woods(change, said: str, tmp_path: Path) -> None:
    rows = (shipped("data") / "species.csv").read_text(encoding="utf-8").splitlines()
    path = tmp_path / "species.csv"
    path.write_text("\n".join(change(rows)), encoding="utf-8")
    with pytest.raises(BadFile) as caught:
        shipped_species(path)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda rows: rows[:-1], "has no row for high/none"),
        (lambda rows: [*rows, rows[-1]], "twice"),
        (lambda rows: [rows[0], rows[1].replace("evaporation", "magic")], "'magic' is not a valid Mechanism"),
        (lambda rows: [rows[0], rows[1].replace(",1,1,1,", ",1,0,1,")], "expected 0.5 <= low"),
    ],
)
def test_a_broken_table_of_classes(change, said: str, tmp_path: Path) -> None:
    rows = (shipped("data") / "extractives.csv").read_text(encoding="utf-8").splitlines()
    path = tmp_path / "extractives.csv"
    path.write_text("\n".join(change(rows)), encoding="utf-8")
    with pytest.raises(BadFile) as caught:
        class_table(path)
    assert said in str(caught.value)


def test_a_wood_of_the_makers_own_is_checked_alike(tmp_path: Path) -> None:
    text = 'name = "elm"\nbotanical = "Ulmus"\nextractives = "none"\npores = "ring-porous"\nopen_pores = true\n'
    text += (
        'dust = []\nbleeds = ""\ncautions = []\nevidence = "estimate"\nsource = "a guess"\n[factors]\noxidation = 40\n'
    )
    assert "got 40.0, expected a time factor from 0.5 to 20" in _refused(Species, text, tmp_path)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "frozen copy: is damaged: it is not JSON"),
        ("{", "frozen copy: is damaged: it is not JSON"),
        ("[]", "frozen copy: got a list, expected a table"),
        ('{"schedule": 1}', "frozen copy, schedule: got 1, expected a table (and 3 more)"),
    ],
)
def test_a_damaged_frozen_copy_is_no_bug(text: str, said: str) -> None:
    with pytest.raises(BadFile) as caught:
        thaw(text)
    assert str(caught.value) == said
