"""What was learned as JSON: stable keys, documented in README.md."""

from __future__ import annotations

import math

from finishing.cure.learn.surprise import Verdict
from finishing.shop.learning.next_test import Chance
from finishing.shop.learning.score import Score
from finishing.shop.learning.sheet import LearnedSheet, Line, Range, Said
from finishing.shop.views import View, when

DIGITS = 6


def lines_view(found: tuple[Line, ...], score: Score, now: float, zone: str) -> View:
    """The answer of `finishing learned` with no finish named."""
    return {
        "now": when(now, zone),
        "zone": zone,
        "promises": score_view(score),
        "finishes": [
            {
                "finish": line.finish.name,
                "title": line.finish.title,
                "mechanism": line.finish.mechanism.value,
                "tests": line.tests,
                "coats": line.coats,
                "similar_tests": line.shop.similar,
                "in_use": line.shop.moves,
                "factor": range_view(line.found),
                "surprising": line.surprising,
                "left_out": line.said,
            }
            for line in found
        ],
    }


def sheet_view(sheet: LearnedSheet, now: float, zone: str) -> View:
    """The answer of `finishing learned FINISH`."""
    return {
        "now": when(now, zone),
        "zone": zone,
        "finish": sheet.finish.name,
        "title": sheet.finish.title,
        "mechanism": sheet.finish.mechanism.value,
        "stated_hours": {stage.value: hours for stage, hours in sheet.stated.items()},
        "tests": sheet.tests,
        "coats": sheet.lessons.coats,
        "fresh_coats_worth": _round(sheet.worth),
        "similar_tests": sheet.lessons.similar,
        "in_use": sheet.learned,
        "before": range_view(sheet.before),
        "factor": range_view(sheet.found),
        "slow_woods": {woods.value: range_view(found) for woods, found in sheet.slow.items()},
        "looks": [look_view(verdict, zone) for verdict in sheet.looks],
        "next_test": {
            "now": chance_view(sheet.next.now, zone),
            "best": chance_view(sheet.next.best, zone),
            "telling_ratio": _round(sheet.telling),
        },
        "promises": score_view(sheet.score),
        "hands": {
            kind.value: {"ratio": _round(pace.ratio), "sessions": pace.sessions} for kind, pace in sheet.hands.items()
        },
        "said": [said_view(one, zone) for one in sheet.said],
    }


def range_view(found: Range) -> View:
    """A factor and its 90 % interval."""
    return {"middle": _round(found.middle), "low": _round(found.low), "high": _round(found.high)}


def look_view(verdict: Verdict, zone: str) -> View:
    """One coat that was felt."""
    seen = verdict.observation
    return {
        "batch": seen.batch,
        "coat": seen.coat,
        "entry": seen.entry,
        "tests": list(seen.tests),
        "stages": [stage.value for stage in seen.stages],
        "at": when(seen.at, zone),
        "over": _round(seen.low) if seen.low > 0.0 else None,
        "up_to": None if math.isinf(seen.high) else _round(seen.high),
        "contradictory": seen.clashing,
        "woods": seen.woods.value,
        "weight": _round(verdict.weight),
        "chance": _round(verdict.chance),
        "slower": verdict.late,
        "surprising": verdict.surprising,
    }


def chance_view(look: Chance | None, zone: str) -> View | None:
    """A look to come."""
    if look is None:
        return None
    return {
        "batch": look.code,
        "coat": look.coat,
        "stage": look.stage.value,
        "at": when(look.at, zone),
        "bits": _round(look.bits),
        "chance_of_dry": _round(look.dry),
        "factor_if_dry": _round(look.if_dry),
        "factor_if_tacky": _round(look.if_tacky),
        "woods": None if look.woods is None else look.woods.value,
    }


def score_view(score: Score) -> View:
    """How past promises came out."""
    share = score.share
    return {
        "level": 0.9,
        "held": score.held,
        "broken": score.broken,
        "undecided": score.undecided,
        "share": None if share is None else _round(share),
    }


def said_view(said: Said, zone: str) -> View:
    """An exclusion or reset."""
    one = said.lesson
    return {
        "number": one.number,
        "kind": one.kind.value,
        "test": one.test,
        "batch": None if said.felt is None else said.felt.code,
        "until": when(one.at, zone),
        "said_at": when(one.recorded_at, zone),
        "maker": one.maker or None,
        "note": one.note or None,
    }


def _round(value: float) -> float:
    return round(value, DIGITS)
