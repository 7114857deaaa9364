"""A short form of the fuzz run; the long one is `python -m tests.hostile.fuzz`."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from finishing.store.sound import examine

from .deeds import CHEAP, DEAR, Deed, begin, printed, printing

pytestmark = pytest.mark.usefixtures("hasty")

SLOW = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large]


@pytest.mark.parametrize("deed", CHEAP, ids=lambda deed: deed.__name__)
@settings(max_examples=150, suppress_health_check=SLOW)
@given(data=st.data())
def test_what_is_read(deed: Deed, tmp_path: Path, data: st.DataObject) -> None:
    deed(data, tmp_path)


@pytest.mark.parametrize("deed", [deed for deed in DEAR if deed is not printing], ids=lambda deed: deed.__name__)
@settings(max_examples=15, suppress_health_check=SLOW)
@given(data=st.data())
def test_what_is_commanded(deed: Deed, own_home: Path, data: st.DataObject) -> None:
    if not own_home.exists():
        begin(own_home)
    deed(data, own_home)
    assert examine(own_home / "finishing.db").sound


def test_what_is_printed(own_home: Path) -> None:
    begin(own_home)
    printed(("\x1b[2J\x1b[31m\u202eabc", "a\nb\t\u2028c", "日本１العربية", "ß" * 300), own_home)


def test_all_that_is_made_is_private(own_home: Path) -> None:
    begin(own_home)
    from .deeds import run

    for words in (["due"], ["backup"], ["record", "step", "T-1"]):
        assert run(words, own_home) == 0
    own = own_home.parent / "own.toml"
    source = Path(__file__).parents[2] / "schedules" / "danish-three.toml"
    own.write_text(source.read_text(encoding="utf-8").replace('"danish-three"', '"own"', 1), encoding="utf-8")
    assert run(["schedules", "add", str(own)], own_home) == 0
    made = [own_home, *own_home.rglob("*")]
    assert len(made) > 5
    for path in made:
        assert stat.S_IMODE(path.stat().st_mode) == (0o700 if path.is_dir() else 0o600), path
