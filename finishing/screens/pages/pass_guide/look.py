"""The words and figures of the pass guide."""

from __future__ import annotations

from rich.table import Table
from rich.text import Text

from finishing.clock import at_zone
from finishing.cure.session import Plan
from finishing.cure.session_run import MINUTE, Call, Phase, Run, Watch, Wipe
from finishing.exchange.plain import plain
from finishing.screens.widgets.countdown import Span, Standing, clock_figure
from finishing.shop.guide_plan import Prepared
from finishing.units import counted, show_duration, show_volume, spoken

BARE, IN_HAND, WET, DONE, LEFT = "○", "▸", "◐", "●", "✕"

RAG_LINE = "Each rag at once: into a lidded metal can under water, or spread flat outdoors. Never in a heap."


def wall(hour: float, zone: str) -> str:
    """A clock time to the second."""
    return at_zone(hour, zone).format("HH:mm:ss")


def minutes(value: float) -> str:
    """Minutes as people say them: "2 min 30", "45 s", "7 min"."""
    whole, second = divmod(round(value * 60), 60)
    if not whole:
        return f"{second} s"
    return f"{whole} min {second:02d}" if second else f"{whole} min"


def plan_table(p: Prepared, units: str) -> Table:
    """All there is to know before the first piece is taken up."""
    table = Table.grid(padding=(0, 2), expand=True)
    table.add_column(width=10, style="dim")
    table.add_column(ratio=1)
    for label, words in _plan_rows(p, units):
        table.add_row(label, Text(plain(words)))
    if p.heed:
        table.add_row("heed", Text(f"! {plain(p.heed)}", style="bold"))
    for n, caution in enumerate(p.cautions):
        style = "bold" if caution.urgent else ""
        table.add_row("" if n else "cautions", Text(f"! {plain(spoken(caution.text, units))}", style=style))
    return table


def _plan_rows(p: Prepared, units: str) -> list[tuple[str, str]]:
    plan = p.plan
    can = f"; {p.cans[0][1]}" if p.cans else "; no can of it on the shelf"
    rows = [("have ready", amount_words(plan, units) + can), ("passes", pass_words(plan))]
    if plan.wipe_until is not None:
        rows.append(("wipe off", f"each {plan.wipe_from:g} to {plan.wipe_until:g} min after it was coated"))
    elif plan.wipe_minutes is not None:
        rows.append(("wipe off", "each once coated; its finish states no time"))
    if plan.pot_life_hours is not None:
        rows.append(("pot life", _pot_words(plan, units)))
    rows.append(("time", f"set up {minutes(plan.setup_minutes)}, then {show_duration(plan.minutes * MINUTE)} in all"))
    rows.append(("air now", p.air))
    if p.note:
        rows.append(("how", p.note))
    if p.after:
        rows.append(("after it", p.after))
    return rows


def amount_words(plan: Plan, units: str) -> str:
    """How much finish to have poured or mixed."""
    if plan.ready_ml is None or plan.amount_ml is None:
        return "amount not known: the batch has no size"
    film = f"({show_volume(plan.amount_ml, units)} on the pieces and a tenth over)"
    return f"{show_volume(plan.ready_ml, units)} {film}"


def pass_words(plan: Plan) -> str:
    """How many passes of how many pieces, and how long one takes."""
    count = len(plan.sizes)
    shown = ", ".join(str(size) for size in plan.sizes[:12]) + (", …" if count > 12 else "")
    said = f"{counted(count, 'pass', 'passes')} of {shown} pieces; coat {minutes(plan.apply_minutes)} a piece"
    if plan.wipe_minutes is not None:
        said += f", wipe {minutes(plan.wipe_minutes)}"
        wait = plan.wait_minutes(plan.sizes[0])
        said += f", wait {minutes(wait)} between" if wait else ""
    return said


def _pot_words(plan: Plan, units: str) -> str:
    if plan.pot_too_short:
        return "shorter than coating one piece takes: mix for a part of a piece only"
    each = [m.ready_ml for m in plan.mixes()]
    shown = ", ".join("?" if ml is None else show_volume(ml, units) for ml in each)
    lasts = show_duration(plan.pot_life_hours or 0.0)
    return f"{lasts}, less when warm; mix {shown}, not more at once" + (" (one after another)" if each[1:] else "")


def apply_span(run: Run, now: float) -> Span | None:
    """The piece in hand against its target; None when none is to be coated."""
    if run.phase is not Phase.COATING:
        return None
    first, after = run.plan.bounds(run.index)
    words = f"coating piece {len(run.coated) - first + 1} of {after - first}"
    target, spent = run.plan.apply_minutes * MINUTE, run.on_hand(now)
    figure = f"{clock_figure(spent)} of {clock_figure(target)}"
    share = spent / target if target else 1.0
    if run.paused is not None:
        return Span(Standing.HALTED, f"PAUSED, {words}", figure, share)
    if spent > target:
        return Span(Standing.RUNS, f"{words}, {clock_figure(spent - target)} over its target", figure, 1.0)
    return Span(Standing.RUNS, words, figure, share)


def wipe_span(run: Run, now: float, zone: str) -> Span | None:
    """The next wet piece's window; None when nothing is wet."""
    watch = run.watch()
    if watch is None or run.ended is not None:
        return None
    first = run.plan.bounds(run.index)[0]
    piece = f"piece {watch.number - first}, {watch.wet} wet"
    if watch.shuts is None or watch.latest is None:
        return Span(Standing.RUNS, f"WIPE NOW, {piece}", "no limit stated")
    until = f"until {wall(watch.shuts, zone)}"
    match watch.stands(now):
        case Wipe.NOT_YET:
            whole = watch.go - run.coated[watch.number - 1]
            words = f"NOT YET TO WIPE, {piece}: from {wall(watch.go, zone)} {until}"
            return Span(Standing.WAIT, words, f"in {clock_figure(watch.go - now)}", 1 - (watch.go - now) / whole)
        case Wipe.NOW:
            share = (now - watch.opens) / max(watch.shuts - watch.opens, MINUTE)
            return Span(Standing.RUNS, f"WIPE NOW, {piece}: {until}", f"{clock_figure(watch.shuts - now)} left", share)
        case Wipe.LATE:
            return Span(
                Standing.OVER, f"LATE, {piece}: wipe it at once", f"{clock_figure(now - watch.shuts)} late", 1.0
            )


def pot_span(run: Run, now: float) -> Span | None:
    """The pot life of the finish mixed last; None where there is none, or all is coated."""
    ends, pot = run.pot_ends, run.plan.pot_life_hours
    if ends is None or pot is None or run.ended is not None or len(run.coated) == run.plan.pieces:
        return None
    if now >= ends:
        return Span(
            Standing.OVER, "POT LIFE OVER: put no more of it on, mix fresh", f"{clock_figure(now - ends)} ago", 1.0
        )
    left = ends - now
    pieces = run.bare or (run.plan.sizes[run.index + 1] if run.more else 0)
    if pieces * run.plan.apply_minutes * MINUTE > left:
        return Span(
            Standing.WAIT,
            f"pot life: too short for {counted(pieces, 'piece')}, mix fresh",
            clock_figure(left),
            1 - left / pot,
        )
    return Span(Standing.WAIT, "pot life left", clock_figure(left), 1 - left / pot)


def what_now(run: Run, now: float, units: str) -> str:
    """What the hands should do, and the key that says it is done."""
    watch = run.watch()
    match run.phase:
        case Phase.RAGS:
            return "The rags first."
        case Phase.CLOSING:
            return "Done. f: type what was used, and it goes on record. It is not on record yet."
        case Phase.COATING if watch is not None and _no_time_for_another(run, watch, now):
            return "Coat no more now: wipe first, or the first will be late (w for each)."
        case Phase.COATING:
            return (
                "Coat it, then space (or a when the whole pass is coated)."
                if run.paused is None
                else "Paused. p: go on."
            )
        case Phase.WIPING if watch is not None and watch.stands(now) is Wipe.NOT_YET:
            return "All of this pass coated. Wait: the bell rings when wiping may begin."
        case Phase.WIPING:
            return f"Wipe in the order you coated: w for each, or e when all are wiped.{_in_time(watch, now)}"
        case Phase.BETWEEN:
            size = run.plan.sizes[run.index + 1]
            need = run.plan.ready_for(size)
            finish = "" if need is None else f", about {show_volume(need, units)} of finish"
            return f"Pass {run.index + 1} is done. n: begin pass {run.index + 2}, {size} pieces{finish}."


def _no_time_for_another(run: Run, watch: Watch, now: float) -> bool:
    """Whether the piece in hand, at its target, would keep the wet ones waiting too long."""
    left = max(run.plan.apply_minutes * MINUTE - run.on_hand(now), 0.0)
    return watch.latest is not None and now + left > watch.latest + MINUTE / 60


def _in_time(watch: Watch | None, now: float) -> str:
    if watch is None or watch.latest is None or now <= watch.latest:
        return ""
    return " At your planned pace some will be late: hurry."


def strip(run: Run, zone: str) -> Text:
    """Every pass with a mark a piece, the wet ones with their windows, and what the marks mean."""
    text = Text()
    for n, size in enumerate(run.plan.sizes):
        first = run.plan.bounds(n)[0]
        here = n == run.index
        text.append(f"{'▸' if here else ' '} pass {n + 1:<3}", style="bold" if here else "dim")
        text.append(" ".join(_mark(run, i) for i in range(first, first + size)) + "\n")
    text.append("  ○ bare  ▸ in hand  ◐ wet  ● done  ✕ left unwiped\n", style="dim")
    if run.plan.rags:
        text.append(f"! {RAG_LINE}\n", style="bold")
    if run.plan.wipe_until is not None and run.wet:
        first = run.plan.bounds(run.index)[0]
        for i in run.wet[:40]:
            opens, shuts = (run.coated[i] + (m or 0.0) * MINUTE for m in (run.plan.wipe_from, run.plan.wipe_until))
            text.append(f"  piece {i - first + 1:<3} wipe from {wall(opens, zone)} until {wall(shuts, zone)}\n")
    return text


def _mark(run: Run, piece: int) -> str:
    if piece >= len(run.coated):
        return IN_HAND if piece == len(run.coated) and run.phase is Phase.COATING else BARE
    if piece in run.left:
        return LEFT
    return WET if piece in run.wet else DONE


def brief(code: str, run: Run, now: float, zone: str) -> str:
    """Another guide in a line."""
    said = f"{code}: {run.phase.value}, {len(run.coated)} of {run.plan.pieces} coated"
    watch = run.watch()
    if watch is not None and run.ended is None:
        said += f", {watch.stands(now).value}"
        said += "" if watch.shuts is None else f" (until {wall(watch.shuts, zone)})"
    if run.phase is Phase.RAGS:
        said += ": say that the rags are safe"
    return said


def bell_words(code: str, call: Call, number: int) -> str:
    """What a bell is for."""
    of = "" if call in (Call.POT_SOON, Call.POT_OVER) else f", pass {number}"
    return f"{code}{of}: {call.value}"
