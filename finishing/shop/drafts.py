"""What a maker is about to put on record: typed, checked when it is saved, and nothing before."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from enum import Enum

from finishing.cure.cautions import Caution
from finishing.cure.terms import Face, Release, Stage
from finishing.cure.work import Finding, Size
from finishing.exchange.plain import one_line


@dataclass(frozen=True, slots=True)
class NewBatchDraft:
    """A batch to be added. code "": the next free one. woods: names and shares (shares may all be 0: equal).

    priority: how many times more than usual each day late counts in a plan.
    """

    what: str
    pieces: int
    schedule: str
    place: str
    woods: tuple[tuple[str, float], ...]
    size: Size | None = None
    code: str = ""
    wanted_by: float | None = None
    note: str = ""
    priority: int = 0

    def __post_init__(self) -> None:
        object.__setattr__(self, "what", one_line(self.what))


@dataclass(frozen=True, slots=True)
class BatchChange:
    """What a batch is, changed; None leaves a field as it is.

    dated: the date is changed too, to none where wanted_by is None. sized: likewise the size.
    """

    dated: bool = False
    wanted_by: float | None = None
    priority: int | None = None
    what: str | None = None
    pieces: int | None = None
    sized: bool = False
    size: Size | None = None
    woods: tuple[tuple[str, float], ...] | None = None
    schedule: str | None = None
    note: str | None = None

    def __post_init__(self) -> None:
        if self.what is not None:
            object.__setattr__(self, "what", one_line(self.what))


@dataclass(frozen=True, slots=True)
class StepDraft:
    """A step that was done. at None: just now; typed: as the maker wrote the time, to be shown where it won't do.

    wiped_back False: finish was left on. can: number of the can it came from.
    """

    code: str
    position: int | None = None
    at: float | None = None
    amount_ml: float | None = None
    wiped_back: bool = True
    can: int | None = None
    note: str = ""
    maker: str = ""
    typed: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "maker", one_line(self.maker))


class Keep(Enum):
    """What a correction leaves as it is, where None would mean "none"."""

    KEEP = "keep"


KEEP = Keep.KEEP


@dataclass(frozen=True, slots=True)
class CorrectDraft:
    """What was otherwise than an entry (number) says. at None: the time was right; typed: as the maker wrote it.

    amount_ml None: its own film. can None: from none. note: for a note its new words, else kept beside it.
    """

    code: str
    number: int
    at: float | None = None
    typed: str = ""
    amount_ml: float | Keep | None = KEEP
    can: int | Keep | None = KEEP
    wiped_back: bool | None = None
    grit: int | None = None
    face: Face | None = None
    stage: Stage | None = None
    finding: Finding | None = None
    place: str = ""
    maker: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "maker", one_line(self.maker))


@dataclass(frozen=True, slots=True)
class AbradeDraft:
    """Faces abraded, as the schedule's next step or between coats."""

    code: str
    face: Face = Face.BOTH
    grit: int | None = None
    at: float | None = None
    note: str = ""
    typed: str = ""


@dataclass(frozen=True, slots=True)
class TestDraft:
    """A touch test."""

    __test__ = False

    code: str
    stage: Stage
    finding: Finding
    face: Face = Face.BOTH
    at: float | None = None
    note: str = ""
    typed: str = ""


@dataclass(frozen=True, slots=True)
class ReleaseDraft:
    """The maker's own release."""

    code: str
    release: Release
    at: float | None = None
    typed: str = ""


@dataclass(frozen=True, slots=True)
class CanDraft:
    """A can to be added: finish, lot, volume [mL], price of the whole can, days it keeps once opened.

    opened: today; opened_on: on another day.
    """

    finish: str
    volume_ml: float
    lot: str = ""
    price: float | None = None
    opened: bool = False
    use_within_days: int | None = None
    opened_on: dt.date | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "lot", one_line(self.lot))


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What recording a step would put down, for the maker to agree to or change.

    words: the step. pieces: "12 trays of hard maple". amount_ml: what the coat should take. heed: what to say first.
    cans: number and label of the cans of this finish, the one last used first.
    """

    draft: StepDraft
    words: str
    pieces: str
    is_coat: bool
    amount_ml: float | None = None
    pass_words: str = ""
    heed: str = ""
    cautions: tuple[Caution, ...] = ()
    cans: tuple[tuple[int, str], ...] = field(default=())
