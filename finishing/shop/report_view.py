"""A month's report as JSON."""

from __future__ import annotations

from finishing.shop.report import MonthReport, Sum
from finishing.shop.settings import Settings
from finishing.shop.views import View, when


def labour(minutes: float, settings: Settings) -> float | None:
    """What minutes of work cost, None where no hourly rate was said."""
    return None if settings.hourly_rate is None else round(settings.hourly_rate * minutes / 60.0, 2)


def report_view(found: MonthReport, settings: Settings) -> View:
    """Everything in it."""
    return {
        "month": found.month,
        "from": when(found.start, settings.zone),
        "until": when(found.end, settings.zone),
        **_sum_view(found.whole, settings),
        "currency": settings.currency,
        "late": [{"code": late.code, "days": round(late.days, 2)} for late in found.late],
        "given_up": list(found.given_up),
        "coats_reckoned": found.reckoned,
        "unpriced_ml": round(found.unpriced_ml, 3),
        "schedules": [{"schedule": name, **_sum_view(one, settings)} for name, one in found.schedules.items()],
        "days": [{"date": date.isoformat(), "hours": round(hours, 4), "pieces": n} for date, hours, n in found.days],
    }


def _sum_view(one: Sum, settings: Settings) -> View:
    return {
        "batches": one.batches,
        "pieces": one.pieces,
        "hours": round(one.minutes / 60.0, 4),
        "hours_timed": round(one.work.timed / 60.0, 4),
        "hours_learned": round(one.work.learned / 60.0, 4),
        "hours_stated": round(one.work.stated / 60.0, 4),
        "finish_used_ml": {name: round(ml, 3) for name, ml in sorted(one.used_ml.items())},
        "finish_cost": round(one.cost, 2),
        "labour_cost": labour(one.minutes, settings),
        "promised": one.promised,
        "kept": one.kept,
    }
