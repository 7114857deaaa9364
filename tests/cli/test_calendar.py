"""`finishing calendar`, read back by vobject and recurring-ical-events, which know nothing of the library it is written
with; what a client must see after a second file is RFC 5545, 3.8.7.4 (SEQUENCE) and 3.8.1.11 (STATUS)."""

from __future__ import annotations

import datetime as dt
import stat
import uuid
from pathlib import Path
from typing import Any

import icalendar
import pytest
import recurring_ical_events
import vobject
from freezegun.api import FrozenDateTimeFactory
from hypothesis import given, settings
from hypothesis import strategies as st

from finishing.exchange.calendar import Happening, Sent, updated, written

from .conftest import Command

SHOP_ID = uuid.UUID(int=7)


def events(file: Path) -> dict[str, Any]:
    """By UID, as the second library reads them."""
    found = vobject.readOne(file.read_text(encoding="utf-8"))
    return {event.uid.value: event for event in found.contents.get("vevent", [])}


def by_title(file: Path, part: str) -> Any:
    (found,) = [event for event in events(file).values() if part in event.summary.value]
    return found


@pytest.fixture
def coated(shop: Command, tmp_path: Path) -> tuple[Command, Path]:
    """T-1 with its first coat on and wiped off, and where its calendar is."""
    shop.ok("record", "coat", "T-1", "--amount", "30mL")
    shop.ok("record", "step", "T-1")
    return shop, tmp_path / "shop.ics"


def test_windows_open_and_shut(coated: tuple[Command, Path]) -> None:
    shop, file = coated
    assert shop.json("calendar", str(file))["new"] == len(events(file))
    following = shop.json("batch", "show", "T-1")["next"]
    opens = by_title(file, "opens")
    assert abs(opens.dtstart.value - dt.datetime.fromisoformat(following["opens"])) <= dt.timedelta(seconds=30)
    assert opens.dtstart.value.utcoffset() == dt.timedelta(0)
    assert opens.valarm.action.value == "DISPLAY"
    assert (opens.status.value, opens.sequence.value) == ("CONFIRMED", "0")
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    for line in file.read_bytes().split(b"\r\n"):
        assert len(line) <= 75  # RFC 5545, 3.1: content lines are folded at 75 octets


def test_the_same_again_is_the_same_file(coated: tuple[Command, Path], clock: FrozenDateTimeFactory) -> None:
    shop, file = coated
    shop.ok("calendar", str(file))
    before = file.read_bytes()
    clock.tick(dt.timedelta(minutes=5))
    counts = shop.json("calendar", str(file))
    assert (counts["new"], counts["changed"], counts["cancelled"]) == (0, 0, 0)
    assert file.read_bytes() == before


def test_what_moved_is_moved(coated: tuple[Command, Path], clock: FrozenDateTimeFactory) -> None:
    """A tacky finding puts the opening off: same UID, SEQUENCE one up; the file may even have been taken away."""
    shop, file = coated
    shop.ok("calendar", str(file))
    before = by_title(file, "opens")
    clock.tick(dt.timedelta(hours=5))
    shop.ok("record", "test", "T-1", "dry_to_recoat", "tacky")
    file.unlink()
    assert shop.json("calendar", str(file))["changed"] >= 1
    after = by_title(file, "opens")
    assert after.uid.value == before.uid.value
    assert after.dtstart.value > before.dtstart.value
    assert (after.sequence.value, after.status.value) == ("1", "CONFIRMED")
    assert after.last_modified.value > before.last_modified.value


def test_a_corrected_coat_moves_what_it_opens(coated: tuple[Command, Path], clock: FrozenDateTimeFactory) -> None:
    shop, file = coated
    shop.ok("calendar", str(file))
    before = by_title(file, "opens")
    clock.tick(dt.timedelta(minutes=5))
    shop.ok("record", "correct", "T-1", "1", "--at", "8:00")
    assert shop.json("calendar", str(file))["changed"] >= 1
    after = by_title(file, "opens")
    assert (after.uid.value, after.sequence.value) == (before.uid.value, "1")
    assert after.dtstart.value < before.dtstart.value


def test_what_is_off_is_cancelled(coated: tuple[Command, Path]) -> None:
    shop, file = coated
    shop.ok("calendar", str(file))
    before = events(file)
    shop.ok("batch", "close", "T-1")
    assert shop.json("calendar", str(file))["cancelled"] == len(before)
    after = events(file)
    assert set(after) == set(before)
    assert {(e.status.value, e.sequence.value) for e in after.values()} == {("CANCELLED", "1")}
    assert not any("valarm" in e.contents for e in after.values())
    assert shop.json("calendar", str(file))["unchanged"] == len(before)


def test_what_is_past_stays(coated: tuple[Command, Path], clock: FrozenDateTimeFactory) -> None:
    shop, file = coated
    shop.ok("calendar", str(file))
    opened = by_title(file, "opens").uid.value
    clock.tick(dt.timedelta(days=1))
    shop.ok("calendar", str(file))
    assert events(file)[opened].status.value == "CONFIRMED"
    clock.tick(dt.timedelta(days=80))
    shop.ok("batch", "close", "T-1")
    shop.ok("calendar", str(file))
    assert opened not in events(file)


def test_planned_wipe_offs(shop: Command, tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    shop.ok("calendar", str(file))
    assert not any("wipe off" in e.summary.value for e in events(file).values())
    shop.ok("plan", "--quick", "--keep")
    shop.ok("calendar", str(file))
    work = [w for day in shop.json("plan", "--quick")["days"] for s in day["sessions"] for w in s["work"]]
    coats = [w for w in work if w["finish"] is not None]
    wipes = [e for e in events(file).values() if "wipe off" in e.summary.value]
    assert len(wipes) == 4 == len(coats)
    first = min(wipes, key=lambda e: e.dtstart.value)
    window = shop.json("finishes", "show", "wiping-varnish")["wipe"]
    spread = dt.timedelta(minutes=window["to_minutes"] - window["from_minutes"])
    assert abs((first.dtend.value - first.dtstart.value) - spread) <= dt.timedelta(minutes=1)
    # Arithmetic on the schedule's own minutes: whatever stands before the coat in the same work comes first.
    steps = shop.json("schedules", "show", shop.json("batch", "show", "T-1")["schedule"])["steps"]
    for coat, wipe in zip(coats, sorted(wipes, key=lambda e: e.dtstart.value), strict=True):
        laid = next(i for i in coat["steps"] if steps[i]["kind"] == "coat")
        before = [steps[i] for i in coat["steps"] if i < laid]
        minutes = sum(s["setup_minutes"] + s["minutes_per_piece"] * coat["pieces"] for s in before)
        minutes += steps[laid]["setup_minutes"] + window["from_minutes"]
        wanted = dt.datetime.fromisoformat(coat["begins"]) + dt.timedelta(minutes=minutes)
        assert abs(wipe.dtstart.value - wanted) <= dt.timedelta(minutes=1)


def test_releases_and_samples(shop: Command, tmp_path: Path) -> None:
    """A hard-wax oil is renewed every nine months by its file: the repeats as recurring-ical-events finds them."""
    file = tmp_path / "care.ics"
    shop.ok("batch", "add", "--what", "boards", "--pieces", "2", "--species", "hard maple", "--size", "300x200x18",
            "--schedule", "hard-wax-two", "--place", "loft", "--code", "W-1")  # fmt: skip
    for number in ("1", "2"):
        shop.ok("record", "coat", "W-1", "--coat", number, "--at", "2026-03-10 08:00")
    while (following := shop.json("batch", "show", "W-1")["next"]) is not None:
        shop.ok("record", "step", "W-1", "--at", "2026-03-10 08:30")
        assert following is not None
    shown = shop.json("batch", "show", "W-1")["released"]
    shop.ok("calendar", str(file), "--sample", "W-1")
    use = by_title(file, "may be used")
    assert abs(use.dtstart.value - dt.datetime.fromisoformat(shown["use"])) <= dt.timedelta(seconds=30)
    months = shop.json("finishes", "show", "hard-wax-oil")["care"]["reoil_months"]
    calendar = icalendar.Calendar.from_ical(file.read_bytes())
    days = [
        e["DTSTART"].dt
        for e in recurring_ical_events.of(calendar).between(dt.date(2026, 3, 1), dt.date(2029, 3, 1))
        if "re-oil" in e["SUMMARY"]
    ]
    assert len(days) == 3
    ready = dt.datetime.fromisoformat(shown["use"]).date()
    apart = [(b.year - a.year) * 12 + b.month - a.month for a, b in zip([ready, *days], days, strict=False)]
    assert apart == [months] * 3
    shop.ok("calendar", str(file), "--no-sample", "W-1")
    assert by_title(file, "re-oil").status.value == "CANCELLED"


def test_notes_say_what_has_no_date(shop: Command, tmp_path: Path) -> None:
    shop.ok("batch", "hold", "T-1")
    said = shop.json("calendar", str(tmp_path / "a.ics"), "--sample", "T-1")["notes"]
    assert any("on hold" in note for note in said)
    assert any("no coat is on yet" in note for note in said)


def test_files_that_are_something_else_are_left_alone(coated: tuple[Command, Path], tmp_path: Path) -> None:
    shop, file = coated
    file.write_text("Dear diary", encoding="utf-8")
    assert "holds something else" in shop.refused("calendar", str(file))
    assert "a file's name" in shop.refused("calendar", str(tmp_path))
    assert "No such file" in shop.refused("calendar", str(tmp_path / "none" / "a.ics"))
    assert "known batch" in shop.refused("calendar", str(tmp_path / "b.ics"), "--sample", "nothing")
    assert [p.name for p in tmp_path.glob(".*.part")] == []


TEXT = st.text(max_size=300).map(lambda t: t.replace("\r", " "))


@settings(max_examples=150, deadline=None)
@given(TEXT, TEXT, st.integers(0, 10**6))
def test_any_text_comes_back(title: str, about: str, minute: int) -> None:
    """Escaped and folded by one library, read by another: no text breaks out of its line."""
    hour = 490_000 + minute / 60
    body = written(updated({}, [Happening("k", hour, hour + 1, title, about, 5)], hour), SHOP_ID, "UTC", "x")
    (event,) = vobject.readOne(body.decode("utf-8")).contents["vevent"]
    assert set(event.contents) <= {
        "uid", "sequence", "dtstamp", "last-modified", "summary", "description", "dtstart", "dtend", "transp",
        "status", "valarm",
    }  # fmt: skip
    assert event.dtstart.value.timestamp() == round(hour * 60) * 60
    assert not any(ord(c) < 32 for c in event.summary.value)


@given(st.lists(st.dictionaries(st.sampled_from("abc"), st.floats(1, 5), max_size=3), max_size=8))
def test_a_count_never_falls(files: list[dict[str, float]]) -> None:
    """Over any run of files an event's SEQUENCE never falls, and rises exactly when something of it changed."""
    sent: dict[str, Sent] = {}
    for hours in files:
        before, sent = sent, updated(sent, [Happening(k, 100 + h, 101 + h, k) for k, h in hours.items()], 50.0)
        assert set(sent) == set(before) | set(hours)
        for key, old in before.items():
            changed = (sent[key].what, sent[key].cancelled) != (old.what, old.cancelled)
            assert sent[key].sequence == old.sequence + changed
            assert sent[key].cancelled == (key not in hours)
