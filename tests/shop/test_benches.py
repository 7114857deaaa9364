"""Several makers at several terminals: nothing is lost, nothing is there twice, and who recorded what is known."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from finishing.cure.work import AbradeEntry, CoatEntry, StepEntry
from finishing.errors import BadInput
from finishing.shop import record
from finishing.shop.drafts import StepDraft
from finishing.shop.notes import add_note
from finishing.shop.settings import change_setting
from finishing.shop.sheets import record_view
from finishing.shop.shop import Shop
from finishing.store.kinds import NoteEntry
from tests.shop.bench_process import BATCHES, STEPS
from tests.shop.built import NOW, begin
from tests.shop.doing import on_file

MAKERS = ("ann", "bo", "cy")


def test_three_benches_record_the_same_work_at_once(shop: Shop, tmp_path: Path) -> None:
    for code in BATCHES:
        begin(shop, code)
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-m", "tests.shop.bench_process", shop.store.location.url, str(tmp_path), *MAKERS],
        cwd=root, env=os.environ | {"PYTHONPATH": str(root)}, capture_output=True, text=True,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    told: dict[str, list[str]] = {maker: [] for maker in MAKERS}
    for maker, _, words in (line.partition(" ") for line in done.stdout.splitlines()):
        told[maker].append(words)

    steps = [(m, *line.split()[1:]) for m, lines in told.items() for line in lines if line.startswith("step")]
    assert Counter((code, n) for _, code, n in steps) == {(code, str(n)): 1 for code in BATCHES for n in range(STEPS)}
    refused = [line for lines in told.values() for line in lines if line.startswith("refused")]
    assert len(refused) == (len(MAKERS) - 1) * len(BATCHES) * STEPS
    assert all("not on record yet" in line or "first" in line or "next coat" in line for line in refused), refused

    for code in BATCHES:
        kept = on_file(shop, code)
        there = [(r.maker, str(r.entry.step)) for r in kept if isinstance(r.entry, AbradeEntry | CoatEntry | StepEntry)]
        assert sorted(there) == sorted((maker, n) for maker, of, n in steps if of == code)
        notes = [r.entry.text for r in kept if isinstance(r.entry, NoteEntry)]
        assert sorted(notes) == sorted(f"{maker} {n}" for maker in MAKERS for n in range(STEPS))


def beaten_by(other: Shop, act: Callable[[], object], monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the other bench record something between this one's look and its writing, once."""
    write = record._write

    def after_the_other(*args: Any, **options: Any) -> None:
        monkeypatch.setattr(record, "_write", write)
        act()
        write(*args, **options)

    monkeypatch.setattr(record, "_write", after_the_other)


def test_an_entry_that_met_another_benchs_is_tried_again(
    shop: Shop, other: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(shop)
    beaten_by(other, lambda: add_note(other, "B-1", "met", NOW), monkeypatch)
    assert "on record" in record.record_step(shop, StepDraft("B-1"), NOW)
    assert [type(r.entry).__name__ for r in on_file(shop, "B-1")] == ["NoteEntry", "StepEntry"]


def test_the_next_step_stays_the_one_that_was_next_when_it_was_asked(
    shop: Shop, other: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    begin(shop)
    beaten_by(other, lambda: record.record_step(other, StepDraft("B-1"), NOW), monkeypatch)
    with pytest.raises(BadInput, match="a step that is not on record yet"):
        record.record_step(shop, StepDraft("B-1"), NOW)
    assert len(on_file(shop, "B-1")) == 1


def test_who_recorded_what(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    begin(shop)
    record.record_step(shop, StepDraft("B-1", maker="ann"), NOW)
    change_setting(shop, "maker", "bo", NOW)
    add_note(shop, "B-1", "of the shop's maker", NOW)
    monkeypatch.setenv("FINISHING_MAKER", "cy")
    here = Shop.open(NOW, shop.store.location)  # a bench says for itself who stands at it
    add_note(here, "B-1", "of this bench's maker", NOW)
    assert here.settings.maker == "cy"
    here.close()
    assert [r.maker for r in on_file(shop, "B-1")] == ["ann", "bo", "cy"]
    standing = shop.standing("B-1", NOW)
    shown = [entry["maker"] for entry in record_view(standing, standing.row.record, shop.settings.zone)]
    assert shown == ["ann", "bo", "cy"]
