"""Backup, restore and check as commands; and the day's first start."""

from __future__ import annotations

import json
import os
import re
import shutil
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

from freezegun.api import FrozenDateTimeFactory

from .conftest import Command, contents


def rows(shop: Command) -> list[str]:
    """The whole record."""
    found: list[str] = contents(shop.home)["rows"]
    return found


def test_a_shop_restored_from_yesterdays_backup(shop: Command, clock: FrozenDateTimeFactory) -> None:
    shop.ok("record", "step", "T-1")
    clock.move_to("2026-03-11T08:00:00+00:00")
    yesterday = rows(shop)
    shop.ok("due")
    shop.ok("record", "step", "T-1")
    shop.ok("batch", "close", "T-1")
    today = rows(shop)
    listed = shop.json("backup", "--list")
    assert [kept["why"] for kept in listed] == ["daily", "daily"]
    said = shop.ok("restore", Path(listed[-1]["file"]).name)
    assert re.search(r"what it replaced is kept: \S+ \(3 entries\)", said)
    assert rows(shop) == yesterday
    replaced = shop.json("backup", "--list")[-1]
    assert replaced["why"] == "replaced"
    assert shop.json("restore", replaced["file"])["entries"] == 3
    assert rows(shop) == today


def test_made_by_hand(shop: Command, tmp_path: Path) -> None:
    target = tmp_path / "kept.db"
    made = shop.json("backup", str(target))
    assert made == {
        "file": str(target), "made_at": "2026-03-10T09:00:00+01:00", "why": "made", "bytes": target.stat().st_size,
    }  # fmt: skip
    assert "not there yet" in shop.refused("backup", str(target))
    assert "--list" in shop.refused("backup", str(target), "--list")
    assert "checked" in shop.ok("backup")
    assert "made by hand" in shop.ok("backup", "--list")
    assert shop.json("check", str(target))["sound"] is True


MINE = """name = "my-oil-twice"
title = "my oil, twice"
"""


def test_a_shop_comes_back_with_its_own_finishes_and_schedules(shop: Command, tmp_path: Path) -> None:
    """Read past the program. What has come since stays, and what was replaced is kept, files among it."""
    mine, later = (shop.home / "schedules" / name for name in ("my-oil-twice.toml", "later.toml"))
    mine.parent.mkdir()
    mine.write_text(MINE)
    target = tmp_path / "kept.db"
    shop.ok("backup", str(target))
    mine.write_text("changed since")
    later.write_text("come since")
    done = shop.json("restore", str(target))
    assert done["own_files"] == ["schedules/my-oil-twice.toml"]
    assert (mine.read_text(), later.read_text()) == (MINE, "come since")
    assert "your own schedules/my-oil-twice.toml, as it was" in shop.ok("restore", done["replaced"])
    assert mine.read_text() == "changed since"
    assert stat.S_IMODE(mine.stat().st_mode) == 0o600
    with closing(sqlite3.connect(target)) as plain:
        plain.execute("UPDATE own_file SET path = '../../away.toml'")
        plain.commit()
    assert "no finish, schedule or wood" in shop.refused("restore", str(target))
    assert not (shop.home.parent.parent / "away.toml").exists()


def test_a_truncated_backup_is_refused_in_a_line(shop: Command) -> None:
    shop.ok("due")
    [kept] = shop.json("backup", "--list")
    os.truncate(kept["file"], kept["bytes"] // 2)
    code, out, err = shop("check", kept["file"])
    assert (code, err) == (1, "")
    assert "not sound" in out
    said = shop.refused("restore", kept["file"])
    assert "not restored" in said
    assert "the database is as it was; try another backup" in said


def test_check(shop: Command) -> None:
    found = shop.json("check")
    assert (found["sound"], found["problems"], found["batches"]) == (True, [], 1)
    assert "sound (layout" in shop.ok("check")
    with closing(sqlite3.connect(shop.home / "finishing.db")) as plain:
        plain.execute("DROP TRIGGER entry_no_delete")
    code, out, err = shop("check")
    assert (code, err) == (1, "")
    assert "not sound" in out
    assert "! the trigger entry_no_delete is missing" in out
    code, out, err = shop("check", "--json")
    assert (code, json.loads(out)["sound"]) == (1, False)


def test_nothing_to_keep_or_to_check(run: Command) -> None:
    assert "no backup yet" in run.ok("backup", "--list")
    assert "nothing to check" in run.refused("check")
    assert not run.home.exists()
    run.ok("due")
    assert run.json("backup", "--list") == [], "a shop nobody set up has nothing to keep"


def test_a_day_without_a_backup_is_said_and_the_work_goes_on(shop: Command) -> None:
    shutil.rmtree(shop.home / "backups")
    (shop.home / "backups").write_text("in the way")
    code, out, err = shop("due")
    assert code == 0
    assert "T-1" in out
    assert err.startswith("finishing: no backup was made today: ")
    assert err.count("\n") == 1


def test_what_no_restore_takes(shop: Command, tmp_path: Path) -> None:
    text = tmp_path / "notes.txt"
    text.write_text("at,temperature\n" * 400)
    assert "not restored" in shop.refused("restore", str(text))
    assert "nowhere" in shop.refused("restore", "nowhere.db")
    assert "not the database itself" in shop.refused("restore", str(shop.home / "finishing.db"))
    assert "a backup of one" in shop.refused("check", str(tmp_path))
