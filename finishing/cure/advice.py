"""What to heed about a batch now: its woods, the air it stands in, and what the record shows."""

from __future__ import annotations

import math

from finishing.cure.air import DEW_MARGIN_C, dew_point_c, wood_moisture_pct
from finishing.cure.cautions import Caution, hazards, wood_cautions
from finishing.cure.coat import Coat
from finishing.cure.finish import Finish
from finishing.cure.fold import SEAL_OR_TEST, Fold, Next, State
from finishing.cure.rates import TOO_COLD, RateLaw
from finishing.cure.still import stretches
from finishing.cure.terms import ClockName, Hazard, StepKind
from finishing.units import show_duration, show_temperature

RAGS_HOURS = 24.0
"""How long after a coat the rags are still spoken of."""

WIPED_HOURS = 24.0
"""How long after a coat it is said that nobody recorded wiping it off."""

HEAVY_COAT = 1.8
"""From this many times a finish's own film on, a coat is called heavy."""

STALE_HOURS = 6.0
"""With no reading for so long, the air is said to be supposed."""


def advice(fold: Fold, following: Next | None, now: float) -> list[Caution]:
    """Everything to heed, most urgent first, each text once."""
    said = [*_undated(fold, following), *_window(following), *_standstill(fold, following, now)]
    ahead = _finish_ahead(fold, following)
    if ahead is not None:
        said += air_cautions(ahead, *fold.track.air_at(now))
    said += [
        *_stale_wipe(fold, following, now),
        *_wiping(fold, following, now),
        *_film(fold),
        *_air_known(fold, now),
        *_hazards(fold, following, ahead, now),
        *_woods(fold, following),
    ]
    unique = list({(c.code, c.text): c for c in said}.values())
    return sorted(unique, key=lambda c: not c.urgent)


def air_cautions(finish: Finish, temperature_c: float, humidity_pct: float) -> list[Caution]:
    """What speaks against coating with a finish in this air."""
    limits, said = finish.limits, []
    source = limits.source
    if temperature_c < limits.minimum_c:
        least = show_temperature(limits.minimum_c, "metric", 1)
        text = f"too cold to coat: {show_temperature(temperature_c, 'metric')}, below this finish's minimum of {least}"
        said.append(Caution("too_cold", text, source))
    high, warn = limits.maximum_humidity_pct, limits.warn_humidity_pct
    if high is not None and humidity_pct > high:
        said.append(Caution("too_damp", f"too damp to coat: {humidity_pct:.0f} % RH, above its {high:g} %", source))
    elif warn is not None and humidity_pct > warn:
        said.append(
            Caution("damp", f"damp for this finish: {humidity_pct:.0f} % RH, from {warn:g} % on take care", source)
        )
    low = limits.minimum_humidity_pct
    if low is not None and humidity_pct < low:
        said.append(Caution("too_dry", f"too dry: {humidity_pct:.0f} % RH, it needs {low:g} % to harden", source))
    dew = float(dew_point_c(temperature_c, humidity_pct))
    if limits.blush_drop_c is not None and temperature_c - limits.blush_drop_c < dew:
        text = "may blush: its own evaporation cools the wet film below the dew point; wait for drier or warmer air"
        said.append(Caution("blush", text, "UFC 3-190-06, 7.4.2 (blushing); the drop by finish is an estimate"))
    elif temperature_c - dew < DEW_MARGIN_C:
        said.append(
            Caution("dew_point", "less than 3 °C above the dew point: moisture may form", "UFC 3-190-06, 9.6.6")
        )
    moisture = float(wood_moisture_pct(temperature_c, humidity_pct))
    if moisture > 12.0:
        text = f"wood left in this air goes to about {moisture:.0f} % moisture; 8-10 % suits finishing best"
        said.append(Caution("damp_wood", text, "Sönmez, Budakçı and Pelit, BioResources 6 (2011) 3166"))
    return said


def _undated(fold: Fold, following: Next | None) -> list[Caution]:
    ahead = fold.next_coat_woods(following)
    if any(c.undated for c in fold.coats) or (ahead is not None and ahead.test_first):
        return [Caution("seal_or_test", SEAL_OR_TEST, "common practice, no source", urgent=True)]
    return []


def _window(following: Next | None) -> list[Caution]:
    if following is None:
        return []
    if following.state is State.SHUT:
        text = f"the recoat window has shut: {following.remedy}"
        return [Caution("window_shut", text, "UFC 3-190-06, 11.4.2.3 (over-cured undercoats)")]
    if following.tight:
        text = (
            "the recoat window may have shut by the time it is sure to be open: feel the film from early on, and coat"
            " when it is ready, or abrade first"
        )
        return [Caution("window_tight", text)]
    return []


def _standstill(fold: Fold, following: Next | None, now: float) -> list[Caution]:
    """Hours ahead of the next gate in which the cold (or damp) stops the topmost coat."""
    if following is None or following.waits_on is None:
        return []
    coat = following.waits_on
    if following.state is State.NEVER:
        text = f"stands still: the air expected does not let {coat.finish.title} harden; move it somewhere warmer"
        return [Caution("stands_still", text, coat.finish.limits.source, urgent=True)]
    if following.opens is None or following.opens <= now:
        return []
    hours, coldest = stall(fold, coat, now, following.opens)
    if hours < 0.5:
        return []
    down, least = show_temperature(coldest, "metric"), show_temperature(coat.finish.limits.minimum_c, "metric", 1)
    text = f"stands still for {hours:.0f} h ahead: down to {down}, below its minimum of {least}"
    return [Caution("cold_ahead", text, coat.finish.limits.source)]


def stall(fold: Fold, coat: Coat, start: float, end: float) -> tuple[float, float]:
    """Hours below a coat's minimum temperature between two hours, and the coldest of them [°C]."""
    below, coldest = 0.0, math.inf
    law = RateLaw.of(coat.finish, ClockName.CURE)
    for air in fold.track.windows(start, end):
        spans, _ = stretches(law, air, TOO_COLD)
        below += sum(b - a for a, b in spans)
        coldest = min(coldest, float(air.temperature_c.min()))
    return below, coldest


def _film(fold: Fold) -> list[Caution]:
    if not fold.coats or fold.coats[-1].factors.film_ratio < HEAVY_COAT:
        return []
    coat = fold.coats[-1]
    text = f"coat {coat.number} lies about {coat.factors.film_ratio:.1f} times its usual film: slower, and softer below"
    return [Caution("heavy_coat", text, "Stenberg et al., Industrial Crops and Products 21 (2005) 263")]


def _stale_wipe(fold: Fold, following: Next | None, now: float) -> list[Caution]:
    """Oily wood wiped with solvent long before its first coat: one to come, or the one that is on."""
    source = "common practice, no source"
    if following is not None and following.step.kind is StepKind.COAT:
        stale = fold.stale_wipe(following.position, now)
        if stale is not None:
            ago = show_duration(stale[1])
            text = f"wiped with solvent {ago} ago, and oil comes up again: once more, and coat within half an hour"
            return [Caution("stale_wipe", text, source, urgent=True)]
    coat = fold.coats[-1] if fold.coats else None
    stale = None if coat is None else fold.stale_wipe(coat.step, coat.at)
    if coat is None or stale is None:
        return []
    text = (
        f"coat {coat.number} went on {show_duration(stale[1])} after the wipe with solvent; its times are those of"
        " freshly wiped wood, and it may take longer: feel it first"
    )
    return [Caution("stale_wipe", text, source)]


def _wiping(fold: Fold, following: Next | None, now: float) -> list[Caution]:
    """A wipe-off that nobody recorded, of the coat on top; not for long, as most say nothing of it."""
    if not fold.coats or following is None or now - fold.coats[-1].at > WIPED_HOURS:
        return []
    coat = fold.coats[-1]
    position = coat.step + 1
    steps = fold.batch.schedule.steps
    if not (position == fold.reached < following.position and steps[position].kind is StepKind.WIPE):
        return []
    text = (
        f"wiping off coat {coat.number} is not on record: it is taken as done in time; "
        "if the finish stayed on, void the coat and record it as not wiped"
    )
    return [Caution("wipe_off_unrecorded", text)]


def _air_known(fold: Fold, now: float) -> list[Caution]:
    air = fold.track.place_at(now)
    if air.measured is None:
        return [Caution("no_readings", f"no readings of {fold.place}: its times rest on the usual day typed in")]
    since = now - air.measured[1]
    if since > STALE_HOURS:
        text = f"no reading of {fold.place} for {since:.0f} h: its times rest on the outlook since"
        return [Caution("old_readings", text)]
    start = min((c.at for c in fold.coats), default=now)
    if any(gap.end > start for gap in air.gaps):
        return [Caution("gap", f"readings of {fold.place} have gaps, filled from its usual day")]
    return []


def _hazards(fold: Fold, following: Next | None, ahead: Finish | None, now: float) -> list[Caution]:
    """Each hazard where its work happens: vapour at the coat, dust at the sanding, rags a day on, food at the end."""
    found: list[Hazard] = []
    if ahead is not None and following is not None and following.step.kind in (StepKind.COAT, StepKind.WIPE):
        found += [h for h in ahead.hazards if h is not Hazard.FOOD]
    for coat in fold.coats:
        if coat is fold.coats[-1] and following is not None and following.step.kind is StepKind.ABRADE:
            found += [h for h in coat.finish.hazards if h is Hazard.ISOCYANATE]
        if now - coat.at < RAGS_HOURS:
            found += [h for h in coat.finish.hazards if h is Hazard.RAGS]
        if following is None:
            found += [h for h in coat.finish.hazards if h is Hazard.FOOD]
        found += [h for h in coat.finish.hazards if h is Hazard.NUT_OIL]
    return hazards(found)


def _woods(fold: Fold, following: Next | None) -> list[Caution]:
    """Cautions of the woods; the dust only while there is dust to come."""
    sanding = following is not None and following.step.kind in (StepKind.PREPARE, StepKind.ABRADE, StepKind.BUFF)
    return [c for c in wood_cautions(fold.batch.woods) if sanding or c.code != "sensitising_dust"]


def _finish_ahead(fold: Fold, following: Next | None) -> Finish | None:
    """The finish the hands will touch next: of the next coat, or of the coat being wiped."""
    if following is None:
        return None
    steps = fold.batch.schedule.steps
    if following.step.kind is StepKind.WIPE and fold.coats:
        return fold.coats[-1].finish
    name = next((s.finish for s in steps[following.position :] if s.finish), None)
    return None if name is None else fold.batch.finishes[name]
