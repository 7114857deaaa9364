"""A plan as JSON: stable keys, times in ISO 8601 with offset. Keys are documented in README.md."""

from __future__ import annotations

from collections.abc import Sequence

from finishing.plan.batches import Score
from finishing.shop.plan.relief import Relief
from finishing.shop.plan.sheet import Day, Line, PlanSheet, Session, Work
from finishing.shop.plan.why import Clash
from finishing.shop.plan.words import bound_words, split_words
from finishing.shop.views import View, when


def plan_view(sheet: PlanSheet, clashes: Sequence[Clash] = (), reliefs: Sequence[Relief] = ()) -> View:
    """The whole plan."""
    zone = sheet.zone
    return {
        "now": when(sheet.now, zone),
        "zone": zone,
        "level": sheet.level,
        "until": when(sheet.until, zone),
        "days": [_day_view(day, zone) for day in sheet.days],
        "batches": [_line_view(line, zone) for line in sheet.lines],
        "hands_on_minutes": round(sheet.minutes, 3),
        "late_days": sheet.late_days,
        "score": _score_view(sheet.score),
        "bound": _score_view(sheet.bound) if sheet.improved else None,
        "best_possible": sheet.proved,
        "words": bound_words(sheet),
        "kept_at": when(sheet.kept_at, zone),
        "moved": [
            {
                "code": m.code,
                "steps": list(m.steps),
                "part": None if m.part is None else list(m.part),
                "before": when(m.before, zone),
                "after": when(m.after, zone),
            }
            for m in sheet.moved
        ],
        "pins_not_kept": list(sheet.unkept),
        "splits": [
            {"code": s.code, "parts": dict(zip(s.codes, s.pieces, strict=True)), "words": split_words(s)}
            for s in sheet.splits
        ],
        "clashes": [
            {"batches": list(c.codes), "limits": list(c.limits), "proved": c.proved, "words": c.words()}
            for c in clashes
        ],
        "reliefs": [
            {
                "kind": r.kind,
                "code": r.code or None,
                "words": r.words,
                "late_days_gained": r.days,
                "on_time": list(r.on_time),
                "costs": r.costs,
            }
            for r in reliefs
        ],
    }


def _score_view(score: Score) -> View:
    return {
        "unfinished": score.unfinished,
        "late_days": score.late,
        "ready_days": score.ready,
        "sessions": score.sessions,
    }


def _day_view(day: Day, zone: str) -> View:
    return {
        "date": day.date.isoformat(),
        "sessions": [_session_view(session, zone) for session in day.sessions],
        "nights": [
            {
                "place": night.place,
                "low_c": round(night.low_c, 2),
                "stands_still": [
                    {"code": s.code, "finish": s.finish, "minimum_c": s.minimum_c, "hours": round(s.hours, 2)}
                    for s in night.stills
                ],
            }
            for night in day.nights
        ],
    }


def _session_view(session: Session, zone: str) -> View:
    return {
        "begins": when(session.begins, zone),
        "ends": when(session.ends, zone),
        "hands_on_minutes": round(session.minutes, 3),
        "outside_hours": session.outside,
        "work": [_work_view(work, zone) for work in session.works],
    }


def _work_view(work: Work, zone: str) -> View:
    return {
        "code": work.code,
        "what": work.what,
        "pieces": work.pieces,
        "place": work.place,
        "begins": when(work.begins, zone),
        "ends": when(work.ends, zone),
        "minutes": round(work.minutes, 3),
        "steps": list(work.steps),
        "words": work.do,
        "finish": work.finish or None,
        "ready_ml": None if work.ready_ml is None else round(work.ready_ml, 1),
        "passes": list(work.passes) or None,
        "heed": work.heed or None,
        "pinned": work.pinned,
        "of_batch": work.whole,
    }


def _line_view(line: Line, zone: str) -> View:
    return {
        "code": line.code,
        "what": line.what,
        "pieces": line.pieces,
        "wanted_by": when(line.wanted, zone),
        "pack": when(line.packed, zone),
        "use": when(line.used, zone),
        "late_days": line.late_days,
        "chance": None if line.chance is None else round(line.chance, 3),
        "next": when(line.next, zone),
        "held": line.held,
        "unfinished": line.unfinished,
        "why": line.why or None,
        "of_batch": line.whole,
    }
