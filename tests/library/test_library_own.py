"""Adding a maker's own files: checked first, put in place whole, never over another unasked."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from finishing.errors import BadFile, BadInput
from finishing.library import Kind, Library, add_own, save_own
from finishing.library.content import shipped


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path / "own"


def _files(folder: Path) -> list[str]:
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file())


def test_a_file_is_copied_as_it_is(tmp_path: Path, home: Path) -> None:
    text = (shipped("data") / "finishes" / "tung-oil.toml").read_text(encoding="utf-8")
    source = tmp_path / "downloaded.toml"
    source.write_text("# my own remark\n" + text.replace('name = "tung-oil"', 'name = "bench-oil"'), encoding="utf-8")
    target = add_own(Kind.FINISH, source, home)
    assert target == home / "finishes" / "bench-oil.toml"
    assert target.read_text(encoding="utf-8") == source.read_text(encoding="utf-8")
    assert _files(home) == ["finishes/bench-oil.toml"]
    assert Library(home).finish("bench-oil").title == "Pure tung oil, no driers"


def test_another_of_the_name_stays_unless_it_is_to_go(tmp_path: Path, home: Path) -> None:
    source = shipped("data") / "finishes" / "tung-oil.toml"
    target = add_own(Kind.FINISH, source, home)
    changed = tmp_path / "tung-oil.toml"
    changed.write_text(source.read_text(encoding="utf-8").replace("spread = 0.5", "spread = 0.2"), encoding="utf-8")
    with pytest.raises(BadInput, match="name: got 'tung-oil'"):
        add_own(Kind.FINISH, changed, home)
    assert target.read_bytes() == source.read_bytes()
    add_own(Kind.FINISH, changed, home, replace=True)
    assert Library(home).finish("tung-oil").spread == 0.2


def test_a_broken_file_is_not_copied(tmp_path: Path, home: Path) -> None:
    broken = tmp_path / "broken.toml"
    broken.write_text("name = 1", encoding="utf-8")
    for kind in Kind:
        with pytest.raises(BadFile):
            add_own(kind, broken, home)
    schedule = tmp_path / "s.toml"
    text = (shipped("schedules") / "danish-three.toml").read_text(encoding="utf-8")
    schedule.write_text(text.replace("oil-varnish-blend", "no-such-finish"), encoding="utf-8")
    with pytest.raises(BadFile, match="expected a known finish"):
        add_own(Kind.SCHEDULE, schedule, home)
    assert not home.exists()


def test_what_was_made_in_the_program_is_saved_as_a_file(home: Path) -> None:
    library = Library()
    finish = replace(library.finish("wiping-varnish"), name="quick-varnish", title="Quick “varnish”\t1")
    wood = replace(library.species("gonçalo alves"), name="gonçalo alves, old stock", aliases=())
    schedule = replace(library.schedule("danish-three"), name="mine")
    for item in (finish, wood, schedule):
        save_own(item, home)
    mine = Library(home)
    assert mine.finish("quick-varnish") == finish
    assert mine.species("Gonçalo Alves, old stock") == wood
    assert mine.schedule("mine") == schedule
    assert mine.problems == ()
    assert _files(home) == [
        "finishes/quick-varnish.toml",
        "schedules/mine.toml",
        "species/goncalo-alves-old-stock.toml",
    ]


def test_what_could_not_be_read_again_is_not_saved(home: Path) -> None:
    finish = replace(Library().finish("wiping-varnish"), name="No Good")
    with pytest.raises(BadFile, match="name: got 'No Good'"):
        save_own(finish, home)
    assert not home.exists()


def test_a_failed_write_leaves_the_old_file_and_no_rest(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source = shipped("data") / "finishes" / "tung-oil.toml"
    target = add_own(Kind.FINISH, source, home)
    before = target.read_bytes()

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BadFile, match="cannot be written: no space left on device"):
        save_own(replace(Library().finish("tung-oil"), spread=0.1), home, replace=True)
    assert target.read_bytes() == before
    assert _files(home) == ["finishes/tung-oil.toml"]
