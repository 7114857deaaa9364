"""What commands print as JSON: stable keys, times in ISO 8601 with offset. Keys are documented in README.md."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from finishing.clock import iso
from finishing.cure.cautions import Caution
from finishing.cure.coat import Coat, StageTime, Window
from finishing.cure.film import film_factor
from finishing.cure.fold import Next
from finishing.cure.progress import Progress
from finishing.cure.terms import ClockName, Release, Stage, StepKind
from finishing.shop.bench import Bench, Group, Row
from finishing.shop.promise import Promise
from finishing.shop.whatif import Answer
from finishing.shop.words import step_words

View = dict[str, Any]


def when(hour: float | None, zone: str) -> str | None:
    """An instant as ISO 8601 with offset, or None for never."""
    return None if hour is None else iso(hour, zone)


def stage_view(time: StageTime | None, zone: str) -> View | None:
    """One stage of a coat; None where it is never reached or has no date."""
    if time is None or time.likely is None:
        return None
    return {
        "stated_hours": time.stated_hours,
        "equivalent_hours": round(time.equivalent_hours, 6),
        "could_be": when(time.could_be, zone),
        "likely": when(time.likely, zone),
        "count_on": when(time.count_on, zone),
        "found": when(time.seen, zone),
    }


def coat_view(coat: Coat, zone: str, *, recoated: bool = True) -> View:
    """One coat with every stage and its window; of a coat that no other follows the window is empty."""
    window = coat.window if recoated else Window(None, None)
    return {
        "coat": coat.number,
        "face": coat.face.value,
        "finish": coat.finish.name,
        "applied_at": when(coat.at, zone),
        "expected": coat.expected,
        "stages": {stage.value: stage_view(coat.stages.get(stage), zone) for stage in Stage},
        "window": {
            "opens": when(window.opens, zone),
            "shuts": when(window.shuts, zone),
            "tight": window.tight,
        },
        "factors": {
            "species": coat.factors.species.factor,
            "limiting_species": coat.factors.species.limiting or None,
            "film": film_factor(coat.finish.film.law, coat.factors.film_ratio, Stage.DRY_TO_RECOAT),
            "shop": coat.factors.shop.factor,
        },
    }


def releases_view(releases: Mapping[Release, float | None], zone: str) -> View:
    """When pieces may be handled, packed and used."""
    return {release.value: when(releases[release], zone) for release in Release}


def caution_view(caution: Caution) -> View:
    """A caution with its stable code and source."""
    return {"code": caution.code, "text": caution.text, "source": caution.source or None, "urgent": caution.urgent}


def times_view(answer: Answer, zone: str) -> View:
    """The answer of `finishing times`."""
    question, last = answer.question, answer.last_finish
    coats = [coat_view(coat, zone) for coat in answer.ahead.coats]
    laid = {coat.step for coat in answer.ahead.coats}
    coats += [_unlaid(answer, i) for i in question.schedule.coat_steps if i not in laid]
    return {
        "schedule": question.schedule.name,
        "finishes": list(question.schedule.finishes),
        "species": [wood.name for wood in question.woods],
        "start": when(question.start, zone),
        "level": question.level,
        "activation_energy_kj_mol": {
            "flash": last.clocks[ClockName.FLASH].activation_energy_kj_mol,
            "cure": last.clocks[ClockName.CURE].activation_energy_kj_mol,
        },
        "factors": _slowest(answer),
        "coats": coats,
        "released": releases_view(answer.ahead.releases, zone),
        "cautions": [caution_view(caution) for caution in answer.cautions],
        "notes": list(answer.notes),
    }


def _unlaid(answer: Answer, position: int) -> View:
    """A coat that no date can be given for."""
    step = answer.question.schedule.steps[position]
    assert step.kind is StepKind.COAT
    return {
        "coat": answer.question.schedule.coat_number(position),
        "face": step.face.value,
        "finish": step.finish,
        "applied_at": None,
        "expected": True,
        "stages": dict.fromkeys(stage.value for stage in Stage),
        "window": {"opens": None, "shuts": None, "tight": False},
        "factors": None,
    }


def _slowest(answer: Answer) -> View:
    """The factors of the coat that the woods slow most."""
    views = [coat_view(coat, "UTC")["factors"] for coat in answer.ahead.coats]
    return max(views, key=lambda f: f["species"]) if views else {}


def next_view(p: Progress, following: Next | None, zone: str) -> View | None:
    """The next step that needs hands, and its window; None when none is left."""
    if following is None:
        return None
    gate = following.gate
    return {
        "step": following.position,
        "kind": following.step.kind.value,
        "face": following.step.face.value,
        "coat": following.coat_number or None,
        "of": p.batch.schedule.coats,
        "words": step_words(p.batch.schedule, following.position),
        "state": following.state.value,
        "opens": when(following.opens, zone),
        "could_be": when(gate.could_be, zone) if gate else None,
        "likely": when(gate.likely, zone) if gate else None,
        "count_on": when(gate.count_on, zone) if gate else None,
        "shuts": when(following.shuts, zone),
        "tight": following.tight,
        "reopen": following.remedy or None,
    }


def promise_view(promise: Promise | None, zone: str) -> View | None:
    """Whether a batch makes its date; None where it has none."""
    if promise is None:
        return None
    return {"pack": when(promise.packed, zone), "late_days": promise.late_days, "words": promise.stands()}


def row_view(row: Row, zone: str) -> View:
    """One batch on the bench."""
    p = row.progress
    return {
        "code": row.code,
        "what": row.what,
        "pieces": row.pieces,
        "species": list(row.woods),
        "schedule": p.batch.schedule.name,
        "place": p.place,
        "wanted_by": when(p.batch.wanted_by, zone),
        "promise": promise_view(row.promise, zone),
        "do": row.do,
        "stands": row.stands,
        "held": p.held,
        "next": next_view(p, p.next, zone),
        "released": releases_view(p.releases, zone),
        "may": {release.value: p.may(release) for release in Release},
        "cautions": [caution_view(caution) for caution in p.cautions],
    }


def bench_view(bench: Bench) -> View:
    """The bench: `groups` has all five, empty ones too, rows nearest first."""
    return {
        "now": when(bench.now, bench.zone),
        "as_of": when(bench.as_of, bench.zone),
        "zone": bench.zone,
        "groups": {g.value: [row_view(row, bench.zone) for row in bench.group(g)] for g in Group},
    }
