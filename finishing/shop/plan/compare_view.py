"""A comparison as JSON. Keys are documented in README.md."""

from __future__ import annotations

from finishing.cure.terms import Release
from finishing.shop.plan.compared import Column, Comparison
from finishing.shop.views import View, caution_view, releases_view, when


def compare_view(found: Comparison) -> View:
    """The whole comparison, the best by the wish first."""
    wanted = found.wanted
    return {
        "now": when(found.now, found.zone),
        "zone": found.zone,
        "pieces": wanted.pieces,
        "species": list(found.woods),
        "place": found.place,
        "wanted_by": when(wanted.by, found.zone),
        "wish": wanted.wish.value,
        "level": found.level,
        "hourly_rate": found.rate,
        "currency": found.currency,
        "schedules": [_column_view(column, found) for column in found.columns],
        "notes": list(found.notes),
    }


def _column_view(column: Column, found: Comparison) -> View:
    pieces, zone = found.wanted.pieces, found.zone
    return {
        "schedule": column.schedule,
        "title": column.title,
        "coats": column.coats,
        "hands_on_minutes": round(column.minutes, 3),
        "sessions": column.sessions,
        "parts": list(column.parts),
        "finish_used_ml": {title: round(amount, 1) for title, amount in column.used_ml.items()},
        "finish_cost": _money(column.cost),
        "labour_cost": _money(column.labour),
        "begins": when(column.begins, zone),
        "released": releases_view({r: column.released[r] for r in Release}, zone),
        "latest_start": when(column.latest, zone),
        "makes_date": column.makes_it,
        "protection": column.protection,
        "upkeep": column.upkeep,
        "reoil_months": column.reoil_months,
        "adds_per_piece": {
            "minutes": round(column.minutes / pieces, 3),
            "finish_cost": _money(column.cost, pieces),
            "labour_cost": _money(column.labour, pieces),
            "total": _money(column.money, pieces),
        },
        "limits": list(column.limits),
        "cautions": [caution_view(caution) for caution in column.cautions],
        "stopped": column.stopped or None,
    }


def _money(sum_: float | None, pieces: int = 1) -> float | None:
    return None if sum_ is None else round(sum_ / pieces, 2)
