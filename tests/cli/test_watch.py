"""`finishing due --watch`: says what changes, tells what came up, and lives through a lost connection."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from finishing.cli import desktop
from finishing.cli.watch import watch
from finishing.errors import StoreTrouble
from finishing.shop.shop import Shop

from .conftest import Command

HOUR = 492_536.0
"""2026-03-10 08:00 UTC."""


class Over(Exception):
    """Enough watched."""


def watched(shop: Shop, events: list[Callable[[], object]], hours: float = 0.0, notify: bool = False) -> None:
    """Watch, with something happening at each wait, the clock going on by hours at each."""
    at = [HOUR]

    def wait(_: float) -> None:
        if not events:
            raise Over
        events.pop(0)()
        at[0] += hours

    with pytest.raises(Over):
        watch(shop, notify=notify, clock=lambda: at[0], wait=wait)


def test_it_prints_again_when_another_bench_records_and_only_then(
    shop: Command, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[tuple[str, str]] = []
    monkeypatch.setattr(desktop, "notify", lambda title, words: told.append((title, words)))
    opened = Shop.open(HOUR)
    try:
        nothing: list[Callable[[], object]] = [lambda: None] * 3
        capsys.readouterr()
        watched(opened, nothing)
        assert capsys.readouterr().out.count("2026, ") == 1

        def record() -> None:
            shop.ok("record", "step", "T-1")

        watched(opened, [record, lambda: None], notify=True)
        out = capsys.readouterr().out
        assert "> T-1: " in out
        assert [title for title, _ in told] == ["finishing: T-1"]
    finally:
        opened.close()


def test_a_lost_connection_is_said_once_and_its_return(
    shop: Command, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = Shop.open(HOUR)
    there = opened.store.data_version
    try:

        def gone() -> int:
            raise StoreTrouble("the database x does not answer: refused", "check that its server runs")

        def lose() -> None:
            monkeypatch.setattr(opened.store, "data_version", gone)

        def find() -> None:
            monkeypatch.setattr(opened.store, "data_version", there)

        capsys.readouterr()
        watched(opened, [lose, lambda: None, lambda: None, find])
        err = capsys.readouterr().err.splitlines()
        assert len(err) == 2
        assert "does not answer" in err[0]
        assert err[0].endswith("what stands above is as it was")
        assert err[1].endswith("the connection is back")
    finally:
        opened.close()


@pytest.mark.parametrize("words", [("--notify",), ("--watch", "--json")])
def test_what_does_not_go_together(shop: Command, words: tuple[str, ...]) -> None:
    assert "--watch" in shop.refused("due", *words)


def test_hostile_text_reaches_the_desktop_as_plain_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stand_in = tmp_path / "notify-send"
    stand_in.write_text(f"""#!/bin/sh
printf '%s\\0' "$@" > '{tmp_path}/got'
""")
    stand_in.chmod(0o700)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    monkeypatch.setattr(desktop.sys, "platform", "linux")
    words = (
        "$(touch gone) `x` --urgency=critical \x1b[31m\x07\u202e <a href='http://x.example'>tap</a> & more\nand more"
    )
    assert desktop.notify("--icon=/etc/passwd\x1b[2J", words)
    got = (tmp_path / "got").read_text("utf-8").split("\0")[:-1]
    assert got[:2] == ["--app-name=finishing", "--"]
    assert len(got) == 4
    assert all(c not in "\x1b\x07\u202e\n" for text in got for c in text)
    assert got[2].startswith("--icon=/etc/passwd")
    # markup in the body is read by what shows it: Desktop Notifications Specification, from memory
    assert "<" not in got[3]
    assert "&lt;a href='http://x.example'&gt;tap&lt;/a&gt; &amp; more" in got[3]
    assert "$(touch gone) `x` --urgency=critical" in got[3]
    assert not Path("gone").exists()


def test_the_desktop_gets_text_and_never_a_program(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(desktop.shutil, "which", lambda name: f"/bin/{name}" if name == "notify-send" else None)
    monkeypatch.setattr(desktop.sys, "platform", "linux")
    found = desktop.command("t", "-u critical $(x) \x1b[31m")
    assert found is not None
    assert found[:3] == ["notify-send", "--app-name=finishing", "--"]
    assert found[3] == "t"
    assert "\x1b" not in found[4]
    monkeypatch.setattr(desktop.shutil, "which", lambda _: None)
    assert desktop.command("t", "w") is None
    assert desktop.notify("t", "w") is False
    monkeypatch.setattr(desktop, "command", lambda *_: ["sleep", "9"])

    def late(*_: object, **options: object) -> None:
        raise subprocess.TimeoutExpired("sleep", 1)

    monkeypatch.setattr(desktop.subprocess, "run", late)
    assert desktop.notify("t", "w") is False
