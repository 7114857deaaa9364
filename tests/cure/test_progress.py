"""A batch's record folded into how it stands: steps, windows, tests, moves, voids, releases."""

from __future__ import annotations

import math

import pytest

from finishing.cure.climate import PlaceAir
from finishing.cure.fold import State
from finishing.cure.progress import Progress, progress
from finishing.cure.schedule import Schedule, Step
from finishing.cure.terms import Face, Release, Stage, StepKind
from finishing.cure.work import (
    AbradeEntry,
    Batch,
    CloseEntry,
    CoatEntry,
    Entry,
    Finding,
    HoldEntry,
    MoveEntry,
    ReleaseEntry,
    Size,
    StepEntry,
    TestEntry,
    VoidEntry,
)
from finishing.errors import NotFound

from .factory import COCOBOLO, START, batch, linseed, mineral_oil, plain_schedule, shellac, varnish, warm
from .test_equivalent_age import relative

AIR = {"bench": warm(), "cabinet": warm(26.0), "loft": warm(8.0)}
T = START

TWO_FACE = Schedule(
    "two-face",
    "varnish, one face after the other",
    "",
    (
        Step(StepKind.PREPARE, grit=220),
        Step(StepKind.COAT, finish="varnish", face=Face.BOTTOM),
        Step(StepKind.TURN),
        Step(StepKind.COAT, finish="varnish", face=Face.TOP),
        Step(StepKind.ABRADE, grit=320),
        Step(StepKind.COAT, finish="varnish", face=Face.BOTTOM),
        Step(StepKind.TURN),
        Step(StepKind.COAT, finish="varnish", face=Face.TOP),
        Step(StepKind.REST),
        Step(StepKind.BUFF, after=Stage.CURED),
    ),
)


def at(made: Batch, entries: list[Entry], now: float, air: dict[str, PlaceAir] | None = None) -> Progress:
    return progress(made, entries, air or AIR, {}, now, level=0.5)


def plain(coats: int = 2, **more: object) -> Batch:
    return batch(plain_schedule("plain", coats, "varnish"), varnish(), **more)


def opens(found: Progress) -> float:
    assert found.next is not None
    assert found.next.opens is not None
    return found.next.opens


def test_a_whole_two_face_schedule() -> None:
    """Level 50 %, 21 °C: hours are the finish's own. Touch 4, recoat 12, cured 504."""
    made = batch(TWO_FACE, varnish())
    record: list[Entry] = []

    def next_is(position: int, hour: float, now: float) -> None:
        found = at(made, record, now)
        assert found.next is not None
        assert (found.next.position, found.next.opens) == (position, pytest.approx(hour, abs=1e-6))
        assert found.next.state is (State.OPEN if hour <= now else State.WAITING)
        assert [s.done for s in found.steps] == [i < position for i in range(10)]

    next_is(0, T, T)
    record.append(StepEntry(1, T, 0))
    next_is(1, T, T + 1)
    record.append(CoatEntry(2, T + 1, 1))
    next_is(2, T + 5, T + 2)  # to turn over it must be dry to touch: 1 + 4
    record.append(StepEntry(3, T + 6, 2))
    next_is(3, T + 6, T + 6)  # the other face is bare: at once
    record.append(CoatEntry(4, T + 6, 3))
    next_is(4, T + 18, T + 7)  # abrading waits for both faces: the later, 6 + 12
    record.append(AbradeEntry(5, T + 19, Face.BOTH, 320, 4))
    next_is(5, T + 19, T + 19)
    record.append(CoatEntry(6, T + 19, 5))
    next_is(6, T + 23, T + 20)
    record.append(StepEntry(7, T + 23, 6))
    next_is(7, T + 23, T + 24)
    record.append(CoatEntry(8, T + 24, 7))
    next_is(9, T + 24 + 504, T + 25)  # rest, then buff what has cured
    found = at(made, record, T + 25)
    assert [c.number for c in found.coats] == [1, 1, 2, 2]
    assert set(found.releases.values()) == {None}, "no promise while hands are still needed"
    record.append(StepEntry(9, T + 530, 9))
    found = at(made, record, T + 531)
    assert found.finished
    assert found.releases == {
        Release.HANDLE: pytest.approx(T + 48),
        Release.PACK: pytest.approx(T + 24 + 120),
        Release.USE: pytest.approx(T + 24 + 504),
    }
    assert found.may(Release.USE)


def test_a_window_shuts_and_abrading_opens_it_again() -> None:
    made = plain()
    record: list[Entry] = [StepEntry(1, T, 0), CoatEntry(2, T, 1)]
    found = at(made, record, T + 13)
    assert found.next is not None
    assert (found.next.state, found.next.opens, found.next.shuts) == (
        State.OPEN,
        pytest.approx(T + 12),
        pytest.approx(T + 24),
    )
    found = at(made, record, T + 24.1)
    assert found.next is not None
    assert found.next.state is State.SHUT
    assert found.next.shut_grit == 240
    assert "P240" in found.next.remedy
    assert "window_shut" in {c.code for c in found.cautions}
    record.append(AbradeEntry(3, T + 25, Face.BOTH, 240))
    found = at(made, record, T + 25)
    assert found.next is not None
    assert found.next.state is State.OPEN
    assert found.next.shuts is None
    assert "window_shut" not in {c.code for c in found.cautions}


def test_abrading_one_face_opens_that_face_alone() -> None:
    record: list[Entry] = [CoatEntry(1, T, 1), AbradeEntry(2, T + 25, Face.TOP, 240)]
    found = at(plain(), record, T + 26)
    assert found.next is not None
    assert found.next.state is State.SHUT
    found = at(plain(), [*record, AbradeEntry(3, T + 26, Face.BOTTOM, 240)], T + 26)
    assert found.next is not None
    assert found.next.state is State.OPEN


def test_abrading_before_a_coat_does_nothing_for_it() -> None:
    found = at(plain(), [AbradeEntry(1, T - 1, Face.BOTH, 220), CoatEntry(2, T, 1)], T + 25)
    assert found.next is not None
    assert found.next.state is State.SHUT


OILED = Schedule(
    "oiled",
    "oil, wiped back",
    "",
    (
        Step(StepKind.PREPARE),
        Step(StepKind.COAT, finish="linseed"),
        Step(StepKind.WIPE),
        Step(StepKind.COAT, finish="linseed"),
        Step(StepKind.WIPE),
    ),
)


def test_wiping_off_has_its_own_window_in_minutes() -> None:
    made = batch(OILED, linseed())  # wiped from 10 to 30 minutes
    record: list[Entry] = [CoatEntry(1, T, 1)]
    for minutes, state in ((5, State.WAITING), (10, State.OPEN), (29, State.OPEN)):
        found = at(made, record, T + minutes / 60)
        assert found.next is not None
        assert (found.next.position, found.next.state) == (2, state)
        assert found.next.opens == pytest.approx(T + 10 / 60)
        assert found.next.shuts == pytest.approx(T + 30 / 60)
    found = at(made, record, T + 31 / 60)
    assert found.next is not None
    assert found.next.position == 3, "a coat on record says it was wiped back in time"
    assert found.next.opens == pytest.approx(T + 24)


SOAKED = Schedule(
    "soaked",
    "mineral oil, soaked",
    "",
    (
        Step(StepKind.COAT, finish="mineral-oil"),
        Step(StepKind.SOAK, hours=8.0),
        Step(StepKind.WIPE),
        Step(StepKind.REST, after=Stage.STACKABLE),
    ),
)


def test_a_soak_then_wiping_that_is_not_skipped() -> None:
    made = batch(SOAKED, mineral_oil())
    for now, state in ((T + 1, State.WAITING), (T + 8, State.OPEN), (T + 100, State.OPEN)):
        found = at(made, [CoatEntry(1, T, 0)], now)
        assert found.next is not None
        assert (found.next.position, found.next.state, found.next.opens) == (2, state, pytest.approx(T + 8))
        assert found.next.shuts is None
    assert at(made, [CoatEntry(1, T, 0), StepEntry(2, T + 3, 1)], T + 4).next.opens == T + 3  # type: ignore[union-attr]


def test_oil_that_never_hardens_is_released_when_paper_stays_clean() -> None:
    # USDA FPL, FinishLine on wooden utensils: mineral oil is nondrying.
    found = at(batch(SOAKED, mineral_oil()), [CoatEntry(1, T, 0), StepEntry(2, T + 8, 2)], T + 9)
    assert found.finished
    assert found.coats[0].stages[Stage.CURED] is None
    assert found.releases[Release.USE] == found.releases[Release.PACK] == pytest.approx(T + 48)
    assert not found.may(Release.USE)
    assert at(batch(SOAKED, mineral_oil()), [CoatEntry(1, T, 0), StepEntry(2, T + 8, 2)], T + 49).may(Release.USE)


def test_tacky_puts_the_next_coat_off_and_dry_opens_it() -> None:
    record: list[Entry] = [CoatEntry(1, T, 1)]
    untouched = opens(at(plain(), record, T + 6))
    tacky = TestEntry(2, T + 11, Stage.DRY_TO_TOUCH, Finding.TACKY)
    assert opens(at(plain(), [*record, tacky], T + 11)) > untouched
    dry = TestEntry(3, T + 6, Stage.DRY_TO_RECOAT, Finding.DRY)
    found = at(plain(), [*record, dry], T + 6)
    assert found.next is not None
    assert (found.next.state, found.next.opens) == (State.OPEN, T + 6)
    surface = TestEntry(3, T + 6, Stage.DRY_TO_TOUCH, Finding.DRY)
    assert opens(at(plain(), [*record, surface], T + 6)) == untouched


def test_a_test_of_both_faces_tells_of_both() -> None:
    made = batch(TWO_FACE, varnish())
    record: list[Entry] = [CoatEntry(1, T, 1), CoatEntry(2, T + 6, 3)]
    assert opens(at(made, record, T + 8)) == pytest.approx(T + 18)
    dry = TestEntry(3, T + 10, Stage.DRY_TO_RECOAT, Finding.DRY)
    found = at(made, [*record, dry], T + 10)
    assert opens(found) == T + 10
    assert [len(c.tests) for c in found.coats] == [1, 1]


def test_a_test_of_one_face_leaves_the_other() -> None:
    made = batch(TWO_FACE, varnish())
    record: list[Entry] = [CoatEntry(1, T, 1), CoatEntry(2, T + 6, 3)]
    dry = TestEntry(3, T + 10, Stage.DRY_TO_RECOAT, Finding.DRY, Face.TOP)
    assert opens(at(made, [*record, dry], T + 10)) == pytest.approx(T + 12)
    earlier = TestEntry(3, T + 5, Stage.DRY_TO_RECOAT, Finding.DRY, Face.TOP)
    assert [len(c.tests) for c in at(made, [*record, earlier], T + 10).coats] == [0, 0], "before that coat was on"


def test_voids() -> None:
    made = plain()
    record: list[Entry] = [StepEntry(1, T, 0), CoatEntry(2, T, 1), CoatEntry(3, T + 13, 2)]
    assert len(at(made, record, T + 14).coats) == 2
    record.append(VoidEntry(4, T + 14, 3))
    assert len(at(made, record, T + 14).coats) == 1
    record.append(VoidEntry(5, T + 14, 4))
    assert len(at(made, record, T + 14).coats) == 2


def test_a_move_takes_its_equivalent_time_along() -> None:
    # 6 h in the loft at 8 °C, then the cabinet at 26 °C: by hand, 12 = 6 * slow + x * quick.
    record: list[Entry] = [
        MoveEntry(1, T - 5, "loft"),
        CoatEntry(2, T, 1),
        MoveEntry(3, T + 6, "cabinet"),
    ]
    slow, quick = relative(8.0, 50.0, 21.0), relative(26.0, 50.0, 21.0)
    found = at(plain(), record, T + 7)
    assert opens(found) == pytest.approx(T + 6 + (12 - 6 * slow) / quick, abs=1e-6)
    assert found.place == "cabinet"


def test_a_place_nobody_knows_is_refused() -> None:
    with pytest.raises(NotFound, match="cabinett"):
        at(plain(), [MoveEntry(1, T, "cabinett")], T)


def oily(schedule: Schedule) -> Batch:
    return batch(schedule, varnish(), shellac(), woods=(COCOBOLO,))


def coats_then(*kinds: Step) -> Schedule:
    return Schedule("s", "s", "", (*kinds, Step(StepKind.COAT, finish="varnish")))


def test_oily_bare_wood_under_an_oxidising_finish_has_no_date() -> None:
    made = oily(coats_then(Step(StepKind.COAT, finish="varnish")))
    found = at(made, [CoatEntry(1, T, 0)], T + 1000)
    assert found.next is not None
    assert (found.next.state, found.next.opens, found.next.shuts) == (State.TEST_FIRST, None, None)
    assert found.test_first
    assert set(found.coats[0].stages.values()) == {None}
    assert "seal_or_test" in {c.code for c in found.cautions}
    assert at(made, [], T).cautions[0].code == "seal_or_test", "said before the first coat, and first"


def test_a_barrier_gives_it_dates_again() -> None:
    made = oily(coats_then(Step(StepKind.COAT, finish="shellac"), Step(StepKind.COAT, finish="varnish")))
    found = at(made, [CoatEntry(1, T, 0), CoatEntry(2, T + 3, 1)], T + 4)
    assert found.next is not None
    assert found.next.opens == pytest.approx(T + 3 + 12 * 1.1)
    assert not found.test_first


def test_a_solvent_wipe_gives_it_dates_again() -> None:
    made = oily(coats_then(Step(StepKind.CLEAN), Step(StepKind.COAT, finish="varnish")))
    found = at(made, [StepEntry(1, T, 0), CoatEntry(2, T, 1)], T + 1)
    assert found.next is not None
    assert found.next.opens == pytest.approx(T + 12 * 1.6)


def test_a_solvent_wipe_is_gone_by_the_next_coat() -> None:
    # Wiped, one face coated, turned over: by then the oils are back at the surface of the other (common practice: coat
    # within the half hour, no source).
    one, other = (Step(StepKind.COAT, finish="varnish", face=f) for f in (Face.BOTTOM, Face.TOP))
    made = oily(Schedule("s", "s", "", (Step(StepKind.CLEAN), one, Step(StepKind.TURN), other)))
    found = at(made, [CoatEntry(1, T, 1), CoatEntry(2, T + 10, 3)], T + 11)
    assert [c.undated for c in found.coats] == [False, True]


def test_a_dry_finger_proves_it() -> None:
    made = oily(coats_then(Step(StepKind.COAT, finish="varnish")))
    record: list[Entry] = [CoatEntry(1, T, 0)]
    dry = TestEntry(2, T + 60, Stage.DRY_TO_RECOAT, Finding.DRY)
    assert opens(at(made, [*record, dry], T + 61)) <= T + 60
    dust = TestEntry(2, T + 60, Stage.DUST_FREE, Finding.DRY)
    assert at(made, [*record, dust], T + 61).test_first, "dust-free proves nothing of an oily wood"


def test_coating_over_it_takes_it_as_proven() -> None:
    made = oily(coats_then(Step(StepKind.COAT, finish="varnish")))
    found = at(made, [CoatEntry(1, T, 0), CoatEntry(2, T + 60, 1)], T + 61)
    assert not found.test_first
    assert None not in found.releases.values()
    back = at(made, [CoatEntry(1, T, 0), CoatEntry(2, T + 60, 1), VoidEntry(3, T + 61, 2)], T + 61)
    assert back.test_first


def test_a_later_coat_sees_the_root_of_the_factor() -> None:
    found = at(oily(coats_then(Step(StepKind.CLEAN), *[Step(StepKind.COAT, finish="varnish")] * 2)), [
        CoatEntry(1, T, 1), CoatEntry(2, T + 30, 2),
    ], T + 31)  # fmt: skip
    assert found.coats[0].factors.species.factor == 1.6, "wiped: one class lower"
    assert found.coats[1].factors.species.factor == pytest.approx(math.sqrt(3.0))
    assert opens(found) == pytest.approx(T + 30 + 12 * math.sqrt(3.0))


def test_a_heavy_coat_and_one_not_wiped_back() -> None:
    # Ten boards of 0.138 m2: the first coat at 9 m2/L takes 153.3 mL; twice that is slower by (2 + 4) / 2.
    made = plain(size=Size(300, 200, 18))
    found = at(made, [CoatEntry(1, T, 1, amount_ml=2 * 1380 / 9)], T + 1)
    assert opens(found) == pytest.approx(T + 36)
    assert "heavy_coat" in {c.code for c in found.cautions}
    assert opens(at(made, [CoatEntry(1, T, 1, wiped_back=False)], T + 1)) == pytest.approx(T + 12 * 6)
    # A later coat goes further, 12 m2/L: the same 153.3 mL lies 1.33 times as thick on it.
    three = plain(3, size=Size(300, 200, 18))
    later = at(three, [CoatEntry(1, T, 1), CoatEntry(2, T + 13, 2, amount_ml=1380 / 9)], T + 14)
    assert [c.factors.film_ratio for c in later.coats] == [1.0, pytest.approx(12 / 9)]


def test_a_last_rest_goes_on_until_the_pieces_may_be_used() -> None:
    steps = (Step(StepKind.COAT, finish="varnish"), Step(StepKind.REST))
    made = batch(Schedule("one", "one coat", "", steps), varnish())
    p = at(made, [CoatEntry(1, T, 0)], T + 1.0)
    use = p.releases[Release.USE]
    assert p.next is None
    assert use is not None
    assert [state.done for state in p.steps] == [True, False]
    assert [state.done for state in at(made, [CoatEntry(1, T, 0)], use + 0.1).steps] == [True, True]
    said = at(made, [CoatEntry(1, T, 0), ReleaseEntry(2, T + 1.0, Release.USE)], T + 2.0)
    assert [state.done for state in said.steps] == [True, True]


def test_holds_releases_and_closing_are_kept() -> None:
    made = plain()
    found = at(made, [CoatEntry(1, T, 1), HoldEntry(2, T), ReleaseEntry(3, T + 1, Release.HANDLE)], T + 2)
    assert found.held
    assert found.said == {Release.HANDLE: T + 1}
    assert found.may(Release.HANDLE)
    assert not found.may(Release.PACK)
    found = at(made, [HoldEntry(1, T), HoldEntry(2, T + 1, on=False), CloseEntry(3, T + 2)], T + 3)
    assert not found.held
    assert found.closed == T + 2


def test_steps_passed_over_are_taken_as_done() -> None:
    found = at(plain(), [CoatEntry(1, T, 2)], T + 1)
    assert [(s.done, s.at) for s in found.steps] == [(True, None), (True, None), (True, T)]
    assert found.next is None


def test_frozen_is_never_and_says_so() -> None:
    found = at(plain(), [CoatEntry(1, T, 1)], T + 1, {"bench": warm(2.0)})
    assert found.next is not None
    assert (found.next.state, found.next.opens) == (State.NEVER, None)
    assert "stands_still" in {c.code for c in found.cautions}


def test_resting_for_a_stage_that_never_comes_is_never() -> None:
    made = batch(
        Schedule("s", "s", "", (Step(StepKind.COAT, finish="mineral-oil"), Step(StepKind.REST), Step(StepKind.BUFF))),
        mineral_oil(),
    )
    found = at(made, [CoatEntry(1, T, 0)], T + 1)
    assert found.next is not None
    assert found.next.state is State.NEVER
