"""Finding finishes, woods and schedules by name, and a maker's own files over the shipped ones."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from finishing.errors import BadFile, NotFound
from finishing.library import Kind, Library
from finishing.library.content import shipped


@pytest.fixture
def own(tmp_path: Path) -> Path:
    for kind in Kind:
        (tmp_path / kind.folder).mkdir()
    return tmp_path


def _copy(own: Path, folder: str, name: str, new_name: str, *changes: tuple[str, str]) -> Path:
    source = shipped("data") / folder if folder == "finishes" else shipped("schedules")
    text = (source / f"{name}.toml").read_text(encoding="utf-8").replace(f'name = "{name}"', f'name = "{new_name}"')
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = own / folder / f"{new_name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


WOOD = """
name = "Figured Maple"
botanical = "Acer macrophyllum"
extractives = "low"
pores = "diffuse-porous"
open_pores = false
dust = ["irritant"]
bleeds = ""
cautions = []
evidence = "common practice"
source = "common practice, no source"
aliases = ["maple"]
factors = { oxidation = 1.2 }
"""


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("Maple", "hard maple"),
        ("WALNUT", "black walnut"),
        ("cherry", "black cherry"),
        ("padauk", "padauk"),
        ("African  padauk", "padauk"),
        ("mahogany", "Honduran mahogany"),
        ("birch", "yellow birch"),
        ("ash", "white ash"),
        ("beech", "beech"),
        ("ebony", "ebony"),
        ("Teak", "teak"),
        ("purpleheart", "purpleheart"),
        ("goncalo alves", "gonçalo alves"),
        ("Quercus alba", "white oak"),
    ],
)
def test_a_wood_is_found_by_any_of_its_names(asked: str, found: str) -> None:
    assert Library().species(asked).name == found


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("oak", {"red oak", "white oak"}),
        ("rosewood", {"Indian rosewood", "Brazilian rosewood"}),
        ("pine", {"southern pine"}),
    ],
)
def test_a_name_of_several_woods_is_asked_back(asked: str, near: set[str]) -> None:
    with pytest.raises(NotFound) as caught:
        Library().species(asked)
    assert near <= set(caught.value.nearest)


def test_an_unknown_name_gets_the_nearest() -> None:
    with pytest.raises(NotFound, match=r"finish: got 'wipping-varnish'.*wiping-varnish"):
        Library().finish("wipping-varnish")
    with pytest.raises(NotFound, match=r"schedule: got 'danish'.*danish-three"):
        Library().schedule("danish")
    with pytest.raises(NotFound):
        Library().finish("../species")


def test_own_finishes_come_over_the_shipped(own: Path) -> None:
    _copy(own, "finishes", "tung-oil", "tung-oil", ("spread = 0.5", "spread = 0.3"))
    _copy(own, "finishes", "tung-oil", "bench-oil")
    library = Library(own)
    assert library.finish("tung-oil").spread == 0.3
    assert library.is_own(Kind.FINISH, "tung-oil")
    assert not library.is_own(Kind.FINISH, "walnut-oil")
    assert "bench-oil" in library.finish_names
    assert len(library.finishes()) == len(Library().finishes()) + 1


def test_own_woods_take_over_the_common_names_they_claim(own: Path) -> None:
    (own / "species" / "figured-maple.toml").write_text(WOOD, encoding="utf-8")
    library = Library(own)
    assert library.species("maple").name == "Figured Maple"
    assert library.species("hard maple").name == "hard maple"
    assert library.is_own(Kind.SPECIES, "Figured Maple")


def test_a_schedule_needs_its_finishes(own: Path) -> None:
    _copy(own, "schedules", "danish-three", "mine", ('finish = "oil-varnish-blend"', 'finish = "oil-varnish-blent"'))
    with pytest.raises(BadFile, match=r"steps\[1\]\.finish \(step 2\): got 'oil-varnish-blent'.*oil-varnish-blend"):
        Library(own).schedule("mine")
    _copy(own, "finishes", "oil-varnish-blend", "oil-varnish-blent")
    assert Library(own).schedule("mine").coats == 3


def test_a_broken_file_is_reported_and_stops_nothing_else(own: Path) -> None:
    (own / "finishes" / "bad.toml").write_text("name = ", encoding="utf-8")
    (own / "schedules" / "worse.toml").write_bytes(b"\xff\xfe")
    (own / "schedules" / "a-folder.toml").mkdir()
    (own / "species" / "teak.toml").write_text("name = 'teak'\n", encoding="utf-8")
    library = Library(own)
    assert len(library.finishes()) == len(Library().finishes())
    assert len(library.schedules()) == len(Library().schedules())
    assert len(library.woods()) == len(Library().woods()) - 1
    said = [str(problem) for problem in library.problems]
    assert [text.split(":")[0].split(",")[0] for text in said] == [
        "finishes/bad.toml",
        "schedules/a-folder.toml",
        "schedules/worse.toml",
        "species/teak.toml",
    ]
    for asked in (
        lambda: library.finish("bad"),
        lambda: library.schedule("worse"),
        lambda: library.species("Burmese teak"),
    ):
        with pytest.raises(BadFile):
            asked()
    assert library.species("maple").name == "hard maple"


def test_a_file_bears_the_name_of_what_it_holds(own: Path) -> None:
    _copy(own, "finishes", "tung-oil", "bench-oil").rename(own / "finishes" / "other.toml")
    with pytest.raises(BadFile, match=r"finishes/other\.toml, name: got 'bench-oil', expected 'other'"):
        Library(own).finish("other")


def test_one_schedule_is_found_without_reading_the_finishes(own: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    original = Path.open

    def noting(self: Path, *args, **kwargs):
        read.append(self.name)
        return original(self, *args, **kwargs)

    monkeypatch.setattr(Path, "open", noting)
    Library(own).schedule("danish-three")
    assert read == ["danish-three.toml"]


def test_importing_the_library_leaves_pydantic_alone() -> None:
    code = "import sys, finishing.library; print(sorted({'pydantic', 'tomli_w'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
