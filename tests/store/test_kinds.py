"""Every kind of entry lies in a row and comes back as it was."""

from __future__ import annotations

import dataclasses
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure import work
from finishing.cure.terms import Face, Release, Stage
from finishing.cure.work import (
    AbradeEntry,
    CloseEntry,
    CoatEntry,
    Entry,
    Finding,
    HoldEntry,
    MoveEntry,
    ReleaseEntry,
    StepEntry,
    TestEntry,
    VoidEntry,
)
from finishing.errors import StoreTrouble
from finishing.store import Store, entries
from finishing.store.kinds import ChangeEntry, Columns, NoteEntry, SplitEntry, columns_of, entry_of
from finishing.store.types import canonical
from tests.store.conftest import NOW

NUMBER, AT = st.integers(1, 2**31 - 1), st.floats(0, 1e6)
STEP, WORDS = st.integers(0, 59), st.text(max_size=40)
ENTRIES = st.one_of(
    st.builds(CoatEntry, NUMBER, AT, STEP, st.none() | st.floats(0.1, 5000), st.booleans()),
    st.builds(StepEntry, NUMBER, AT, STEP),
    st.builds(AbradeEntry, NUMBER, AT, st.sampled_from(Face), st.none() | st.integers(40, 3000), st.none() | STEP),
    st.builds(TestEntry, NUMBER, AT, st.sampled_from(Stage), st.sampled_from(Finding), st.sampled_from(Face)),
    st.builds(MoveEntry, NUMBER, AT, WORDS),
    st.builds(ReleaseEntry, NUMBER, AT, st.sampled_from(Release)),
    st.builds(HoldEntry, NUMBER, AT, st.booleans()),
    st.builds(CloseEntry, NUMBER, AT),
    st.builds(VoidEntry, NUMBER, AT, NUMBER, st.none() | NUMBER),
    st.builds(NoteEntry, NUMBER, AT, WORDS),
    st.builds(SplitEntry, NUMBER, AT, WORDS, st.integers(1, 500)),
    st.builds(ChangeEntry, NUMBER, AT, st.dictionaries(WORDS, WORDS), st.dictionaries(WORDS, st.none() | STEP)),
)

ONE_OF_EACH: list[Entry] = [
    CoatEntry(0, NOW, 1, 12.5, False),
    StepEntry(0, NOW, 0),
    AbradeEntry(0, NOW, Face.TOP, 320, 2),
    TestEntry(0, NOW, Stage.DRY_TO_TOUCH, Finding.TACKY, Face.BOTTOM),
    MoveEntry(0, NOW, "loft"),
    ReleaseEntry(0, NOW, Release.PACK),
    HoldEntry(0, NOW, True),
    NoteEntry(0, NOW, "[b]änd\x1b[31m =1+1"),
    SplitEntry(0, NOW, "B2", 2),
    VoidEntry(0, NOW, 1),
    CloseEntry(0, NOW),
]


@given(ENTRIES)
def test_an_entry_comes_back_as_it_was(entry: Entry) -> None:
    columns = columns_of(entry)
    through_text = dataclasses.replace(columns, body=json.loads(canonical(columns.body)))
    assert entry_of(entry.number, entry.at, through_text) == entry


def test_each_kind_goes_through_the_database(store: Store, batch_id: int) -> None:
    with store.write() as w:
        numbers = [entries.add(w, batch_id, entry, recorded_at=NOW, maker="me") for entry in ONE_OF_EACH]
        w.commit()
    with store.read() as r:
        found = [recorded.entry for recorded in entries.of_batch(r, batch_id)]
    assert found == [dataclasses.replace(e, number=n) for e, n in zip(ONE_OF_EACH, numbers, strict=True)]


def test_no_kind_of_the_core_is_forgotten() -> None:
    core = {c for c in vars(work).values() if isinstance(c, type) and issubclass(c, Entry) and c is not Entry}
    assert core <= {type(entry) for entry in ONE_OF_EACH}


def test_the_keys_of_a_body_stay_what_they_are() -> None:
    # files in use hold these; a change here needs a migration
    assert {columns_of(e).kind: sorted(columns_of(e).body) for e in ONE_OF_EACH} == {
        "coat": ["wiped_back"],
        "step": [],
        "abrade": ["face", "grit"],
        "test": ["face", "finding", "stage"],
        "move": ["place"],
        "release": ["release"],
        "hold": ["on"],
        "note": ["text"],
        "split": ["pieces", "to"],
        "void": [],
        "close": [],
    }


@pytest.mark.parametrize(
    "columns",
    [
        Columns("polish", {}),
        Columns("coat", {"wiped_back": True}),
        Columns("coat", {}, step=1),
        Columns("test", {"stage": "?", "finding": "dry", "face": "top"}),
        Columns("void", {}),
    ],
)
def test_a_row_that_cant_be_read_is_said(columns: Columns) -> None:
    with pytest.raises(StoreTrouble, match="entry 7 of the record"):
        entry_of(7, NOW, columns)
