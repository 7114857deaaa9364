"""Sizes, schedules, and which entries of a record stand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from finishing.cure.schedule import Schedule, Step
from finishing.cure.terms import Face, Stage, StepKind
from finishing.cure.work import CoatEntry, Entry, Shape, Size, StepEntry, VoidEntry, standing
from finishing.errors import BadInput

from .factory import MAPLE, batch, plain_schedule, varnish


def test_area_of_a_board() -> None:
    # 300 x 200 x 18 mm: two faces of 0.06 m2 and edges of 2 * (0.3 + 0.2) * 0.018 = 0.018 m2.
    board = Size(300, 200, 18)
    assert board.area_m2() == pytest.approx(0.138)
    assert board.area_m2(Face.TOP) + board.area_m2(Face.BOTTOM) == pytest.approx(board.area_m2())


def test_area_of_a_round() -> None:
    # A coaster of 100 mm: two faces of pi * 0.05^2 and a rim of pi * 0.1 * 0.009.
    coaster = Size(100, 100, 9, Shape.ROUND)
    assert coaster.area_m2() == pytest.approx(2 * math.pi * 0.05**2 + math.pi * 0.1 * 0.009)


def test_area_of_a_batch() -> None:
    plan = plain_schedule("s", 2, "varnish")
    assert batch(plan, varnish()).area_m2() is None
    assert batch(plan, varnish(), size=Size(300, 200, 18), pieces=10).area_m2() == pytest.approx(1.38)
    assert batch(plan, varnish(), coated_m2=3.0, woods=(MAPLE,)).area_m2(Face.TOP) == pytest.approx(1.5)


@pytest.mark.parametrize("bad", [0.4, 3000.1, math.nan, -5, math.inf])
def test_sizes_out_of_range_are_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="width_mm"):
        Size(300, bad, 18)


def two_face() -> Schedule:
    return Schedule(
        "two-face",
        "two-face",
        "",
        (
            Step(StepKind.PREPARE),
            Step(StepKind.COAT, finish="varnish", face=Face.BOTTOM),
            Step(StepKind.TURN),
            Step(StepKind.COAT, finish="varnish", face=Face.TOP),
            Step(StepKind.ABRADE, grit=320),
            Step(StepKind.COAT, finish="varnish", face=Face.BOTH),
        ),
    )


def test_coats_are_counted_by_face() -> None:
    plan = two_face()
    assert [plan.coat_number(i) for i in plan.coat_steps] == [1, 1, 2]
    assert plan.coats == 2
    assert plan.finishes == ("varnish",)


def test_a_coat_on_both_faces_counts_by_the_one_that_has_more() -> None:
    top, both = (Step(StepKind.COAT, finish="varnish", face=f) for f in (Face.TOP, Face.BOTH))
    plan = Schedule("s", "s", "", (top, top, both))
    assert [plan.coat_number(i) for i in plan.coat_steps] == [1, 2, 3]
    assert plan.coats == 3


def test_what_each_step_waits_for() -> None:
    gates = [step.gate for step in two_face().steps]
    assert gates == [None, Stage.DRY_TO_RECOAT, Stage.DRY_TO_TOUCH, *[Stage.DRY_TO_RECOAT] * 3]
    assert Step(StepKind.TURN, after=Stage.TACK_FREE).gate is Stage.TACK_FREE
    assert Step(StepKind.REST).gate is Stage.CURED
    assert Step(StepKind.WIPE).gate is None


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Step(StepKind.COAT), "finish"),
        (lambda: Step(StepKind.WIPE, finish="varnish"), "finish"),
        (lambda: Step(StepKind.PREPARE, minutes_per_piece=math.nan), "minutes_per_piece"),
        (lambda: Step(StepKind.PREPARE, setup_minutes=-1.0), "setup_minutes"),
        (lambda: Step(StepKind.ABRADE, grit=39), "grit"),
        (lambda: Step(StepKind.SOAK, hours=math.inf), "hours"),
        (lambda: Schedule("s", "s", "", (Step(StepKind.PREPARE),)), "steps"),
        (lambda: Schedule("s", "s", "", (Step(StepKind.COAT, finish="x"),) * 61), "steps"),
    ],
)
def test_nonsense_steps_are_refused(make, field: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadInput) as refused:
        make()
    assert refused.value.field == field


def numbers(entries: list[Entry]) -> list[int]:
    return [e.number for e in standing(entries)]


def test_a_void_takes_an_entry_out_and_a_void_of_the_void_puts_it_back() -> None:
    first, second = CoatEntry(1, 10.0, 1), StepEntry(2, 20.0, 2)
    assert numbers([first, second]) == [1, 2]
    assert numbers([first, second, VoidEntry(3, 30.0, 2)]) == [1]
    assert numbers([first, second, VoidEntry(3, 30.0, 2), VoidEntry(4, 31.0, 3)]) == [1, 2]
    assert numbers([first, second, VoidEntry(3, 30.0, 2), VoidEntry(4, 31.0, 3), VoidEntry(5, 32.0, 4)]) == [1]


def test_entries_stand_in_order_of_when_they_happened() -> None:
    # A coat noted late: written second, done first.
    assert numbers([StepEntry(1, 20.0, 2), CoatEntry(2, 10.0, 1), StepEntry(3, 10.0, 0)]) == [2, 3, 1]


@given(st.lists(st.integers(1, 8), max_size=7), st.randoms())
def test_undo_of_undo_of_undo(targets: list[int], random) -> None:  # type: ignore[no-untyped-def]
    """Against the plain definition: an entry stands unless a standing void names it; later voids are settled first."""
    entries: list[Entry] = [CoatEntry(1, 1.0, 1)]
    entries += [VoidEntry(n, float(n), min(target, n - 1)) for n, target in enumerate(targets, start=2)]

    def stands(number: int) -> bool:
        return not any(isinstance(e, VoidEntry) and e.voids == number and stands(e.number) for e in entries)

    random.shuffle(entries)
    assert numbers(entries) == ([1] if stands(1) else [])
