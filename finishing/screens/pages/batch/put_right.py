"""Putting an entry right: what it says, to be changed to what was."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.widgets import Input, Select

from finishing.clock import Clock, at_zone
from finishing.cure.terms import Face, Stage
from finishing.cure.work import AbradeEntry, CoatEntry, Finding, MoveEntry, TestEntry
from finishing.exchange.plain import plain
from finishing.moments import parse_when
from finishing.screens.pages.batch.cards import FACES, BatchCard, read_grit
from finishing.screens.pages.card import Line, Pick
from finishing.shop.correct import NoteEntry
from finishing.shop.drafts import CorrectDraft
from finishing.units import parse_volume, show_volume

if TYPE_CHECKING:
    from finishing.store.entries import Recorded

FORM = "YYYY-MM-DD HH:mm"


class PutRight(BatchCard[CorrectDraft]):
    """One entry as it stands on record. What is left as it is stays so; time and amount only if typed otherwise."""

    CSS = "PutRight.-narrow #card { width: 96%; }"
    DONE_WORDS = "Put right"
    FIELDS: ClassVar[dict[str, str]] = {"time": "at", "amount": "amount", "note": "note", "done at": "at"}

    def __init__(
        self,
        code: str,
        words: str,
        kept: Recorded,
        *,
        zone: str,
        system: str,
        clock: Clock,
        cans: Sequence[tuple[int, str]] = (),
        wiped: bool = False,
        places: Sequence[str] = (),
    ) -> None:
        """words: the entry. cans: those a coat may have come from. wiped: whether its coat is one that is wiped off."""
        super().__init__(f"{code}: entry {kept.entry.number} was otherwise", [words])
        self._code, self._kept, self._zone, self._system, self._clock = code, kept, zone, system, clock
        self._cans, self._wiped, self._places = cans, wiped, places
        self._at = at_zone(kept.entry.at, zone).format(FORM)
        amount = kept.entry.amount_ml if isinstance(kept.entry, CoatEntry) else None
        self._amount = "" if amount is None else show_volume(amount, system)

    def asked(self) -> ComposeResult:
        """The time, and what an entry of its kind has."""
        entry = self._kept.entry
        yield Line("done at", "at", self._at, "such as 18:30, yesterday 18:30")
        match entry:
            case CoatEntry():
                yield Line("finish used, all pieces", "amount", self._amount, "empty: not known")
                if self._cans:
                    yield Pick(
                        "from can", self._select("can", [(label, n) for n, label in self._cans], self._kept.can_id)
                    )
                if self._wiped:
                    ways = [("wiped back", True), ("left on", False)]
                    yield Pick("wiped", self._select("wiped", ways, entry.wiped_back))
            case AbradeEntry():
                yield Line("grit (FEPA P)", "grit", "" if entry.grit is None else str(entry.grit), "such as 320")
            case TestEntry():
                yield Pick("felt for", self._select("stage", [(s.words, s) for s in Stage], entry.stage))
                yield Pick("found", self._select("found", [(f.value, f) for f in Finding], entry.finding))
            case MoveEntry():
                yield Pick("to", self._select("place", [(name, name) for name in self._places], entry.place))
            case _:
                pass
        if isinstance(entry, AbradeEntry | TestEntry):
            yield Pick("faces", self._select("face", [(words, face) for face, words in FACES.items()], entry.face))
        if not isinstance(entry, NoteEntry):
            yield Line("done by", "by", self._kept.maker)
        note = entry.text if isinstance(entry, NoteEntry) else ""
        yield Line("note", "note", note, "why, beside it (may stay empty)")

    def _select(self, id: str, options: Sequence[tuple[str, object]], value: object) -> Select[object]:
        """A list that stands on what is on record; may stay empty where that is nothing."""
        shown = [(Text(plain(words)), what) for words, what in options]
        if value is None:
            return Select(shown, prompt="none on record", id=id)
        return Select(shown, value=value, allow_blank=id == "can", id=id)

    def _chosen(self, id: str) -> object:
        found = self.query(f"#{id}").results(Select)
        value = next((chooser.value for chooser in found), None)
        return None if value is Select.NULL else value

    def made(self) -> CorrectDraft:
        """What was otherwise. BadInput for a field that is not right."""
        entry, at = self._kept.entry, self.text("at")
        draft = CorrectDraft(self._code, entry.number, note=self._note())
        if at != self._at:
            draft = replace(draft, at=parse_when(at, "done at", self._zone, self._clock()), typed=at)
        if isinstance(entry, CoatEntry):
            draft = self._coat(draft, entry)
        if isinstance(entry, AbradeEntry):
            draft = replace(draft, grit=read_grit(self.text("grit")))
        face, stage, found, place = (self._chosen(id) for id in ("face", "stage", "found", "place"))
        draft = replace(
            draft,
            face=face if isinstance(face, Face) else None,
            stage=stage if isinstance(stage, Stage) else None,
            finding=found if isinstance(found, Finding) else None,
            place=place if isinstance(place, str) else "",
        )
        return draft if isinstance(entry, NoteEntry) else replace(draft, maker=self.text("by"))

    def _coat(self, draft: CorrectDraft, entry: CoatEntry) -> CorrectDraft:
        amount, wiped, can = self.text("amount"), self._chosen("wiped"), self._chosen("can")
        if amount != self._amount:
            unit = "floz" if self._system == "imperial" else "ml"
            draft = replace(draft, amount_ml=parse_volume(amount, "amount", unit=unit) if amount else None)
        if isinstance(wiped, bool) and wiped is not entry.wiped_back:
            draft = replace(draft, wiped_back=wiped)
        if self._cans and can != self._kept.can_id:
            draft = replace(draft, can=can if isinstance(can, int) else None)
        return draft

    def _note(self) -> str:
        return self.query_one("#note", Input).value
