"""Readings left out and taken back, as JSON. The keys are documented in README.md."""

from __future__ import annotations

from finishing.clock import SECONDS
from finishing.shop.left_out import LeftOut, Line, TakenBack
from finishing.shop.next_steps import Step
from finishing.shop.views import View, when


def left_out_view(done: LeftOut, zone: str) -> View:
    """What was left out, or would be."""
    return {
        "place": done.place,
        "dry_run": done.number is None,
        "number": done.number,
        "file": done.file_name or None,
        "readings": done.found.readings,
        "from": when(done.first, zone),
        "until": when(done.last, zone),
        "low_c": done.found.low_c,
        "high_c": done.found.high_c,
        "moved": moved_view(done.moved or (), zone),
    }


def taken_back_view(done: TakenBack, zone: str) -> View:
    """What was taken back."""
    return {
        "place": done.place,
        "number": done.line.number,
        "readings": done.back,
        "stay_out": done.not_back,
        "moved": moved_view(done.moved or (), zone),
    }


def line_view(one: Line, zone: str) -> View:
    """A leaving-out as it is listed."""
    line, back = one.line, one.back
    return {
        "number": line.number,
        "place": one.place,
        "file": line.file_name or None,
        "readings": line.readings,
        "from": when(line.first / SECONDS, zone),
        "until": when(line.last / SECONDS, zone),
        "at": when(line.recorded_at, zone),
        "maker": line.maker,
        "note": line.note,
        "taken_back": None
        if back is None
        else {
            "at": when(back.recorded_at, zone),
            "readings": back.readings,
            "stay_out": line.readings - back.readings,
            "maker": back.maker,
            "note": back.note,
        },
    }


def moved_view(steps: tuple[Step, ...], zone: str) -> list[View]:
    """Next steps that come at another time."""
    return [{"batch": s.code, "opens": when(s.opens, zone), "was": when(s.was, zone)} for s in steps]
